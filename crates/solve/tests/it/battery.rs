//! A battery that takes charge by another resistance than it delivers: closed forms worked out
//! beside each test, the simulator ngspice, and the plain source behind a resistor it becomes when
//! both resistances are one.

use circuit::{Element, REFERENCE, deck_node, netlist};
use proptest::prelude::*;
use solve::{OperatingPoint, Options, Trouble, operating_point};

use crate::support::{Named, assert_close, known, ngspice};

fn solved(named: &Named) -> OperatingPoint {
    operating_point(&named.circuit, &Options::default()).unwrap()
}

fn ampere(net: &Named, branch: &str) -> f64 {
    solved(net).current(net.branch(branch))
}

#[test]
fn an_alternator_charges_a_full_battery_with_an_ampere_and_holds_its_voltage() {
    // 14.4 V behind 20 mohm into 12.65 V behind 2 ohm: 1.75/2.02 A; the bus stays at 14.38 V.
    // By the 5 mohm of discharge it would be 1.75/0.025 = 70 A and 13.0 V.
    let net = Named::from_lines(["LIM alt p 0 14.4 0.02 90", "BAT b p 0 12.65 0.005 2"]);
    assert_close("i", ampere(&net, "b"), 1.75 / 2.02, 1e-12, 0.0);
    assert_close("v", known(&solved(&net), net.nodes["p"]), 14.4 - 0.02 * 1.75 / 2.02, 1e-12, 0.0);
}

#[test]
fn a_tracker_that_could_bring_more_holds_the_voltage_of_a_battery_that_takes_little() {
    // 14.2 V behind 10 mohm, at most 30 A and 153.8 W, into 12.68 V behind 0.18 ohm: 1.52/0.19 = 8 A at
    // 14.12 V, 113 W. Above 14.2 V nothing comes, below 14.09 V the power rules: a narrow band.
    let mut net = Named::from_lines(["BAT b p 0 12.68 0.005 0.18", "R idle p 0 1e9"]);
    let tracker = Element::PowerSource {
        plus: net.nodes["p"],
        minus: REFERENCE,
        watt: 153.8,
        set_v: 14.2,
        droop_ohm: 0.01,
        limit_a: 30.0,
    };
    net.circuit.add("tracker", tracker);
    assert_close("i", ampere(&net, "b"), 8.0, 1e-8, 0.0);
    assert_close("v", known(&solved(&net), net.nodes["p"]), 14.12, 1e-9, 0.0);
}

#[test]
fn a_limited_charger_lifts_a_battery_by_its_resistance_to_charge() {
    // 20 A into 12.2 V behind 0.05 ohm: 13.2 V, below the set 14.4 V, so the limit rules.
    let net = Named::from_lines(["LIM charger p 0 14.4 0.01 20", "BAT b p 0 12.2 0.005 0.05"]);
    assert_close("v", known(&solved(&net), net.nodes["p"]), 13.2, 1e-12, 0.0);
    assert_close("i", ampere(&net, "b"), 20.0, 1e-12, 0.0);
}

#[test]
fn under_load_a_battery_sags_by_its_resistance_to_discharge() {
    // 12.6 V behind 0.01 ohm into 0.41 ohm: 30 A, 12.3 V; the battery delivers 369 W.
    let net = Named::from_lines(["BAT b p 0 12.6 0.01 0.5", "R load p 0 0.41"]);
    let point = solved(&net);
    assert_close("i", point.current(net.branch("b")), -30.0, 1e-12, 0.0);
    assert_close("v", known(&point, net.nodes["p"]), 12.3, 1e-12, 0.0);
    assert_close("w", point.power(net.branch("b")), -369.0, 1e-12, 0.0);
    assert_close("delivered", point.delivered_w, 369.0, 1e-12, 0.0);
}

#[test]
fn a_battery_held_at_its_rest_voltage_neither_takes_nor_delivers() {
    let net = Named::from_lines(["V held p 0 12.6", "BAT b p 0 12.6 0.01 0.5"]);
    assert_close("i", ampere(&net, "b"), 0.0, 0.0, 1e-12);
    // And left alone it stands at it.
    let alone = Named::from_lines(["BAT b p 0 12.6 0.01 0.5", "R wire p q 0.01"]);
    assert_close("v", known(&solved(&alone), alone.nodes["q"]), 12.6, 1e-12, 0.0);
}

#[test]
fn of_two_batteries_side_by_side_the_fuller_charges_the_emptier() {
    // 12.8 V delivers behind 0.01 ohm, 12.4 V takes behind 0.07 ohm: 0.4/0.08 = 5 A at 12.75 V,
    // whichever resistance the other direction has.
    let net = Named::from_lines(["BAT full p 0 12.8 0.01 9", "BAT empty p 0 12.4 0.002 0.07"]);
    let point = solved(&net);
    assert_close("full", point.current(net.branch("full")), -5.0, 1e-12, 0.0);
    assert_close("empty", point.current(net.branch("empty")), 5.0, 1e-12, 0.0);
    assert_close("v", known(&point, net.nodes["p"]), 12.75, 1e-12, 0.0);
}

