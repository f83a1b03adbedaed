//! What the numbers, shades and signs of a vehicle drawing mean.

use super::flat::{ranks, shade};
use super::overlay::{self, PullVerdict};
use super::{Role, Thing, VehicleDrawing, VehicleView, is_looked_through};
use crate::Cuboid;
use crate::chart::beside;
use crate::label::lines;
use crate::paper::{Dashes, Fill, LINE, MARGIN, Paper, Pen, SHEET, TEXT, Words};
use crate::svg::{Anchor, Rect};
use crate::tone::Tone;

/// What stands before the words of a row.
enum Sign {
    Step(usize, Tone),
    Number(usize),
    Wanted,
    Hidden,
    Ceiling,
    Area,
    Arrow(PullVerdict),
    Way,
    Lost,
}

const ROOM: f64 = 30.0;

/// Draws the rows in two columns below a height; returns the height below them.
pub(crate) fn draw(
    paper: &mut Paper,
    drawing: &VehicleDrawing,
    hull: &Cuboid,
    shown: &[Vec<usize>],
    top: f64,
) -> f64 {
    let rows = rows(drawing, hull, shown);
    let column = (SHEET - 2.0 * MARGIN) / 2.0;
    let room = column - ROOM - 10.0;
    let heights: Vec<f64> = rows.iter().map(|(_, text)| height(text, room)).collect();
    let whole: f64 = heights.iter().sum();
    let mut at = [top, top];
    let mut side = 0;
    for ((sign, text), height) in rows.iter().zip(&heights) {
        if side == 0 && at[0] - top >= whole / 2.0 {
            side = 1;
        }
        let x = MARGIN + column * side as f64;
        let middle = at[side] + height / 2.0;
        paper.begin("key", &[]);
        draw_sign(paper, sign, (x, middle));
        beside(paper, (x + ROOM, middle), room, Tone::Ink, text, 3);
        paper.end();
        at[side] += height;
    }
    at[0].max(at[1]) + 2.0
}

fn height(text: &str, room: f64) -> f64 {
    let rows = lines(text, TEXT, room, 3).len().max(1) as f64;
    rows * LINE + 3.5
}

fn rows(drawing: &VehicleDrawing, hull: &Cuboid, shown: &[Vec<usize>]) -> Vec<(Sign, String)> {
    let is_shown = |number: &usize| shown.iter().flatten().any(|known| known == number);
    let ranks = ranks(drawing);
    let speech = &drawing.heading.speech;
    let text = |thing: &Thing| match thing.cuboid {
        Some(_) => thing.label.clone(),
        None => speech.fill("{a} (no position recorded)", &[&thing.label]),
    };
    let mut numbered: Vec<(usize, Sign, String)> = Vec::new();
    let mut rows = Vec::new();
    for thing in &drawing.things {
        match thing.role {
            Role::Step { number, rank } => {
                numbered.push((number, Sign::Step(number, shade(rank, ranks)), text(thing)));
            }
            Role::Noted(number) => numbered.push((number, Sign::Number(number), text(thing))),
            Role::Wanted => {
                rows.push((Sign::Wanted, speech.fill("wanted: {a}", &[&text(thing)])));
            }
            Role::Out | Role::Stays => {}
        }
    }
    numbered.retain(|(number, ..)| is_shown(number));
    numbered.sort_by_key(|row| row.0);
    let numbered = numbered.into_iter().map(|(_, sign, text)| (sign, text));
    let mut all: Vec<(Sign, String)> = numbered.chain(rows).collect();
    if hides_something(drawing) {
        all.push((
            Sign::Hidden,
            speech.say("dashed: behind something else in that view").to_owned(),
        ));
    }
    if looks_through(drawing, hull) {
        all.push((Sign::Ceiling, speech.say("dotted: the ceiling, looked through").to_owned()));
    }
    if let Some(area) = &drawing.work_area {
        all.push((Sign::Area, overlay::area_words(area, speech)));
    }
    all.extend(
        drawing.routes.iter().map(|route| (Sign::Number(route.number), route.words.clone())),
    );
    all.extend(way_rows(drawing));
    all.extend(drawing.pulls.iter().map(|pull| (Sign::Number(pull.number), pull.words.clone())));
    all.extend(pull_rows(drawing));
    all
}

