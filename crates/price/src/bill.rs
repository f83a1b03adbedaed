//! Lines, their sum, tax and total; and how minutes and money are spread.

use access::{Chances, Percentile, Piece, Spread};
use units::{Currency, Money};

use crate::amount::{Tax, goods, labour, with_currency};
use crate::tail::Lognormal;

/// What a line is for.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// Work at an hourly rate; without a rate only its minutes count.
    Work {
        /// Minutes: low, likely, high.
        minutes: Vec<Spread>,
        /// Price of an hour.
        hour: Option<Money>,
    },
    /// Goods at a price for each; without a price they are named and not counted.
    Goods {
        /// How many, or how many metres.
        quantity: f64,
        /// Price of one, or of a metre.
        each: Option<Money>,
    },
    /// What may fall due: breakages, each with its likelihood and price in cents.
    Risk(Vec<(f64, u64)>),
}

/// A line of a price.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// In words.
    pub what: String,
    /// What for.
    pub item: Item,
}

/// A price.
#[derive(Clone, Debug, PartialEq)]
pub struct Bill {
    /// Expected amount of each line; none where its rate or price is not known.
    pub amounts: Vec<Option<Money>>,
    /// The sum of what has an amount.
    pub net: Money,
    /// Tax on it, where a tax is known.
    pub tax: Option<Money>,
    /// Both together.
    pub total: Money,
}

/// Why lines do not make a price.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// Two currencies.
    Mixed(Currency, Currency),
    /// Too large to hold.
    TooLarge,
}

/// Minutes and money of a set of lines: half of the cases, eight of ten, by two shapes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spreads {
    /// Expected minutes.
    pub mean_min: f64,
    /// Minutes not exceeded in half of the cases.
    pub p50_min: f64,
    /// In eight of ten.
    pub p80_min: f64,
    /// The same by a lognormal time of the same mean and spread.
    pub lognormal_p80_min: f64,
    /// Cents of everything before tax, half of the cases; none without any amount.
    pub p50_cents: Option<f64>,
    /// Eight of ten.
    pub p80_cents: Option<f64>,
}

impl Line {
    /// Expected minutes of work.
    pub fn minutes(&self) -> f64 {
        match &self.item {
            Item::Work { minutes, .. } => minutes.iter().map(Spread::mean_min).sum(),
            Item::Goods { .. } | Item::Risk(_) => 0.0,
        }
    }

    /// Expected amount; none where rate or price is not known.
    pub fn amount(&self) -> Option<Money> {
        match &self.item {
            Item::Work { hour, .. } => labour((*hour)?, self.minutes()),
            Item::Goods { quantity, each } => goods((*each)?, *quantity),
            Item::Risk(breakages) => {
                let cents: f64 = breakages.iter().map(|(share, cents)| share * *cents as f64).sum();
                Some(Money::from_cents(cents.round() as i64, None))
            }
        }
    }

    fn pieces(&self) -> Vec<Piece> {
        match &self.item {
            Item::Work { minutes, .. } => minutes.iter().copied().map(Piece::Spread).collect(),
            Item::Goods { .. } | Item::Risk(_) => Vec::new(),
        }
    }

    /// Pieces in cents; none where rate or price is not known.
    fn money_pieces(&self) -> Option<Vec<Piece>> {
        match &self.item {
            Item::Work { minutes, hour } => {
                let per_minute = (*hour)?.cents() as f64 / MINUTES_PER_HOUR;
                let scaled = minutes.iter().map(|spread| Piece::Spread(spread.times(per_minute)));
                Some(scaled.collect())
            }
            Item::Goods { .. } => {
                let cents = self.amount()?.cents() as f64;
                Some(vec![Piece::Spread(Spread::exactly(cents))])
            }
            Item::Risk(breakages) => {
                let perhaps = |(probability, cents): &(f64, u64)| Piece::Perhaps {
                    probability: *probability,
                    amount: *cents as f64,
                };
                Some(breakages.iter().map(perhaps).collect())
            }
        }
    }
}

const MINUTES_PER_HOUR: f64 = 60.0;

/// The price of lines: the sum of their rounded amounts, and tax on that sum.
///
/// # Errors
/// [`Fault::Mixed`] when two currencies meet; amounts without one take the one that is there.
pub fn bill(lines: &[Line], tax: Option<Tax>) -> Result<Bill, Fault> {
    let amounts: Vec<Option<Money>> = lines.iter().map(Line::amount).collect();
    let mut currency: Option<Currency> = None;
    for other in amounts.iter().flatten().filter_map(|money| money.currency()) {
        match currency {
            Some(one) if one != other => return Err(Fault::Mixed(one, other)),
            _ => currency = Some(other),
        }
    }
    let amounts: Vec<Option<Money>> =
        amounts.into_iter().map(|money| Some(with_currency(money?, currency))).collect();
    let zero = Money::from_cents(0, currency);
    let sum = amounts.iter().flatten().try_fold(zero, |sum, money| sum.checked_add(*money));
    let net = sum.ok_or(Fault::TooLarge)?;
    let tax = match tax {
        Some(tax) => Some(tax.on(net).ok_or(Fault::TooLarge)?),
        None => None,
    };
    let total = tax.map_or(Some(net), |tax| net.checked_add(tax)).ok_or(Fault::TooLarge)?;
    Ok(Bill { amounts, net, tax, total })
}

/// How minutes and money of lines are spread: three-point times as beta-PERT, added by convolution
/// ([`Chances`]), breakages as what falls due or does not. Pieces count as independent.
pub fn spreads(lines: &[Line]) -> Spreads {
    let minutes: Vec<Piece> = lines.iter().flat_map(Line::pieces).collect();
    let chances = Chances::of(&minutes);
    let money: Vec<Piece> = lines.iter().filter_map(Line::money_pieces).flatten().collect();
    let has_money = lines.iter().any(|line| line.amount().is_some());
    let cents = Chances::of(&money);
    Spreads {
        mean_min: chances.mean(),
        p50_min: chances.percentile(Percentile::P50),
        p80_min: chances.percentile(Percentile::P80),
        lognormal_p80_min: Lognormal::of(chances.mean(), chances.sd()).p80(),
        p50_cents: has_money.then(|| cents.percentile(Percentile::P50)),
        p80_cents: has_money.then(|| cents.percentile(Percentile::P80)),
    }
}

/// The whole distribution of the money of lines, cents in rising order with their shares; for charts.
impl Spreads {
    /// Cents with their shares of the cases.
    pub fn money_shares(lines: &[Line]) -> Vec<(f64, f64)> {
        let money: Vec<Piece> = lines.iter().filter_map(Line::money_pieces).flatten().collect();
        Chances::of(&money).shares().collect()
    }
}

#[cfg(test)]
mod tests;
