//! Warming against closed forms, an independent script and the adiabatic law.

use proptest::prelude::*;
use units::{Metre, SquareMillimetre};

use super::*;
use crate::adiabatic;
use crate::cable::Metal;

fn two_and_a_half() -> Cable {
    let metal = Metal {
        ohm_per_metre_20c: 7.6e-3,
        area: SquareMillimetre::new(2.5),
        diameter: Metre::new(2.2e-3),
    };
    Cable::new(metal, Metre::new(3.6e-3), 0.17, 0.9).unwrap()
}

fn c(degrees: f64) -> Celsius {
    Celsius::new(degrees)
}

/// Independent script: 2.5 mm², 2.2 mm over the strands, 3.6 mm outside: 20.742 J/(m K).
#[test]
fn heat_capacity_is_the_reference_value() {
    let capacity = two_and_a_half().heat_capacity_j_per_mk();
    assert!((capacity - 20.7421).abs() < 5e-4, "{capacity}");
}

/// Independent script (Python, explicit Euler of 0.05 s, scipy brentq for the surface): 2.5 mm² at
/// 60 A from 30 °C in air of 30 °C. Euler of 0.05 s is itself off by up to 0.05 K where the curve
/// bends most; the figures of the reference are printed to 0.1 K.
#[test]
fn warming_is_the_reference_series() {
    let cable = two_and_a_half();
    for (second, script_c) in
        [(10.0, 43.5), (30.0, 68.7), (60.0, 101.0), (120.0, 145.9), (300.0, 189.8)]
    {
        let ours = cable
            .temperature_after(Ampere::new(60.0), Second::new(second), c(30.0), c(30.0))
            .unwrap()
            .degrees();
        assert!((ours - script_c).abs() < 0.08, "{second} s: {ours}, script {script_c}");
    }
    let rest = cable.resting_temperature(Ampere::new(60.0), c(30.0)).unwrap().degrees();
    assert!((rest - 195.726).abs() < 0.005, "{rest}");
    let late = cable.temperature_after(Ampere::new(60.0), Second::new(3600.0), c(30.0), c(30.0));
    assert!((late.unwrap().degrees() - rest).abs() < 0.01);
}

/// With a loss proportional to the rise the equation has a closed form:
/// `dT/dt = p (1 + a (T - 20)) - q (T - Ta)` settles at `Te = (p (1 - 20 a) + q Ta)/(q - p a)` and
/// `T = Te + (T0 - Te) exp(-(q - p a) t)`.
#[test]
fn stepping_is_the_closed_form_in_the_linear_limit() {
    let (p, a, q, ambient_c, start_c) = (1.3, 0.00393, 0.017, 30.0, 12.0);
    let rate = |at: f64| p * (1.0 + a * (at - 20.0)) - q * (at - ambient_c);
    let speed = q - p * a;
    let end_c = (p * (1.0 - 20.0 * a) + q * ambient_c) / speed;
    for second in [0.0, 1.0, 10.0, 60.0, 600.0, 6000.0] {
        let closed = end_c + (start_c - end_c) * (-speed * second).exp();
        let ours = stepped(start_c, second, rate).unwrap();
        assert!((ours - closed).abs() < 1e-4, "{second} s: {ours} {closed}");
    }
}

/// The same law turned round: `t = ln((T0 - Te)/(T1 - Te))/(q - p a)`.
#[test]
fn time_to_a_temperature_is_the_closed_form_in_the_linear_limit() {
    let (p, a, q, ambient_c, start_c) = (1.3, 0.00393, 0.017, 30.0, 30.0);
    let rate = |at: f64| p * (1.0 + a * (at - 20.0)) - q * (at - ambient_c);
    let speed = q - p * a;
    let end_c = (p * (1.0 - 20.0 * a) + q * ambient_c) / speed;
    for to_c in [31.0, 60.0, 90.0, 120.0] {
        let closed = ((start_c - end_c) / (to_c - end_c)).ln() / speed;
        let ours = time_between(start_c, to_c, rate).unwrap();
        assert!((ours / closed - 1.0).abs() < 1e-6, "{to_c}: {ours} {closed}");
    }
    assert_eq!(time_between(start_c, end_c + 1.0, rate), None, "it never gets there");
}

