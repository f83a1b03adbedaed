//! Opening times of the devices before the wires that are worst protected.

use analysis::{Case, TripView};
use draw::chart::{ForGood, Prospective, Trip, TripPoint, Withstand};

use super::{MOST, closed, picture, stem};
use crate::Picture;
use crate::voice::Voice;

/// A chart for each of the worst wires that have a device with known opening times; wires of one size
/// behind one device share theirs.
pub(crate) fn trips(case: &Case, voice: &Voice<'_>) -> Vec<Picture> {
    let views = case.trips();
    let mut groups: Vec<Vec<&TripView>> = Vec::new();
    for view in &views {
        // Of a wire's two ends the worse comes first.
        if groups.iter().flatten().any(|known| known.wire == view.wire) {
            continue;
        }
        match groups.iter_mut().find(|group| are_alike(group[0], view)) {
            Some(group) => group.push(view),
            None => groups.push(vec![view]),
        }
    }
    groups.truncate(MOST);
    let one = |group: &Vec<&TripView>| {
        let first = group[0];
        let wires: Vec<&str> = group.iter().map(|view| view.wire.as_str()).collect();
        let (wires, verdict) = (wires.join(", "), first.verdict.to_lowercase());
        let title = voice.say(&format!("{} before wire {wires}: {verdict}", first.device));
        let svg = draw::chart::trip(&chart(group, &title, voice));
        picture(format!("trip-{}", stem(&first.wire)), &title, svg)
    };
    groups.iter().filter_map(one).collect()
}

/// Whether one chart serves both: the same device before wires that stand the same.
fn are_alike(a: &TripView, b: &TripView) -> bool {
    let is_same_wire = a.wire_words == b.wire_words && a.withstand == b.withstand;
    let is_same_device = a.device == b.device && a.device_words == b.device_words;
    is_same_wire && is_same_device && a.verdict == b.verdict && a.for_good == b.for_good
}

/// A source as it is called, and how well it is known in the language.
fn source_words(source: &str, voice: &Voice<'_>) -> String {
    match source.strip_suffix(')').and_then(|source| source.rsplit_once(" (")) {
        Some((words, standing)) => format!("{words} ({})", voice.say(standing)),
        None => source.to_owned(),
    }
}

/// Size and insulation, each told by itself: a size is no part of the words for insulation.
fn wire_words(words: &str, voice: &Voice<'_>) -> String {
    let told: Vec<String> = words.split(", ").map(|piece| voice.perhaps(piece, ", ")).collect();
    told.join(", ")
}

/// So many reasons have room over a chart; of more the first is told, whose wire stands worst.
const MOST_WHYS: usize = 3;

/// Why each of them is not protected, told once where it is the same.
fn whys(group: &[&TripView], voice: &Voice<'_>) -> String {
    let mut whys: Vec<(&str, Vec<&str>)> = Vec::new();
    for view in group {
        match whys.iter_mut().find(|(why, _)| *why == view.why) {
            Some((_, wires)) => wires.push(&view.wire),
            None => whys.push((&view.why, vec![&view.wire])),
        }
    }
    if let [(why, _)] = whys[..] {
        return closed(&voice.say(why));
    }
    let room = if whys.len() > MOST_WHYS { 1 } else { MOST_WHYS };
    let told: Vec<String> = whys
        .iter()
        .take(room)
        .map(|(why, wires)| format!("{}: {}", wires.join(", "), closed(&voice.say(why))))
        .collect();
    told.join(" ")
}

/// From the least of all ranges to the most, in numbers and in words.
fn widest(group: &[&TripView], of: fn(&TripView) -> (&str, (f64, f64))) -> (String, (f64, f64)) {
    let all: Vec<(&str, (f64, f64))> = group.iter().map(|view| of(view)).collect();
    let least = all.iter().min_by(|a, b| a.1.0.total_cmp(&b.1.0)).copied().unwrap_or_default();
    let most = all.iter().max_by(|a, b| a.1.1.total_cmp(&b.1.1)).copied().unwrap_or_default();
    let words = match (least.0.split_once(" to "), most.0.split_once(" to ")) {
        (Some((from, _)), Some((_, to))) => format!("{from} to {to}"),
        _ if least == most => least.0.to_owned(),
        _ => format!("{}, {}", least.0, most.0),
    };
    (words, (least.1.0, most.1.1))
}

fn chart(group: &[&TripView], title: &str, voice: &Voice<'_>) -> Trip {
    let view = group.iter().max_by_key(|view| view.times.len()).copied().unwrap_or(group[0]);
    let (far, far_a) = widest(group, |view| (&view.far, view.far_a));
    let (near, near_a) = widest(group, |view| (&view.near, view.near_a));
    let wires: Vec<&str> = group.iter().map(|view| view.wire.as_str()).collect();
    let mut notes: Vec<String> = view
        .sources
        .iter()
        .map(|source| format!("{} {}.", voice.say("Opening times:"), source_words(source, voice)))
        .collect();
    notes.push(match &view.withstand {
        Some(withstand) => {
            voice.say(&format!("The wire: {}; IEC 60364-5-54 annex A.", withstand.words))
        }
        None => voice.say("What the wire stands cannot be told: its size is not known."),
    });
    Trip {
        heading: voice.heading(title, whys(group, voice), notes),
        device: format!(
            "{}, {}",
            voice.perhaps(&view.device, ", "),
            voice.perhaps(&view.device_words, ", ")
        ),
        wire: format!("{}, {}", wires.join(", "), wire_words(&view.wire_words, voice)),
        points: view
            .times
            .iter()
            .map(|time| TripPoint {
                ampere: time.ampere,
                earliest_s: time.earliest_s,
                latest_s: time.latest_s,
                latest_read_s: time.latest_read_s,
            })
            .collect(),
        withstand: view.withstand.as_ref().map(|withstand| Withstand {
            a2s: withstand.a2s,
            adiabatic_to_s: withstand.adiabatic_to_s,
        }),
        currents: vec![
            current(&voice.say("short at the far end"), &voice.say(&far), far_a),
            current(&voice.say("short right at this end"), &voice.say(&near), near_a),
        ],
        critical_a: criticals(group),
        for_good: view.for_good.as_ref().map(|good| ForGood {
            lets_a: good.lets_a,
            carries_a: good.carries_a,
            words: [
                voice.say(&format!("the wire carries {} for good", good.carries)),
                voice.say(&format!("the device lets {} through for good", good.lets)),
            ],
        }),
    }
}

/// Where device and wire come closest; of marks that would lie on each other the first.
fn criticals(group: &[&TripView]) -> Vec<f64> {
    const APART: f64 = 1.1;
    let mut kept: Vec<f64> = Vec::new();
    for ampere in group.iter().filter_map(|view| view.critical_a) {
        if kept.iter().all(|known| (ampere / known).max(known / ampere) > APART) {
            kept.push(ampere);
        }
    }
    kept
}

fn current(at: &str, words: &str, (least_a, most_a): (f64, f64)) -> Prospective {
    Prospective { words: format!("{at}: {words}"), least_a, most_a }
}
