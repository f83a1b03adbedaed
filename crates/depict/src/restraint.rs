//! Heavy things: where they are, what a crash pulls on them, whether what holds them falls short.

use analysis::{Case, RestraintRow, RestraintSide};
use draw::chart::{Matrix, MatrixCell, MatrixRow, Verdict};
use draw::{Pull, PullVerdict, Role, Thing, VehicleDrawing, VehicleView};

use crate::Picture;
use crate::vehicle::{cuboid, picture};
use crate::voice::Voice;

const CAUTION: &str = "A thing that comes loose in a crash can kill. What is acceptable is for local rules and a qualified \
                       engineer to say.";

/// Arrows in the vehicle, where places are recorded, and the table.
pub(crate) fn restraint(case: &Case, voice: &Voice<'_>) -> Vec<Picture> {
    let rows = case.restraint();
    arrows(case, &rows, voice).into_iter().chain(table(case, &rows, voice)).collect()
}

fn arrows(case: &Case, rows: &[RestraintRow], voice: &Voice<'_>) -> Option<Picture> {
    let spaces = case.spaces();
    let pulls: Vec<Pull> = rows
        .iter()
        .enumerate()
        .map(|(k, row)| Pull {
            number: k + 1,
            words: words(row, voice),
            cuboid: row.space.and_then(cuboid),
            directions: std::array::from_fn(|k| verdict(&row.sides[k])),
        })
        .collect();
    if pulls.iter().all(|pull| pull.cuboid.is_none()) {
        return None;
    }
    let title = voice.say(&format!("{}: what a crash pulls on", case.vehicle_name()));
    let things = rows.iter().map(|row| Thing {
        id: row.item.clone(),
        label: row.label.clone(),
        cuboid: row.space.and_then(cuboid),
        role: Role::Stays,
    });
    let mut notes = vec![voice.say(CAUTION)];
    notes.extend(sources(case, voice));
    notes.push(voice.say("Up and down: no figure was found to hold against, so nothing is drawn."));
    let drawing = VehicleDrawing {
        heading: voice.heading(
            &title,
            voice.say("Each arrow is a direction in which the thing wants to go."),
            notes,
        ),
        inside: spaces.inside.and_then(cuboid),
        views: vec![VehicleView::Plan],
        things: things.collect(),
        routes: Vec::new(),
        work_area: None,
        pulls,
    };
    picture("vehicle-restraint", title, draw::vehicle(&drawing))
}

/// What the figures are held against.
fn sources(case: &Case, voice: &Voice<'_>) -> Vec<String> {
    case.restraint_sources().iter().map(|source| format!("{}.", voice.say(source))).collect()
}

fn held(row: &RestraintRow, voice: &Voice<'_>) -> String {
    if row.held_by.is_empty() {
        voice.say("what holds it is not recorded")
    } else {
        voice.perhaps(&row.held_by, ", ")
    }
}

fn words(row: &RestraintRow, voice: &Voice<'_>) -> String {
    let place = match row.space {
        None => format!(" ({})", voice.say("no position recorded")),
        Some(_) => String::new(),
    };
    format!("{}, {}: {}{place}", row.label, voice.perhaps(&row.mass, ", "), held(row, voice))
}

fn verdict(side: &RestraintSide) -> PullVerdict {
    match side.verdict.as_str() {
        "falls short" => PullVerdict::FallsShort,
        "within rating" => PullVerdict::WithinRating,
        "cannot tell" => PullVerdict::CannotTell,
        _ => PullVerdict::NotJudged,
    }
}

fn table(case: &Case, rows: &[RestraintRow], voice: &Voice<'_>) -> Option<Picture> {
    let title = voice.say(&format!("{}: heavy things and what holds them", case.vehicle_name()));
    let mut notes = vec![voice.say(CAUTION)];
    for row in rows.iter().filter(|row| !row.find_out.is_empty()) {
        notes.push(format!("{}: {}.", row.label, voice.each(&row.find_out, "; ")));
    }
    notes.extend(sources(case, voice));
    let chart = Matrix {
        heading: voice.heading(
            &title,
            voice.say(
                "The pull in each direction against what holds the thing, on the figures most in its favour. \
                 Up and down: no figure was found to hold against.",
            ),
            notes,
        ),
        corner: voice.say("thing, mass, what holds it"),
        columns: ["forward", "rearward", "to either side"]
            .map(|direction| voice.say(direction))
            .to_vec(),
        rows: rows
            .iter()
            .map(|row| MatrixRow {
                id: row.item.clone(),
                label: format!("{}, {}", row.label, voice.perhaps(&row.mass, ", ")),
                about: held(row, voice),
                cells: row.sides[..3].iter().map(|side| cell(side, voice)).collect(),
            })
            .collect(),
    };
    picture("restraint", title, draw::chart::matrix(&chart))
}

fn cell(side: &RestraintSide, voice: &Voice<'_>) -> MatrixCell {
    let verdict = match verdict(side) {
        PullVerdict::FallsShort => Verdict::Fails,
        PullVerdict::WithinRating => Verdict::WithinRating,
        PullVerdict::CannotTell => Verdict::CannotTell,
        PullVerdict::NotJudged => Verdict::Figure,
    };
    MatrixCell { verdict, words: voice.say(&side.words) }
}
