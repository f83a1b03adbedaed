//! Circuits that must be classified, not just solved: floating parts, contradictory sources,
//! loads that ask too much, values that no part has. Expected results are closed forms worked
//! out beside each test or stated by the check cases x01 to x04 (own design, ngspice 39.3).

use circuit::{BranchId, Element, Guard, REFERENCE, SingleDiode, Trip};
use solve::{NodeVoltage, Options, Outcome, Trouble, operating_point, settle};

use crate::support::{Named, assert_close, known};

fn solved(named: &Named) -> solve::OperatingPoint {
    operating_point(&named.circuit, &Options::default()).unwrap()
}

fn trouble(named: &Named) -> Trouble {
    operating_point(&named.circuit, &Options::default()).unwrap_err()
}

#[test]
fn x01_a_load_beyond_what_its_wire_can_bring_is_cut_out() {
    // 900 W asked through 50 mohm from 12.8 V; at most E^2/4R = 819.2 W can arrive. Below its
    // cut-out the load is the resistor 10.5^2/900: x = 12.8/(1 + 0.05*900/10.5^2).
    let net = Named::from_lines(["V b p 0 12.8", "R w p x 0.05", "CPL inv x 0 900 10.5"]);
    let point = solved(&net);
    assert_close("x", known(&point, net.nodes["x"]), 9.089_855_072_463_768, 1e-9, 0.0);
    assert_eq!(point.cut_out, [net.branch("inv")]);
    assert!(point.is_off(net.branch("inv")));
}

#[test]
fn x02_of_two_voltages_a_load_sits_at_the_higher() {
    // Roots of v (12.8 - v)/0.05 = 600: 9.710589 and 3.089411 V; below 2 V a third solution.
    let net = Named::from_lines(["V b p 0 12.8", "R w p x 0.05", "CPL inv x 0 600 2"]);
    let point = solved(&net);
    assert_close("x", known(&point, net.nodes["x"]), 9.710_589_071_449_371, 1e-9, 0.0);
    assert!(point.cut_out.is_empty());
}

#[test]
fn voltage_at_a_load_falls_with_its_power_as_the_quadratic_says() {
    // v = (E + sqrt(E^2 - 4 R P))/2, E = 12.8 V, R = 50 mohm: closed form.
    for watt in [60.0, 300.0, 600.0, 800.0, 819.0] {
        let load = format!("CPL inv x 0 {watt} 2");
        let net = Named::from_lines(["V b p 0 12.8", "R w p x 0.05", load.as_str()]);
        let expected = 0.5 * (12.8 + (12.8_f64 * 12.8 - 0.2 * watt).sqrt());
        assert_close("x", known(&solved(&net), net.nodes["x"]), expected, 1e-9, 0.0);
    }
}

#[test]
fn x03_a_part_joined_to_nothing_floats_and_is_never_called_zero() {
    let lines = ["V b p 0 12.8", "R w p q 0.05", "R ld q 0 5", "R isl u v 5"];
    let net = Named::from_lines(lines);
    let point = solved(&net);
    let [u, v, q] = ["u", "v", "q"].map(|n| net.nodes[n]);
    let NodeVoltage::Floating { island } = point.voltage(u) else { panic!("u must float") };
    assert_eq!(point.voltage(v), NodeVoltage::Floating { island });
    assert_eq!(point.between(u, q), None);
    assert_eq!(point.between(u, REFERENCE), None);
    assert_close("q", known(&point, q), 12.8 * 5.0 / 5.05, 1e-12, 0.0);
}

#[test]
fn two_floating_parts_have_different_numbers() {
    let net = Named::from_lines(["R one a b 1", "R two c d 1"]);
    let point = solved(&net);
    assert_ne!(point.voltage(net.nodes["a"]), point.voltage(net.nodes["c"]));
    assert_eq!(point.between(net.nodes["a"], net.nodes["c"]), None);
}

