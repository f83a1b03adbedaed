//! Uncertainties against published examples, decisions against the rule's own words.

use proptest::prelude::*;

use super::{Decided, Limits, Uncertainty};

fn close(value: f64, expected: f64, within: f64) {
    assert!((value - expected).abs() <= within, "{value} is not {expected} ± {within}");
}

/// JCGM 100:2008 4.3.7, example 2: a digital voltmeter, 14·10⁻⁶ of the reading and 2·10⁻⁶ of its 1 V
/// range, at 0.928 571 V: half width 15 µV, standard uncertainty 8.7 µV (figures as remembered;
/// arithmetic by hand: 14e-6 x 0.928571 + 2e-6 = 15.0e-6, / √3 = 8.66e-6).
#[test]
fn gum_4_3_7_example_2_voltmeter() {
    let of = Uncertainty::of_instrument(0.928_571, 14e-6, 2e-6);
    close(of.standard, 8.7e-6, 0.05e-6);
}

/// JCGM 100:2008 4.3.7, example 1: ± 0.40·10⁻⁶ /°C gives u² = 53.3·10⁻¹⁵, u = 0.23·10⁻⁶ (as remembered).
#[test]
fn gum_4_3_7_example_1_expansion() {
    let of = Uncertainty::of_half_widths(&[0.40e-6]);
    close(of.standard.powi(2), 53.3e-15, 0.05e-15);
    close(of.standard, 0.23e-6, 0.005e-6);
}

/// EA-4/02 M:2022, S9: a hand-held meter at 100 V, resolution 0.1 V (± 0.05 V: 0.029 V), calibrator
/// ± 0.011 V (0.0064 V): combined 0.030 V; the rectangle dominates, k = 1.65, U = 0.05 V (as remembered).
#[test]
fn ea_4_02_s9_rectangle_dominates() {
    let of = Uncertainty::of_half_widths(&[0.05, 0.011]);
    close(of.standard, 0.030, 0.0005);
    close(of.expanded, 0.05, 0.002);
}

/// By hand: 12.34 V on ± (0.5 % + 2 counts of 0.01 V) is 0.0617 + 0.02 = 0.0817 V, / √3 = 0.0472 V.
#[test]
fn a_hand_held_meter_by_hand() {
    close(Uncertainty::of_instrument(12.34, 0.005, 0.02).standard, 0.0472, 0.0001);
}

#[test]
fn the_guard_band_decides_nothing() {
    let limits = Limits { low: Some(10.0), high: Some(12.0) };
    let guard = Uncertainty { standard: 0.05, expanded: 0.1 };
    let cases = [
        (11.0, Decided::Pass),
        (10.1, Decided::Pass),
        (11.9, Decided::Pass),
        (10.05, Decided::Repeat),
        (12.0, Decided::Repeat),
        (12.09, Decided::Repeat),
        (12.1, Decided::Fail),
        (9.9, Decided::Fail),
        (9.95, Decided::Repeat),
        (f64::NAN, Decided::Repeat),
    ];
    for (reading, decided) in cases {
        assert_eq!(limits.decide(reading, guard), decided, "{reading}");
    }
    assert!(!limits.can_pass(Uncertainty { standard: 1.0, expanded: 2.0 }));
}

#[test]
fn without_uncertainty_a_limit_is_a_limit() {
    let exact = Uncertainty { standard: 0.0, expanded: 0.0 };
    let at_most = Limits { low: None, high: Some(0.1) };
    assert_eq!(at_most.decide(0.1, exact), Decided::Pass);
    assert_eq!(at_most.decide(0.1001, exact), Decided::Fail);
}

proptest! {
    /// Whatever the true value is, within the expanded uncertainty of the reading: a pass lies inside
    /// the limits and a fail outside. The rule of guarded acceptance in its own words.
    #[test]
    fn a_decision_holds_for_every_true_value(
        low in -20.0..20.0f64, width in 0.0..20.0f64, reading in -50.0..50.0f64,
        guard in 0.0..3.0f64, share in -1.0..1.0f64,
    ) {
        let (high, truth) = (low + width, reading + share * guard);
        let limits = Limits { low: Some(low), high: Some(high) };
        let uncertainty = Uncertainty { standard: guard / 2.0, expanded: guard };
        let room = 1e-9;
        match limits.decide(reading, uncertainty) {
            Decided::Pass => prop_assert!(truth >= low - room && truth <= high + room),
            Decided::Fail => prop_assert!(truth <= low + room || truth >= high - room),
            Decided::Repeat => {}
        }
    }
}
