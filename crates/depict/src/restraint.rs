//! Heavy things: where they are, what a crash pulls on them, whether what holds them falls short.

use analysis::{Case, RestraintRow, RestraintSide};
use draw::chart::{Heading, Matrix, MatrixCell, MatrixRow, Verdict};
use draw::{Pull, PullVerdict, Role, Thing, VehicleDrawing, VehicleView};

use crate::Picture;
use crate::vehicle::{cuboid, picture};

const CAUTION: &str = "A thing that comes loose in a crash can kill. What is acceptable is for local rules and a qualified \
                       engineer to say.";

/// Arrows in the vehicle, where places are recorded, and the table.
pub(crate) fn restraint(case: &Case) -> Vec<Picture> {
    let rows = case.restraint();
    arrows(case, &rows).into_iter().chain(table(case, &rows)).collect()
}

fn arrows(case: &Case, rows: &[RestraintRow]) -> Option<Picture> {
    let spaces = case.spaces();
    let pulls: Vec<Pull> = rows
        .iter()
        .enumerate()
        .map(|(k, row)| Pull {
            number: k + 1,
            words: words(row),
            cuboid: row.space.and_then(cuboid),
            directions: std::array::from_fn(|k| verdict(&row.sides[k])),
        })
        .collect();
    if pulls.iter().all(|pull| pull.cuboid.is_none()) {
        return None;
    }
    let title = format!("{}: what a crash pulls on", case.vehicle_name());
    let things = rows.iter().map(|row| Thing {
        id: row.item.clone(),
        label: row.label.clone(),
        cuboid: row.space.and_then(cuboid),
        role: Role::Stays,
    });
    let mut notes = vec![CAUTION.to_owned()];
    notes.extend(case.restraint_sources().into_iter().map(|source| format!("{source}.")));
    notes.push("Up and down: no figure was found to hold against, so nothing is drawn.".to_owned());
    let drawing = VehicleDrawing {
        heading: Heading {
            title: title.clone(),
            about: "Each arrow is a direction in which the thing wants to go.".to_owned(),
            notes,
        },
        inside: spaces.inside.and_then(cuboid),
        views: vec![VehicleView::Plan],
        things: things.collect(),
        routes: Vec::new(),
        work_area: None,
        pulls,
    };
    picture("vehicle-restraint", title, draw::vehicle(&drawing))
}

fn words(row: &RestraintRow) -> String {
    let held = if row.held_by.is_empty() { "what holds it is not recorded" } else { &row.held_by };
    let place = if row.space.is_none() { " (no position recorded)" } else { "" };
    format!("{}, {}: {held}{place}", row.label, row.mass)
}

fn verdict(side: &RestraintSide) -> PullVerdict {
    match side.verdict.as_str() {
        "falls short" => PullVerdict::FallsShort,
        "within rating" => PullVerdict::WithinRating,
        "cannot tell" => PullVerdict::CannotTell,
        _ => PullVerdict::NotJudged,
    }
}

fn table(case: &Case, rows: &[RestraintRow]) -> Option<Picture> {
    let title = format!("{}: heavy things and what holds them", case.vehicle_name());
    let mut notes = vec![CAUTION.to_owned()];
    for row in rows.iter().filter(|row| !row.find_out.is_empty()) {
        notes.push(format!("{}: {}.", row.label, row.find_out.join("; ")));
    }
    notes.extend(case.restraint_sources().into_iter().map(|source| format!("{source}.")));
    let chart = Matrix {
        heading: Heading {
            title: title.clone(),
            about: "The pull in each direction against what holds the thing, on the figures most in its favour. Up and \
                    down: no figure was found to hold against."
                .to_owned(),
            notes,
        },
        corner: "thing, mass, what holds it".to_owned(),
        columns: ["forward", "rearward", "to either side"].map(str::to_owned).to_vec(),
        rows: rows
            .iter()
            .map(|row| MatrixRow {
                id: row.item.clone(),
                label: format!("{}, {}", row.label, row.mass),
                about: if row.held_by.is_empty() {
                    "what holds it is not recorded".to_owned()
                } else {
                    row.held_by.clone()
                },
                cells: row.sides[..3].iter().map(cell).collect(),
            })
            .collect(),
    };
    picture("restraint", title, draw::chart::matrix(&chart))
}

fn cell(side: &RestraintSide) -> MatrixCell {
    let verdict = match verdict(side) {
        PullVerdict::FallsShort => Verdict::Fails,
        PullVerdict::WithinRating => Verdict::WithinRating,
        PullVerdict::CannotTell => Verdict::CannotTell,
        PullVerdict::NotJudged => Verdict::Figure,
    };
    MatrixCell { verdict, words: side.words.clone() }
}
