//! What the sums had to assume is listed, each once, with its reason.

use super::{Bench, settled};
use crate::Item;

fn listed(bench: &Bench, state: &str) -> Vec<(String, String, Item)> {
    let network = bench.network(state);
    network.assumptions.iter().map(|a| (a.what.clone(), a.why.clone(), a.item)).collect()
}

#[test]
fn what_nobody_recorded_is_a_stand_in_and_listed() {
    let bench = Bench::new(
        "[devices]\nhouse = { kind = \"agm battery\", rest = \"13.2 V\", resistance = \"5 mOhm\", holds = \"100 Ah\", nominal = \"12 V\" }\nf = { kind = \"blade fuse\" }\n[wires]\nw = \"house.+ to f.in\"\nx = \"f.out to house.-, 6 mm2, 2 m\"\n[joints]\n\"x at f.out\" = \"lug\"\n\"x at house.-\" = \"2 mOhm\"\n[states]\ns = { charge = { house = \"50 %\" }, open = [\"f\"] }\nt = { charge = { house = \"50 %\" } }",
    );
    let assumed = listed(&bench, "t");
    let has = |what: &str, item: Item| {
        let found = assumed.iter().filter(|(w, why, i)| {
            w.starts_with(what) && *i == item && why == "not recorded; stand-in for the sums"
        });
        assert_eq!(found.count(), 1, "{what} of {item:?} in {assumed:#?}");
    };
    has("size 2.5 mm", Item::Wire(bench.wire("w")));
    has("length 3 m", Item::Wire(bench.wire("w")));
    has("joint 1 m", Item::Joint(bench.joint("w at house.+")));
    has("joint 1 m", Item::Joint(bench.joint("w at f.in")));
    has("lug 0.05 m", Item::Joint(bench.joint("x at f.out")));
    has("resistance 5 m", Item::Device(bench.device("f")));
    has("stranded core", Item::Wire(bench.wire("w")));
    has("stranded core", Item::Wire(bench.wire("x")));
    assert_eq!(assumed.len(), 8, "nothing that was recorded is listed: {assumed:#?}");
}

/// What the device models ask for where nothing is known has a usual value in the catalog; none of
/// them stands in this crate.
#[test]
fn every_number_a_model_falls_back_on_is_usual_for_its_role() {
    use model::{Attribute as A, Role};
    let kinds = catalog::Catalog::embedded().kinds;
    for (role, wanted) in [
        (Role::Battery, &[A::Resistance][..]),
        (Role::Alternator, &[A::Regulates, A::Droop, A::Limit]),
        (Role::DcDcCharger, &[A::Regulates, A::Droop, A::Limit, A::Efficiency, A::Idle]),
        (Role::MainsCharger, &[A::Regulates, A::Droop, A::Limit]),
        (Role::SolarController, &[A::Regulates, A::Droop, A::Limit, A::Efficiency]),
        (Role::DirectController, &[A::Regulates, A::Droop, A::Limit, A::Resistance]),
        (Role::SolarModule, &[A::ShortCurrent, A::OpenVoltage, A::Power]),
        (Role::CombinerRelay, &[A::Resistance, A::CutOut, A::Restart]),
        (Role::Relay, &[A::Coil, A::CutOut, A::Restart, A::Resistance]),
        (Role::Inverter, &[A::Power, A::Idle, A::Efficiency, A::Regulates, A::Droop, A::Limit]),
        (Role::PowerLoad, &[A::Power]),
        (Role::HeatingLoad, &[A::Power]),
        (Role::LampLoad, &[A::Power]),
        (Role::MotorLoad, &[A::Armature, A::BackEmf]),
    ] {
        for attribute in wanted {
            let usual = kinds.usual("no such kind", role, *attribute);
            assert!(usual.is_some_and(|usual| usual > 0.0), "{role:?} {attribute:?}: {usual:?}");
        }
    }
}

#[test]
fn a_battery_of_unknown_chemistry_is_listed_as_flooded() {
    let mut bench = Bench::new("[devices]\nb = { kind = \"agm battery\" }\n[states]\ns = {}");
    let b = bench.device("b");
    bench.vehicle.devices[b].chemistry = model::Fact::Unknown;
    let listed = listed(&bench, "s");
    assert!(
        listed
            .iter()
            .any(|(what, _, item)| what.starts_with("flooded") && *item == Item::Device(b))
    );
}

