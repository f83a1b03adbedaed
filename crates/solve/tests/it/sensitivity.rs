//! Derivatives of readings against closed forms and against differences of full solves; spreads
//! against closed forms and worked figures.

use circuit::{BranchId, Circuit, Element, Guard, NodeId, Parameter, REFERENCE, Trip};
use solve::sensitivity::{Doubt, Method, NoSpread, Sampling, Sensitivities, spread};
use solve::{Options, Reading, operating_point};

use crate::support::{Named, assert_close, check_networks};
use crate::van::van;

const SAMPLING: Sampling = Sampling { draws: 4000, seed: 1 };

fn derivative(circuit: &Circuit, reading: Reading, branch: BranchId, parameter: Parameter) -> f64 {
    let positions: Vec<bool> = circuit.guards().iter().map(|g| g.starts_on).collect();
    let mut at = Sensitivities::at(circuit, &positions).unwrap();
    let all = at.of(reading).unwrap();
    all.iter().find(|(b, p, _)| (*b, *p) == (branch, parameter)).unwrap().2
}

#[test]
fn a_bridge_follows_its_arms_as_the_closed_form_says() {
    // U = E (R2/(R1 + R2) - R4/(R3 + R4)): dU/dR1 = -E R2/(R1 + R2)^2, dU/dR4 = -E R3/(R3 + R4)^2,
    // dU/dE = U/E.
    let net = Named::from_lines([
        "V e p 0 10",
        "R r1 p a 100",
        "R r2 a 0 150",
        "R r3 p b 120",
        "R r4 b 0 80",
    ]);
    let reading = Reading::Between(net.nodes["a"], net.nodes["b"]);
    let by = |name: &str, parameter| derivative(&net.circuit, reading, net.branch(name), parameter);
    let ohm = Parameter::Ohm;
    assert_close("R1", by("r1", ohm), -10.0 * 150.0 / 62_500.0, 1e-12, 0.0);
    assert_close("R2", by("r2", ohm), 10.0 * 100.0 / 62_500.0, 1e-12, 0.0);
    assert_close("R4", by("r4", ohm), -10.0 * 120.0 / 40_000.0, 1e-12, 0.0);
    assert_close("E", by("e", Parameter::Volt), 0.6 - 0.4, 1e-12, 0.0);
}

#[test]
fn the_current_of_a_loop_follows_source_and_resistance() {
    // I = E/(R + r): dI/dE = 1/(R + r), dI/dR = -E/(R + r)^2, for the current of either part.
    let net = Named::from_lines(["V e p 0 12", "R small p q 1e-7", "R big q 0 3"]);
    let sum = 3.0 + 1e-7;
    for (name, sign) in [("big", 1.0), ("small", 1.0), ("e", -1.0)] {
        let reading = Reading::Current(net.branch(name));
        let by = |of: &str, p| sign * derivative(&net.circuit, reading, net.branch(of), p);
        assert_close(name, by("e", Parameter::Volt), 1.0 / sum, 1e-9, 0.0);
        assert_close(name, by("big", Parameter::Ohm), -12.0 / (sum * sum), 1e-9, 0.0);
        assert_close(name, by("small", Parameter::Ohm), -12.0 / (sum * sum), 1e-9, 0.0);
    }
}

#[test]
fn a_load_of_constant_power_follows_its_wire_as_the_quadratic_says() {
    // v = (E + s)/2, s = sqrt(E^2 - 4 R P): dv/dR = -P/s, dv/dP = -R/s.
    let net = Named::from_lines(["V b p 0 12.8", "R w p x 0.05", "CPL inv x 0 600 2"]);
    let root = (12.8_f64 * 12.8 - 4.0 * 0.05 * 600.0).sqrt();
    let reading = Reading::Between(net.nodes["x"], REFERENCE);
    let by = |name: &str, p| derivative(&net.circuit, reading, net.branch(name), p);
    assert_close("R", by("w", Parameter::Ohm), -600.0 / root, 1e-9, 0.0);
    assert_close("P", by("inv", Parameter::Watt), -0.05 / root, 1e-9, 0.0);
    assert_close("cut-out", by("inv", Parameter::CutOutVolt), 0.0, 0.0, 1e-15);
}

