//! Contradictions between boxes and what is said to be in the way, as diagnostics of the record.

use access::{Blocking, Contradiction, PartIdx, Side};
use catalog::Catalog;
use diag::Diagnostic;
use model::{Direction, Id, PartId, Place, Vehicle};
use record::Record;

/// Adds what the boxes contradict to the faults of the record, in the order of the text.
pub(crate) fn check(record: &mut Record, catalog: &Catalog) {
    let hand_room_m = catalog.limits.get("hand-room", None).value;
    let found: Vec<Diagnostic> = access::contradictions(&record.vehicle, hand_room_m)
        .iter()
        .map(|contradiction| diagnostic(contradiction, record, hand_room_m))
        .collect();
    if !found.is_empty() {
        record.diagnostics.extend(found);
        record.diagnostics.sort_by_key(|fault| (fault.place(), std::cmp::Reverse(fault.severity)));
    }
}

fn diagnostic(contradiction: &Contradiction, record: &Record, hand_room_m: f64) -> Diagnostic {
    let vehicle = &record.vehicle;
    let name = |place: Place| vehicle.place_name(place);
    let at = |place: Place| {
        let key = if matches!(place, Place::Part(_)) { "after" } else { "behind" };
        record.sources.field(place, key).unwrap_or_else(|| record.sources.span(place))
    };
    let box_of = |place: Place| {
        record.sources.field(place, "box").unwrap_or_else(|| record.sources.span(place))
    };
    let part_box = |part: PartId| box_of(Place::Part(vehicle.parts[part].moved.unwrap_or(part)));
    match contradiction {
        Contradiction::NotInTheWay { place, part } => {
            let other = &vehicle.parts[*part].name;
            let message = format!(
                "`{other}` is said to be in the way of `{}`, but its box is beside it on every side",
                name(*place)
            );
            Diagnostic::warning("box-not-in-the-way", message, at(*place))
                .and_at(box_of(*place), "")
                .and_at(part_box(*part), "")
                .help(
                    "mend one of the boxes, or what is said to be in the way; nothing was changed",
                )
        }
        Contradiction::OnTheWallSide { place, part, direction } => {
            let other = &vehicle.parts[*part].name;
            let message = format!(
                "`{}` is said to be behind `{other}`, but by the boxes `{other}` is behind it: {}, with \
                 the wall of the vehicle at its back",
                name(*place),
                direction.word()
            );
            Diagnostic::warning("box-on-the-wall-side", message, at(*place))
                .and_at(box_of(*place), "")
                .and_at(part_box(*part), "")
                .help(
                    "mend one of the boxes, or what is said to be in the way; nothing was changed",
                )
        }
        Contradiction::StillShut { place, after, by } => {
            let names: Vec<String> =
                after.iter().map(|part| format!("`{}`", vehicle.parts[*part].name)).collect();
            let first = if names.is_empty() {
                "with nothing out first".to_owned()
            } else {
                format!("after {}", names.join(" and "))
            };
            let message = format!(
                "by the boxes `{}` is still shut in {first}: {}",
                name(*place),
                by.iter().map(|side| side_words(vehicle, side)).collect::<Vec<_>>().join("; ")
            );
            let fault = Diagnostic::warning("box-still-shut", message, at(*place))
                .and_at(box_of(*place), "");
            match asked_for(vehicle, *place, hand_room_m) {
                Some(words) => fault.help(format!("the boxes ask for {words} out first")),
                None => fault,
            }
            .help("mend a box, or write what else is in the way; nothing was changed")
        }
    }
}

/// `up: slats`, `left: the wall`.
fn side_words(vehicle: &Vehicle, (direction, side): &(Direction, Side)) -> String {
    let mut names: Vec<String> = side.parts.iter().map(|part| name_of(vehicle, *part)).collect();
    if side.wall {
        names.push("the wall".to_owned());
    }
    format!("{}: {}", direction.word(), names.join(", "))
}

/// What a part's box asks to be out first, as the record would write it.
fn asked_for(vehicle: &Vehicle, place: Place, hand_room_m: f64) -> Option<String> {
    let Place::Part(part) = place else { return None };
    let boxes = access::boxes(vehicle);
    let blocking = Blocking::of(&boxes, vehicle.inside.value(), hand_room_m);
    let ways: Vec<String> = blocking
        .alternatives(PartIdx(part.index()))
        .iter()
        .map(|set| set.iter().map(|part| name_of(vehicle, *part)).collect::<Vec<_>>().join(" and "))
        .collect();
    (!ways.is_empty()).then(|| format!("`{}`", ways.join(" or ")))
}

fn name_of(vehicle: &Vehicle, part: PartIdx) -> String {
    vehicle.parts[PartId::from_index(part.0)].name.clone()
}
