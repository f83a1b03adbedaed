//! Opening times of the devices before the wires that are worst protected.

use analysis::{Case, TripView};
use draw::chart::{Prospective, Trip, TripPoint, Withstand};

use super::{MOST, closed, picture, stem};
use crate::Picture;
use crate::voice::Voice;

/// A chart for each of the worst wires that have a device with known opening times.
pub(crate) fn trips(case: &Case, voice: &Voice<'_>) -> Vec<Picture> {
    let mut shown: Vec<&str> = Vec::new();
    let views = case.trips();
    let mut pictures = Vec::new();
    for view in &views {
        if shown.contains(&view.wire.as_str()) || pictures.len() == MOST {
            continue;
        }
        shown.push(&view.wire);
        let title =
            voice.say(&format!("{} before wire {}: {}", view.device, view.wire, verdict(view)));
        let svg = draw::chart::trip(&chart(view, &title, voice));
        pictures.extend(picture(format!("trip-{}", stem(&view.wire)), &title, svg));
    }
    pictures
}

fn verdict(view: &TripView) -> String {
    view.verdict.to_lowercase()
}

fn chart(view: &TripView, title: &str, voice: &Voice<'_>) -> Trip {
    let mut notes: Vec<String> = view
        .sources
        .iter()
        .map(|source| format!("{} {source}.", voice.say("Opening times:")))
        .collect();
    notes.push(match &view.withstand {
        Some(withstand) => {
            voice.say(&format!("The wire: {}; IEC 60364-5-54 annex A.", withstand.words))
        }
        None => voice.say("What the wire stands cannot be told: its size is not known."),
    });
    Trip {
        heading: voice.heading(title, closed(&voice.say(&view.why)), notes),
        device: format!(
            "{}, {}",
            voice.perhaps(&view.device, ", "),
            voice.perhaps(&view.device_words, ", ")
        ),
        wire: format!("{}, {}", view.wire, voice.perhaps(&view.wire_words, ", ")),
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
            current(&voice.say("short at the far end"), &voice.say(&view.far), view.far_a),
            current(&voice.say("short right at this end"), &voice.say(&view.near), view.near_a),
        ],
        critical_a: view.critical_a,
    }
}

fn current(at: &str, words: &str, (least_a, most_a): (f64, f64)) -> Prospective {
    Prospective { words: format!("{at}: {words}"), least_a, most_a }
}