/// Difference of full solves over a small step to both sides; `None` if either has no answer, or
/// the two sides differ in what is off.
fn difference(
    circuit: &Circuit,
    reading: Reading,
    branch: BranchId,
    parameter: Parameter,
) -> Option<(f64, f64)> {
    let value = circuit.branch(branch).element.value(parameter)?;
    let step = 1e-5 * value.abs().max(1e-6);
    let side = |to: f64| {
        let mut changed = circuit.clone();
        changed.branch_mut(branch).element.set_value(parameter, to)?;
        let point = operating_point(&changed, &Options::default()).ok()?;
        Some((point.read(reading)?, point.cut_out.clone(), point.collapsed.clone()))
    };
    let (above, below) = (side(value + step)?, side(value - step)?);
    let half = side(value + 0.5 * step)?;
    let wide = (above.0 - below.0) / (2.0 * step);
    // One-sided differences that disagree tell an edge, where there is no derivative.
    let centre = side(value)?;
    let (right, left) = ((above.0 - centre.0) / step, (centre.0 - below.0) / step);
    let bends = (right - left).abs()
        > 1e-2 * wide.abs() + 1e-6 * (centre.0.abs() + 1.0) / value.abs().max(1e-6);
    let same = above.1 == below.1 && above.2 == below.2 && half.1 == above.1;
    // Rounding of the readings over the step.
    let noise = 1e-9 * (1.0 + centre.0.abs()) / step;
    (same && !bends).then_some((wide, noise))
}

#[track_caller]
fn check_all(what: &str, circuit: &Circuit, reading: Reading, stride: usize) -> usize {
    let positions: Vec<bool> = circuit.guards().iter().map(|g| g.starts_on).collect();
    let mut at = Sensitivities::at(circuit, &positions).unwrap();
    let Some(all) = at.of(reading) else { return 0 };
    let mut compared = 0;
    for (branch, parameter, ours) in all.into_iter().step_by(stride) {
        let Some((theirs, noise)) = difference(circuit, reading, branch, parameter) else {
            continue;
        };
        let name = &circuit.branch(branch).name;
        let what = format!("{what}: d{reading:?}/d {name} {parameter:?}");
        assert_close(&what, ours, theirs, 1e-4, noise);
        compared += 1;
    }
    compared
}

#[test]
fn derivatives_on_the_check_networks_equal_differences_of_full_solves() {
    let mut compared = 0;
    for network in check_networks() {
        let circuit = &network.named.circuit;
        let last = NodeId(circuit.node_count() as u32 - 1);
        let middle = BranchId(circuit.branch_count() as u32 / 2);
        for reading in [Reading::Between(last, NodeId(1)), Reading::Current(middle)] {
            compared += check_all(&network.name, circuit, reading, 1);
        }
    }
    assert!(compared > 500, "{compared}");
}

#[test]
fn derivatives_on_vans_equal_differences_of_full_solves() {
    let mut compared = 0;
    for seed in 0..12 {
        let circuit = van(6, seed);
        for (id, branch) in circuit.branches() {
            let is_told = matches!(
                branch.element,
                Element::Converter { .. } | Element::SolarModule { .. } | Element::Battery { .. }
            );
            if is_told {
                let what = format!("van {seed}");
                compared += check_all(&what, &circuit, Reading::Current(id), 3);
            }
        }
        let bars = Reading::Between(NodeId(5), NodeId(6));
        compared += check_all(&format!("van {seed}"), &circuit, bars, 2);
    }
    assert!(compared > 800, "{compared}");
}

#[test]
fn a_drop_between_two_readings_spreads_as_the_guide_says() {
    // Two voltages 13.21 V and 12.74 V, each read to 0.5 % and 2 digits of 10 mV, rectangular:
    // half-widths 0.08605 and 0.08370 V; U = 2 sqrt((a1^2 + a2^2)/3) = 0.1386 V (JCGM 100:2008,
    // 4.3.7 and 5.1.2, worked by hand).
    let net = Named::from_lines(["V first p 0 13.21", "V second q 0 12.74"]);
    let doubt = |name: &str, half_width: f64| Doubt {
        branch: net.branch(name),
        parameter: Parameter::Volt,
        standard: half_width / 3.0_f64.sqrt(),
    };
    let doubts = [doubt("first", 0.086_05), doubt("second", 0.083_70)];
    let reading = Reading::Between(net.nodes["p"], net.nodes["q"]);
    let found = spread(&net.circuit, reading, &doubts, SAMPLING).unwrap();
    assert_eq!(found.method, Method::FirstOrder);
    assert_close("drop", found.value, 0.47, 1e-12, 0.0);
    assert_close("U", 2.0 * found.standard, 0.138_612, 1e-4, 0.0);
}

