//! Each kind of source that practice knows in converted vehicles is found (`catalog/data/dead.toml`,
//! fourteen kinds; a list of the trade, no published source). Airbags are no source of a wire: that a
//! plan says so is tested with the plans.

use std::collections::BTreeSet;

use catalog::Catalog;
use live::Status::{Live, MayBeLive};

use crate::see;

/// Kind, devices, wires, state; a wire that must be energised, how, and by what.
type Row = (
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    (&'static str, live::Status, &'static str),
);

const ROWS: [Row; 13] = [
    (
        "house-battery",
        "house = { kind = \"lfp battery\" }\nlamp = { kind = \"led lights\" }",
        "w = \"house.+ to lamp.+\"",
        "",
        ("w", Live, "house"),
    ),
    (
        "vehicle-battery",
        "second = { kind = \"second vehicle battery\" }\nlamp = { kind = \"led lights\" }",
        "w = \"second.+ to lamp.+\"",
        "",
        ("w", Live, "second"),
    ),
    // With the battery gone altogether.
    (
        "sun",
        "panel = { kind = \"solar module\" }\nsolar = { kind = \"solar controller\" }\nlamp = { kind = \"led lights\" }",
        "p = \"panel.+ to solar.pv+\"\nw = \"solar.+ to lamp.+\"",
        "sun = \"500 W/m2\"",
        ("w", MayBeLive, "panel"),
    ),
    (
        "engine",
        "alternator = { kind = \"alternator\" }\ncharger = { kind = \"dc-dc charger\" }\nlamp = { kind = \"led lights\" }",
        "a = \"alternator.+ to charger.in+\"\nw = \"charger.out+ to lamp.+\"",
        "engine = \"running\"",
        ("w", Live, "charger"),
    ),
    (
        "inverter",
        "house = { kind = \"lfp battery\" }\ninverter = { kind = \"inverter\" }\nsocket = { kind = \"mains socket\" }",
        "h = \"house.+ to inverter.+\"\nw = \"inverter.out.L to socket.L\"",
        "on = [\"inverter\"], shore = \"unplugged\"",
        ("w", Live, "inverter"),
    ),
    (
        "shore",
        "inlet = { kind = \"shore inlet\" }\nsocket = { kind = \"mains socket\" }",
        "w = \"inlet.N to socket.N\"",
        "shore = \"plugged\"",
        ("w", Live, "inlet"),
    ),
    (
        "generator",
        "set = { kind = \"generator\" }\nsocket = { kind = \"mains socket\" }",
        "w = \"set.L to socket.L\"",
        "on = [\"set\"]",
        ("w", Live, "set"),
    ),
    // Behind an open isolator.
    (
        "capacitors",
        "house = { kind = \"lfp battery\" }\nmain = { kind = \"isolator\" }\namp = { kind = \"amplifier\" }",
        "h = \"house.+ to main.in\"\nw = \"main.out to amp.+\"\nn = \"amp.- to house.-\"",
        "open = [\"main\"]",
        ("w", MayBeLive, "amp"),
    ),
    (
        "back-up-cells",
        "main = { kind = \"isolator\" }\nsiren = { kind = \"alarm siren\" }",
        "w = \"main.out to siren.+\"",
        "open = [\"main\"]",
        ("w", MayBeLive, "siren"),
    ),
    (
        "board-cells",
        "main = { kind = \"isolator\" }\nheater = { kind = \"diesel heater\", own_cell = true }",
        "w = \"main.out to heater.+\"",
        "open = [\"main\"]",
        ("w", MayBeLive, "heater"),
    ),
    (
        "power-station",
        "box = { kind = \"power station\" }\nlamp = { kind = \"led lights\" }",
        "w = \"box.+ to lamp.+\"",
        "",
        ("w", MayBeLive, "box"),
    ),
    (
        "trailer",
        "tow = { kind = \"trailer socket\" }\nlamp = { kind = \"led lights\" }",
        "w = \"tow.+ to lamp.+\"",
        "on = [\"tow\"]",
        ("w", Live, "tow"),
    ),
    (
        "high-voltage",
        "drive = { kind = \"high-voltage battery\" }",
        "w = \"drive.+ to unknown\"",
        "",
        ("w", Live, "drive"),
    ),
];

