//! Inch and pound units in which laws of fastenings are published, to and from newton and millimetre.
//! Knows no law.

/// Millimetres in an inch (exact, international yard and pound agreement, 1959).
const MM_PER_INCH: f64 = 25.4;
/// Newtons in a pound-force: 0.453 592 37 kg times standard gravity, both exact by definition.
const N_PER_LBF: f64 = 0.453_592_37 * crate::gravity::STANDARD_GRAVITY_M_PER_S2;

/// Inches as millimetres.
#[must_use]
pub fn mm_from_inch(inch: f64) -> f64 {
    inch * MM_PER_INCH
}

/// Millimetres as inches.
#[must_use]
pub fn inch_from_mm(mm: f64) -> f64 {
    mm / MM_PER_INCH
}

/// Pounds-force as newtons.
#[must_use]
pub fn n_from_lbf(lbf: f64) -> f64 {
    lbf * N_PER_LBF
}

/// Newtons as pounds-force.
#[must_use]
pub fn lbf_from_n(n: f64) -> f64 {
    n / N_PER_LBF
}

/// Pounds-force per square inch as newtons per square millimetre (MPa).
#[must_use]
pub fn mpa_from_psi(psi: f64) -> f64 {
    psi * N_PER_LBF / (MM_PER_INCH * MM_PER_INCH)
}

/// Pounds-force per inch as newtons per millimetre.
#[must_use]
pub fn n_per_mm_from_lbf_per_inch(lbf_per_inch: f64) -> f64 {
    lbf_per_inch * N_PER_LBF / MM_PER_INCH
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST SP 811 (2008), appendix B.8, from memory: 1 lbf = 4.448 222 N, 1 psi = 6.894 757 kPa,
    /// 1 lbf/in = 175.1268 N/m, 1 in = 2.54 cm.
    #[test]
    fn factors_are_those_of_the_table() {
        assert!((n_from_lbf(1.0) - 4.448_222).abs() < 1e-6);
        assert!((mpa_from_psi(1000.0) - 6.894_757).abs() < 1e-6);
        assert!((n_per_mm_from_lbf_per_inch(1000.0) - 175.126_8).abs() < 1e-4);
        assert!((mm_from_inch(10.0) - 254.0).abs() < 1e-12);
        assert!((inch_from_mm(mm_from_inch(0.19)) - 0.19).abs() < 1e-15);
        assert!((lbf_from_n(n_from_lbf(109.0)) - 109.0).abs() < 1e-12);
    }
}
