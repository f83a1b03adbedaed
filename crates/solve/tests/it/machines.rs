//! Alternator, inverter, capacitors and one-way elements against numbers computed elsewhere.

use circuit::{Element, REFERENCE};
use solve::alternator::Output;
use solve::capacitor::Capacitor;
use solve::inverter::Losses;
use solve::{Options, operating_point};

use crate::support::{Named, assert_close, known};

/// A machine marked 55/120 A with zero output at 1050 turns per minute; the constants by scipy
/// 1.17.1 `optimize.fsolve`, the currents from them in numpy.
#[test]
fn an_alternator_marked_55_120_gives_what_scipy_says() {
    let curve = Output::through(1050.0, (1500.0, 55.0), (6000.0, 120.0)).unwrap();
    assert_close("nc", curve.constant_rpm, 735.177_209_602_697_4, 1e-9, 0.0);
    assert_close("I1", curve.endless_a, 120.143_074_872_622_1, 1e-9, 0.0);
    for (rpm, ampere) in [
        (1500.0, 55.0),
        (2000.0, 87.144_054_708_011_21),
        (3000.0, 111.675_352_209_753_21),
        (4000.0, 117.970_212_565_269_14),
        (6000.0, 120.0),
        (10_000.0, 120.142_454_538_470_55),
    ] {
        assert_close("i", curve.at_rpm(rpm), ampere, 1e-9, 0.0);
    }
    for rpm in [0.0, 1000.0, 1050.0] {
        assert_close("i", curve.at_rpm(rpm), 0.0, 0.0, 1e-12);
    }
}

#[test]
fn an_alternator_whose_points_are_out_of_order_has_no_curve() {
    assert_eq!(Output::through(1600.0, (1500.0, 55.0), (6000.0, 120.0)), None);
    assert_eq!(Output::through(1050.0, (1500.0, 130.0), (6000.0, 120.0)), None);
    assert_eq!(Output::through(1050.0, (1500.0, f64::NAN), (6000.0, 120.0)), None);
}

/// Idle 12 W, 93 % at 500 W and 90 % at 2000 W: constants by numpy `linalg.solve`.
#[test]
fn an_inverter_loses_what_numpy_says() {
    let losses = Losses::through(12.0, (500.0, 0.93), (2000.0, 0.90)).unwrap();
    assert_close("k1", losses.in_proportion, 0.033_321_385_902_031_056, 1e-12, 0.0);
    assert_close("k2", losses.with_square_per_w, 3.589_486_260_454e-5, 1e-12, 0.0);
    for (watt, efficiency) in [
        (20.0, 0.611_980_391_358_608_7),
        (100.0, 0.864_370_820_658_648_5),
        (500.0, 0.93),
        (1000.0, 0.924_884_361_829_790_3),
        (1500.0, 0.913_105_518_779_209_5),
        (2000.0, 0.9),
    ] {
        assert_close("eta", watt / losses.input_w(watt), efficiency, 1e-12, 0.0);
    }
    assert_close("idle", losses.input_w(0.0), 12.0, 1e-12, 0.0);
    assert_eq!(Losses::through(12.0, (500.0, 0.93), (500.0, 0.93)), None);
}

/// 10 mF at 12.8 V: `V^2/R`, `R C ln(..)`, `C V^2/2` evaluated in Python.
#[test]
fn input_capacitors_fill_and_empty_by_the_textbook() {
    let input = Capacitor { farad: 0.010, volt: 12.8 };
    assert_close("first", input.first_w(25.0), 6.553_6, 1e-12, 0.0);
    assert_close("95 %", input.fills_in_s(25.0, 0.05 * 12.8), 0.748_933_068_388_497_7, 1e-12, 0.0);
    assert_close("0.5 V", input.fills_in_s(25.0, 0.5), 0.810_648_087_871_379_2, 1e-12, 0.0);
    assert_close("inrush", input.inrush_a(0.003), 4_266.666_666_666_667, 1e-12, 0.0);
    assert_close("energy", input.energy_j(), 0.819_2, 1e-12, 0.0);
    assert_close("bleed", input.empties_in_s(10e3, 1.0), 254.944_517_092_557_13, 1e-12, 0.0);
    assert_close("bleed", input.empties_in_s(1e3, 1.0), 25.494_451_709_255_713, 1e-12, 0.0);
    let bank = Capacitor { farad: 58.0, volt: 14.4 };
    assert_close("bank", bank.empties_in_s(10.0, 1.0), 1_546.992_359_817_533_7, 1e-12, 0.0);
    assert_close("already", bank.empties_in_s(10.0, 20.0), 0.0, 0.0, 1e-12);
}