#[test]
fn usual_values_are_listed_with_the_catalog_s_reason() {
    let bench = Bench::new(
        "[devices]\nhouse = { kind = \"lfp battery\", holds = \"100 Ah\" }\nfridge = { kind = \"compressor fridge\", power = \"60 W\" }\n[wires]\na = \"house.+ to fridge.+, 6 mm2, 1 m\"\nb = \"fridge.- to house.-, 6 mm2, 1 m\"\n[usual]\njoint = \"told 1 mOhm\"\n[states]\ns = { on = [\"fridge\"] }",
    );
    let assumed = listed(&bench, "s");
    let of = |name: &str| -> Vec<&str> {
        let item = Item::Device(bench.device(name));
        assumed.iter().filter(|(_, _, i)| *i == item).map(|(what, ..)| what.as_str()).collect()
    };
    let (house, fridge) = (of("house"), of("fridge"));
    assert!(house.iter().any(|w| w.starts_with("resistance 10 m")), "{house:?}");
    assert!(house.iter().any(|w| w.starts_with("charge 80")), "{house:?}");
    assert!(house.iter().any(|w| w.starts_with("nominal 12 V")), "{house:?}");
    assert!(fridge.iter().any(|w| w.starts_with("cut out 10.4 V")), "{fridge:?}");
    assert!(fridge.iter().any(|w| w.starts_with("restart 11.7 V")), "{fridge:?}");
    assert!(fridge.iter().all(|w| !w.starts_with("power")), "the recorded power is no assumption");
    assert!(assumed.iter().all(|(_, why, _)| !why.is_empty()));
    let mut once = assumed.clone();
    once.dedup();
    assert_eq!(once.len(), assumed.len());
}

#[test]
fn a_usual_threshold_of_a_24_v_vehicle_is_twice_that_of_12_v() {
    let van = |system: &str, restart: &str| {
        Bench::new(&format!(
            "[vehicle]\nsystem = \"{system}\"\n[devices]\nhouse = {{ kind = \"lfp battery\", nominal = \"{system}\" }}\nfridge = {{ kind = \"compressor fridge\"{restart} }}\n[states]\ns = {{ on = [\"fridge\"] }}"
        ))
    };
    let guard = |bench: &Bench| {
        let network = bench.network("s");
        let of_fridge = |guard: &&circuit::Guard| guard.name.starts_with("fridge");
        network.circuit.guards().iter().find(of_fridge).expect("the fridge has one").trip
    };
    let low = |off_below_v, on_from_v| circuit::Trip::LowVoltage { off_below_v, on_from_v };
    assert_eq!(guard(&van("12 V", "")), low(10.4, 11.7));
    assert_eq!(guard(&van("24 V", "")), low(20.8, 23.4));
    // A recorded threshold is taken as it stands, whatever the other is.
    assert_eq!(guard(&van("24 V", ", restart = \"23 V\"")), low(20.8, 23.0));
    assert_eq!(guard(&van("24 V", ", cut_out = \"21.5 V\"")), low(21.5, 23.4));
    // A restart below the cut-out is no threshold; it switches on where it switches off.
    assert_eq!(guard(&van("24 V", ", cut_out = \"24 V\"")), low(24.0, 24.0));
}

#[test]
fn a_wire_of_a_size_no_table_holds_is_replaced_and_said_so_not_taken_for_perfect() {
    let text = "[devices]\nhouse = { kind = \"lfp battery\" }\nh = { kind = \"heater\" }\n[wires]\na = \"house.+ to h.+, 6 mm2, 1 m\"\nb = \"h.- to house.-, 6 mm2, 1 m\"\n[states]\ns = { on = [\"h\"] }";
    let mut bench = Bench::new(text);
    let wire = bench.wire("a");
    for area in [0.0, -1.0, f64::NAN, 1e9] {
        bench.vehicle.wires[wire].area =
            model::Fact::assumed(units::SquareMillimetre::new(area), "test");
        let network = bench.network("s");
        let circuit::Element::Resistor { ohm, .. } = *super::element(&network.circuit, "wire a")
        else {
            panic!()
        };
        // The stand-in: 2.5 mm2, IEC 60228 class 2, 7.41 ohm/km, 1 m.
        super::near(ohm, 7.41e-3, 1e-12);
        let item = Item::Wire(wire);
        assert!(network.assumptions.iter().any(|a| a.item == item && a.why.contains("stand-in")));
        settled(&network);
    }
}
