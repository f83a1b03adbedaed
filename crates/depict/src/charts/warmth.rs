//! Temperature along the wires that fail by their heat.

use analysis::{Case, WarmWireView};
use draw::chart::{Place, Reach, Warm, WarmLimit, WarmWire};

use super::closed;
use super::{MOST, picture, stem};
use crate::Picture;
use crate::voice::Voice;

/// A chart for each of the hottest.
pub(crate) fn warm_wires(case: &Case, voice: &Voice<'_>) -> Vec<Picture> {
    let views = case.warm_wires();
    let chart = |view: &WarmWireView| {
        let title = voice.say(&format!(
            "Warmth along wire {}, {} in state {}",
            view.wire, view.current, view.state
        ));
        let svg = draw::chart::warm_wire(&chart(view, &title, voice));
        picture(format!("warm-{}", stem(&view.wire)), &title, svg)
    };
    views.iter().take(MOST).filter_map(chart).collect()
}

fn chart(view: &WarmWireView, title: &str, voice: &Voice<'_>) -> WarmWire {
    let about = closed(&format!(
        "{}: {}",
        voice.perhaps(&view.make, ", "),
        voice.each(&view.failures, "; ")
    ));
    let mut notes = vec![voice.say(
        "Each wire alone in still air; a bundle or insulation around it makes it hotter. The range is thin \
         or thick wall, most or least copper of its size.",
    )];
    if view.is_past {
        notes.push(voice.say(
            "The conductor gets hotter than the laws are used for: the upper line is their end, the truth lies \
             above it.",
        ));
    }
    if !view.is_whole {
        notes.push(
            voice.say("The length is not known: each end is drawn as far as its joint is felt."),
        );
    }
    let ceiling_c = hottest_limit_c(view) + MEANINGFUL_K;
    if view.places.iter().any(|place| place.hottest_c > ceiling_c) {
        notes.push(voice.say(&format!(
            "Past {ceiling_c:.0} °C nothing is drawn: no common insulation lasts there, and the figures mean no \
             more than far too hot."
        )));
    }
    let not_judged = format!(" ({})", voice.say("left open: it decides nothing"));
    let bad = |judged: bool| if judged { "" } else { &not_judged };
    WarmWire {
        heading: voice.heading(title, about, notes),
        ends: [0, 1]
            .map(|end| format!("{}{}", voice.say(&view.ends[end]), bad(view.ends_judged[end]))),
        profile: view
            .places
            .iter()
            .map(|place| Warm {
                at_m: place.at_m,
                coolest_c: place.coolest_c,
                hottest_c: place.hottest_c,
            })
            .collect(),
        air_c: view.air_c,
        limits: limits(view)
            .into_iter()
            .map(|limit| WarmLimit { words: limit_words(view, &limit, voice), ..limit })
            .collect(),
        ceiling_c: Some(ceiling_c),
        reach: if view.is_whole { Reach::WholeWire } else { Reach::EndsOnly },
    }
}

/// How far past its limits a wire is drawn, K. Common practice, no source: past the limits no common
/// insulation lasts, and the laws are used for less.
const MEANINGFUL_K: f64 = 100.0;

/// Where the conductor is coolest: far from both joints.
fn conductor_c(view: &WarmWireView) -> f64 {
    view.places.iter().map(|place| place.hottest_c).fold(f64::INFINITY, f64::min)
}

fn hottest_limit_c(view: &WarmWireView) -> f64 {
    let limits = limits(view);
    limits.iter().map(|limit| limit.celsius).fold(conductor_c(view), f64::max)
}

/// A limit in words; a document is called as it calls itself, in its own units.
fn limit_words(view: &WarmWireView, limit: &WarmLimit, voice: &Voice<'_>) -> String {
    let words = voice.say(&limit.words);
    match &view.joint_source {
        Some((source, standing)) if limit.place != Place::All => {
            format!("{words} ({source}, {})", voice.say(standing))
        }
        _ => words,
    }
}

/// The rating along the whole wire, and at judged ends what a joint may rise above the conductor.
fn limits(view: &WarmWireView) -> Vec<WarmLimit> {
    let rating = view.rating.iter().map(|(celsius, words)| WarmLimit {
        celsius: *celsius,
        words: words.clone(),
        place: Place::All,
    });
    let conductor_c = conductor_c(view);
    let (rise_k, words) = &view.joint_limit;
    let at_ends = [Place::First, Place::Second].into_iter().zip(view.ends_judged);
    let judged = at_ends.filter(|(_, judged)| *judged && conductor_c.is_finite());
    let joints = judged.map(|(place, _)| WarmLimit {
        celsius: conductor_c + rise_k,
        words: words.clone(),
        place,
    });
    rating.chain(joints).collect()
}