#[test]
fn batteries_side_by_side_contradict_nobody_for_they_have_resistance() {
    let lines = ["V held p 0 12.7", "BAT a p 0 12.6 0.01 0.1", "BAT b p 0 13 0.01 0.1"];
    let point = solved(&Named::from_lines(lines));
    assert_close("held", point.delivered_w, 12.7 * 30.0, 1e-9, 0.0);
}

#[test]
fn a_battery_that_floats_still_has_a_voltage_across_it() {
    let net = Named::from_lines(["V other x 0 12", "BAT b u w 6 0.01 0.1", "R r u w 5.99"]);
    let point = solved(&net);
    let volt = point.between(net.nodes["u"], net.nodes["w"]).unwrap();
    assert_close("u-w", volt, 5.99, 1e-12, 0.0);
    assert_eq!(point.between(net.nodes["u"], REFERENCE), None);
}

#[test]
fn a_greedy_load_on_a_battery_sits_at_the_higher_of_its_two_voltages() {
    // v = (E + sqrt(E^2 - 4 R P))/2 with E = 12.8 V, R = 50 mohm (10 in the battery), P = 600 W.
    let net = Named::from_lines(["BAT b p 0 12.8 0.01 1", "R w p x 0.04", "CPL inv x 0 600 2"]);
    let expected = 0.5 * (12.8 + (12.8_f64 * 12.8 - 120.0).sqrt());
    assert_close("x", known(&solved(&net), net.nodes["x"]), expected, 1e-9, 0.0);
}

#[test]
fn a_current_pushed_into_an_open_end_has_no_way_back_past_a_battery() {
    let net = Named::from_lines(["BAT b p 0 12 0.01 0.1", "R r p 0 1", "I leak p open 0.1"]);
    let answer = operating_point(&net.circuit, &Options::default());
    assert!(matches!(answer, Err(Trouble::NoReturn { .. })));
}

#[test]
fn charging_and_discharging_batteries_agree_with_ngspice() {
    let circuits: [(&str, &[&str]); 4] = [
        ("bat_alone", &["BAT b p 0 12.57 0.005 0.37", "R wire p q 0.01"]),
        (
            "bat_split_charge",
            &[
                "LIM alt a 0 14.4 0.02 90",
                "R cable a s 0.004",
                "BAT starter s 0 12.65 0.005 1.95",
                "R link s h 0.02",
                "BAT house h 0 12.4 0.006 0.1",
                "CPL fridge h 0 60 10",
            ],
        ),
        ("bat_load", &["BAT b p 0 12.8 0.008 0.4", "R w p x 0.03", "CPL inv x 0 400 10"]),
        (
            "bat_parallel",
            &["BAT one p 0 12.9 0.01 2", "BAT two q 0 12.3 0.004 0.08", "R l p q 0.01"],
        ),
    ];
    for (name, lines) in circuits {
        let net = Named::from_lines(lines.iter().copied());
        let (point, spice) = (solved(&net), ngspice(&netlist(&net.circuit, name, &[]), name));
        for (node, id) in net.nodes.iter().filter(|(_, id)| **id != REFERENCE) {
            let theirs = spice[&deck_node(&net.circuit, *id)];
            assert_close(&format!("{name} {node}"), known(&point, *id), theirs, 1e-6, 1e-9);
        }
    }
}

/// A DC-DC charger behind 61.3 mohm, as in a van with a painted earth point. The house battery
/// takes 30 A less 31 W of load by 38.3 mohm: with `i` the current into it, `v = 12.39 + 0.0383 i`
/// and `30 - 31/v = i`, so v = 13.449 V, and 13.971 V at the charger. It asks `30 v/0.88 + 3` = 479.3
/// W; the feed, open at 14.405 V, can bring 14.405^2/(4 R) = 840 W, so it runs, at the higher root.
#[test]
fn a_charger_beside_a_full_starter_battery_runs_as_long_as_its_feed_can_carry_it() {
    let net = Named::from_lines([
        "LIM alternator a 0 14.41 0.003 110",
        "R loom a s 0.0022",
        "BAT starter s 0 12.65 0.005 1.94444",
        "R feed s in 0.0561",
        "DCDC charger in 0 out 0 14.4 0.01 30 0.88 3",
        "R cable out h 0.0174",
        "BAT house h 0 12.39 0.004 0.0382857",
        "CPL loads h 0 31 9",
    ]);
    let point = solved(&net);
    assert!(point.collapsed.is_empty(), "{point:?}");
    // i in the battery from i^2 k + (12.39 - 30 k) i - (30 x 12.39 - 31) = 0, k = 0.0382857.
    let (k, rest) = (0.038_285_7_f64, 12.39_f64);
    let b = rest - 30.0 * k;
    let into = (-b + (b * b + 4.0 * k * (30.0 * rest - 31.0)).sqrt()) / (2.0 * k);
    assert_close("house", point.current(net.branch("house")), into, 1e-9, 0.0);
    // The feed by Thevenin: alternator and starter battery side by side, then 56.1 mohm.
    let (a_s, s_s) = (1.0 / 0.0052, 1.0 / 1.944_44);
    let open_v = (14.41 * a_s + 12.65 * s_s) / (a_s + s_s);
    let ohm = 1.0 / (a_s + s_s) + 0.0561;
    let watt = 30.0 * (rest + k * into + 30.0 * 0.0174) / 0.88 + 3.0;
    let expected = 0.5 * (open_v + (open_v * open_v - 4.0 * ohm * watt).sqrt());
    assert_close("input", known(&point, net.nodes["in"]), expected, 1e-9, 0.0);
}

