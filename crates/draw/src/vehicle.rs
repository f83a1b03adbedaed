//! The vehicle drawing: plan and both sides, parts to be taken out numbered in their order, what is
//! wanted hatched. Shows only what has a position; the legend names what has none.

use crate::Cuboid;
use crate::badge::{self, Placed, RADIUS};
use crate::label::{lines, shortened};
use crate::svg::{Anchor, FAINT, Heading, INK, Pen, QUIET, Rect, Svg, Words};
use crate::view::{Direction, View};

/// What a thing is to the drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// It comes out, as this step (from 1).
    Step(usize),
    /// It is what is to be reached.
    Wanted,
    /// It is out already.
    Out,
    /// It stays where it is.
    Stays,
}

/// A part or device with its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Thing {
    /// What people call it.
    pub label: String,
    /// Where it is; `None` if nobody has said.
    pub cuboid: Option<Cuboid>,
    /// What it is to the drawing.
    pub role: Role,
}

/// What is to be drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct VehicleDrawing {
    /// The heading.
    pub title: String,
    /// The inside of the vehicle; `None`: a box around everything that has a place.
    pub inside: Option<Cuboid>,
    /// Parts and devices. Steps may come in any order.
    pub things: Vec<Thing>,
}

/// Width of the sheet, points: what fits between the margins of A4 and of letter paper.
const SHEET: f64 = 500.0;
const MARGIN: f64 = 12.0;
/// Points of height kept for the words over a view.
const HEADING: f64 = 18.0;
/// No vehicle is drawn larger than this, points per metre.
const MOST_POINTS_PER_M: f64 = 140.0;
/// A view is drawn no higher than this, points.
const HIGHEST: f64 = 190.0;

/// Draws plan and sides as SVG. `None` if nothing in it has a position.
pub fn vehicle(drawing: &VehicleDrawing) -> Option<String> {
    let hull = hull(drawing)?;
    let size = |k: usize| hull.to_m()[k] - hull.from_m()[k];
    let scale = ((SHEET - 2.0 * MARGIN) / size(0))
        .min(HIGHEST / size(1))
        .min(HIGHEST / size(2))
        .min(MOST_POINTS_PER_M);
    let left = MARGIN + (SHEET - 2.0 * MARGIN - scale * size(0)) / 2.0;
    let mut svg = Svg::default();
    let mut y = heading(&mut svg, &drawing.title);
    for direction in directions(drawing, hull.middle_m()[1]) {
        let view = View::new(direction, hull, scale, (left, y + HEADING));
        draw_view(&mut svg, &view, drawing, hull.middle_m()[1]);
        y = view.frame().y + view.frame().h;
    }
    y = scale_bar(&mut svg, (left, y + 14.0), scale);
    y = legend(&mut svg, drawing, y + 12.0);
    Some(svg.finish(SHEET, y + MARGIN, &drawing.title, &description(drawing)))
}

fn hull(drawing: &VehicleDrawing) -> Option<Cuboid> {
    let placed = drawing.things.iter().filter_map(|thing| thing.cuboid);
    let around = placed.reduce(|a, b| a.around(&b))?;
    Some(drawing.inside.map_or(around, |inside| inside.around(&around)))
}

/// The plan, and each side on which something comes out or is wanted; both where that is nowhere.
fn directions(drawing: &VehicleDrawing, middle_m: f64) -> Vec<Direction> {
    let matters = |thing: &&Thing| matches!(thing.role, Role::Step(_) | Role::Wanted);
    let placed: Vec<Cuboid> =
        drawing.things.iter().filter(matters).filter_map(|thing| thing.cuboid).collect();
    Direction::ALL
        .into_iter()
        .filter(|d| placed.is_empty() || placed.iter().any(|cuboid| d.shows(cuboid, middle_m)))
        .collect()
}

fn heading(svg: &mut Svg, title: &str) -> f64 {
    svg.words(&Words {
        at: (MARGIN, 18.0),
        size: 12.0,
        ink: INK,
        anchor: Anchor::Start,
        weight: 700,
        text: &shortened(title, 12.0, SHEET - 2.0 * MARGIN),
    });
    22.0
}