#[test]
fn a_floating_part_with_a_source_still_has_known_differences() {
    let net = Named::from_lines(["V cells u w 6", "R r1 u v 100", "R r2 v w 50"]);
    let point = solved(&net);
    let (u, v, w) = (net.nodes["u"], net.nodes["v"], net.nodes["w"]);
    assert_close("u-v", point.between(u, v).unwrap(), 4.0, 1e-12, 0.0);
    assert_close("v-w", point.between(v, w).unwrap(), 2.0, 1e-12, 0.0);
    assert_close("i", point.current(net.branch("r1")), 0.04, 1e-12, 0.0);
    assert!(matches!(point.voltage(v), NodeVoltage::Floating { .. }));
}

#[test]
fn x04_paralleled_ideal_sources_are_refused_by_name() {
    let net = Named::from_lines(["V first p 0 12.6", "V second p 0 13.3", "R load p 0 1"]);
    let Trouble::ContradictorySources { branches, names } = trouble(&net) else {
        panic!("must be refused")
    };
    assert_eq!(branches, [BranchId(0), BranchId(1)]);
    assert_eq!(names, ["first", "second"]);
    assert!(trouble(&net).to_string().contains("first, second"));
}

#[test]
fn a_loop_of_three_ideal_sources_is_refused_and_only_the_loop_is_named() {
    let net = Named::from_lines(["V a p q 6", "V tail z p 1", "V b q 0 6", "V c p 0 12"]);
    let Trouble::ContradictorySources { names, .. } = trouble(&net) else { panic!("refuse") };
    let mut names = names;
    names.sort();
    assert_eq!(names, ["a", "b", "c"]);
}

#[test]
fn sources_joined_by_a_busbar_of_a_tenth_of_a_microohm_share_their_current() {
    // 12.8 V and 12.6 V, each behind 5 mohm, over 0.1 uohm: I = 0.2/(0.0100001).
    let lines =
        ["V a x 0 12.8", "R ra x p 0.005", "R bar p q 1e-7", "V b y 0 12.6", "R rb y q 0.005"];
    let net = Named::from_lines(lines);
    let point = solved(&net);
    assert_close("bar", point.current(net.branch("bar")), 0.2 / 0.010_000_1, 1e-9, 0.0);
}

#[test]
fn a_current_source_into_an_open_end_is_refused() {
    let net = Named::from_lines(["V b p 0 12", "R r p 0 1", "I leak p open 0.1"]);
    let Trouble::NoReturn { names, .. } = trouble(&net) else { panic!("refuse") };
    assert_eq!(names, ["leak"]);
}

#[test]
fn values_no_part_has_are_refused_not_computed_with() {
    let bad = [
        "R r p 0 0",
        "R r p 0 -1",
        "R r p 0 NaN",
        "R r p 0 inf",
        "V v p 0 NaN",
        "BAT b p 0 NaN 0.01 0.1",
        "BAT b p 0 12.6 0 0.1",
        "BAT b p 0 12.6 0.01 inf",
        "I i p 0 inf",
        "D d p 0 0 1",
        "CPL c p 0 NaN 10",
        "CPL c p 0 10 0",
        "LAMP l p 0 1 0 0.55",
        "LIM l p 0 14 0 10",
        "DCDC x p 0 q 0 14 0.01 30 1.2 3",
    ];
    for line in bad {
        let net = Named::from_lines(["V b s 0 12", "R w s p 1", line]);
        assert!(matches!(trouble(&net), Trouble::BadValue { .. }), "{line}");
        assert!(matches!(settle(&net.circuit), Outcome::Trouble(_)), "{line}");
    }
}

#[test]
fn extreme_but_finite_values_give_an_answer_or_a_trouble_but_no_panic() {
    for ohm in ["1e-300", "1e-12", "1e12", "1e300"] {
        for volt in ["1e-300", "1e30", "1e300"] {
            let lines =
                [format!("V b s 0 {volt}"), format!("R w s p {ohm}"), "CPL c p 0 5 9".into()];
            let net = Named::from_lines(lines.iter().map(String::as_str));
            drop(operating_point(&net.circuit, &Options::default()));
        }
    }
}

#[test]
fn an_empty_circuit_and_a_lonely_node_are_answered() {
    let mut net = Named::new();
    assert!((known(&solved(&net), REFERENCE)).abs() < f64::MIN_POSITIVE);
    let lonely = net.node("lonely");
    assert!(matches!(solved(&net).voltage(lonely), NodeVoltage::Floating { .. }));
}