#[test]
fn an_inverter_runs_on_an_alternator_at_its_limit_and_a_full_battery() {
    // 60 A of load, 30 A from the alternator: the battery delivers the rest at
    // v = (E + sqrt(E^2 - 4 R P))/2, E = 12.65 + 0.005 x 30, R = 0.005, P = 750 W.
    let net = Named::from_lines([
        "LIM alt p 0 14.4 0.003 30",
        "BAT b p 0 12.65 0.005 1.9",
        "CPL inv p 0 750 10",
    ]);
    let expected = 0.5 * (12.8 + (12.8_f64 * 12.8 - 15.0).sqrt());
    let point = solved(&net);
    assert!(point.cut_out.is_empty());
    assert_close("v", known(&point, net.nodes["p"]), expected, 1e-9, 0.0);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..Default::default() })]

    /// Two batteries, an alternator and a load; each battery as one element and drawn out.
    #[test]
    fn a_battery_with_one_resistance_is_a_source_behind_it(
        rest in (11.0..14.0_f64, 11.0..14.0_f64),
        decade in (-4.0..1.0_f64, -4.0..1.0_f64),
        set_v in 12.0..15.0_f64,
        watt in 1.0..500.0_f64,
    ) {
        let around = [
            format!("LIM alt p 0 {set_v:?} 0.02 90"),
            "R link p q 0.01".to_owned(),
            format!("R load q 0 {:?}", 144.0 / watt),
        ];
        let mut one = Named::from_lines(around.iter().map(String::as_str));
        let mut drawn = Named::from_lines(around.iter().map(String::as_str));
        for (at, rest_v, decade) in [("p", rest.0, decade.0), ("q", rest.1, decade.1)] {
            let ohm = 10_f64.powf(decade);
            let plus = one.node(at);
            let (discharge_ohm, charge_ohm) = (ohm, ohm);
            let minus = REFERENCE;
            let battery = Element::Battery { plus, minus, rest_v, discharge_ohm, charge_ohm };
            one.circuit.add(at, battery);
            let (plus, inside) = (drawn.node(at), drawn.node(&format!("{at} inside")));
            drawn.circuit.add("cells", Element::Voltage { plus: inside, minus, volt: rest_v });
            drawn.circuit.add("inner", Element::Resistor { a: inside, b: plus, ohm });
        }
        let (ours, theirs) = (solved(&one), solved(&drawn));
        for at in ["p", "q"] {
            let (a, b) = (known(&ours, one.nodes[at]), known(&theirs, drawn.nodes[at]));
            prop_assert!((a - b).abs() <= 1e-9 * b, "{}: {} {}", at, a, b);
        }
    }

    /// Whatever charges and whatever loads: currents balance (the solver's own check), and the
    /// battery's current is the law at the voltage found.
    #[test]
    fn a_battery_obeys_its_law_wherever_it_ends_up(
        rest in prop::collection::vec(11.0..14.0_f64, 1..6),
        ratio in 0.0..4.0_f64,
        push in -200.0..200.0_f64,
    ) {
        let mut net = Named::from_lines([format!("I push 0 n0 {push:?}").as_str()]);
        for (k, rest_v) in rest.iter().enumerate() {
            let charge_ohm = 0.005 * 10_f64.powf(ratio);
            let (plus, minus) = (net.node(&format!("n{k}")), REFERENCE);
            let next = net.node(&format!("n{}", k + 1));
            let discharge_ohm = 0.005;
            let rest_v = *rest_v;
            let battery = Element::Battery { plus, minus, rest_v, discharge_ohm, charge_ohm };
            let id = net.circuit.add("battery", battery);
            net.branches.insert(format!("b{k}"), id);
            net.circuit.add("link", Element::Resistor { a: plus, b: next, ohm: 0.003 });
        }
        let point = solved(&net);
        for (k, rest_v) in rest.iter().enumerate() {
            let volt = known(&point, net.nodes[&format!("n{k}")]);
            let ohm = if volt >= *rest_v { 0.005 * 10_f64.powf(ratio) } else { 0.005 };
            let by_law = (volt - rest_v) / ohm;
            let ours = point.current(net.branch(&format!("b{k}")));
            prop_assert!((ours - by_law).abs() <= 1e-9 * (1.0 + by_law.abs()), "{} {}", ours, by_law);
        }
    }
}
