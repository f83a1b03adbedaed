//! American wire gauge: from a gauge number to diameter and area and back. A gauge here is a solid
//! round wire; what a stranded cable of that gauge resists is in `copper`. Knows no current limit.

use core::fmt;

use crate::quantity::{Metre, SquareMillimetre};

/// Millimetres in an inch (exact, international yard and pound agreement, 1959).
const MM_PER_INCH: f64 = 25.4;
/// Diameter of 36 AWG, mm (0.005 in, ASTM B258; law quoted in handbooks, the document not seen).
const DIAMETER_36_MM: f64 = 0.005 * MM_PER_INCH;
/// Slack when an area is compared with a gauge's own area: rounding of the computation only.
const AREA_SLACK: f64 = 1e-9;

/// A wire gauge from 4/0 to 40.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Gauge {
    number: i8,
}

impl Gauge {
    /// The thickest gauge, 4/0.
    pub const THICKEST: Self = Self { number: -3 };
    /// The thinnest gauge known here, 40.
    pub const THINNEST: Self = Self { number: 40 };

    /// The gauge of a number: 40 to 1, then 0, -1, -2, -3 for 1/0, 2/0, 3/0, 4/0. None outside.
    #[must_use]
    pub fn new(number: i8) -> Option<Self> {
        (Self::THICKEST.number..=Self::THINNEST.number).contains(&number).then_some(Self { number })
    }

    /// The gauge written with `count` zeros, 1/0 to 4/0. None outside.
    #[must_use]
    pub fn aught(count: u8) -> Option<Self> {
        i8::try_from(count)
            .ok()
            .filter(|zeros| (1..=4).contains(zeros))
            .and_then(|zeros| Self::new(1 - zeros))
    }

    /// The gauge number, with 0 to -3 for 1/0 to 4/0.
    #[must_use]
    pub const fn number(self) -> i8 {
        self.number
    }

    /// Every gauge from the thickest to the thinnest.
    pub fn all() -> impl Iterator<Item = Self> {
        (Self::THICKEST.number..=Self::THINNEST.number).map(|number| Self { number })
    }

    /// Diameter of the solid wire.
    ///
    /// Symbols: `d` diameter, in; `n` gauge number. Equation: `d = 0.005 x 92^((36 - n)/39)`.
    /// Source: ASTM B258 (law from handbooks, document not seen). Valid for 4/0 (n = -3) to 40,
    /// which the type guarantees. Checked against Kuphaldt's gauge table.
    #[must_use]
    pub fn diameter(self) -> Metre {
        Metre::new(self.diameter_mm() / 1000.0)
    }

    /// Area of the solid wire: `A = pi d^2 / 4`, with `d` from [`Gauge::diameter`].
    #[must_use]
    pub fn area(self) -> SquareMillimetre {
        let d_mm = self.diameter_mm();
        SquareMillimetre::new(core::f64::consts::FRAC_PI_4 * d_mm * d_mm)
    }

    /// The thickest gauge whose area is not above `area`; none below 40 AWG or for no number.
    /// An area above 4/0 gives 4/0.
    #[must_use]
    pub fn at_or_below(area: SquareMillimetre) -> Option<Self> {
        let limit_mm2 = area.square_millimetres() * (1.0 + AREA_SLACK);
        Self::all().find(|gauge| gauge.area().square_millimetres() <= limit_mm2)
    }

    /// The gauge whose area is nearest in ratio, and `its area / area - 1`; none for an area that
    /// is not positive and finite.
    #[must_use]
    pub fn nearest(area: SquareMillimetre) -> Option<(Self, f64)> {
        let area_mm2 = area.square_millimetres();
        if !(area_mm2.is_finite() && area_mm2 > 0.0) {
            return None;
        }
        let off = |gauge: &Self| gauge.area().square_millimetres() / area_mm2 - 1.0;
        let distance = |gauge: &Self| (1.0 + off(gauge)).ln().abs();
        Self::all()
            .min_by(|a, b| distance(a).total_cmp(&distance(b)))
            .map(|gauge| (gauge, off(&gauge)))
    }

    fn diameter_mm(self) -> f64 {
        DIAMETER_36_MM * 92_f64.powf((36.0 - f64::from(self.number)) / 39.0)
    }
}

/// As the trade writes it: `6 AWG`, `4/0 AWG`.
impl fmt::Display for Gauge {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.number > 0 {
            f.pad(&format!("{} AWG", self.number))
        } else {
            f.pad(&format!("{}/0 AWG", 1 - self.number))
        }
    }
}

#[cfg(test)]
mod tests;
