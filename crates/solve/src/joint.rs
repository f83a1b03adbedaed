//! How hot a joint gets when its wires carry the heat away.

/// Convection and radiation together, W/(m² K), and conductivity of copper, W/(m K).
const FILM_W_PER_M2K: f64 = 12.0;
const COPPER_W_PER_MK: f64 = 390.0;

/// Rise of a joint above its surroundings, K.
///
/// Both wires act as endless fins: `dT = P / (2 sqrt(h pi D k A))`. Symbols: `P` heat of the joint
/// \[W\], `A` conductor area \[m²\], `D` outside diameter of the cable \[m\], `h` film coefficient
/// 12 W/(m² K) (estimate), `k` 390 W/(m K). Source: the textbook fin of constant cross-section;
/// `h` common practice. Valid: still air, cables longer than some 0.3 m. Outside the range of
/// finite positive sizes: `None`. Checked by: `tests::joint_rise_matches_worked_figures`.
pub fn rise_k(heat_w: f64, area_m2: f64, outside_m: f64) -> Option<f64> {
    let sane = heat_w.is_finite() && heat_w >= 0.0 && area_m2 > 0.0 && outside_m > 0.0;
    if !sane {
        return None;
    }
    let fin = FILM_W_PER_M2K * std::f64::consts::PI * outside_m * COPPER_W_PER_MK * area_m2;
    Some(heat_w / (2.0 * fin.sqrt()))
}

#[cfg(test)]
mod tests {
    /// Worked by hand from the equation: 35 mm², outside 11.6 mm, 10 W gives
    /// sqrt(12 pi 0.0116 390 35e-6) = 0.07726, so 64.7 K; a hundredth of the heat a hundredth of
    /// the rise.
    #[test]
    fn joint_rise_matches_worked_figures() {
        let rise = super::rise_k(10.0, 35e-6, 0.0116).unwrap();
        assert!((rise - 64.7).abs() < 0.1, "{rise}");
        let less = super::rise_k(0.1, 35e-6, 0.0116).unwrap();
        assert!((less * 100.0 - rise).abs() < 1e-9);
    }

    #[test]
    fn a_joint_of_unknown_size_gets_no_figure() {
        assert!(super::rise_k(10.0, 0.0, 0.01).is_none());
        assert!(super::rise_k(f64::NAN, 35e-6, 0.01).is_none());
    }
}
