//! The example vehicles: what was planted in them shows, and their faults agree with ngspice.

use std::collections::HashMap;
use std::process::Command;
use std::sync::OnceLock;

use catalog::Catalog;
use circuit::{REFERENCE, deck_node, netlist};
use model::{Vehicle, WireEnd};
use solve::{BOLTED_OHM, FaultStudy, NodeVoltage};

use super::{studied, vehicle};
use crate::stand::runs;
use crate::{Stand, Study, Word};

const DUNLIN: &str = include_str!("../../../../records/dunlin/dunlin.toml");
const RECORDS: [(&str, &str); 5] = [
    ("dunlin", DUNLIN),
    ("plover", include_str!("../../../../records/plover/plover.toml")),
    ("tarn", include_str!("../../../../records/tarn/tarn.toml")),
    ("bracken", include_str!("../../../../records/bracken/bracken.toml")),
    ("wren", include_str!("../../../../records/wren/wren.toml")),
];

/// The vehicles with their studies in any way they can stand, worked out once.
fn all() -> &'static [(&'static str, Vehicle, Study)] {
    static ALL: OnceLock<Vec<(&'static str, Vehicle, Study)>> = OnceLock::new();
    ALL.get_or_init(|| {
        let one = |(name, text)| {
            let (vehicle, study) = studied(text);
            (name, vehicle, study)
        };
        RECORDS.into_iter().map(one).collect()
    })
}

fn dunlin() -> (&'static Vehicle, &'static Study) {
    let (_, vehicle, study) = &all()[0];
    (vehicle, study)
}

fn of(vehicle: &Vehicle, study: &Study, wire: &str, end: WireEnd) -> (Word, String) {
    let mut rows = study.rows.iter();
    let row = rows.find(|r| vehicle.wires[r.wire].name == wire && r.end == end);
    row.map(|row| (row.verdict.word, row.verdict.why.clone())).unwrap()
}

/// Reasoned out in `records/dunlin/expected.toml`: s1 lies on the battery post without a fuse; the
/// 30 A of the workshop box are too much for m1 and m2.
#[test]
fn the_defects_planted_in_dunlin_show() {
    let (vehicle, study) = dunlin();
    let (word, why) = of(vehicle, study, "s1", WireEnd::To);
    assert_eq!(word, Word::BurnsFirst, "{why}");
    assert!(why.contains("nothing opens between house"), "{why}");
    for wire in ["m1", "m2"] {
        assert_eq!(of(vehicle, study, wire, WireEnd::From).0, Word::Overheats, "{wire}");
    }
    // The fuse in way 10 could not be read.
    assert_eq!(of(vehicle, study, "t1", WireEnd::From).0, Word::CannotTell);
}

/// By hand in the same file: the battery drives more than a thousand ampere into s1, 12.64 V over its
/// 4 mOhm and 6 mOhm of wire; its resistance is assumed, so it may be twice or half that.
#[test]
fn the_fault_level_at_dunlins_battery_spans_the_reasoned_figure() {
    let (vehicle, study) = dunlin();
    let s1 = study.rows.iter().find(|r| vehicle.wires[r.wire].name == "s1" && r.end == WireEnd::To);
    let far_a = s1.unwrap().far_a;
    assert!(far_a.contains(12.64 / 0.010), "{far_a:?}");
}

#[test]
fn every_record_is_judged_without_trouble_and_names_what_is_missing() {
    for (name, vehicle, study) in all() {
        assert!(study.rows.len() > 15, "{name}: {}", study.rows.len());
        for row in &study.rows {
            let wire = &vehicle.wires[row.wire].name;
            let asks = !row.verdict.missing.is_empty();
            assert_eq!(asks, row.verdict.word == Word::CannotTell, "{name} {wire}");
            assert!(row.far_a.low() > 0.0 && row.near_a.high().is_finite(), "{name} {wire}");
        }
    }
}

#[test]
fn a_state_is_judged_as_it_stands() {
    let vehicle = vehicle(DUNLIN);
    let catalog = Catalog::embedded();
    let (rest, _) = vehicle.states.find(|state| state.name == "rest").unwrap();
    let (driving, _) = vehicle.states.find(|state| state.name == "driving").unwrap();
    let level = |state| {
        let study = crate::study(&vehicle, &catalog, Stand::State(state));
        let at = study.levels.iter().find(|l| vehicle.terminal_name(l.terminal) == "starter.+");
        at.unwrap().ampere_a.high()
    };
    assert!(level(driving) > level(rest) + 50.0, "the alternator adds what it can");
}

/// Reference: ngspice 39 or later on the exported deck with the fault in it, every known node voltage
/// to one part in a million, or to 1e-8 of the highest one: to that ngspice and an independent nodal
/// solver agree on the check networks.
#[test]
fn faults_of_the_example_vehicles_agree_with_ngspice() {
    let mut decks = 0;
    let catalog = Catalog::embedded();
    for (name, text) in RECORDS {
        let vehicle = vehicle(text);
        let mut run = runs(&vehicle, &catalog, Stand::Any).swap_remove(0);
        for wire in vehicle.wires.ids().take(40).step_by(9) {
            let end = run.network.graph.wire_end(wire, WireEnd::To);
            let Some(node) = run.network.node(end).filter(|node| *node != REFERENCE) else {
                continue;
            };
            let fault = run.study.at(node, REFERENCE, BOLTED_OHM).unwrap();
            let (plain, guards) = &run.plain;
            let change = FaultStudy::change(node, REFERENCE, BOLTED_OHM);
            let faulted = plain.changed(&[change]).unwrap();
            let deck = netlist(&faulted, name, guards);
            let spice = ngspice(&deck, &format!("{name}-{}", model::Id::index(wire)));
            let highest_v = spice.values().fold(0.0_f64, |most, volt| most.max(volt.abs()));
            let mut compared = 0;
            for k in 1..faulted.node_count() as u32 {
                let node = circuit::NodeId(k);
                let theirs = spice.get(&deck_node(&faulted, node));
                if let (NodeVoltage::Known(ours), Some(theirs)) = (fault.voltage(node), theirs) {
                    let near = (ours - theirs).abs() <= 1e-6 * theirs.abs() + 1e-8 * highest_v;
                    let label = faulted.node_name(node);
                    assert!(near, "{name} {label}: {ours} ngspice {theirs}");
                    compared += 1;
                }
            }
            assert!(compared > 20, "{name}: {compared} nodes compared");
            decks += 1;
        }
    }
    assert!(decks >= 8, "{decks} decks compared");
}

/// Runs a deck through ngspice and reads `v(node) = number` lines. A missing ngspice is a failure.
fn ngspice(deck: &str, stem: &str) -> HashMap<String, f64> {
    let path = std::env::temp_dir().join(format!("{stem}-{}.cir", std::process::id()));
    std::fs::write(&path, deck).unwrap();
    let run = Command::new("ngspice").args(["-b", "-n"]).arg(&path).output();
    std::fs::remove_file(&path).ok();
    let output = run.expect("ngspice starts; `cargo xtask test` installs it");
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    text.lines()
        .filter_map(|line| {
            let (name, value) = line.strip_prefix("v(")?.split_once(") = ")?;
            Some((name.to_owned(), value.trim().parse().ok()?))
        })
        .collect()
}
