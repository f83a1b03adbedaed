//! A record solved from end to end against sums on paper.

use super::{Bench, near, settled};

/// Every joint measured, so that nothing is a stand-in.
const JOINTS: &str = "[usual]\njoint = \"told 1 mOhm\"\n";

#[test]
fn a_battery_wires_and_a_resistance_are_ohm_s_law() {
    let bench = Bench::new(&format!(
        "[devices]\nhouse = {{ kind = \"lfp battery\", rest = \"13.2 V\", resistance = \"10 mOhm\" }}\nh = {{ kind = \"heater\", power = \"120 W\" }}\n[wires]\na = \"house.+ to h.+, 2.5 mm2, 3 m, fine\"\nb = \"h.- to house.-, 2.5 mm2, 3 m, fine\"\n{JOINTS}[states]\ns = {{ on = [\"h\"] }}\ncold = {{ on = [\"h\"], temperature = \"-10 C\" }}\noff = {{}}"
    ));
    // 120 W at the nominal 12 V is 1.2 ohm. IEC 60228:2004 Table 3: 2.5 mm2 class 5, 7.98 ohm/km.
    let wires_ohm = 6.0 * 7.98e-3;
    let network = bench.network("s");
    let point = settled(&network);
    let ampere = 13.2 / (0.010 + 4.0 * 0.001 + wires_ohm + 1.2);
    near(bench.ampere(&network, &point, "a"), ampere, 1e-9);
    near(bench.ampere(&network, &point, "b"), ampere, 1e-9);
    near(bench.volt(&network, &point, "h.+", "h.-"), 1.2 * ampere, 1e-9);
    near(bench.volt(&network, &point, "house.+", "house.-"), 13.2 - 0.010 * ampere, 1e-9);
    // At -10 C copper has 1 - 0.00393 x 30 = 0.8821 of its resistance at 20 C.
    let network = bench.network("cold");
    let ampere = 13.2 / (0.010 + 4.0 * 0.001 + 0.8821 * wires_ohm + 1.2);
    near(bench.ampere(&network, &settled(&network), "a"), ampere, 1e-9);
    let network = bench.network("off");
    let point = settled(&network);
    assert!(bench.ampere(&network, &point, "a").abs() < 1e-9);
    near(bench.volt(&network, &point, "h.+", "house.-"), 13.2, 1e-9);
}

#[test]
fn two_batteries_in_parallel_share_a_load_as_millman_says() {
    let bench = Bench::new(&format!(
        "[devices]\none = {{ kind = \"lfp battery\", rest = \"13.3 V\", resistance = \"6 mOhm\" }}\ntwo = {{ kind = \"lfp battery\", rest = \"13.2 V\", resistance = \"14 mOhm\" }}\nplus = {{ kind = \"busbar\" }}\nminus = {{ kind = \"busbar\" }}\nh = {{ kind = \"heater\", power = \"480 W\" }}\n[wires]\na = \"one.+ to plus, 16 mm2, 1 m\"\nb = \"one.- to minus, 16 mm2, 1 m\"\nc = \"two.+ to plus, 16 mm2, 2 m\"\nd = \"two.- to minus, 16 mm2, 2 m\"\ne = \"plus to h.+, 10 mm2, 1 m\"\nf = \"h.- to minus, 10 mm2, 1 m\"\n{JOINTS}[states]\ns = {{ on = [\"h\"] }}\nrest = {{}}"
    ));
    // IEC 60228:2004 Table 2: 16 mm2 1.15 ohm/km, 10 mm2 1.83 ohm/km. 480 W at 12 V is 0.3 ohm.
    let one = 0.006 + 2.0 * 1.15e-3 + 4.0 * 0.001;
    let two = 0.014 + 4.0 * 1.15e-3 + 4.0 * 0.001;
    let load = 0.3 + 2.0 * 1.83e-3 + 4.0 * 0.001;
    let bus = (13.3 / one + 13.2 / two) / (1.0 / one + 1.0 / two + 1.0 / load);
    let network = bench.network("s");
    let point = settled(&network);
    near(bench.volt(&network, &point, "plus", "minus"), bus, 1e-9);
    near(bench.ampere(&network, &point, "a"), (13.3 - bus) / one, 1e-9);
    near(bench.ampere(&network, &point, "c"), (13.2 - bus) / two, 1e-9);
    near(bench.ampere(&network, &point, "e"), bus / load, 1e-9);
    // Without a load the fuller one charges the other; an LFP block takes what comes.
    let network = bench.network("rest");
    let point = settled(&network);
    let between = (13.3 - 13.2) / (one + two);
    near(bench.ampere(&network, &point, "a"), between, 1e-9);
    near(bench.ampere(&network, &point, "c"), -between, 1e-9);
}