#[test]
fn every_kind_of_source_energises_what_is_joined_to_it() {
    for (key, devices, wires, state, (wire, status, source)) in ROWS {
        let seen = see(devices, wires, state);
        assert_eq!(seen.status(wire), status, "{key}");
        assert!(seen.sources(wire).contains(&source), "{key}: {:?}", seen.sources(wire));
    }
}

#[test]
fn the_rows_are_all_kinds_of_the_catalog_but_airbags() {
    let known: BTreeSet<String> =
        Catalog::embedded().dead.sources.into_iter().map(|kind| kind.key).collect();
    let mut rows: BTreeSet<String> = ROWS.iter().map(|row| row.0.to_owned()).collect();
    rows.insert("airbags".to_owned());
    assert_eq!((rows.len(), &rows), (14, &known));
}

#[test]
fn every_kind_of_source_names_kinds_of_devices_there_are() {
    let catalog = Catalog::embedded();
    for source in &catalog.dead.sources {
        for kind in &source.kinds {
            assert!(catalog.kinds.get(kind).is_some(), "{}: {kind}", source.key);
        }
    }
}

#[test]
fn trailer_socket_with_nothing_plugged_in_feeds_nothing() {
    let devices = "tow = { kind = \"trailer socket\" }\nlamp = { kind = \"led lights\" }";
    let seen = see(devices, "w = \"tow.+ to lamp.+\"", "");
    assert_eq!(seen.status("w"), live::Status::NotReached);
}

#[test]
fn cell_the_record_rules_out_feeds_nothing() {
    let devices = "siren = { kind = \"alarm siren\", own_cell = false }";
    let seen = see(devices, "w = \"siren.+ to unknown\"", "");
    assert_eq!(seen.status("w"), live::Status::NotReached);
}

#[test]
fn store_is_not_told_where_a_battery_certainly_feeds() {
    let devices = "house = { kind = \"lfp battery\" }\namp = { kind = \"amplifier\" }";
    let seen = see(devices, "w = \"house.+ to amp.+\"\nn = \"amp.- to house.-\"", "");
    assert_eq!(seen.sources("w"), ["house"]);
}

#[test]
fn what_is_taken_away_by_hand_conducts_and_feeds_no_more() {
    let devices = "house = { kind = \"lfp battery\" }\nlamp = { kind = \"led lights\" }";
    let seen = see(devices, "w = \"house.+ to lamp.+\"\nn = \"lamp.- to house.-\"", "");
    let catalog = Catalog::embedded();
    let (_, state) = seen.vehicle.states.find(|state| state.name == "s").unwrap();
    let network = network::build(&seen.vehicle, state, &catalog);
    let (house, _) = seen.vehicle.devices.find(|device| device.name == "house").unwrap();
    let (wire, _) = seen.vehicle.wires.find(|wire| wire.name == "w").unwrap();
    let status =
        |cuts: &live::Cuts| live::map_with(&seen.vehicle, state, &network, cuts).wire(wire).status;
    assert_eq!(status(&live::Cuts::default()), Live);
    let sources = BTreeSet::from([house]);
    assert_eq!(status(&live::Cuts { sources, ..live::Cuts::default() }), live::Status::NotReached);
    let joint = seen.vehicle.wires[wire].end(model::WireEnd::From).joint;
    let links = network.graph.links();
    let links = links.filter(|(_, link)| link.item == network::Item::Joint(joint));
    let links: BTreeSet<_> = links.map(|(id, _)| id).collect();
    assert_eq!(status(&live::Cuts { links, ..live::Cuts::default() }), live::Status::NotReached);
}