/// At short-circuit currents hardly any heat is lost, so the time must come to the adiabatic law
/// `t = k² S² / I²` (IEC 60364-4-43), whose constants are published independently of ours. The
/// insulation is taken to nearly nothing, as the law counts only the copper. 7.6 mohm/m is the
/// largest resistance of a 2.5 mm² cable, 10.2 % above pure copper of that area (1/58 ohm mm²/m),
/// so the time is the law's divided by 1.102.
#[test]
fn a_short_circuit_is_adiabatic() {
    let metal = two_and_a_half().metal();
    let bare = Cable::new(metal, Metre::new(2.201e-3), 0.17, 0.9).unwrap();
    let current = Ampere::new(1000.0);
    let law = adiabatic::longest_time(metal.area, current, c(70.0), c(160.0)).unwrap().si() / 1.102;
    let ours = bare.time_to(c(160.0), current, c(70.0), c(30.0)).unwrap().unwrap().si();
    assert!((ours / law - 1.0).abs() < 0.01, "{ours} {law}");
}

#[test]
fn a_resting_temperature_below_the_mark_is_never_left() {
    let cable = two_and_a_half();
    let time = |end_c, ampere| cable.time_to(c(end_c), Ampere::new(ampere), c(30.0), c(30.0));
    assert_eq!(time(200.0, 60.0), Ok(None), "it rests at 195.7 C");
    assert!(time(190.0, 60.0).unwrap().unwrap().si() > 290.0);
    assert_eq!(time(300.0, 60.0), Err(NoFigure::HotterThan(Cable::HOTTEST)));
    assert_eq!(time(20.0, 60.0), Ok(Some(Second::new(0.0))), "it is warmer already");
}

#[test]
fn a_cold_wire_warms_in_warm_air() {
    let cable = two_and_a_half();
    let after = |second| {
        cable
            .temperature_after(Ampere::new(0.0), Second::new(second), c(-10.0), c(30.0))
            .unwrap()
            .degrees()
    };
    assert!(after(60.0) > -9.0 && after(60.0) < 30.0, "{}", after(60.0));
    assert!((after(7200.0) - 30.0).abs() < 0.1, "{}", after(7200.0));
}

#[test]
fn warming_out_of_range_gives_no_figure() {
    let cable = two_and_a_half();
    let after = |ampere, second| {
        cable.temperature_after(Ampere::new(ampere), Second::new(second), c(30.0), c(30.0))
    };
    assert_eq!(after(1e4, 1.0), Err(NoFigure::HotterThan(Cable::HOTTEST)));
    assert_eq!(after(1e9, 1e9), Err(NoFigure::HotterThan(Cable::HOTTEST)));
    assert_eq!(after(10.0, f64::NAN), Err(NoFigure::Impossible));
    assert_eq!(after(10.0, -1.0), Err(NoFigure::Impossible));
    assert_eq!(after(f64::INFINITY, 1.0), Err(NoFigure::Impossible));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    /// Time to a temperature and temperature after that time are two sums over one equation.
    #[test]
    fn time_and_temperature_turn_each_other_round(ampere in 65.0f64..900.0, end_c in 40.0f64..190.0) {
        let cable = two_and_a_half();
        let current = Ampere::new(ampere);
        let time = cable.time_to(c(end_c), current, c(30.0), c(30.0)).unwrap().unwrap();
        let back = cable.temperature_after(current, time, c(30.0), c(30.0)).unwrap();
        prop_assert!((back.degrees() - end_c).abs() < 1e-2, "{back:?}");
    }

    #[test]
    fn longer_is_hotter_until_it_rests(ampere in 1.0f64..60.0, second in 1.0f64..900.0) {
        let cable = two_and_a_half();
        let after = |second| cable.temperature_after(Ampere::new(ampere), Second::new(second), c(30.0), c(30.0)).unwrap();
        let rest = cable.resting_temperature(Ampere::new(ampere), c(30.0)).unwrap();
        prop_assert!(after(second).degrees() <= after(2.0 * second).degrees() + 1e-3);
        prop_assert!(after(2.0 * second).degrees() <= rest.degrees() + 1e-3);
    }
}