#[test]
fn an_alternator_with_nothing_connected_stands_at_its_set_voltage() {
    let net = Named::from_lines(["LIM alt b 0 14.4 0.02 120"]);
    assert_close("b", known(&solved(&net), net.nodes["b"]), 14.4, 1e-12, 0.0);
}

#[test]
fn an_alternator_that_can_give_nothing_holds_nothing() {
    let net = Named::from_lines(["LIM alt b 0 14.4 0.02 0", "R cable b c 0.01"]);
    assert!(matches!(solved(&net).voltage(net.nodes["b"]), NodeVoltage::Floating { .. }));
}

#[test]
fn a_converter_whose_feed_is_open_has_collapsed_and_its_output_floats() {
    let net = Named::from_lines([
        "V b s 0 12.8",
        "R load s 0 5",
        "DCDC dcdc in 0 out ret 14.4 0.01 30 0.88 3",
        "R out out h 0.01",
    ]);
    let point = solved(&net);
    assert_eq!(point.collapsed, [net.branch("dcdc")]);
    assert_close("input", point.current(net.branch("dcdc")), 0.0, 0.0, 1e-12);
    assert_eq!(point.output_current(net.branch("dcdc")), Some(0.0));
    assert!(matches!(point.voltage(net.nodes["h"]), NodeVoltage::Floating { .. }));
}

#[test]
fn of_two_converters_only_the_one_that_asks_too_much_collapses() {
    // 30 A into 0.45 ohm is 405 W, 463 W at the input; through 0.2 ohm only 12.8^2/0.8 = 205 W
    // arrive, through 0.01 ohm 4096 W.
    let net = Named::from_lines([
        "V b s 0 12.8",
        "R thin s in1 0.2",
        "DCDC starved in1 0 o1 0 14.4 0.01 30 0.88 3",
        "R l1 o1 0 0.45",
        "R thick s in2 0.01",
        "DCDC fed in2 0 o2 0 14.4 0.01 30 0.88 3",
        "R l2 o2 0 0.45",
    ]);
    let point = solved(&net);
    assert_eq!(point.collapsed, [net.branch("starved")]);
    assert_close("fed", point.output_current(net.branch("fed")).unwrap(), 30.0, 1e-9, 0.0);
    assert!(known(&point, net.nodes["in1"]) < 6.4, "pulled below half the open voltage");
}

#[test]
fn power_is_positive_where_it_is_taken_and_a_converter_shows_its_losses() {
    let net = Named::from_lines([
        "V b s 0 12.8",
        "R w s in 0.01",
        "DCDC dcdc in 0 out 0 14.4 0.01 10 0.9 3",
        "R load out 0 1",
    ]);
    let point = solved(&net);
    let out_w = known(&point, net.nodes["out"]).powi(2);
    // Input = out/0.9 + 3, so the converter keeps out (1/0.9 - 1) + 3.
    assert_close(
        "loss",
        point.power(net.branch("dcdc")),
        out_w * (1.0 / 0.9 - 1.0) + 3.0,
        1e-9,
        0.0,
    );
    assert!(point.power(net.branch("b")) < 0.0);
    let total: f64 = net.branches.values().map(|&b| point.power(b)).sum();
    assert!(total.abs() < 1e-9, "{total}");
    assert!(point.delivered_w > out_w);
}

#[test]
fn a_lamp_follows_the_published_rerating_exponent() {
    // i = 1.75 A (13.5/12)^0.55 = 1.867119 A (exponent: Wikipedia, Lamp rerating, after Fink and
    // Beaty 1978, seen).
    let net = Named::from_lines(["V b p 0 13.5", "LAMP l p 0 1.75 12 0.55"]);
    assert_close("i", solved(&net).current(net.branch("l")), 1.867_119, 1e-6, 0.0);
}

