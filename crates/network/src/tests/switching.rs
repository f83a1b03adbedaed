//! Isolators, relays with coils, motors held fast: published figures and closed forms.

use super::{Bench, near, settled};

/// 37.08756 A into one way of an isolator.
fn isolator(kind: &str) -> Bench {
    Bench::new(&format!(
        "[devices]
alt = {{ kind = \"alternator\", regulates = \"16 V\", limit = \"37.08756 A\" }}
iso = {{ kind = \"{kind}\" }}
house = {{ kind = \"agm battery\", rest = \"12 V\", resistance = \"5 mOhm\", holds = \"2000 Ah\" }}
other = {{ kind = \"agm battery\", rest = \"15.9 V\", resistance = \"5 mOhm\", holds = \"100 Ah\" }}
bar = {{ kind = \"busbar\" }}
[wires]
a = \"alt.+ to iso.in, 35 mm2, 1 m\"
b = \"iso.out1 to house.+, 35 mm2, 1 m\"
o = \"iso.out2 to other.+, 35 mm2, 1 m\"
c = \"house.- to bar, 35 mm2, 1 m\"
p = \"other.- to bar, 35 mm2, 1 m\"
d = \"alt.- to bar, 35 mm2, 1 m\"
[states]
s = {{ engine = \"running\", charge = {{ house = \"20 %\", other = \"50 %\" }} }}"
    ))
}

/// Check network n05 (own design; ngspice 39.3 and an independent nodal analysis): 0.470541 V at
/// 37.08756 A with a saturation current of 5 uA and an emission coefficient of 1.15.
#[test]
fn a_diode_isolator_drops_what_ngspice_says() {
    let bench = isolator("diode isolator");
    let network = bench.network("s");
    let point = settled(&network);
    // 5 uA leak back through the other way.
    near(bench.ampere(&network, &point, "b"), 37.087_56, 1e-6);
    near(bench.volt(&network, &point, "iso.in", "iso.out1"), 0.470_541, 2e-6);
}

#[test]
fn a_low_loss_isolator_drops_its_resistance_and_blocks_the_fuller_battery() {
    let bench = isolator("low-loss isolator");
    let network = bench.network("s");
    let point = settled(&network);
    near(bench.volt(&network, &point, "iso.in", "iso.out1"), 37.087_56 * 0.002, 1e-9);
    assert!(bench.ampere(&network, &point, "o").abs() < 1e-6, "nothing comes back");
}

/// A relay whose coil returns over a joint of the given resistance; a lamp on its work contact and
/// one on its resting contact.
fn relay(earth: &str, state: &str) -> Bench {
    Bench::new(&format!(
        "[devices]
b = {{ kind = \"agm battery\", rest = \"12.8 V\", resistance = \"1 mOhm\" }}
k = {{ kind = \"changeover relay\" }}
work = {{ kind = \"heater\", power = \"60 W\" }}
rest = {{ kind = \"heater\", power = \"60 W\" }}
[wires]
c1 = \"b.+ to k.coil+, 1 mm2, 1 m\"
c2 = \"k.coil- to b.-, 1 mm2, 1 m\"
f = \"b.+ to k.in, 2.5 mm2, 1 m\"
w = \"k.out to work.+, 2.5 mm2, 1 m\"
w2 = \"work.- to b.-, 2.5 mm2, 1 m\"
r = \"k.rest to rest.+, 2.5 mm2, 1 m\"
r2 = \"rest.- to b.-, 2.5 mm2, 1 m\"
[joints]
\"c2 at b.-\" = \"measured {earth}\"
[states]
s = {{ on = [\"work\", \"rest\"], {state} }}"
    ))
}

/// Data sheet of an ISO mini relay (seen second-hand): 85 ohm, operates at 8 V. At 12.8 V the coil
/// sees 8 V with 85 x (12.8/8 - 1) = 51 ohm in its return.
#[test]
fn a_relay_with_a_bad_earth_does_not_pull_in() {
    for (earth, pulls) in [("1 mOhm", true), ("50 Ohm", true), ("52 Ohm", false)] {
        let bench = relay(earth, "");
        let network = bench.network("s");
        let point = settled(&network);
        let [work, rest] = ["w", "r"].map(|wire| bench.ampere(&network, &point, wire));
        assert_eq!(work > 4.0, pulls, "{earth}: {work} A");
        assert_eq!(rest > 4.0, !pulls, "{earth}: {rest} A at rest");
        assert!(work < 1e-9 || rest < 1e-9, "one contact at a time");
    }
}

#[test]
fn a_relay_held_open_joins_nothing_and_its_coil_draws_on() {
    let bench = relay("1 mOhm", "open = [\"k\"]");
    let network = bench.network("s");
    let point = settled(&network);
    assert!(bench.ampere(&network, &point, "w").abs() < 1e-9);
    // 12.8 V/85 ohm: 151 mA, the sheet's 1.7 W at 12 V.
    near(bench.ampere(&network, &point, "c1"), 12.8 / 85.0, 1e-2);
}

#[test]
fn a_combiner_relay_held_open_joins_nothing() {
    let text = |state: &str| {
        format!(
            "[devices]\nalt = {{ kind = \"alternator\", regulates = \"14.4 V\", limit = \"90 A\" }}\nstarter = {{ kind = \"agm battery\", rest = \"12.7 V\" }}\nhouse = {{ kind = \"agm battery\", rest = \"12.2 V\" }}\nr = {{ kind = \"combiner relay\" }}\nbar = {{ kind = \"busbar\" }}\n[wires]\na = \"alt.+ to starter.+, 16 mm2, 1 m\"\nb = \"starter.+ to r.a, 16 mm2, 1 m\"\nc = \"r.b to house.+, 16 mm2, 1 m\"\nd = \"alt.- to bar, 16 mm2, 1 m\"\ne = \"starter.- to bar, 16 mm2, 1 m\"\nf = \"house.- to bar, 16 mm2, 1 m\"\ng = \"r.- to bar, 1 mm2, 1 m\"\n[states]\ns = {{ engine = \"running\"{state} }}"
        )
    };
    for (state, joined) in [("", true), (", open = [\"r\"]", false)] {
        let bench = Bench::new(&text(state));
        let network = bench.network("s");
        let ampere = bench.ampere(&network, &settled(&network), "c");
        assert_eq!(ampere > 0.5, joined, "{ampere} A");
    }
}

/// Shore power charges the house battery through the link only where the relay feels either side.
#[test]
fn a_dual_sensing_relay_also_closes_for_the_house_side() {
    for (kind, joined) in [("combiner relay", false), ("dual-sensing combiner relay", true)] {
        let text = format!(
            "[devices]\nstarter = {{ kind = \"agm battery\", rest = \"12.3 V\" }}\nhouse = {{ kind = \"agm battery\", rest = \"12.8 V\" }}\ninlet = {{ kind = \"shore inlet\" }}\nm = {{ kind = \"mains charger\", regulates = \"14.4 V\", limit = \"40 A\" }}\nr = {{ kind = \"{kind}\" }}\nbar = {{ kind = \"busbar\" }}\n[wires]\nac = \"inlet.ac to m.ac, 3 x 1.5 mm2, 1 m\"\nb = \"starter.+ to r.a, 16 mm2, 1 m\"\nc = \"r.b to house.+, 16 mm2, 1 m\"\nd = \"m.+ to house.+, 16 mm2, 1 m\"\ne = \"starter.- to bar, 16 mm2, 1 m\"\nf = \"house.- to bar, 16 mm2, 1 m\"\ng = \"m.- to bar, 16 mm2, 1 m\"\nh = \"r.- to bar, 1 mm2, 1 m\"\n[states]\ns = {{ shore = \"plugged\", charge = {{ house = \"100 %\", starter = \"50 %\" }} }}"
        );
        let bench = Bench::new(&text);
        let network = bench.network("s");
        let ampere = -bench.ampere(&network, &settled(&network), "b");
        assert_eq!(ampere > 0.5, joined, "{kind}: {ampere} A");
    }
}

/// `i = (E - back EMF)/(Ra + R)`; held fast the back EMF is nothing.
#[test]
fn a_motor_held_fast_draws_what_its_winding_lets_through() {
    for (state, back_emf) in [("", 8.0), (", stalled = [\"m\"]", 0.0)] {
        let bench = Bench::new(&format!(
            "[devices]\nb = {{ kind = \"agm battery\", rest = \"12.6 V\", resistance = \"5 mOhm\" }}\nm = {{ kind = \"motor\", armature = \"0.35 Ohm\", back_emf = \"8 V\" }}\n[wires]\na = \"b.+ to m.+, 16 mm2, 1 m\"\nd = \"m.- to b.-, 16 mm2, 1 m\"\n[usual]\njoint = \"told 1 mOhm\"\n[states]\ns = {{ on = [\"m\"]{state} }}"
        ));
        let network = bench.network("s");
        let ohm = 0.35 + 0.005 + 2.0 * 1.15e-3 + 0.004;
        near(bench.ampere(&network, &settled(&network), "a"), (12.6 - back_emf) / ohm, 1e-9);
    }
}
