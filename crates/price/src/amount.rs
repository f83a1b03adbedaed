//! Minutes, quantities and tax to money.
//!
//! **Rounding.** Each line is rounded once to the nearest cent, halves away from zero; minutes count in
//! hundredths, quantities in thousandths. Sums are of rounded lines, so what is printed adds up. Tax is
//! taken once, of the sum. No binary fraction takes part after minutes and quantities are whole.

use units::{Currency, Money};

const HUNDREDTHS: f64 = 100.0;
const HUNDREDTHS_PER_HOUR: i64 = 6_000;
const THOUSANDTHS: f64 = 1_000.0;
/// Largest number of minutes or pieces a line may have: far inside what a whole number holds.
const MOST: f64 = 1.0e9;

/// A tax on the whole, in hundredths of a percent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tax(u32);

impl Tax {
    const WHOLE: i64 = 10_000;

    /// The tax of a share, 0 to 1, in steps of a hundredth of a percent; none outside.
    pub fn of_share(share: f64) -> Option<Tax> {
        let steps = (share * 10_000.0).round();
        (0.0..=10_000.0).contains(&steps).then_some(Tax(steps as u32))
    }

    /// The tax on an amount, rounded once to the cent.
    pub fn on(self, net: Money) -> Option<Money> {
        net.checked_share(i64::from(self.0), Self::WHOLE)
    }
}

/// What minutes come to at the price of an hour; none for minutes below zero or beyond all use.
///
/// `hour x round(100 minutes)/6000`, rounded once to the cent, halves away from zero. Checked in
/// `seven_and_a_half_minutes_at_78_euros`.
pub fn labour(hour: Money, minutes: f64) -> Option<Money> {
    let hundredths = whole(minutes, HUNDREDTHS)?;
    hour.checked_share(hundredths, HUNDREDTHS_PER_HOUR)
}

/// What goods come to; none for quantities below zero or beyond all use.
///
/// `price x round(1000 quantity)/1000`, rounded once to the cent. Checked in
/// `wire_by_the_metre_is_rounded_once`.
pub fn goods(price: Money, quantity: f64) -> Option<Money> {
    let thousandths = whole(quantity, THOUSANDTHS)?;
    price.checked_share(thousandths, THOUSANDTHS as i64)
}

/// The same amount in a currency, where it was given without one.
pub fn with_currency(money: Money, currency: Option<Currency>) -> Money {
    Money::from_cents(money.cents(), money.currency().or(currency))
}

fn whole(number: f64, steps: f64) -> Option<i64> {
    (0.0..=MOST).contains(&number).then(|| (number * steps).round() as i64)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn money(text: &str) -> Money {
        text.parse().unwrap()
    }

    /// By hand: 78.00 x 7.5/60 = 9.75; 72.50 x 11/60 = 13.2917, rounded 13.29; 0.10 x 3/60 = 0.005,
    /// a half, away from zero: 0.01.
    #[test]
    fn seven_and_a_half_minutes_at_78_euros() {
        assert_eq!(labour(money("78 EUR"), 7.5), Some(money("9.75 EUR")));
        assert_eq!(labour(money("72.50 EUR"), 11.0), Some(money("13.29 EUR")));
        assert_eq!(labour(money("0.10 EUR"), 3.0), Some(money("0.01 EUR")));
        assert_eq!(labour(money("78 EUR"), -1.0), None);
        assert_eq!(labour(money("78 EUR"), f64::NAN), None);
    }

    /// By hand: 4.20 x 3.374 = 14.1708, rounded 14.17; 0.85 x 3 = 2.55.
    #[test]
    fn wire_by_the_metre_is_rounded_once() {
        assert_eq!(goods(money("4.20 EUR"), 3.374), Some(money("14.17 EUR")));
        assert_eq!(goods(money("0.85 EUR"), 3.0), Some(money("2.55 EUR")));
        assert_eq!(goods(money("0.85 EUR"), f64::INFINITY), None);
    }

    /// By hand: 19 % of 123.45 = 23.4555, rounded 23.46; 7.25 % of 100.00 = 7.25; 20 % of 0.02 = 0.004: 0.
    #[test]
    fn tax_is_rounded_once() {
        let tax = |share| Tax::of_share(share).unwrap();
        assert_eq!(tax(0.19).on(money("123.45 EUR")), Some(money("23.46 EUR")));
        assert_eq!(tax(0.0725).on(money("100 USD")), Some(money("7.25 USD")));
        assert_eq!(tax(0.2).on(money("0.02 GBP")), Some(money("0 GBP")));
        assert_eq!(Tax::of_share(-0.1), None);
        assert_eq!(Tax::of_share(1.5), None);
    }
}