/// A relay that joins a second battery's load while a stud is above a threshold.
fn relay(open_v: f64) -> (Circuit, NodeId, BranchId) {
    let mut circuit = Circuit::new("0");
    let stud = circuit.add_node("stud");
    let source =
        circuit.add("source", Element::Voltage { plus: stud, minus: REFERENCE, volt: open_v });
    let lamp = circuit.add_node("lamp");
    let trip = Trip::LowVoltage { off_below_v: 12.8, on_from_v: 13.3 };
    let name = "relay".to_owned();
    let guard = circuit.add_guard(Guard {
        name,
        sense: circuit::Sense::Between(stud, REFERENCE),
        trip,
        starts_on: true,
    });
    circuit.add_while("contact", Element::Resistor { a: stud, b: lamp, ohm: 0.01 }, Some(guard));
    circuit.add("load", Element::Resistor { a: lamp, b: REFERENCE, ohm: 10.0 });
    (circuit, lamp, source)
}

#[test]
fn where_a_relay_may_drop_out_draws_tell_and_it_is_said() {
    // The stud stands at 12.9 V, give or take 0.1 V, the relay drops out below 12.8 V: one standard
    // deviation, so of all draws the normal distribution puts 15.87 % below (tables). With the
    // relay out, the load is off.
    let (circuit, lamp, source) = relay(12.9);
    let doubts = [Doubt { branch: source, parameter: Parameter::Volt, standard: 0.1 }];
    let reading = Reading::Between(lamp, REFERENCE);
    let found = spread(&circuit, reading, &doubts, SAMPLING).unwrap();
    let Method::Sampled { near, draws, flipped, lost } = &found.method else {
        panic!("{:?}", found.method)
    };
    assert_eq!((near.as_slice(), *draws, *lost), (["relay".to_owned()].as_slice(), 4000, 0));
    let part = *flipped as f64 / 4000.0;
    // Three standard deviations of a count: 3 sqrt(0.1587 0.8413/4000) = 0.0173.
    assert_close("part", part, 0.1587, 0.0, 0.0173);
    assert_close("middle", found.middle.0, 0.0, 0.0, 1e-12);
    // Mixture: 0 with 15.87 %, else a normal cut off below one deviation: its mean is
    // (12.9 + 0.1 phi(1)/Phi(1)) 10/10.01 with phi(1)/Phi(1) = 0.28760 (tables).
    let mean = 0.8413 * (12.9 + 0.1 * 0.287_60) / 1.001;
    assert_close("mean", found.mean, mean, 0.0, 3.0 * found.standard / 4000.0_f64.sqrt());
}

#[test]
fn far_from_its_threshold_a_straight_line_does() {
    let (circuit, lamp, source) = relay(14.0);
    let doubts = [Doubt { branch: source, parameter: Parameter::Volt, standard: 0.1 }];
    let found = spread(&circuit, Reading::Between(lamp, REFERENCE), &doubts, SAMPLING).unwrap();
    assert_eq!(found.method, Method::FirstOrder);
    assert_close("standard", found.standard, 0.1 / 1.001, 1e-9, 0.0);
}

#[test]
fn draws_and_the_straight_line_agree_where_both_hold() {
    // A load of constant power whose cut-out is just near enough to ask for draws.
    let net = Named::from_lines(["V b p 0 12.8", "R w p x 0.05", "CPL inv x 0 300 11.2"]);
    let doubts = [Doubt { branch: net.branch("w"), parameter: Parameter::Ohm, standard: 0.004 }];
    let reading = Reading::Between(net.nodes["x"], REFERENCE);
    let found = spread(&net.circuit, reading, &doubts, SAMPLING).unwrap();
    assert!(matches!(found.method, Method::Sampled { flipped, .. } if flipped < 100));
    assert_close("standard", found.standard, found.shares[0].abs(), 0.1, 0.0);
}

#[test]
fn a_reading_that_is_none_has_no_spread() {
    let net = Named::from_lines(["V b p 0 12", "R r p 0 1", "R isl u v 1"]);
    let doubt = Doubt { branch: net.branch("r"), parameter: Parameter::Ohm, standard: 0.1 };
    let ask = |reading, doubt| spread(&net.circuit, reading, &[doubt], SAMPLING);
    let floating = ask(Reading::Between(net.nodes["u"], REFERENCE), doubt);
    assert_eq!(floating, Err(NoSpread::Floating));
    let bad = Doubt { parameter: Parameter::Watt, ..doubt };
    let reading = Reading::Between(net.nodes["p"], REFERENCE);
    assert!(matches!(ask(reading, bad), Err(NoSpread::BadDoubt { .. })));
}
