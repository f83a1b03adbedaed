//! Modules against their labels, and strings behind a controller.

use solve::solar::{current_a, voltage_v};

use super::{Bench, near, settled};
use crate::solar::from_label;

/// Labels: short-circuit current (A), open-circuit voltage (V), power (W), with their origin.
const LABELS: [(f64, f64, f64); 6] = [
    // A 200 W class module of 54 cells, widely used as a worked example in the literature on the
    // single-diode model (label 8.21 A, 32.9 V, 200 W).
    (8.21, 32.9, 200.0),
    // Ordinary classes of small modules: common practice, no source.
    (6.1, 22.0, 100.0),
    (5.9, 24.3, 110.0),
    (9.9, 22.4, 175.0),
    (1.2, 21.6, 20.0),
    (10.6, 41.0, 330.0),
];

#[test]
fn a_module_gives_what_its_label_says() {
    for (short_a, open_v, power_w) in LABELS {
        let diode = from_label(short_a, open_v, power_w);
        near(current_a(&diode, 0.0), short_a, 1e-3);
        near(voltage_v(&diode, 0.0).expect("it has one"), open_v, 1e-3);
        near(solve::maximum_power_point(&diode).watt, power_w, 1e-3);
    }
}

#[test]
fn a_label_beyond_any_cell_ends_at_the_nearest_that_can_be() {
    // 6 A x 22 V = 132 W: 130 W would be a fill factor of 0.985.
    let best = solve::maximum_power_point(&from_label(6.0, 22.0, 130.0)).watt;
    assert!(best < 130.0 && best > 100.0, "{best}");
    let worst = solve::maximum_power_point(&from_label(6.0, 22.0, 1.0)).watt;
    assert!(worst.is_finite() && worst > 1.0 && worst < 40.0, "{worst}");
}

