//! Money as whole cents. Knows no exchange rate, no tax and no rounding beyond the cent; no float
//! takes part in any sum. A cent here is a hundredth of the currency unit, also for currencies that
//! do not use hundredths.

use core::fmt;
use core::str::FromStr;

use crate::parse::{ParseError, read_money};

/// Cents in one unit of currency.
pub(crate) const CENTS_PER_UNIT: i64 = 100;

/// A currency by its code of three capital letters (the form of ISO 4217). Whether the code exists
/// is not checked.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Currency([u8; 3]);

impl Currency {
    /// The currency of a code; none unless the code is three letters A to Z.
    #[must_use]
    pub fn new(code: &str) -> Option<Self> {
        let letters: [u8; 3] = code.as_bytes().try_into().ok()?;
        letters.iter().all(u8::is_ascii_uppercase).then_some(Self(letters))
    }

    /// The three letters.
    #[must_use]
    pub fn code(&self) -> &str {
        core::str::from_utf8(&self.0).unwrap_or_default()
    }
}

impl fmt::Debug for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Currency({})", self.code())
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.code())
    }
}

/// An amount of money, with its currency where it was given.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Money {
    cents: i64,
    currency: Option<Currency>,
}

impl Money {
    /// The amount from whole cents.
    #[must_use]
    pub const fn from_cents(cents: i64, currency: Option<Currency>) -> Self {
        Self { cents, currency }
    }

    /// The whole cents.
    #[must_use]
    pub const fn cents(self) -> i64 {
        self.cents
    }

    /// The currency, where it was given.
    #[must_use]
    pub const fn currency(self) -> Option<Currency> {
        self.currency
    }

    /// The sum; none when the currencies differ (one given and one not is a difference) or the sum
    /// is too large to hold.
    #[must_use]
    pub fn checked_add(self, other: Self) -> Option<Self> {
        let cents = self.cents.checked_add(other.cents)?;
        (self.currency == other.currency).then_some(Self { cents, ..self })
    }

    /// The amount times `top / bottom`, rounded once to the nearest cent, halves away from zero
    /// (an hour's price times minutes over 60). None for `bottom` zero or a result too large.
    #[must_use]
    pub fn checked_share(self, top: i64, bottom: i64) -> Option<Self> {
        if bottom == 0 {
            return None;
        }
        let product = i128::from(self.cents) * i128::from(top);
        let divisor = i128::from(bottom).abs();
        let half = divisor / 2;
        let size = (product.abs() + half) / divisor;
        let same_sign = (product < 0) == (bottom < 0);
        let cents = i64::try_from(if same_sign { size } else { -size }).ok()?;
        Some(Self { cents, ..self })
    }
}

/// As it is parsed: `180.50 EUR`.
impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let amount = amount_text(self.cents);
        match self.currency {
            Some(currency) => f.pad(&format!("{amount} {currency}")),
            None => f.pad(&amount),
        }
    }
}

impl FromStr for Money {
    type Err = ParseError;

    fn from_str(text: &str) -> Result<Self, ParseError> {
        read_money(text)
    }
}

/// `180.50` from 18050 cents.
pub(crate) fn amount_text(cents: i64) -> String {
    let size = cents.unsigned_abs();
    let per_unit = CENTS_PER_UNIT.unsigned_abs();
    let sign = if cents < 0 { "-" } else { "" };
    format!("{sign}{}.{:02}", size / per_unit, size % per_unit)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cents(text: &str) -> i64 {
        text.parse::<Money>().unwrap().cents()
    }

    // Expected values by hand.

    #[test]
    fn money_is_read_to_the_cent() {
        assert_eq!(cents("180"), 18_000);
        assert_eq!(cents("180.5"), 18_050);
        assert_eq!(cents("180,50"), 18_050);
        assert_eq!(cents("-0.05 EUR"), -5);
        assert_eq!(cents("1,234,567.89"), 123_456_789);
        let price: Money = "CAD 90".parse().unwrap();
        assert_eq!((price.cents(), price.currency()), (9_000, Currency::new("CAD")));
        // The usual trap of binary fractions: 0.1 + 0.2.
        let tenth: Money = "0.10".parse().unwrap();
        assert_eq!(tenth.checked_add("0.20".parse().unwrap()).unwrap().cents(), 30);
    }

    #[test]
    fn thirds_of_a_cent_and_unclear_amounts_are_refused() {
        for text in [
            "1.005",
            "1,200",
            "",
            "EUR",
            "180 eur x",
            "EUR 5 CAD",
            "5 AB",
            "1e5 EUR",
            "1/2 EUR",
            "nan",
            "-0",
            "99999999999999999999 EUR",
            "€180",
            "$5",
        ] {
            assert!(text.parse::<Money>().is_err(), "{text}");
        }
    }

    #[test]
    fn money_prints_as_it_is_read() {
        for text in ["180.50 EUR", "0.05", "-12.00 CAD"] {
            assert_eq!(text.parse::<Money>().unwrap().to_string(), text);
        }
    }

    #[test]
    fn different_currencies_do_not_add() {
        let euro: Money = "5 EUR".parse().unwrap();
        assert_eq!(euro.checked_add("5 CAD".parse().unwrap()), None);
        assert_eq!(euro.checked_add("5".parse().unwrap()), None);
        assert_eq!(Money::from_cents(i64::MAX, None).checked_add(Money::from_cents(1, None)), None);
    }

    #[test]
    fn an_hours_price_is_shared_by_minutes_and_rounded_once() {
        let hour = Money::from_cents(9_500, None);
        assert_eq!(hour.checked_share(25, 60).unwrap().cents(), 3_958); // 3958.33
        assert_eq!(Money::from_cents(5, None).checked_share(1, 2).unwrap().cents(), 3); // 2.5
        assert_eq!(Money::from_cents(-5, None).checked_share(1, 2).unwrap().cents(), -3);
        assert_eq!(Money::from_cents(5, None).checked_share(1, -2).unwrap().cents(), -3);
        assert_eq!(hour.checked_share(1, 0), None);
        assert_eq!(Money::from_cents(i64::MAX, None).checked_share(2, 1), None);
        assert_eq!(
            Money::from_cents(i64::MIN, None).checked_share(i64::MIN, i64::MIN),
            Some(Money::from_cents(i64::MIN, None))
        );
    }
}