#[test]
fn a_motor_draws_what_its_back_emf_leaves_and_most_when_stalled() {
    let text = |emf: &str| {
        format!(
            "[devices]\nhouse = {{ kind = \"lfp battery\", rest = \"13.2 V\", resistance = \"10 mOhm\" }}\nm = {{ kind = \"motor\", armature = \"0.35 Ohm\", back_emf = \"{emf}\" }}\n[wires]\na = \"house.+ to m.+, 2.5 mm2, 1 m\"\nb = \"m.- to house.-, 2.5 mm2, 1 m\"\n{JOINTS}[states]\ns = {{ on = [\"m\"] }}"
        )
    };
    for (emf, volt) in [("8 V", 8.0), ("0 V", 0.0)] {
        let bench = Bench::new(&text(emf));
        let network = bench.network("s");
        let ampere = (13.2 - volt) / (0.010 + 0.004 + 2.0 * 7.41e-3 + 0.35);
        near(bench.ampere(&network, &settled(&network), "a"), ampere, 1e-9);
    }
}

#[test]
fn a_load_of_constant_power_solves_its_quadratic() {
    let bench = Bench::new(&format!(
        "[devices]\nhouse = {{ kind = \"lfp battery\", rest = \"13.2 V\", resistance = \"10 mOhm\" }}\nf = {{ kind = \"compressor fridge\", power = \"60 W\" }}\n[wires]\na = \"house.+ to f.+, 2.5 mm2, 5 m\"\nb = \"f.- to house.-, 2.5 mm2, 5 m\"\n{JOINTS}[states]\ns = {{ on = [\"f\"] }}"
    ));
    // V = (E + sqrt(E^2 - 4 R P)) / 2, from V = E - R P / V.
    let ohm: f64 = 0.010 + 0.004 + 10.0 * 7.41e-3;
    let volt = f64::midpoint(13.2, (13.2_f64 * 13.2 - 4.0 * ohm * 60.0).sqrt());
    let network = bench.network("s");
    let point = settled(&network);
    near(bench.volt(&network, &point, "f.+", "f.-"), volt, 1e-9);
    near(bench.ampere(&network, &point, "a"), 60.0 / volt, 1e-9);
}

#[test]
fn an_inverter_takes_its_load_over_its_efficiency_and_its_idle_power() {
    let bench = Bench::new(&format!(
        "[devices]\nhouse = {{ kind = \"lfp battery\", rest = \"13.2 V\", resistance = \"2 mOhm\" }}\ni = {{ kind = \"inverter\", power = \"900 W\", efficiency = \"90 %\", idle = \"12 W\" }}\n[wires]\na = \"house.+ to i.+, 35 mm2, 1 m\"\nb = \"i.- to house.-, 35 mm2, 1 m\"\n{JOINTS}[states]\ns = {{ on = [\"i\"] }}"
    ));
    let ohm: f64 = 0.002 + 0.004 + 2.0 * 0.524e-3;
    let volt = f64::midpoint(13.2, (13.2_f64 * 13.2 - 4.0 * ohm * 1012.0).sqrt());
    let network = bench.network("s");
    near(bench.ampere(&network, &settled(&network), "a"), 1012.0 / volt, 1e-9);
}

#[test]
fn what_sources_deliver_the_rest_takes_and_no_current_is_lost_on_a_stud() {
    let bench = Bench::new(&format!(
        "[devices]\nhouse = {{ kind = \"lfp battery\", rest = \"13.2 V\" }}\nother = {{ kind = \"agm battery\", rest = \"12.5 V\" }}\nplus = {{ kind = \"busbar\" }}\nminus = {{ kind = \"busbar\" }}\nf = {{ kind = \"compressor fridge\" }}\nl = {{ kind = \"filament lamp\" }}\nm = {{ kind = \"motor\" }}\n[wires]\na = \"house.+ to plus, 16 mm2, 1 m\"\nb = \"house.- to minus, 16 mm2, 1 m\"\nc = \"other.+ to plus, 16 mm2, 1 m\"\nd = \"other.- to minus, 16 mm2, 1 m\"\nf1 = \"plus to f.+, 2.5 mm2, 4 m\"\nf2 = \"f.- to minus, 2.5 mm2, 4 m\"\nl1 = \"plus to l.+, 1 mm2, 4 m\"\nl2 = \"l.- to minus, 1 mm2, 4 m\"\nm1 = \"plus to m.+, 4 mm2, 2 m\"\nm2 = \"m.- to minus, 4 mm2, 2 m\"\n{JOINTS}[states]\ns = {{ on = [\"all loads\"] }}"
    ));
    let network = bench.network("s");
    let point = settled(&network);
    let plus: f64 = ["a", "c"].iter().map(|w| bench.ampere(&network, &point, w)).sum();
    let out: f64 = ["f1", "l1", "m1"].iter().map(|w| bench.ampere(&network, &point, w)).sum();
    near(plus, out, 1e-9);
    let balance: f64 = network.circuit.branches().map(|(id, _)| point.power(id)).sum();
    assert!(balance.abs() < 1e-8 * point.delivered_w, "{balance} W of {}", point.delivered_w);
    for (wire, back) in [("f1", "f2"), ("l1", "l2"), ("m1", "m2"), ("a", "b")] {
        let (out, back) =
            (bench.ampere(&network, &point, wire), bench.ampere(&network, &point, back));
        near(out.abs(), back.abs(), 1e-9);
    }
}
