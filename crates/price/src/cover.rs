//! How far a total may go beyond what was agreed to, by a rule pack.

use units::Money;

/// The over-run a rule allows without asking again; the lesser of what is given.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Cap {
    /// Percent of what was agreed to.
    pub percent: Option<u32>,
    /// An amount in cents.
    pub cents: Option<i64>,
}

/// Whether an agreement covers a total.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Covered {
    /// The total is not above what was agreed to.
    Within,
    /// It is above, and not beyond what the rule allows.
    WithinOverRun,
    /// A new yes is needed, for this much more.
    AskFor(Money),
    /// They are in different currencies.
    NotComparable,
}

/// Holds a total against what was agreed to: `total <= agreed + min(percent x agreed, cents)`. Without a rule
/// nothing above is allowed. Checked in `the_lesser_of_ten_dollars_and_ten_percent`.
pub fn covered(total: Money, agreed: Money, cap: Cap) -> Covered {
    let comparable = total.currency() == agreed.currency();
    if !comparable && total.currency().is_some() && agreed.currency().is_some() {
        return Covered::NotComparable;
    }
    let over = total.cents().saturating_sub(agreed.cents());
    if over <= 0 {
        return Covered::Within;
    }
    let by_share = cap.percent.and_then(|percent| agreed.checked_share(i64::from(percent), 100));
    let allowed = match (by_share.map(Money::cents), cap.cents) {
        (Some(share), Some(cents)) => share.min(cents),
        (Some(one), None) | (None, Some(one)) => one,
        (None, None) => 0,
    };
    if over <= allowed {
        Covered::WithinOverRun
    } else {
        Covered::AskFor(Money::from_cents(over, total.currency().or(agreed.currency())))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn usd(text: &str) -> Money {
        format!("{text} USD").parse().unwrap()
    }

    /// Michigan: approval beyond the lesser of 10 dollars or 10 % (read). By hand: agreed 80: 8 dollars
    /// more; agreed 400: 10 more. Washington: 110 % of the estimate (read).
    #[test]
    fn the_lesser_of_ten_dollars_and_ten_percent() {
        let michigan = Cap { percent: Some(10), cents: Some(1000) };
        assert_eq!(covered(usd("88"), usd("80"), michigan), Covered::WithinOverRun);
        assert_eq!(covered(usd("88.01"), usd("80"), michigan), Covered::AskFor(usd("8.01")));
        assert_eq!(covered(usd("410"), usd("400"), michigan), Covered::WithinOverRun);
        assert_eq!(covered(usd("410.01"), usd("400"), michigan), Covered::AskFor(usd("10.01")));
        let washington = Cap { percent: Some(10), cents: None };
        assert_eq!(covered(usd("440"), usd("400"), washington), Covered::WithinOverRun);
        assert_eq!(covered(usd("400"), usd("400"), Cap::default()), Covered::Within);
        assert_eq!(
            covered(usd("400.01"), usd("400"), Cap::default()),
            Covered::AskFor(usd("0.01"))
        );
        let eur = "400 EUR".parse().unwrap();
        assert_eq!(covered(usd("1"), eur, michigan), Covered::NotComparable);
    }
}
