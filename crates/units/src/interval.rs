//! A value known only to lie between two ends. Knows nothing of likelihood inside the interval,
//! and treats two intervals as independent.

/// Two finite ends, `low <= high`, ends included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    low: f64,
    high: f64,
}

impl Interval {
    /// The interval between two ends; none if an end is not finite or the ends are crossed.
    #[must_use]
    pub fn new(low: f64, high: f64) -> Option<Self> {
        (low.is_finite() && high.is_finite() && low <= high).then_some(Self { low, high })
    }

    /// The interval that holds one value only; none if the value is not finite.
    #[must_use]
    pub fn exact(value: f64) -> Option<Self> {
        Self::new(value, value)
    }

    /// `value` plus or minus `by`; none if `by` is negative or anything is not finite.
    #[must_use]
    pub fn plus_minus(value: f64, by: f64) -> Option<Self> {
        Self::new(value - by, value + by)
    }

    /// The lower end.
    #[must_use]
    pub const fn low(self) -> f64 {
        self.low
    }

    /// The upper end.
    #[must_use]
    pub const fn high(self) -> f64 {
        self.high
    }

    /// The distance between the ends.
    #[must_use]
    pub const fn width(self) -> f64 {
        self.high - self.low
    }

    /// Whether the value lies between the ends or on one. Not-a-number does not.
    #[must_use]
    pub fn contains(self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }

    /// Whether the two intervals share a value.
    #[must_use]
    pub fn overlaps(self, other: Self) -> bool {
        self.low <= other.high && other.low <= self.high
    }

    /// Every sum of a value of one and a value of the other; none on overflow.
    #[must_use]
    pub fn plus(self, other: Self) -> Option<Self> {
        Self::new(self.low + other.low, self.high + other.high)
    }

    /// Every value times `factor`; a negative factor swaps the ends. None if the factor is not
    /// finite or the product overflows.
    #[must_use]
    pub fn scale(self, factor: f64) -> Option<Self> {
        let (a, b) = (self.low * factor, self.high * factor);
        if factor < 0.0 { Self::new(b, a) } else { Self::new(a, b) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Expected values by hand; interval arithmetic as in IEEE 1788-2015 (from memory).

    #[test]
    fn ends_add_to_ends() {
        let sum = Interval::new(1.0, 2.0).unwrap().plus(Interval::new(-3.0, 5.0).unwrap());
        assert_eq!(sum, Interval::new(-2.0, 7.0));
    }

    #[test]
    fn a_negative_factor_swaps_the_ends() {
        assert_eq!(Interval::new(1.0, 2.0).unwrap().scale(-2.0), Interval::new(-4.0, -2.0));
    }

    #[test]
    fn ends_belong_to_the_interval_and_not_a_number_does_not() {
        let interval = Interval::plus_minus(12.8, 0.2).unwrap();
        assert!(interval.contains(interval.low()) && interval.contains(interval.high()));
        assert!(!interval.contains(f64::NAN) && !interval.contains(13.1));
        assert!(interval.overlaps(Interval::exact(13.0).unwrap()));
        assert!(!interval.overlaps(Interval::exact(14.0).unwrap()));
        assert!((interval.width() - 0.4).abs() < 1e-12);
    }

    #[test]
    fn crossed_or_endless_intervals_do_not_exist() {
        assert_eq!(Interval::new(2.0, 1.0), None);
        assert_eq!(Interval::new(f64::NAN, 1.0), None);
        assert_eq!(Interval::plus_minus(1.0, -0.1), None);
        assert_eq!(Interval::new(0.0, f64::MAX).unwrap().scale(2.0), None);
        assert_eq!(Interval::exact(1.0).unwrap().scale(f64::INFINITY), None);
    }
}
