//! Meters that change what they measure, against check networks n11a to n11c (own design, ngspice
//! 39.3) and closed forms.

use super::{Bench, near};
use crate::instrument::{Probe, Shown, shown};

/// 12.8 V through 2.2 megohm of damp into a dead wire.
fn damp() -> Bench {
    Bench::new(
        "[devices]\nb = { kind = \"agm battery\", rest = \"12.8 V\", resistance = \"1 mOhm\" }\nx = { kind = \"busbar\" }\nfar = { kind = \"busbar\" }\n[wires]\nw = \"b.+ to x, 16 mm2, 1 m\"\nalone = \"far to far, 1 mm2, 1 m\"\n[joints]\n\"w at x\" = \"measured 2.2 MOhm\"\n[states]\ns = {}"
            .replace("alone = \"far to far, 1 mm2, 1 m\"\n", "")
            .as_str(),
    )
}

fn put_in(bench: &Bench, probe: impl Fn(&crate::Network) -> Probe) -> Shown {
    let network = bench.network("s");
    let before = solve::settle(&network.circuit);
    let found = shown(&network, &before, probe(&network), &bench.catalog.machines, 12.0);
    found.expect("an answer")[0]
}

#[test]
fn a_voltmeter_shows_a_ghost_and_a_test_lamp_lays_it() {
    let bench = damp();
    let (x, minus) = (bench.terminal("x"), bench.terminal("b.-"));
    let studs = |network: &crate::Network| (network.graph.stud(x), network.graph.stud(minus));
    let volts = put_in(&bench, |n| Probe::Volts(studs(n).0, studs(n).1));
    near(volts.value, 10.491_803, 1e-6);
    near(volts.without.expect("the damp joins it"), 12.8, 1e-9);
    let lamp = put_in(&bench, |n| Probe::Lamp(studs(n).0, studs(n).1));
    near(lamp.value, 2.109_5e-5, 1e-4);
}

#[test]
fn between_points_nothing_joins_a_voltmeter_shows_nothing_and_says_that_they_float() {
    let bench = damp();
    let (far, minus) = (bench.terminal("far"), bench.terminal("b.-"));
    let volts = put_in(&bench, |n| Probe::Volts(n.graph.stud(far), n.graph.stud(minus)));
    assert!(volts.value.abs() < 1e-9);
    assert_eq!(volts.without, None, "nothing fixes it: not the same as dead");
}

/// n11c: 12 ohm behind 150 mohm draw 1.0535 A; with 47.7 mohm of ammeter 1.049378 A.
#[test]
fn an_ammeter_lessens_the_current_it_measures_and_a_clamp_does_not() {
    let bench = Bench::new(
        "[devices]\nb = { kind = \"agm battery\", rest = \"12.8 V\", resistance = \"1 mOhm\" }\nh = { kind = \"heater\", power = \"12 W\" }\n[wires]\nw = \"b.+ to h.+, 16 mm2, 1 m\"\nr = \"h.- to b.-, 16 mm2, 1 m\"\n[joints]\n\"w at h.+\" = \"measured 140 mOhm\"\n\"w at b.+\" = \"measured 1 mOhm\"\n\"r at h.-\" = \"measured 1 mOhm\"\n\"r at b.-\" = \"measured 4.7 mOhm\"\n[states]\ns = { on = [\"h\"] }",
    );
    // 1 (battery) + 140 + 1 + 1 + 4.7 mOhm of joints + 2 x 1.15 mOhm of wire: 150 mOhm.
    let wire = bench.wire("w");
    let amps = put_in(&bench, |_| Probe::Amps(wire));
    near(amps.value, 1.049_378, 1e-6);
    near(amps.without.expect("a wire"), 1.053_498, 1e-6);
    let clamp = put_in(&bench, |_| Probe::Clamp(wire));
    near(clamp.value, 1.053_498, 1e-6);
}

#[test]
fn the_stiffness_of_a_pair_of_points_is_what_lies_behind_them() {
    let bench = Bench::new(
        "[devices]\nb = { kind = \"agm battery\", rest = \"12.8 V\", resistance = \"5 mOhm\" }\nx = { kind = \"busbar\" }\n[wires]\nw = \"b.+ to x, 16 mm2, 1 m\"\n[usual]\njoint = \"told 1 mOhm\"\n[states]\ns = {}",
    );
    let network = bench.network("s");
    let point = super::settled(&network);
    let [plus, minus] = ["x", "b.-"].map(|t| bench.stud(&network, t));
    let ohm = crate::instrument::source_ohm(&network, &point, plus, minus).expect("joined");
    near(ohm, 0.005 + 1.15e-3 + 0.002, 1e-9);
}
