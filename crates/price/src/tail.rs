//! The lognormal shape of repair times.

/// Deviate that eight of ten cases do not exceed (standard normal tables: 0.8416).
const Z80: f64 = 0.841_621_2;

/// A lognormal time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lognormal {
    /// Median.
    pub median: f64,
    /// Standard deviation of the natural logarithm.
    pub s: f64,
}

impl Lognormal {
    /// The lognormal of a mean and a standard deviation, both in the same unit.
    ///
    /// `s² = ln(1 + sd²/mean²)`, `median = mean/exp(s²/2)`. Source: moments of the lognormal distribution;
    /// the second as in MIL-HDBK-338B, maintainability (form seen). Range: mean above 0, else all zero.
    /// Checked in `a_mean_of_30_minutes_has_a_median_of_26`.
    pub fn of(mean: f64, sd: f64) -> Lognormal {
        if mean <= 0.0 {
            return Lognormal { median: 0.0, s: 0.0 };
        }
        let s2 = (sd / mean).powi(2).ln_1p();
        Lognormal { median: mean / (s2 / 2.0).exp(), s: s2.sqrt() }
    }

    /// The lognormal of a mean and a standard deviation of the logarithm.
    pub fn of_log(mean: f64, s: f64) -> Lognormal {
        Lognormal { median: mean / (s * s / 2.0).exp(), s }
    }

    /// What is not exceeded at a deviate of the standard normal: `median exp(z s)`.
    pub fn at(self, z: f64) -> f64 {
        self.median * (z * self.s).exp()
    }

    /// What is not exceeded in eight of ten cases.
    pub fn p80(self) -> f64 {
        self.at(Z80)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// MIL-HDBK-338B form, worked: mean 30, s 0.5: median 26.47; 90 % (z 1.2816) 50.25, 95 % (z 1.6449)
    /// 60.26.
    #[test]
    fn a_mean_of_30_minutes_has_a_median_of_26() {
        let time = Lognormal::of_log(30.0, 0.5);
        assert!((time.median - 26.47).abs() < 0.01);
        assert!((time.at(1.2816) - 50.25).abs() < 0.01);
        assert!((time.at(1.6449) - 60.26).abs() < 0.02);
        // The same from mean and standard deviation: sd = mean √(exp(s²) - 1) = 30 x 0.53294 = 15.988.
        let same = Lognormal::of(30.0, 15.988_2);
        assert!((same.s - 0.5).abs() < 1e-4 && (same.median - time.median).abs() < 0.01);
        assert!((Lognormal::of(0.0, 1.0).p80()).abs() < f64::EPSILON);
    }
}
