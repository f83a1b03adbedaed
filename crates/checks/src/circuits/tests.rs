//! What belongs together between protective contacts. The expected outcomes follow from the
//! definitions in `circuits.rs` and from how the circuits are drawn; no figure is computed here.

use std::collections::BTreeSet;

use model::Vehicle;
use network::Network;

use super::{Region, Regions, WaysTo, is_base_vehicle, return_points};

/// A vehicle with the network of its first state.
struct Drawn {
    vehicle: Vehicle,
    network: Network,
    regions: Regions,
}

impl Drawn {
    fn new(devices: &str, wires: &str) -> Drawn {
        Drawn::in_state("", devices, wires)
    }

    fn in_state(state: &str, devices: &str, wires: &str) -> Drawn {
        let catalog = catalog::Catalog::embedded();
        let text = format!(
            "unbury = 1\n[devices]\n{devices}\n[wires]\n{wires}\n[states]\nrest = {{ {state} }}\n"
        );
        let record = record::read(&text, &catalog);
        assert!(record.diagnostics.is_empty(), "{:#?}", record.diagnostics);
        let vehicle = record.vehicle;
        let (_, state) = vehicle.states.iter().next().unwrap();
        let network = network::build(&vehicle, state, &catalog);
        let regions = Regions::of(&vehicle, &network);
        Drawn { vehicle, network, regions }
    }

    fn wire(&self, name: &str) -> model::WireId {
        self.vehicle.wires.find(|wire| wire.name == name).unwrap().0
    }

    fn index_of(&self, wire: &str) -> Option<usize> {
        let wire = self.wire(wire);
        self.regions.list.iter().position(|region| region.wires.contains(&wire))
    }

    fn region_of(&self, wire: &str) -> &Region {
        &self.regions.list[self.index_of(wire).unwrap()]
    }

    fn sources(&self, wire: &str) -> BTreeSet<&str> {
        let sources = &self.region_of(wire).sources;
        sources.iter().map(|id| self.vehicle.devices[*id].name.as_str()).collect()
    }

    fn borders(&self, wire: &str) -> BTreeSet<&str> {
        self.region_of(wire).border.iter().map(|border| border.label.as_str()).collect()
    }

    /// Labels of the protective contacts through which the wire is fed.
    fn fed_through(&self, wire: &str) -> BTreeSet<String> {
        let feeds = self.regions.feeds(&self.vehicle, self.index_of(wire).unwrap());
        feeds.into_iter().map(|border| border.label).collect()
    }

    fn terminal(&self, device: &str, terminal: &str) -> model::TerminalId {
        let (id, _) = self.vehicle.devices.find(|item| item.name == device).unwrap();
        self.vehicle.terminal_of(id, terminal).unwrap()
    }
}

const LINKED: &str = r#"
starter    = { kind = "starter battery" }
house      = { kind = "agm battery" }
start-fuse = { kind = "strip fuse", rated = "100 A" }
house-fuse = { kind = "strip fuse", rated = "60 A" }
relay      = { kind = "combiner relay" }
"#;

#[test]
fn a_fuse_parts_two_regions() {
    let drawn = Drawn::new(
        "house = { kind = 'lfp battery' }\nfuse = { kind = 'strip fuse' }\npump = { kind = 'water pump' }",
        "w1 = 'house.+ to fuse.in, 0.3 m'\nw2 = 'fuse.out to pump.+, 3 m'\nw3 = 'pump.- to house.-, 3 m'",
    );
    assert_eq!(drawn.sources("w1"), BTreeSet::from(["house"]));
    assert_eq!(drawn.sources("w2"), BTreeSet::new());
    assert_eq!(drawn.fed_through("w2"), BTreeSet::from(["fuse".to_owned()]));
    assert_eq!(drawn.fed_through("w1"), BTreeSet::new());
    assert_eq!(drawn.index_of("w3"), None, "a return is no feed");
}