/// Whether anything may be dashed: in flat views all that matters, in an isometric what is wanted.
fn hides_something(drawing: &VehicleDrawing) -> bool {
    let is_isometric = drawing.views == [VehicleView::Isometric];
    let may = |thing: &Thing| match thing.role {
        Role::Wanted => true,
        Role::Step { .. } | Role::Noted(_) => !is_isometric,
        Role::Out | Role::Stays => false,
    };
    drawing.things.iter().any(|thing| thing.cuboid.is_some() && may(thing))
}

/// Whether a view looks through a ceiling.
fn looks_through(drawing: &VehicleDrawing, hull: &Cuboid) -> bool {
    let from_above =
        |view: &VehicleView| matches!(view, VehicleView::Plan | VehicleView::Isometric);
    let has_view = drawing.views.is_empty() || drawing.views.iter().any(from_above);
    has_view && drawing.things.iter().any(|thing| is_looked_through(drawing, thing, hull))
}

fn way_rows(drawing: &VehicleDrawing) -> Vec<(Sign, String)> {
    if drawing.routes.is_empty() {
        return Vec::new();
    }
    let say = |english: &str| drawing.heading.speech.say(english).to_owned();
    let mut rows = vec![(
        Sign::Way,
        say("a wire from a place to a place: which way it takes between is not recorded"),
    )];
    if drawing.routes.iter().any(overlay::is_lost) {
        rows.push((Sign::Lost, say("lost to sight behind a part, or its end is not known")));
    }
    rows
}

fn pull_rows(drawing: &VehicleDrawing) -> Vec<(Sign, String)> {
    let has =
        |verdict: PullVerdict| drawing.pulls.iter().any(|pull| pull.directions.contains(&verdict));
    [
        (PullVerdict::FallsShort, "what holds it falls short this way"),
        (PullVerdict::CannotTell, "cannot be told this way: see what to find out"),
        (PullVerdict::WithinRating, "not past a rating that somebody stated"),
    ]
    .into_iter()
    .filter(|(verdict, _)| has(*verdict))
    .map(|(verdict, words)| (Sign::Arrow(verdict), drawing.heading.speech.say(words).to_owned()))
    .collect()
}

fn draw_sign(paper: &mut Paper, sign: &Sign, (x, y): (f64, f64)) {
    match sign {
        Sign::Step(number, tone) => {
            let patch = Rect { x: x + 17.0, y: y - 4.5, w: 9.0, h: 9.0 };
            paper.rect(patch, Fill::Flat(*tone), Some(Pen::narrow(Tone::Ink)));
            number_words(paper, (x + 13.0, y), *number);
        }
        Sign::Number(number) => number_words(paper, (x + 20.0, y), *number),
        Sign::Wanted => {
            let patch = Rect { x: x + 2.0, y: y - 5.5, w: 22.0, h: 11.0 };
            paper.rect(patch, Fill::Hatch, Some(Pen::wide(Tone::Ink)));
        }
        Sign::Hidden => {
            let pen = Pen::narrow(Tone::Quiet).broken(Dashes::Hidden);
            paper.line(&[(x + 2.0, y), (x + 25.0, y)], pen);
        }
        Sign::Ceiling => {
            let pen = Pen::narrow(Tone::Quiet).broken(Dashes::Dots);
            paper.line(&[(x + 2.0, y), (x + 25.0, y)], pen);
        }
        Sign::Area => {
            let pen = Pen { width: 3.0, ..Pen::wide(Tone::Ink) };
            paper.line(&[(x + 4.0, y + 5.0), (x + 4.0, y - 4.0), (x + 16.0, y - 4.0)], pen);
        }
        Sign::Arrow(verdict) => overlay::arrow(paper, (x + 2.0, y), (x + 23.0, y), *verdict),
        Sign::Way => {
            let pen = Pen { width: 1.0, ..Pen::narrow(Tone::Ink) };
            paper.line(&[(x + 3.0, y), (x + 22.0, y)], pen.broken(Dashes::Chain));
            for end in [x + 3.0, x + 22.0] {
                paper.circle((end, y), 2.4, Fill::Flat(Tone::Ink), None);
            }
        }
        Sign::Lost => {
            paper.circle((x + 14.0, y), 3.4, Fill::Flat(Tone::Ground), Some(Pen::wide(Tone::Ink)));
        }
    }
}

/// A number that ends at a place.
fn number_words(paper: &mut Paper, (x, y): (f64, f64), number: usize) {
    let text = number.to_string();
    let (size, tone, anchor, weight) = (TEXT, Tone::Ink, Anchor::End, 700);
    paper.words(&Words { at: (x, y + 0.36 * TEXT), size, tone, anchor, weight, text: &text });
}
