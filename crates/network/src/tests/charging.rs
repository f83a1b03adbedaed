//! Chargers, relays and alternators against sums on paper.

use solve::Outcome;

use super::{Bench, near, settled};

/// An engine battery of 13.35 V feeds a charger of 30 A through a joint of `feed` milliohm; the
/// charger fills a house battery of 13.2 V. Everything else is measured.
fn charger(feed_mohm: f64) -> Bench {
    Bench::new(&format!(
        "[devices]
engine = {{ kind = \"lfp battery\", rest = \"13.35 V\", resistance = \"1 mOhm\" }}
house = {{ kind = \"lfp battery\", rest = \"13.2 V\", resistance = \"10 mOhm\" }}
c = {{ kind = \"isolated dc-dc charger\", limit = \"30 A\", efficiency = \"88 %\", idle = \"3 W\", cut_out = \"12.5 V\", restart = \"13.3 V\", regulates = \"14.4 V\", droop = \"10 mOhm\" }}
[wires]
a = \"engine.+ to c.in+, 16 mm2, 1 m\"
b = \"c.in- to engine.-, 16 mm2, 1 m\"
d = \"c.out+ to house.+, 16 mm2, 1 m\"
e = \"house.- to c.out-, 16 mm2, 1 m\"
[joints]
\"a at c.in+\" = \"{feed_mohm:.9} mOhm\"
[usual]
joint = \"told 1 mOhm\"
[states]
s = {{}}"
    ))
}

/// What the charger takes at its input while it delivers 30 A, W. IEC 60228:2004 Table 2: 16 mm2
/// 1.15 ohm/km; output 13.2 V + 30 A x (10 mOhm + 2 x 1.15 mOhm + 4 x 1 mOhm).
fn taken_w() -> f64 {
    let output_v = 13.2 + 30.0 * (0.010 + 2.0 * 1.15e-3 + 4.0 * 0.001);
    output_v * 30.0 / 0.88 + 3.0
}

/// Everything between the engine battery and the charger but the one joint, ohm.
const REST_OHM: f64 = 0.001 + 2.0 * 1.15e-3 + 3.0 * 0.001;

/// The joint at which the charger's own current pulls its input to the lock-out voltage of
/// 12.5 V: `R = (E - V) V / P`, mOhm.
fn limit_mohm() -> f64 {
    1e3 * ((13.35 - 12.5) * 12.5 / taken_w() - REST_OHM)
}

#[test]
fn a_charger_with_a_good_feed_settles_and_delivers_its_limit() {
    let bench = charger(0.999 * limit_mohm());
    let network = bench.network("s");
    let point = settled(&network);
    near(bench.ampere(&network, &point, "d"), 30.0, 1e-9);
    let ohm = REST_OHM + 0.999e-3 * limit_mohm();
    let input_v = f64::midpoint(13.35, (13.35_f64 * 13.35 - 4.0 * ohm * taken_w()).sqrt());
    assert!(input_v > 12.5);
    near(bench.volt(&network, &point, "c.in+", "c.in-"), input_v, 1e-8);
    near(bench.ampere(&network, &point, "a"), taken_w() / input_v, 1e-8);
}

#[test]
fn a_charger_whose_feed_is_a_thousandth_too_poor_hunts() {
    let bench = charger(1.001 * limit_mohm());
    let network = bench.network("s");
    let Outcome::Hunts { between, guards } = solve::settle(&network.circuit) else {
        panic!("does not hunt")
    };
    assert_eq!(between.len(), 2);
    assert_eq!(network.circuit.guards()[guards[0].0 as usize].name, "c lock-out");
    let mut input: Vec<f64> =
        between.iter().map(|p| bench.volt(&network, p, "c.in+", "c.in-")).collect();
    input.sort_by(f64::total_cmp);
    assert!(input[0] < 12.5 && input[0] > 12.49, "just below the lock-out: {input:?}");
    near(input[1], 13.35, 1e-9);
}

#[test]
fn a_charger_stays_off_where_its_source_never_reaches_the_restart_voltage() {
    let bench = Bench::new(
        "[devices]\nengine = { kind = \"lfp battery\", rest = \"13.2 V\" }\nhouse = { kind = \"lfp battery\", rest = \"13 V\" }\nc = { kind = \"dc-dc charger\", cut_out = \"12.5 V\", restart = \"13.3 V\" }\n[wires]\na = \"engine.+ to c.in+, 16 mm2, 1 m\"\nb = \"c.- to engine.-, 16 mm2, 1 m\"\nd = \"c.out+ to house.+, 16 mm2, 1 m\"\ne = \"house.- to c.-, 16 mm2, 1 m\"\n[states]\ns = {}",
    );
    let network = bench.network("s");
    let point = settled(&network);
    assert!(bench.ampere(&network, &point, "d").abs() < 1e-9);
    near(bench.volt(&network, &point, "house.+", "house.-"), 13.0, 1e-9);
}

#[test]
fn an_alternator_falls_along_its_droop_and_no_further_than_its_limit() {
    let text = |engine: &str, power: &str| {
        format!(
            "[devices]\nalt = {{ kind = \"alternator\", regulates = \"14.4 V\", droop = \"20 mOhm\", limit = \"90 A\" }}\nh = {{ kind = \"heater\", power = \"{power}\" }}\n[wires]\na = \"alt.+ to h.+, 16 mm2, 1 m\"\nb = \"h.- to alt.-, 16 mm2, 1 m\"\n[usual]\njoint = \"told 1 mOhm\"\n[states]\ns = {{ engine = \"{engine}\", on = [\"h\"] }}"
        )
    };
    // 480 W at 12 V: 0.3 ohm; IEC 60228:2004 Table 2: 16 mm2 1.15 ohm/km.
    let wires = 2.0 * 1.15e-3 + 0.004;
    let bench = Bench::new(&text("running", "480 W"));
    let network = bench.network("s");
    near(bench.ampere(&network, &settled(&network), "a"), 14.4 / (0.020 + wires + 0.3), 1e-9);
    let bench = Bench::new(&text("running", "2400 W"));
    let network = bench.network("s");
    near(bench.ampere(&network, &settled(&network), "a"), 90.0, 1e-9);
    let bench = Bench::new(&text("off", "480 W"));
    let network = bench.network("s");
    assert!(bench.ampere(&network, &settled(&network), "a").abs() < 1e-9);
}

#[test]
fn a_combiner_relay_joins_two_batteries_once_the_engine_charges() {
    let text = |engine: &str| {
        format!(
            "[devices]\nalt = {{ kind = \"alternator\", regulates = \"14.4 V\", droop = \"20 mOhm\", limit = \"90 A\" }}\nstarter = {{ kind = \"lfp battery\", rest = \"12.7 V\", resistance = \"50 mOhm\" }}\nhouse = {{ kind = \"lfp battery\", rest = \"12.6 V\", resistance = \"50 mOhm\" }}\nr = {{ kind = \"combiner relay\", cut_out = \"12.8 V\", restart = \"13.3 V\" }}\nbar = {{ kind = \"busbar\" }}\n[wires]\na = \"alt.+ to starter.+, 16 mm2, 1 m\"\nb = \"starter.+ to r.a, 16 mm2, 1 m\"\nc = \"r.b to house.+, 16 mm2, 1 m\"\nd = \"alt.- to bar, 16 mm2, 1 m\"\ne = \"starter.- to bar, 16 mm2, 1 m\"\nf = \"house.- to bar, 16 mm2, 1 m\"\ng = \"r.- to bar, 1 mm2, 1 m\"\n[states]\ns = {{ engine = \"{engine}\" }}"
        )
    };
    for (engine, joined) in [("running", true), ("off", false)] {
        let bench = Bench::new(&text(engine));
        let network = bench.network("s");
        let ampere = bench.ampere(&network, &settled(&network), "c");
        assert_eq!(ampere > 1.0, joined, "{engine}: {ampere} A");
    }
}

#[test]
fn a_mains_charger_works_only_with_the_lead_plugged_in() {
    let text = "[devices]\nhouse = { kind = \"lfp battery\", rest = \"13 V\", resistance = \"10 mOhm\" }\ninlet = { kind = \"shore inlet\" }\nc = { kind = \"mains charger\", limit = \"20 A\", regulates = \"14.4 V\" }\n[wires]\nac = \"inlet.ac to c.ac, 3 x 1.5 mm2, 1 m\"\na = \"c.+ to house.+, 6 mm2, 1 m\"\nb = \"house.- to c.-, 6 mm2, 1 m\"\n[states]\nin = { shore = \"plugged\" }\nout = {}";
    let bench = Bench::new(text);
    let network = bench.network("in");
    near(bench.ampere(&network, &settled(&network), "a"), 20.0, 1e-9);
    let network = bench.network("out");
    assert!(bench.ampere(&network, &settled(&network), "a").abs() < 1e-9);
}