#[test]
fn a_power_source_gives_its_power_until_a_ceiling_holds_it() {
    let source = |watt, limit_a| Element::PowerSource {
        plus: circuit::NodeId(1),
        minus: REFERENCE,
        watt,
        set_v: 14.4,
        droop_ohm: 0.02,
        limit_a,
    };
    // Into a 12 V battery without resistance: power-limited, current-limited; and into 100 ohm:
    // voltage-limited, v = 14.4/(1 + 0.02/100).
    for (watt, limit_a, expected_a) in [(120.0, 15.0, 10.0), (600.0, 15.0, 15.0)] {
        let mut net = Named::from_lines(["V b p 0 12"]);
        let id = net.circuit.add("mppt", source(watt, limit_a));
        assert_close("i", -solved(&net).current(id), expected_a, 1e-12, 0.0);
    }
    let mut net = Named::from_lines(["R load p 0 100"]);
    net.circuit.add("mppt", source(120.0, 15.0));
    assert_close("v", known(&solved(&net), net.nodes["p"]), 14.4 / 1.0002, 1e-12, 0.0);
}

#[test]
fn a_solar_module_equals_its_diode_and_resistors_drawn_out() {
    // Net n05's module as one element; reference: the same circuit from simple parts.
    let parts = Named::from_lines([
        "I pvl 0 pvj 6.6",
        "D pv pvj 0 4e-9 45.789105447276359",
        "R pvsh pvj 0 180",
        "R pvs pvj pvt 0.25",
        "R load pvt 0 2",
    ]);
    let mut module = Named::from_lines(["R load pvt 0 2"]);
    let thermal_v = 1.380_649e-23 * 300.15 / 1.602_176_634e-19;
    let diode = SingleDiode {
        light_a: 6.6,
        saturation_a: 4e-9,
        series_ohm: 0.25,
        shunt_ohm: 180.0,
        modified_ideality_v: 45.789_105_447_276_359 * thermal_v,
    };
    let plus = module.node("pvt");
    module.circuit.add("module", Element::SolarModule { plus, minus: REFERENCE, diode });
    let (a, b) = (solved(&parts), solved(&module));
    assert_close("v", known(&b, plus), known(&a, parts.nodes["pvt"]), 1e-10, 0.0);
}

#[test]
fn a_motor_draws_what_its_resistance_and_back_emf_say() {
    let mut net = Named::from_lines(["V b p 0 12"]);
    let plus = net.node("p");
    for (name, back_emf_v, expected_a) in [("turning", 8.0, 8.0), ("stalled", 0.0, 24.0)] {
        let motor = Element::Motor { plus, minus: REFERENCE, armature_ohm: 0.5, back_emf_v };
        let id = net.circuit.add(name, motor);
        assert_close(name, solved(&net).current(id), expected_a, 1e-12, 0.0);
    }
}

#[test]
fn a_wire_between_two_blocking_diodes_still_has_a_voltage() {
    let net = Named::from_lines(["V b p 0 12", "D d1 m p 1e-6 1.1", "D d2 m 0 1e-6 1.1"]);
    let volt = known(&solved(&net), net.nodes["m"]);
    assert!((0.0..=12.0).contains(&volt), "{volt}");
}

#[test]
fn a_guard_that_senses_a_floating_pair_reads_nothing_and_stays() {
    let mut net = Named::from_lines(["V b p 0 13.5", "R load p 0 5", "R cut u w 1"]);
    let (u, p) = (net.nodes["u"], net.nodes["p"]);
    let trip = Trip::LowVoltage { off_below_v: 12.0, on_from_v: 13.0 };
    let guard = Guard {
        name: "relay".into(),
        sense: circuit::Sense::Between(u, REFERENCE),
        trip,
        starts_on: false,
    };
    let id = net.circuit.add_guard(guard);
    net.circuit.add_while(
        "coil load",
        Element::Resistor { a: p, b: REFERENCE, ohm: 1.0 },
        Some(id),
    );
    let Outcome::Settled(point) = settle(&net.circuit) else { panic!("settles") };
    assert_eq!(point.guards, [false]);
    assert_eq!(point.blind_guards, [id]);
}

#[test]
fn guard_positions_must_fit_the_circuit() {
    let net = Named::from_lines(["R r a 0 1"]);
    let options = Options { guards: Some(vec![true]) };
    let answer = operating_point(&net.circuit, &options);
    assert_eq!(answer, Err(Trouble::WrongPositions { expected: 0, given: 1 }));
}
