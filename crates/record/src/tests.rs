//! Tests of the reader, by subject. The form of a record is ours, so the expected values here are
//! what a person reads in the line; figures from elsewhere name their source beside them.

mod agreed;
mod devices;
mod facts;
mod faults;
mod hostile;
mod joints;
mod looks;
mod mutated;
mod observed;
mod openings;
mod parts;
mod patches;
mod photos;
mod schema;
mod states;
mod took;
mod wires;

use diag::{Diagnostic, Severity};
use model::{DeviceId, Fact, Joint, Origin, Part, State, Vehicle, Wire};

use crate::{Record, line_column};

fn read(text: &str) -> Record {
    crate::read(text, &catalog::Catalog::embedded())
}

/// Reads a record that must have no fault at all.
#[track_caller]
fn clean(text: &str) -> Record {
    let record = read(text);
    assert!(record.diagnostics.is_empty(), "{:#?}\nin:\n{text}", record.diagnostics);
    record
}

/// The one fault of this kind.
#[track_caller]
fn only<'r>(record: &'r Record, slug: &str) -> &'r Diagnostic {
    let found: Vec<&Diagnostic> = record.diagnostics.iter().filter(|d| d.slug == slug).collect();
    assert_eq!(found.len(), 1, "{slug}: {:#?}", record.diagnostics);
    found[0]
}

/// The text a fault underlines.
fn underlined<'t>(text: &'t str, fault: &Diagnostic) -> &'t str {
    &text[fault.place().start..fault.place().end]
}

/// What must hold of the faults of any text whatever.
#[track_caller]
fn well_formed(text: &str, record: &Record) {
    for fault in &record.diagnostics {
        assert!(!fault.labels.is_empty(), "{fault:?}");
        for label in &fault.labels {
            let (start, end) = (label.span.start, label.span.end);
            assert!(start <= end && end <= text.len(), "{fault:?} in {} bytes", text.len());
            assert!(text.is_char_boundary(start) && text.is_char_boundary(end), "{fault:?}");
            let place = line_column(text, start);
            assert!(place.line >= 1 && place.column >= 1);
        }
        assert!(!fault.message.is_empty() && fault.message.len() < 2_000, "{fault:?}");
        assert!(!fault.help.is_empty(), "no help: {fault:?}");
        assert!(fault.help.iter().all(|line| !line.trim().is_empty()), "empty help: {fault:?}");
        assert!(fault.severity >= Severity::Warning);
    }
}

fn device(vehicle: &Vehicle, name: &str) -> DeviceId {
    vehicle.devices.find(|device| device.name == name).map(|(id, _)| id).expect("a device")
}

#[track_caller]
fn wire<'v>(vehicle: &'v Vehicle, name: &str) -> &'v Wire {
    vehicle.wires.find(|wire| wire.name == name).map(|(_, wire)| wire).expect("a wire")
}

#[track_caller]
fn part<'v>(vehicle: &'v Vehicle, name: &str) -> &'v Part {
    vehicle.parts.find(|part| part.name == name).map(|(_, part)| part).expect("a part")
}

#[track_caller]
fn state<'v>(vehicle: &'v Vehicle, name: &str) -> &'v State {
    vehicle.states.find(|state| state.name == name).map(|(_, state)| state).expect("a state")
}

/// The joint as people name it: `w12 at fridge.+`.
#[track_caller]
fn joint<'v>(vehicle: &'v Vehicle, name: &str) -> &'v Joint {
    let found = vehicle.joints.ids().find(|id| vehicle.joint_name(*id) == name);
    &vehicle.joints[found.unwrap_or_else(|| panic!("no joint {name}"))]
}

#[track_caller]
fn near(ours: f64, expected: f64) {
    assert!((ours - expected).abs() <= 1e-12 * expected.abs().max(1e-12), "{ours} not {expected}");
}

fn told(by: &str) -> Origin {
    Origin::Told { by: Some(by.to_owned()), on: None }
}

fn why<T>(fact: &Fact<T>) -> &str {
    match fact.origin() {
        Some(Origin::Assumed { why }) => why,
        _ => "",
    }
}
