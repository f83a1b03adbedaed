//! Generated vehicles are records that the program reads, of the size that was asked for, whose
//! states have an operating point.

use analysis::Case;
use catalog::Catalog;
use diag::Severity;
use model::Vehicle;
use solve::Outcome;
use testkit::{Options, Size, vehicle, vehicle_with};

fn sizes(seed: u64) -> Size {
    let wires = [30, 45, 60, 81, 99, 120, 150, 200, 300, 31][seed as usize % 10];
    Size { wires, parts: 10 + (7 * seed as usize) % 91 }
}

fn read(text: &str) -> Vehicle {
    let read = record::read(text, &Catalog::embedded());
    let faults: Vec<String> = read
        .diagnostics
        .iter()
        .filter(|diagnostic| diagnostic.severity == Severity::Error)
        .map(|diagnostic| {
            let span = diagnostic.place();
            format!("{}: `{}`", diagnostic.message, &text[span.start..span.end])
        })
        .collect();
    assert!(faults.is_empty(), "{}\n{text}", faults.join("\n"));
    read.vehicle
}

fn settles(vehicle: &Vehicle, what: &str) {
    let catalog = Catalog::embedded();
    for (_, state) in vehicle.states.iter() {
        let network = network::build(vehicle, state, &catalog);
        match solve::settle(&network.circuit) {
            Outcome::Settled(_) => {}
            Outcome::Hunts { guards, .. } => assert!(!guards.is_empty()),
            Outcome::Trouble(trouble) => panic!("{what}, {}: {trouble:?}", state.name),
        }
    }
}

#[test]
fn fifty_vehicles_read_without_errors_and_settle() {
    for seed in 0..50 {
        let size = sizes(seed);
        let vehicle = read(&vehicle(seed, size));
        assert_eq!(vehicle.wires.len(), size.wires, "seed {seed}");
        assert_eq!(vehicle.parts.len(), size.parts, "seed {seed}");
        settles(&vehicle, &format!("seed {seed}"));
    }
}

#[test]
fn a_vehicle_of_a_thousand_wires_settles() {
    let vehicle = read(&vehicle(7, Size { wires: 1000, parts: 100 }));
    assert_eq!((vehicle.wires.len(), vehicle.parts.len()), (1000, 100));
    settles(&vehicle, "a thousand wires");
}

#[test]
fn every_load_is_on_in_a_state() {
    for seed in 0..10 {
        let vehicle = read(&vehicle(seed, sizes(seed)));
        for (id, device) in vehicle.devices.iter().filter(|(_, d)| d.role.is_dc_load()) {
            let on = vehicle.states.iter().any(|(_, state)| state.on.contains(&id));
            assert!(on, "seed {seed}: {} is on in no state", device.name);
        }
    }
}

#[test]
fn checks_and_ways_in_run_on_generated_vehicles() {
    let mut looked_at = 0;
    for seed in [0, 3, 6] {
        let vehicle = vehicle(seed, sizes(seed));
        let review = Case::of(&vehicle).review();
        assert_eq!(review.states.len(), read(&vehicle).states.len(), "seed {seed}");
        looked_at += review.findings.len();
    }
    assert!(looked_at > 0, "no check had anything to say");
}

#[test]
fn the_same_seed_gives_the_same_vehicle_and_another_seed_another() {
    let size = Size { wires: 120, parts: 60 };
    assert_eq!(vehicle(4, size), vehicle(4, size));
    assert_ne!(vehicle(4, size), vehicle(5, size));
}

#[test]
fn devices_lie_behind_parts_and_parts_behind_parts() {
    let vehicle = read(&vehicle(2, Size { wires: 150, parts: 60 }));
    let hidden = vehicle
        .devices
        .iter()
        .filter(|(_, device)| {
            device.reach.value().is_some_and(|r| r.iter().all(|way| !way.is_empty()))
        })
        .count();
    assert!(hidden * 3 > vehicle.devices.len(), "{hidden} of {}", vehicle.devices.len());
    let nested = vehicle.removals.iter().filter(|(_, removal)| !removal.needs.is_empty()).count();
    assert!(nested * 3 > vehicle.parts.len(), "{nested} of {}", vehicle.parts.len());
}

#[test]
fn more_unknown_facts_are_written_when_asked_for() {
    let size = Size { wires: 150, parts: 60 };
    let unknown = |share| {
        let options = Options { unknown: share, ..Options::default() };
        let text = vehicle_with(3, size, &options).text;
        read(&text);
        text.matches("unknown").count()
    };
    assert_eq!(unknown(0.0), 0);
    assert!(unknown(0.1) > 0 && unknown(0.1) < unknown(0.5), "shares differ");
}

#[test]
fn defects_of_building_are_seeded_only_when_asked_for_and_found() {
    let size = Size { wires: 60, parts: 20 };
    assert!(vehicle_with(3, size, &Options::default()).defects.is_empty());
    let options = Options { unknown: 0.0, defects: 0.4 };
    let built = vehicle_with(3, size, &options);
    assert!(built.defects.len() > 3, "{:?}", built.defects);
    let review = Case::of(&built.text).review();
    for seeded in &built.defects {
        let place = format!("wire {}", seeded.at);
        let found = review.findings.iter().any(|finding| {
            let places = std::iter::once(&finding.place).chain(&finding.related);
            finding.check == seeded.check
                && finding.verdict == "fails"
                && places.into_iter().any(|known| known.name == place)
        });
        let named: Vec<&str> = review.findings.iter().map(|f| f.place.name.as_str()).collect();
        assert!(found, "{seeded:?} was not found: {named:?}");
    }
}