fn draw_view(svg: &mut Svg, view: &View, drawing: &VehicleDrawing, middle_m: f64) {
    let frame = view.frame();
    view_heading(svg, view, frame);
    let mut shown: Vec<(&Thing, Cuboid)> = drawing
        .things
        .iter()
        .filter_map(|thing| Some((thing, thing.cuboid?)))
        .filter(|(_, cuboid)| view.direction.shows(cuboid, middle_m))
        .collect();
    shown.sort_by(|a, b| {
        let rank = |(thing, cuboid): &(&Thing, Cuboid)| {
            (layer(thing.role), -view.direction.depth_m(cuboid))
        };
        let (a, b) = (rank(a), rank(b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    let steps = shown.iter().filter(|(thing, _)| matches!(thing.role, Role::Step(_))).count();
    for (thing, cuboid) in &shown {
        outline(svg, view.on_paper(cuboid), thing.role, steps);
    }
    svg.rect(frame, "none", Pen { ink: INK, width: 1.8, dashes: "" });
    let mut numbered: Vec<(usize, Rect)> = shown
        .iter()
        .filter_map(|(thing, cuboid)| match thing.role {
            Role::Step(number) => Some((number, view.on_paper(cuboid))),
            _ => None,
        })
        .collect();
    numbered.sort_by_key(|step| step.0);
    numbers(svg, &numbered, frame);
}

fn numbers(svg: &mut Svg, numbered: &[(usize, Rect)], frame: Rect) {
    let homes: Vec<(usize, (f64, f64))> = numbered
        .iter()
        .enumerate()
        .map(|(at, (number, rect))| {
            let others: Vec<Rect> = numbered
                .iter()
                .enumerate()
                .filter(|(other, _)| *other != at)
                .map(|(_, step)| step.1)
                .collect();
            (*number, badge::home(*rect, &others))
        })
        .collect();
    let placed = badge::place(&homes, (frame.x, frame.y, frame.x + frame.w, frame.y + frame.h));
    for moved in placed.iter().filter(|placed| placed.has_moved()) {
        svg.path(&[moved.home, moved.at], Pen { ink: INK, width: 0.6, dashes: "" });
    }
    for Placed { at, number, .. } in placed {
        svg.badge(at, RADIUS, number);
    }
}

/// What stands by lies under what is out, that under what is wanted, that under the steps.
fn layer(role: Role) -> u8 {
    match role {
        Role::Stays => 0,
        Role::Out => 1,
        Role::Wanted => 2,
        Role::Step(_) => 3,
    }
}

fn view_heading(svg: &mut Svg, view: &View, frame: Rect) {
    let line = frame.y - 5.0;
    svg.words(&Words {
        at: (frame.x, line),
        size: 8.0,
        ink: QUIET,
        anchor: Anchor::Start,
        weight: 400,
        text: view.direction.words(),
    });
    let right = frame.x + frame.w;
    svg.words(&Words {
        at: (right, line),
        size: 8.0,
        ink: QUIET,
        anchor: Anchor::End,
        weight: 400,
        text: "front",
    });
    let (tip, tail) = (right - 46.0, right - 28.0);
    svg.path(&[(tail, line - 2.8), (tip, line - 2.8)], Pen { ink: INK, width: 1.0, dashes: "" });
    svg.arrow_head((tip - 2.0, line - 2.8), Heading::Left);
}

/// Steps are shaded by their order, the first one lightest; the shade lets what lies under it show.
fn outline(svg: &mut Svg, rect: Rect, role: Role, steps: usize) {
    match role {
        Role::Stays => svg.rect(rect, "none", Pen { ink: FAINT, width: 0.5, dashes: "" }),
        Role::Out => svg.rect(rect, "none", Pen { ink: FAINT, width: 0.8, dashes: "3 2" }),
        Role::Wanted => {
            svg.rect(rect, "url(#hatch)", Pen { ink: INK, width: 2.0, dashes: "" });
        }
        Role::Step(number) => {
            let share = (number.min(steps)) as f64 / steps.max(1) as f64;
            let fill = format!("rgba(21,24,28,{:.2})", 0.05 + 0.22 * share);
            svg.rect(rect, &fill, Pen { ink: INK, width: 1.0, dashes: "" });
        }
    }
}

/// One metre, or a tenth of one where a metre would not fit.
fn scale_bar(svg: &mut Svg, (x, y): (f64, f64), points_per_m: f64) -> f64 {
    let (length, text) = if points_per_m <= SHEET / 2.0 {
        (points_per_m, "1 m")
    } else {
        (points_per_m / 10.0, "0.1 m")
    };
    let pen = Pen { ink: INK, width: 1.0, dashes: "" };
    svg.path(&[(x, y - 3.0), (x, y + 3.0)], pen);
    svg.path(&[(x, y), (x + length, y)], pen);
    svg.path(&[(x + length, y - 3.0), (x + length, y + 3.0)], pen);
    svg.words(&Words {
        at: (x + length + 6.0, y + 3.0),
        size: 8.0,
        ink: QUIET,
        anchor: Anchor::Start,
        weight: 400,
        text,
    });
    y + 6.0
}

/// The steps with their numbers, what the hatching means, and what has no position.
fn legend(svg: &mut Svg, drawing: &VehicleDrawing, top: f64) -> f64 {
    let mut steps: Vec<(usize, &Thing)> = drawing
        .things
        .iter()
        .filter_map(|thing| match thing.role {
            Role::Step(number) => Some((number, thing)),
            _ => None,
        })
        .collect();
    steps.sort_by_key(|step| step.0);
    let wanted = drawing.things.iter().filter(|thing| thing.role == Role::Wanted);
    let rows = steps.iter().map(|(number, thing)| (Some(*number), *thing));
    let rows: Vec<(Option<usize>, &Thing)> =
        rows.chain(wanted.map(|thing| (None, thing))).collect();
    let (row_height, column) = (19.0, (SHEET - 2.0 * MARGIN) / 2.0);
    let half = rows.len().div_ceil(2);
    for (at, (number, thing)) in rows.iter().enumerate() {
        let x = MARGIN + if at < half { 0.0 } else { column };
        let y = top + row_height * ((at % half.max(1)) as f64 + 0.5);
        match number {
            Some(number) => svg.badge((x + RADIUS, y), RADIUS, *number),
            None => svg.rect(
                Rect { x: x + 1.0, y: y - 6.0, w: 13.0, h: 12.0 },
                "url(#hatch)",
                Pen { ink: INK, width: 1.5, dashes: "" },
            ),
        }
        let text = match thing.cuboid {
            Some(_) => thing.label.clone(),
            None => format!("{} (no position recorded)", thing.label),
        };
        legend_words(svg, (x + 2.0 * RADIUS + 6.0, y), &text, column - 2.0 * RADIUS - 12.0);
    }
    top + row_height * half as f64
}

fn legend_words(svg: &mut Svg, (x, y): (f64, f64), text: &str, room: f64) {
    const SIZE: f64 = 8.0;
    let lines = lines(text, SIZE, room, 2);
    let first = y + 0.36 * SIZE - (lines.len() as f64 - 1.0) * 4.6;
    for (k, line) in lines.iter().enumerate() {
        let at = (x, first + 9.2 * k as f64);
        svg.words(&Words {
            at,
            size: SIZE,
            ink: INK,
            anchor: Anchor::Start,
            weight: 400,
            text: line,
        });
    }
}

/// What a screen reader says in place of the picture.
fn description(drawing: &VehicleDrawing) -> String {
    let mut steps: Vec<(usize, &str)> = Vec::new();
    let mut wanted = Vec::new();
    for thing in &drawing.things {
        match thing.role {
            Role::Step(number) => steps.push((number, &thing.label)),
            Role::Wanted => wanted.push(thing.label.as_str()),
            Role::Out | Role::Stays => {}
        }
    }
    steps.sort_unstable();
    let steps: Vec<String> =
        steps.iter().map(|(number, label)| format!("{number} {label}")).collect();
    format!(
        "Plan and both sides of the vehicle. To be reached: {}. To be taken out, in this order: {}.",
        if wanted.is_empty() { "nothing marked".to_owned() } else { wanted.join(", ") },
        if steps.is_empty() { "nothing".to_owned() } else { steps.join("; ") }
    )
}
