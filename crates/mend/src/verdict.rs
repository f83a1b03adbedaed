//! Pass, fail or read again: a reading held against limits, with the accuracy of the instrument.
//!
//! The guard band is the expanded uncertainty of the reading: what lies so near a limit that the true
//! value may be on the other side decides nothing (ILAC-G8:09/2019 4.2.2, JCGM 106:2012 8.3.2; the
//! editions are from memory, nothing of them was read here).

/// Coverage of a rectangle at 95 %: `0.95 √3` (JCGM 100:2008 4.3.7: a rectangle of half width a has
/// u = a/√3, and 95 % of it lies within 0.95 a).
const RECTANGLE_95: f64 = 1.645_448_267_190_43;

/// Coverage of a normal distribution at 95 %, as usual (JCGM 100:2008 G.6.6).
const NORMAL_95: f64 = 2.0;

/// The largest part of one contribution in the whole for which the sum still counts as normal: below
/// it no other contribution is small beside this one (EA-4/02 S9.14 uses the rectangle where one
/// dominates; the figure is an own choice).
const DOMINATES: f64 = 0.95;

/// How far a reading may be off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Uncertainty {
    /// Standard uncertainty, in the unit of the reading.
    pub standard: f64,
    /// Expanded for 95 %.
    pub expanded: f64,
}

impl Uncertainty {
    /// From half widths of accuracy limits, each a rectangle when nothing more is said.
    ///
    /// `u = √(Σ aᵢ²/3)`; `U = k u` with `k = 0.95 √3` where one of them dominates, else 2. Symbols: `aᵢ`
    /// half widths, `u` standard and `U` expanded uncertainty, all in the unit of the reading. Source:
    /// JCGM 100:2008 4.3.7, 5.1.2; EA-4/02 S9 (both from memory). Valid for half widths of zero or
    /// more; others count as zero. Checked by `tests::verdict`.
    pub fn of_half_widths(half_widths: &[f64]) -> Uncertainty {
        let of = |a: &f64| a.max(0.0) / 3.0_f64.sqrt();
        let standard = half_widths.iter().map(|a| of(a).powi(2)).sum::<f64>().sqrt();
        let largest = half_widths.iter().map(of).fold(0.0, f64::max);
        let factor = if largest >= DOMINATES * standard { RECTANGLE_95 } else { NORMAL_95 };
        Uncertainty { standard, expanded: factor * standard }
    }

    /// Of an instrument that shows `value`: `gain` of it and `zero` beside, added up as one rectangle,
    /// since makers give one limit of error.
    pub fn of_instrument(value: f64, gain: f64, zero: f64) -> Uncertainty {
        Uncertainty::of_half_widths(&[gain * value.abs() + zero])
    }
}

/// What a reading has to lie between; a side without a figure is open.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Limits {
    /// Not below.
    pub low: Option<f64>,
    /// Not above.
    pub high: Option<f64>,
}

/// What a reading decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Decided {
    /// Within the limits, the guard bands taken off.
    Pass,
    /// Outside by more than the guard band.
    Fail,
    /// In a guard band: read again, or with a better instrument.
    Repeat,
}

impl Limits {
    /// Holds a reading against the limits: pass within them less the guard band, fail outside them by
    /// more than it, else nothing is decided. Exactly on a guard band passes or fails.
    ///
    /// Pass: `L + U <= r <= H - U`; fail: `r <= L - U` or `r >= H + U` with `U` above zero, else outside.
    /// Symbols in the unit of the reading. Source: see the head of this file. No number at all decides
    /// nothing. Checked by `tests::verdict`.
    pub fn decide(&self, reading: f64, uncertainty: Uncertainty) -> Decided {
        let guard = uncertainty.expanded;
        if !reading.is_finite() || !guard.is_finite() {
            return Decided::Repeat;
        }
        let slack = f64::EPSILON * 8.0 * (reading.abs() + guard);
        let inside = self.low.is_none_or(|low| reading >= low + guard - slack)
            && self.high.is_none_or(|high| reading <= high - guard + slack);
        let outside = self.low.is_some_and(|low| reading <= low - guard + slack && reading < low)
            || self.high.is_some_and(|high| reading >= high + guard - slack && reading > high);
        match (inside, outside) {
            (true, _) => Decided::Pass,
            (false, true) => Decided::Fail,
            (false, false) => Decided::Repeat,
        }
    }

    /// Whether an instrument is good enough to pass anything between these limits.
    pub fn can_pass(&self, uncertainty: Uncertainty) -> bool {
        match (self.low, self.high) {
            (Some(low), Some(high)) => high - low >= 2.0 * uncertainty.expanded,
            _ => true,
        }
    }
}

#[cfg(test)]
#[path = "verdict_tests.rs"]
mod tests;