fn string(wires: &str, state: &str) -> Bench {
    Bench::new(&format!(
        "[devices]
one = {{ kind = \"solar module\", power = \"100 W\", isc = \"6.1 A\", voc = \"22 V\" }}
two = {{ kind = \"solar module\", power = \"100 W\", isc = \"6.1 A\", voc = \"22 V\" }}
cut = {{ kind = \"isolator\" }}
d = {{ kind = \"diode\" }}
solar = {{ kind = \"solar controller\", limit = \"40 A\", efficiency = \"96 %\", regulates = \"14.4 V\" }}
house = {{ kind = \"lfp battery\", rest = \"13 V\", resistance = \"10 mOhm\", nominal = \"12 V\" }}
[wires]
{wires}
o1 = \"solar.+ to house.+, 10 mm2, 1 m\"
o2 = \"house.- to solar.-, 10 mm2, 1 m\"
[usual]
joint = \"told 0.1 mOhm\"
[states]
s = {{ cells = \"25 C\", {state} }}"
    ))
}

const SERIES: &str = "p1 = \"one.+ to cut.in, 4 mm2, 1 m\"\np2 = \"cut.out to solar.pv+, 4 mm2, 1 m\"\np3 = \"one.- to two.+, 4 mm2, 1 m\"\np4 = \"two.- to solar.pv-, 4 mm2, 1 m\"";
const PARALLEL: &str = "p1 = \"one.+ to cut.in, 4 mm2, 1 m\"\np2 = \"cut.out to solar.pv+, 4 mm2, 1 m\"\np3 = \"two.+ to one.+, 4 mm2, 1 m\"\np4 = \"two.- to one.-, 4 mm2, 1 m\"\np5 = \"one.- to solar.pv-, 4 mm2, 1 m\"";

/// What the controller delivers: `P = eta (n Pmpp)` into a battery of `E` behind `R`, so
/// `V = (E + sqrt(E^2 + 4 R P)) / 2` at its output and `I = P / V`.
fn output_a(modules: f64) -> f64 {
    // IEC 60228:2004 Table 2: 10 mm2 1.83 ohm/km; four joints of 0.1 mOhm.
    let (volt, ohm, watt) = (13.0_f64, 0.010 + 2.0 * 1.83e-3 + 4e-4, 0.96 * 100.0 * modules);
    watt / f64::midpoint(volt, (volt * volt + 4.0 * ohm * watt).sqrt())
}

#[test]
fn two_modules_give_twice_the_power_in_series_and_in_parallel() {
    for (wires, pv_v) in [(SERIES, 2.0), (PARALLEL, 1.0)] {
        let bench = string(wires, "sun = \"1000 W/m2\"");
        let network = bench.network("s");
        let point = settled(&network);
        near(bench.ampere(&network, &point, "o1"), output_a(2.0), 2e-3);
        // The controller holds the string at the best voltage of its modules, once or twice.
        let best = solve::maximum_power_point(&from_label(6.1, 22.0, 100.0));
        let held = bench.volt(&network, &point, "solar.pv+", "solar.pv-");
        near(held, pv_v * best.volt, 2e-2);
        near(bench.ampere(&network, &point, "p1"), 2.0 * best.ampere / pv_v, 3e-2);
    }
}

#[test]
fn a_module_with_a_loose_end_or_the_wrong_way_round_gives_nothing() {
    let loose = PARALLEL.replace("p4 = \"two.- to one.-", "p4 = \"two.- to unknown");
    for wires in [
        loose.as_str(),
        &PARALLEL
            .replace("two.+ to one.+", "two.- to one.+")
            .replace("two.- to one.-", "two.+ to one.-"),
    ] {
        let bench = string(wires, "sun = \"1000 W/m2\"");
        let network = bench.network("s");
        let delivered = bench.ampere(&network, &settled(&network), "o1");
        near(delivered, output_a(1.0), 2e-3);
    }
}

#[test]
fn light_scales_the_current_and_no_light_or_an_open_isolator_gives_none() {
    let half = string(SERIES, "sun = \"500 W/m2\"");
    let network = half.network("s");
    let ampere = half.ampere(&network, &settled(&network), "o1");
    // Half the light takes a ln 2 = 36 x 25.7 mV x 0.693 = 0.64 V of 22 V off the open-circuit
    // voltage, 3 %; half the current saves half the loss in the series resistance, about as much
    // at this fill factor (100 W of 6.1 A x 22 V: 0.745). So half the power, within 3 %.
    near(ampere, 0.5 * output_a(2.0), 0.03);
    for state in ["", "sun = \"1000 W/m2\", open = [\"cut\"]", "sun = \"0 W/m2\""] {
        let bench = string(SERIES, state);
        let network = bench.network("s");
        assert!(bench.ampere(&network, &settled(&network), "o1").abs() < 1e-6, "{state}");
    }
}

#[test]
fn a_full_battery_s_controller_goes_back_to_its_set_voltage() {
    let bench = string(PARALLEL, "sun = \"1000 W/m2\"");
    let mut full = bench;
    let house = full.device("house");
    full.vehicle.devices[house]
        .attributes
        .insert(model::Attribute::Rest, model::Fact::assumed(14.39, "test"));
    let network = full.network("s");
    let point = settled(&network);
    // (14.40 - 14.39) V over droop 10 mOhm (usual), battery 10 mOhm, wires and joints.
    let ampere = 0.01 / (0.010 + 0.010 + 2.0 * 1.83e-3 + 4e-4);
    near(full.ampere(&network, &point, "o1"), ampere, 1e-6);
}

#[test]
fn a_blocking_diode_lets_the_modules_through_and_a_reversed_one_does_not() {
    for (way, modules) in [("d.in", "d.out"), ("d.out", "d.in")].into_iter().zip([2.0, 0.0]) {
        let wires = SERIES.replace(
            "p2 = \"cut.out to solar.pv+",
            &format!("p2 = \"cut.out to {}, 4 mm2, 1 m\"\np5 = \"{} to solar.pv+", way.0, way.1),
        );
        let bench = string(&wires, "sun = \"1000 W/m2\"");
        let network = bench.network("s");
        let ampere = bench.ampere(&network, &settled(&network), "o1");
        assert!(
            (ampere - if modules > 0.0 { output_a(modules) } else { 0.0 }).abs() < 0.03,
            "{ampere}"
        );
    }
}
