//! What a reading says: an instrument shows the true value within its accuracy, and the true value
//! lies around what a suspect predicts.

/// How far an instrument may be off: `gain_share * |shown| + offset`, in the unit of the reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Accuracy {
    /// Share of what it shows (0.005: half a per cent).
    pub gain_share: f64,
    /// What does not depend on what it shows: counts of the last digit, zero error.
    pub offset: f64,
}

impl Accuracy {
    /// Half width of the band in which the true value lies, in the unit of the reading.
    ///
    /// Taken as one rectangle, both parts added: GUM (JCGM 100:2008) 4.3.7 (from memory).
    pub fn half_width(self, shown: f64) -> f64 {
        self.gain_share * shown.abs() + self.offset
    }

    /// Standard uncertainty, `a / sqrt(3)`, in the unit of the reading.
    ///
    /// Rectangular distribution, GUM (JCGM 100:2008) 4.3.7 (from memory; checked in `tests`).
    pub fn standard_uncertainty(self, shown: f64) -> f64 {
        self.half_width(shown) / 3.0_f64.sqrt()
    }
}

/// How likely a reading is, per unit of the reading, when the true value is expected at `expected`
/// with standard deviation `spread` and the instrument shows it within `half_width` either way:
///
/// `L = [Phi((r - mu + a)/sigma) - Phi((r - mu - a)/sigma)] / (2 a)`
///
/// a rectangle with Gaussian edges (convolution of the two). `spread = 0`: the rectangle alone;
/// `half_width = 0`: the Gaussian alone. Both zero: a reading that hits is certain, which has no
/// density; the caller must give an instrument some width, and zero is returned for a miss,
/// infinity for a hit. Checked against numeric convolution in `tests`.
pub fn likelihood_per_unit(shown: f64, expected: f64, spread: f64, half_width: f64) -> f64 {
    let miss = (shown - expected).abs();
    if spread <= 0.0 {
        return match (miss <= half_width, half_width > 0.0) {
            (false, _) => 0.0,
            (true, true) => 1.0 / (2.0 * half_width),
            (true, false) => f64::INFINITY,
        };
    }
    // Below a hundredth of the spread the rectangle is narrower than rounding of the difference.
    if half_width < 1e-6 * spread {
        let z = miss / spread;
        return (-0.5 * z * z).exp() / (spread * (2.0 * std::f64::consts::PI).sqrt());
    }
    let (near, far) = ((miss - half_width) / spread, (miss + half_width) / spread);
    (upper_tail(near) - upper_tail(far)).max(0.0) / (2.0 * half_width)
}

/// `1 - Phi(z)`, exact in the tail.
fn upper_tail(z: f64) -> f64 {
    0.5 * libm::erfc(z / std::f64::consts::SQRT_2)
}