#[test]
fn a_fuse_that_is_out_still_parts_and_an_open_switch_still_joins() {
    let drawn = Drawn::in_state(
        "open = ['fuse', 'isolator']",
        "house = { kind = 'lfp battery' }\nisolator = { kind = 'isolator' }\nfuse = { kind = 'strip fuse' }\npump = { kind = 'water pump' }",
        "w1 = 'house.+ to isolator.in'\nw2 = 'isolator.out to fuse.in'\nw3 = 'fuse.out to pump.+'",
    );
    assert_eq!(drawn.index_of("w1"), drawn.index_of("w2"));
    assert_ne!(drawn.index_of("w2"), drawn.index_of("w3"));
    assert_eq!(drawn.fed_through("w3"), BTreeSet::from(["fuse".to_owned()]));
}

#[test]
fn a_relay_joins_what_is_on_its_two_sides() {
    let drawn = Drawn::new(
        LINKED,
        "c1 = 'starter.+ to start-fuse.in'\nc2 = 'start-fuse.out to relay.a'\nc3 = 'relay.b to house-fuse.in'\nc4 = 'house-fuse.out to house.+'",
    );
    assert_eq!(drawn.index_of("c2"), drawn.index_of("c3"));
    assert_eq!(drawn.sources("c2"), BTreeSet::new());
    assert_eq!(
        drawn.fed_through("c2"),
        BTreeSet::from(["start-fuse".to_owned(), "house-fuse".to_owned()])
    );
    assert_eq!(drawn.sources("c4"), BTreeSet::from(["house"]));
    assert_eq!(drawn.fed_through("c4"), BTreeSet::from(["house-fuse".to_owned()]));
}

#[test]
fn without_a_fuse_between_them_two_sources_share_a_region() {
    let drawn = Drawn::new(
        LINKED,
        "c1 = 'starter.+ to start-fuse.in'\nc2 = 'start-fuse.out to relay.a'\nc3 = 'relay.b to house.+'\nc4 = 'house.+ to house-fuse.in'",
    );
    assert_eq!(drawn.sources("c2"), BTreeSet::from(["house"]));
    assert_eq!(drawn.borders("c2"), BTreeSet::from(["start-fuse", "house-fuse"]));
    assert_eq!(drawn.fed_through("c2"), BTreeSet::from(["start-fuse".to_owned()]));
}

#[test]
fn a_converter_does_not_join_its_two_sides() {
    let drawn = Drawn::new(
        "starter = { kind = 'starter battery' }\nhouse = { kind = 'agm battery' }\nbooster = { kind = 'dc-dc charger' }",
        "c1 = 'starter.+ to booster.in+'\nc2 = 'booster.out+ to house.+'",
    );
    assert_eq!(drawn.sources("c1"), BTreeSet::from(["starter"]));
    assert_eq!(drawn.sources("c2"), BTreeSet::from(["booster", "house"]));
}

#[test]
fn a_charger_behind_a_fuse_does_not_count_as_feeding_through_it() {
    let drawn = Drawn::new(
        "house = { kind = 'lfp battery' }\nbreaker = { kind = 'breaker', rated = '60 A' }\nsolar = { kind = 'solar controller' }",
        "w1 = 'house.+ to breaker.in'\nw2 = 'breaker.out to solar.+'",
    );
    assert_eq!(drawn.fed_through("w2"), BTreeSet::from(["breaker".to_owned()]));
    assert_eq!(drawn.fed_through("w1"), BTreeSet::new());
}

#[test]
fn the_middle_of_a_series_bank_is_feed_and_no_return() {
    let drawn = Drawn::new(
        "low = { kind = 'agm battery' }\nhigh = { kind = 'agm battery' }\nfuse = { kind = 'strip fuse' }",
        "link = 'low.+ to high.-'\nw1 = 'high.+ to fuse.in'",
    );
    let returns = return_points(&drawn.vehicle, &drawn.network);
    let is_return = |device, terminal| {
        returns.contains(&drawn.network.graph.stud(drawn.terminal(device, terminal)))
    };
    assert!(is_return("low", "-"));
    assert!(!is_return("high", "-"));
    assert_eq!(drawn.sources("link"), BTreeSet::from(["low"]));
    assert_eq!(drawn.sources("w1"), BTreeSet::from(["high"]));
}