/// 13.2 V behind 2 mohm forward into 1 ohm, and the same turned round: closed forms.
#[test]
fn a_one_way_element_passes_forward_and_blocks_backward() {
    let mut net = Named::from_lines(["V b p 0 13.2", "R load q 0 1"]);
    let (p, q) = (net.nodes["p"], net.nodes["q"]);
    let way = |from, to| Element::OneWay { from, to, ohm: 0.002, blocked_ohm: 1e7 };
    net.circuit.add("forward", way(p, q));
    let point = operating_point(&net.circuit, &Options::default()).unwrap();
    assert_close("load", known(&point, q), 13.2 / 1.002, 1e-12, 0.0);
    let mut net = Named::from_lines(["V b p 0 13.2", "R load q 0 1"]);
    net.circuit.add("backward", way(q, p));
    let point = operating_point(&net.circuit, &Options::default()).unwrap();
    assert_close("load", known(&point, q), 13.2 / (1e7 + 1.0), 1e-9, 0.0);
}

/// Two ways in opposite directions are one resistor, to the leak of 1e7 ohm: a board that is open
/// to neither side changes nothing.
#[test]
fn two_opposite_ways_are_a_resistor() {
    for push in ["I i 0 q 20", "I i q 0 20", "R r q 0 100000"] {
        let mut net = Named::from_lines(["V b p 0 13.2", push]);
        let (p, q) = (net.nodes["p"], net.nodes["q"]);
        for (from, to) in [(p, q), (q, p)] {
            net.circuit.add("way", Element::OneWay { from, to, ohm: 0.001, blocked_ohm: 1e7 });
        }
        let plain = Named::from_lines(["V b p 0 13.2", "R way p q 0.001", push]);
        let ours = operating_point(&net.circuit, &Options::default()).unwrap();
        let theirs = operating_point(&plain.circuit, &Options::default()).unwrap();
        assert_close(push, known(&ours, q), known(&theirs, plain.nodes["q"]), 1e-9, 0.0);
    }
}

/// 480 W into a battery of 12.6 V behind 20 mohm: the lesser of the current and the power limit.
/// `v = (E + sqrt(E^2 + 4 R P))/2` where power rules.
#[test]
fn a_converter_obeys_its_power_limit_too() {
    for (power_w, rules) in [(480.0_f64, true), (900.0, false), (f64::INFINITY, false)] {
        let mut net = Named::from_lines(["V feed in 0 13.5", "BAT house out 0 12.6 0.02 0.02"]);
        let element = Element::Converter {
            in_plus: net.nodes["in"],
            in_minus: REFERENCE,
            out_plus: net.nodes["out"],
            out_minus: REFERENCE,
            set_v: 14.4,
            droop_ohm: 0.01,
            limit_a: 60.0,
            power_w,
            efficiency: 0.9,
            idle_w: 5.0,
        };
        let id = net.circuit.add("charger", element);
        let point = operating_point(&net.circuit, &Options::default()).unwrap();
        let by_power = f64::midpoint(12.6, (12.6_f64 * 12.6 + 4.0 * 0.02 * power_w).sqrt());
        let volt = if rules { by_power } else { 12.6 + 0.02 * 60.0 };
        assert_close("v", known(&point, net.nodes["out"]), volt, 1e-9, 0.0);
        let ampere = if rules { power_w / volt } else { 60.0 };
        assert_close("out", point.output_current(id).unwrap(), ampere, 1e-9, 0.0);
        assert_close("in", point.current(id), (volt * ampere / 0.9 + 5.0) / 13.5, 1e-9, 0.0);
    }
}
