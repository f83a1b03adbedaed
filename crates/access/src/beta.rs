//! The regularised incomplete beta function, for beta-shaped times.
//!
//! Deliberately does not know what is measured with it.

/// A beta distribution on 0 to 1 with shapes `a` and `b`, both 1 or more (all that three-point times
/// need).
pub(crate) struct Beta {
    a: f64,
    b: f64,
    /// `ln B(a, b)`.
    log_whole: f64,
}

impl Beta {
    pub(crate) fn new(a: f64, b: f64) -> Self {
        Self { a, b, log_whole: ln_gamma(a) + ln_gamma(b) - ln_gamma(a + b) }
    }

    /// `I_x(a, b)` and `I_x(a + 1, b)`, the regularised incomplete beta functions.
    ///
    /// The first by the continued fraction of DLMF 8.17.22 (NIST Digital Library of Mathematical
    /// Functions, 8.17(v)) on the side where it converges fast, and `I_x(a, b) = 1 - I_(1-x)(b, a)`
    /// (8.17.4) on the other; the second by the recurrence 8.17.20,
    /// `I_x(a + 1, b) = I_x(a, b) - x^a (1-x)^b / (a B(a, b))`. `x` outside 0 to 1 is taken to the
    /// nearer end. Checked in `incomplete_beta_meets_closed_forms`.
    pub(crate) fn incomplete(&self, x: f64) -> (f64, f64) {
        if x <= 0.0 {
            return (0.0, 0.0);
        }
        if x >= 1.0 {
            return (1.0, 1.0);
        }
        let (a, b) = (self.a, self.b);
        let front = (a * x.ln() + b * (-x).ln_1p() - self.log_whole).exp();
        let first = if x < (a + 1.0) / (a + b + 2.0) {
            front / (a * fraction(a, b, x))
        } else {
            1.0 - front / (b * fraction(b, a, 1.0 - x))
        };
        (first, first - front / a)
    }
}

/// The continued fraction `1 + d1/(1 + d2/(1 + ...))` by the modified Lentz method (Thompson and
/// Barnett 1986, from memory).
fn fraction(a: f64, b: f64, x: f64) -> f64 {
    const TINY: f64 = 1e-300;
    const TERMS: u32 = 300;
    let (mut value, mut c, mut d) = (1.0, 1.0, 0.0);
    for term in 1..=TERMS {
        let m = f64::from(term / 2);
        let numerator = if term % 2 == 0 {
            m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m))
        } else {
            -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0))
        };
        d = 1.0 + numerator * d;
        d = 1.0 / if d.abs() < TINY { TINY } else { d };
        c = 1.0 + numerator / c;
        if c.abs() < TINY {
            c = TINY;
        }
        value *= c * d;
        if (c * d - 1.0).abs() < 1e-15 {
            break;
        }
    }
    value
}

/// `ln Γ(x)` for `x >= 1`: Stirling's series (DLMF 5.11.1) at `x + 10`, brought down by
/// `Γ(x + 1) = x Γ(x)`. The first term left out is below 1e-12.
fn ln_gamma(x: f64) -> f64 {
    const HALF_LN_TWO_PI: f64 = 0.918_938_533_204_672_8;
    let shift: f64 = (0..10).map(|k| (x + f64::from(k)).ln()).sum();
    let z = x + 10.0;
    let z2 = z * z;
    let series = (1.0 / 12.0 - (1.0 / 360.0 - (1.0 / 1260.0 - 1.0 / (1680.0 * z2)) / z2) / z2) / z;
    (z - 0.5) * z.ln() - z + HALF_LN_TWO_PI + series - shift
}

#[cfg(test)]
mod tests {
    use super::*;

    /// DLMF 8.17.7 and elementary integrals: `I_x(1, b) = 1 - (1-x)^b`, `I_x(a, 1) = x^a`,
    /// `I_x(2, 2) = 3x² - 2x³`, and for whole a, b the binomial sum of DLMF 8.17.5.
    #[test]
    fn incomplete_beta_meets_closed_forms() {
        for step in 0..=50 {
            let x = f64::from(step) / 50.0;
            let near = |a: f64, b: f64, expected: f64| {
                let (value, _) = Beta::new(a, b).incomplete(x);
                assert!((value - expected).abs() < 1e-12, "I_{x}({a}, {b}) = {value}");
                if a > 1.5 {
                    let (_, raised) = Beta::new(a - 1.0, b).incomplete(x);
                    assert!((raised - expected).abs() < 1e-12, "I_{x}({a}, {b}) = {raised}");
                }
            };
            near(1.0, 5.0, 1.0 - (1.0 - x).powi(5));
            near(5.0, 1.0, x.powi(5));
            near(2.0, 2.0, 3.0 * x * x - 2.0 * x.powi(3));
            let binomial = |n: i32, k: i32| {
                (0..k).map(|i| f64::from(n - i) / f64::from(i + 1)).product::<f64>()
            };
            let sum: f64 =
                (3..=5).map(|j| binomial(5, j) * x.powi(j) * (1.0 - x).powi(5 - j)).sum();
            near(3.0, 3.0, sum);
        }
    }

    /// Γ(n) = (n-1)!, Γ(3/2) = √π/2 (DLMF 5.4.1, 5.4.6).
    #[test]
    fn gamma_meets_closed_forms() {
        for (x, gamma) in [(1.0, 1.0), (2.0, 1.0), (5.0, 24.0), (6.0, 120.0)] {
            assert!((ln_gamma(x) - f64::ln(gamma)).abs() < 1e-12);
        }
        let expected = (std::f64::consts::PI.sqrt() / 2.0).ln();
        assert!((ln_gamma(1.5) - expected).abs() < 1e-12);
    }
}