#[test]
fn a_bypassed_fuse_is_no_border() {
    let drawn = Drawn::new(
        "house = { kind = 'lfp battery' }\nfuse = { kind = 'strip fuse' }\npump = { kind = 'water pump' }",
        "w1 = 'house.+ to fuse.in'\nw2 = 'fuse.out to pump.+'\nbypass = 'house.+ to pump.+'",
    );
    assert_eq!(drawn.sources("w2"), BTreeSet::from(["house"]));
    assert_eq!(drawn.borders("w2"), BTreeSet::new());
}

#[test]
fn an_unseen_wire_may_feed_what_nothing_else_feeds() {
    let drawn = Drawn::new(
        "box = { kind = 'blade fuse box', ways = ['unknown lamp'] }\nlamp = { kind = 'filament lamp' }",
        "w1 = 'unknown to box.in'\nw2 = 'box.1 to lamp.+'",
    );
    assert_eq!(drawn.fed_through("w2"), BTreeSet::from(["box way 1".to_owned()]));
    assert_eq!(drawn.fed_through("w1"), BTreeSet::new());
}

#[test]
fn each_way_of_a_fuse_box_is_a_border_of_its_own() {
    let drawn = Drawn::new(
        "house = { kind = 'lfp battery' }\nbox = { kind = 'blade fuse box', ways = ['15 A fridge', 'empty', '10 A pump'] }\npump = { kind = 'water pump' }",
        "w1 = 'house.+ to box.in'\nw2 = 'box.3 to pump.+'\nw3 = 'pump.- to house.-'",
    );
    assert_eq!(drawn.borders("w1"), BTreeSet::from(["box way 1", "box way 3"]));
    assert_eq!(drawn.fed_through("w2"), BTreeSet::from(["box way 3".to_owned()]));
}

#[test]
fn the_makers_wiring_has_both_ends_on_the_base_vehicle() {
    let drawn = Drawn::new(
        "starter = { kind = 'starter battery' }\nalternator = { kind = 'alternator' }\nmotor = { kind = 'starter motor' }\nearth = { kind = 'chassis point' }\nbooster = { kind = 'dc-dc charger' }",
        "k1 = 'starter.+ to motor.+'\nk2 = 'alternator.+ to starter.+'\nk3 = 'starter.- to earth'\nc1 = 'starter.+ to booster.in+'\nc2 = 'starter.+ to unknown'",
    );
    let is_makers = |name| is_base_vehicle(&drawn.vehicle, drawn.wire(name));
    assert!(is_makers("k1") && is_makers("k2") && is_makers("k3"));
    assert!(!is_makers("c1") && !is_makers("c2"));
}

#[test]
fn a_way_runs_over_fuses_and_ends_at_the_nearest() {
    let drawn = Drawn::new(
        "house = { kind = 'lfp battery' }\nfuse = { kind = 'strip fuse' }\npump = { kind = 'water pump' }\nbooster = { kind = 'dc-dc charger' }\nfan = { kind = 'fan' }",
        "w1 = 'house.+ to fuse.in'\nw2 = 'fuse.out to pump.+'\nc1 = 'house.+ to booster.in+'\nc2 = 'booster.out+ to fan.+'",
    );
    let to = [drawn.terminal("house", "+")];
    let names = |from| {
        let wires = WaysTo::of(&drawn.network, to).from(&drawn.network, from)?;
        Some(wires.iter().map(|id| drawn.vehicle.wires[*id].name.clone()).collect::<Vec<_>>())
    };
    let expected = vec!["w2".to_owned(), "w1".to_owned()];
    assert_eq!(names(drawn.terminal("pump", "+")), Some(expected));
    assert_eq!(names(drawn.terminal("fan", "+")), None, "a converter is no metal");
}
