//! What each suspect predicts for the next check.

use analysis::{Case, CheckCard, ExpectedRow};
use draw::chart::{Band, Mark, Scale, Strip, Strips};

use wording::Teller;

use super::picture;
use crate::Picture;
use crate::voice::Voice;

/// The next check of a case, where it is a reading. Not among the pictures of a case: finding the check
/// takes longer than all of them together.
pub fn next_check(case: &Case, teller: &Teller) -> Option<Picture> {
    let list = case.suspect_list();
    let card = case.search(&list).next_step().check?;
    told(&card, None, &Voice::of(teller))
}

/// What each suspect predicts for a check, and what was read, if it was: the value with its unit and
/// origin. `None` where the check is no reading.
pub fn next_check_of(card: &CheckCard, reading: Option<Mark>) -> Option<Picture> {
    told(card, reading, &Voice::default())
}

fn told(card: &CheckCard, reading: Option<Mark>, voice: &Voice<'_>) -> Option<Picture> {
    let banded: Vec<&ExpectedRow> =
        card.expected.iter().filter(|row| !row.bands.is_empty()).collect();
    let unit = if banded.first()?.shows.ends_with('V') { "V" } else { "A" };
    let title = voice.say(&format!("Next check: {}", card.title));
    let state = if card.state.is_empty() { voice.say("in any state") } else { card.state.clone() };
    let shown: f64 = banded.iter().map(|row| row.probability).sum();
    let mut notes = vec![voice.say(
        "A higher band holds more of the suspect's chances; a filled ring agrees with the reading. The bands come \
         from the record and its stand-ins.",
    )];
    if shown < 0.995 {
        notes.push(voice.say(&format!(
            "The suspects shown hold {:.0} % of the chances; others, and what is not in the record, hold the rest.",
            100.0 * shown
        )));
    }
    notes.extend(card.cautions.iter().map(|caution| voice.say(caution)));
    let about = format!("{}; {state}.", voice.each(&card.places, "; "));
    let chart = Strips {
        heading: voice.heading(&title, about, notes),
        quantity: voice.say(&format!("what it would show, {unit}")),
        scale: Scale::Linear,
        reading,
        rows: banded.iter().map(|row| strip(row, voice)).collect(),
    };
    picture("next-check", &title, draw::chart::strips(&chart))
}

fn strip(row: &ExpectedRow, voice: &Voice<'_>) -> Strip {
    let band =
        |(low, high, weight): &(f64, f64, f64)| Band { low: *low, high: *high, weight: *weight };
    Strip {
        id: row.suspect.clone(),
        label: voice.say(&row.suspect),
        aside: format!("{:.0} %: {}", 100.0 * row.probability, voice.figure(&row.shows)),
        bands: row.bands.iter().map(band).collect(),
    }
}
