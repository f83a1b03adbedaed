//! What stands beside a price: its one currency, the rates that are missing, what stays, lines as they are
//! shown, and what is chosen and cannot be priced.

use std::collections::{BTreeMap, BTreeSet};

use model::Signal;
use price::{Item, Line, with_currency};
use units::{Currency, Money};

use crate::case::Case;
use crate::price_view::PriceLine;
use crate::pricing::{PriceAsked, PriceFault, Pricer, cures};
use crate::service_view::tenth;

/// The kind of the line of what breaks.
const BREAKAGE: &str = "breakage";

pub(crate) fn expired(asked: &PriceAsked) -> Result<(), PriceFault> {
    match (&asked.valid_until, &asked.today) {
        (Some(until), Some(today)) if today > until => {
            Err(PriceFault::Expired { until: until.clone(), today: today.clone() })
        }
        _ => Ok(()),
    }
}

impl Pricer<'_> {
    /// A rate as it is printed; empty when none is written.
    pub(crate) fn rate_words(&self, rate: Option<Money>) -> String {
        rate.map_or_else(String::new, |money| with_currency(money, self.currency).to_string())
    }

    pub(crate) fn missing_rates(&self) -> Vec<String> {
        let rates = &self.case.vehicle().rates;
        let licensed = self.list.offers.iter().any(|offer| offer.by == "licensed");
        let mut missing = Vec::new();
        if rates.hour.is_none() {
            missing.push("what an hour costs: `hour = \"78 EUR\"` under [workshop]".to_owned());
        }
        if licensed && rates.licensed_hour.is_none() {
            missing.push(
                "what an hour of somebody licensed costs: `licensed_hour` under [workshop]"
                    .to_owned(),
            );
        }
        if rates.tax.value().is_none() {
            missing.push(
                "the tax: `tax = \"19 %\"` under [workshop], `0 %` if there is none".to_owned(),
            );
        }
        missing
    }

    /// Findings that fail and that none of the set cures, dangers first.
    pub(crate) fn stays(&self, set: &[String]) -> Vec<String> {
        let cured: BTreeSet<(&str, &str)> =
            set.iter().filter_map(|id| self.offer(id)).flat_map(cures).collect();
        let mut stays = BTreeMap::new();
        for finding in self.list.offers.iter().flat_map(|offer| &offer.cures) {
            if !cured.contains(&(finding.check.as_str(), finding.place.as_str())) {
                let words = format!("{} {}", finding.signal, finding.message);
                stays.insert((order(&finding.signal), words), ());
            }
        }
        let mut words: Vec<String> = stays.into_keys().map(|(_, words)| words).collect();
        let without = self.list.without.iter();
        words
            .extend(without.map(|no| format!("{} {} (no computed repair)", no.signal, no.message)));
        words
    }

    /// Repairs that somebody wrote into `[mends]` and that are not among those offered: what they take is
    /// not known.
    pub(crate) fn not_priced(&self) -> Vec<String> {
        let planned = self.list.chosen.iter().filter(|mend| mend.stands == "planned");
        let by_hand = planned.filter(|mend| self.offer(&mend.name).is_none());
        let words = |name: &str| {
            format!(
                "{name} is chosen, and not in the price: its work and parts are not written anywhere"
            )
        };
        by_hand.map(|mend| words(&mend.name)).collect()
    }

    /// A line as it is shown: what nobody knows the currency of is not known.
    pub(crate) fn line_view(&self, kind: &str, line: &Line, amount: Option<Money>) -> PriceLine {
        let minutes = match &line.item {
            Item::Work { minutes, .. } => {
                Some(minutes.iter().fold([0.0; 3], |[a, m, b], spread| {
                    [a + spread.low_min, m + spread.likely_min, b + spread.high_min]
                }))
            }
            Item::Goods { .. } | Item::Risk(_) => None,
        };
        let has_rate = self.case.vehicle().rates.hour.is_some();
        let is_known = kind != BREAKAGE || has_rate || self.currency.is_some();
        let amount = amount.filter(|_| is_known).map(|money| with_currency(money, self.currency));
        PriceLine {
            kind: kind.to_owned(),
            what: line.what.clone(),
            minutes: minutes.map(|all| all.map(tenth)),
            expected_minutes: tenth(line.minutes()),
            amount: amount.map_or_else(String::new, |money| money.to_string()),
            cents: amount.map(Money::cents),
        }
    }
}

fn order(word: &str) -> usize {
    let signals = [Signal::Danger, Signal::Warning, Signal::Caution, Signal::Notice];
    signals.iter().position(|signal| signal.word() == word).unwrap_or(signals.len())
}

/// The one currency of everything that has a price.
pub(crate) fn one_currency(case: &Case) -> Result<Option<Currency>, PriceFault> {
    let vehicle = case.vehicle();
    let rates = &vehicle.rates;
    let hours = [("hour", rates.hour), ("licensed_hour", rates.licensed_hour)];
    let hours = hours.into_iter().filter_map(|(key, m)| Some((format!("[workshop] {key}"), m?)));
    let prices = rates.prices.iter().map(|(key, m)| (format!("[workshop] prices, `{key}`"), *m));
    let parts = vehicle.removals.iter().filter_map(|(_, removal)| {
        Some((format!("part `{}`", vehicle.parts[removal.part].name), removal.price?))
    });
    let agreed = vehicle.authority.iter();
    let agreed = agreed.filter_map(|a| Some((format!("[authority] {}", a.name), a.total?)));
    let mut first: Option<(Currency, String)> = None;
    for (at, money) in hours.chain(prices).chain(parts).chain(agreed) {
        let Some(currency) = money.currency() else { continue };
        match &first {
            Some((known, known_at)) if *known != currency => {
                return Err(PriceFault::Mixed {
                    first: known.code().to_owned(),
                    first_at: known_at.clone(),
                    second: currency.code().to_owned(),
                    second_at: at,
                });
            }
            Some(_) => {}
            None => first = Some((currency, at)),
        }
    }
    Ok(first.map(|(currency, _)| currency))
}
