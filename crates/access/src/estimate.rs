//! Three-point times: mean, spread, sums along a chain of steps.
//!
//! Deliberately does not know what the time is spent on, nor how a sum is distributed (`chances`).

use std::fmt;

use crate::problem::MAX_MINUTES;

/// A time stated by its low, likely and high value, in minutes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// When everything goes well.
    pub low_min: f64,
    /// What it usually takes.
    pub likely_min: f64,
    /// When it does not go well.
    pub high_min: f64,
}

/// What is wrong with a [`Spread`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SpreadFault {
    /// One of the three is not a finite number.
    NotFinite,
    /// One of the three is below zero.
    Negative(f64),
    /// One of the three is above [`MAX_MINUTES`].
    TooLong(f64),
    /// Not low <= likely <= high.
    OutOfOrder(Spread),
}

/// Expected time of a chain of steps, with its scatter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// Expected value, in minutes.
    pub mean_min: f64,
    /// Standard deviation, in minutes.
    pub sd_min: f64,
}

/// A percentile of a distribution.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Percentile {
    /// Kept one time in two.
    P50,
    /// Kept four times in five.
    P80,
    /// Kept nine times in ten.
    P90,
}

impl Spread {
    /// A time known without scatter.
    #[must_use]
    pub const fn exactly(minutes: f64) -> Self {
        Self { low_min: minutes, likely_min: minutes, high_min: minutes }
    }

    /// Expected value of a three-point time.
    ///
    /// `t = (a + 4 m + b) / 6`, with a, m, b the low, likely and high value in minutes.
    /// Source: the PERT estimate (US Navy Special Projects Office, 1958; from memory).
    /// Checked in `pert_worked_example_adds_up`.
    /// Range: 0 <= a <= m <= b <= [`MAX_MINUTES`]; outside it [`Spread::fault`] says so.
    #[must_use]
    pub fn mean_min(&self) -> f64 {
        (self.low_min + 4.0 * self.likely_min + self.high_min) / 6.0
    }

    /// Variance of a three-point time by the rule of the PERT handbook, in square minutes:
    /// `((b - a) / 6)^2`. Source and range as for [`Spread::mean_min`].
    #[must_use]
    pub fn variance_min2(&self) -> f64 {
        ((self.high_min - self.low_min) / 6.0).powi(2)
    }

    /// Variance of the beta-PERT distribution, in square minutes: `(t - a)(b - t) / 7`, `t` the mean.
    /// Follows from the variance of the beta distribution, `αβ / ((α+β)² (α+β+1))` with `α + β = 6`.
    /// Range as for [`Spread::mean_min`]. Checked in `tests/chances.rs`.
    #[must_use]
    pub fn beta_variance_min2(&self) -> f64 {
        let mean = self.mean_min();
        (mean - self.low_min) * (self.high_min - mean) / 7.0
    }

    /// The same shape, so many times as long.
    #[must_use]
    pub fn times(&self, factor: f64) -> Self {
        Self {
            low_min: factor * self.low_min,
            likely_min: factor * self.likely_min,
            high_min: factor * self.high_min,
        }
    }

    /// What is wrong with the three values, if anything.
    #[must_use]
    pub fn fault(&self) -> Option<SpreadFault> {
        let values = [self.low_min, self.likely_min, self.high_min];
        if values.iter().any(|value| !value.is_finite()) {
            return Some(SpreadFault::NotFinite);
        }
        if let Some(value) = values.iter().find(|value| **value < 0.0) {
            return Some(SpreadFault::Negative(*value));
        }
        if let Some(value) = values.iter().find(|value| **value > MAX_MINUTES) {
            return Some(SpreadFault::TooLong(*value));
        }
        let ordered = self.low_min <= self.likely_min && self.likely_min <= self.high_min;
        (!ordered).then_some(SpreadFault::OutOfOrder(*self))
    }
}

impl Estimate {
    /// The sum of a chain of steps done one after another: means add, and variances add as if the
    /// steps were independent. For percentiles see [`crate::Chances`].
    #[must_use]
    pub fn of_chain<'a>(steps: impl IntoIterator<Item = &'a Spread>) -> Self {
        let (mean_min, variance) = steps.into_iter().fold((0.0, 0.0), |(mean, variance), step| {
            (mean + step.mean_min(), variance + step.variance_min2())
        });
        Self { mean_min, sd_min: f64::sqrt(variance) }
    }
}

impl fmt::Display for SpreadFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFinite => f.write_str("not a finite number; give minutes"),
            Self::Negative(value) => write!(f, "{value} is below zero; give 0 or more"),
            Self::TooLong(value) => write!(f, "{value} is above the limit of {MAX_MINUTES}"),
            Self::OutOfOrder(spread) => write!(
                f,
                "low {}, likely {}, high {} are not in rising order",
                spread.low_min, spread.likely_min, spread.high_min
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Three tasks (2, 4, 12), (1, 2, 3), (0.5, 1, 4.5) minutes. te = 5.0, 2.0, 1.5, sum 8.5;
    /// variances 2.778 + 0.111 + 0.444 = 3.333; sigma 1.826; 90 % at 10.84.
    /// Worked by hand from te = (a + 4m + b)/6 and var = ((b - a)/6)^2.
    #[test]
    fn pert_worked_example_adds_up() {
        let spread = |low_min, likely_min, high_min| Spread { low_min, likely_min, high_min };
        let tasks = [spread(2.0, 4.0, 12.0), spread(1.0, 2.0, 3.0), spread(0.5, 1.0, 4.5)];
        for (task, te) in tasks.iter().zip([5.0, 2.0, 1.5]) {
            assert!((task.mean_min() - te).abs() < 1e-12);
        }
        for (task, variance) in tasks.iter().zip([2.777_778, 0.111_111, 0.444_444]) {
            assert!((task.variance_min2() - variance).abs() < 1e-6);
        }
        let chain = Estimate::of_chain(&tasks);
        assert!((chain.mean_min - 8.5).abs() < 1e-12);
        assert!((chain.sd_min - 1.825_742).abs() < 1e-6);
        // The worked example states 10.839871 as the 90 % point by the normal approximation, which
        // is 8.5 + 1.2816 sigma: z rounded to four places. The distribution itself: tests/chances.rs.
        assert!((chain.mean_min + 1.2816 * chain.sd_min - 10.839_871).abs() < 1e-6);
    }

    #[test]
    fn impossible_times_are_named() {
        let spread = |low_min, likely_min, high_min| Spread { low_min, likely_min, high_min };
        assert_eq!(spread(f64::NAN, 1.0, 2.0).fault(), Some(SpreadFault::NotFinite));
        assert_eq!(spread(1.0, 2.0, f64::INFINITY).fault(), Some(SpreadFault::NotFinite));
        assert_eq!(spread(-1.0, 2.0, 3.0).fault(), Some(SpreadFault::Negative(-1.0)));
        assert_eq!(spread(1.0, 2.0, 2e6).fault(), Some(SpreadFault::TooLong(2e6)));
        assert!(matches!(spread(3.0, 2.0, 4.0).fault(), Some(SpreadFault::OutOfOrder(_))));
        assert_eq!(Spread::exactly(3.0).fault(), None);
    }
}
