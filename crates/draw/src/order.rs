//! What has to be out before what: boxes in columns, an arrow from each part to what it hides. For
//! vehicles whose parts have no recorded positions, and beside the drawing of those that have.

use crate::badge::RADIUS;
use crate::label::lines;
use crate::svg::{Anchor, Heading, INK, Pen, QUIET, Rect, Svg, Words};

/// A part that comes out, or what is wanted.
#[derive(Clone, Debug, PartialEq)]
pub struct OrderBox {
    /// Step number; `None` for what is wanted.
    pub number: Option<usize>,
    /// What people call it.
    pub label: String,
    /// Positions in [`OrderDrawing::boxes`] of what can only be reached once this is out.
    pub hides: Vec<usize>,
}

/// What is to be drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct OrderDrawing {
    /// The heading.
    pub title: String,
    /// Parts and what is wanted.
    pub boxes: Vec<OrderBox>,
}

const BOX: (f64, f64) = (104.0, 34.0);
const GAP: (f64, f64) = (30.0, 12.0);
const MARGIN: f64 = 12.0;
const TOP: f64 = 34.0;

/// Draws the order as SVG. Arrows to boxes that do not exist, and arrows that would close a circle,
/// are left out: an order has none.
pub fn order(drawing: &OrderDrawing) -> String {
    let columns = columns(&drawing.boxes);
    let places = places(&drawing.boxes, &columns);
    let mut svg = Svg::default();
    let deepest = places.iter().map(|p| p.x + p.w).fold(MARGIN + BOX.0, f64::max);
    let lowest = places.iter().map(|p| p.y + p.h).fold(TOP, f64::max);
    let width = (deepest + MARGIN).max(260.0);
    svg.words(&Words {
        at: (MARGIN, 18.0),
        size: 12.0,
        ink: INK,
        anchor: Anchor::Start,
        weight: 700,
        text: &crate::label::shortened(&drawing.title, 12.0, width - 2.0 * MARGIN),
    });
    for from in 0..drawing.boxes.len() {
        for to in direct(&drawing.boxes, &columns, from) {
            arrow(&mut svg, places[from], places[to]);
        }
    }
    for (part, place) in drawing.boxes.iter().zip(&places) {
        one_box(&mut svg, part, *place);
    }
    svg.words(&Words {
        at: (MARGIN, lowest + 16.0),
        size: 7.5,
        ink: QUIET,
        anchor: Anchor::Start,
        weight: 400,
        text: "An arrow leads from what comes out first to what it hides.",
    });
    svg.finish(width, lowest + 16.0 + MARGIN, &drawing.title, &described(drawing))
}

fn forward(columns: &[usize], from: usize, to: usize) -> bool {
    columns.get(to).is_some_and(|to| columns[from] < *to)
}

/// The column of a box: one past the last of those that hide it. As many rounds as there are boxes
/// settle every order; a circle would go on for ever and is cut there.
fn columns(boxes: &[OrderBox]) -> Vec<usize> {
    let mut column = vec![0; boxes.len()];
    for _ in 0..boxes.len() {
        let mut settled = true;
        for (from, part) in boxes.iter().enumerate() {
            for &to in part.hides.iter().filter(|to| **to < boxes.len() && **to != from) {
                if column[to] <= column[from] && column[from] + 1 < boxes.len() {
                    column[to] = column[from] + 1;
                    settled = false;
                }
            }
        }
        if settled {
            break;
        }
    }
    column
}

/// Boxes of a column stand below each other, in the order of the average row of their neighbours
/// (swept forwards, backwards, forwards), which keeps arrows short.
fn places(boxes: &[OrderBox], columns: &[usize]) -> Vec<Rect> {
    let last = columns.iter().copied().max().unwrap_or(0);
    let mut row = vec![0.0_f64; boxes.len()];
    for column in (0..=last).chain((0..=last).rev()).chain(0..=last) {
        let mut members: Vec<usize> = (0..boxes.len()).filter(|k| columns[*k] == column).collect();
        let pull: Vec<f64> = (0..boxes.len()).map(|k| average_row(boxes, &row, k)).collect();
        members.sort_by(|a, b| pull[*a].total_cmp(&pull[*b]).then(a.cmp(b)));
        for (at, member) in members.iter().enumerate() {
            row[*member] = at as f64;
        }
    }
    let step = (BOX.0 + GAP.0, BOX.1 + GAP.1);
    (0..boxes.len())
        .map(|k| Rect {
            x: MARGIN + step.0 * columns[k] as f64,
            y: TOP + step.1 * row[k],
            w: BOX.0,
            h: BOX.1,
        })
        .collect()
}

fn average_row(boxes: &[OrderBox], row: &[f64], of: usize) -> f64 {
    let is_neighbour =
        |k: usize, part: &OrderBox| part.hides.contains(&of) || boxes[of].hides.contains(&k);
    let rows: Vec<f64> = boxes
        .iter()
        .enumerate()
        .filter(|(k, part)| is_neighbour(*k, part))
        .map(|(k, _)| row[k])
        .collect();
    if rows.is_empty() { row[of] } else { rows.iter().sum::<f64>() / rows.len() as f64 }
}

/// What is hidden by way of another box needs no arrow of its own.
fn direct(boxes: &[OrderBox], columns: &[usize], from: usize) -> Vec<usize> {
    let onward =
        |k: usize| boxes[k].hides.iter().copied().filter(move |to| forward(columns, k, *to));
    let mut beyond: Vec<usize> = onward(from).flat_map(onward).collect();
    let mut at = 0;
    while at < beyond.len() {
        let more: Vec<usize> = onward(beyond[at]).filter(|to| !beyond.contains(to)).collect();
        beyond.extend(more);
        at += 1;
    }
    let mut direct: Vec<usize> = onward(from).filter(|to| !beyond.contains(to)).collect();
    direct.sort_unstable();
    direct.dedup();
    direct
}

/// From the right edge of one box to the left edge of another, in the lanes between columns and rows,
/// so that it never runs through a third. Boxes of one column turn in different places, so that
/// their lines do not run into each other.
fn arrow(svg: &mut Svg, from: Rect, to: Rect) {
    const TURNS: f64 = 5.0;
    let (start, end) = ((from.x + from.w, from.middle().1), (to.x, to.middle().1));
    let turn = ((from.y - TOP) / (BOX.1 + GAP.1)) % TURNS;
    let first = start.0 + GAP.0 * (0.2 + 0.4 * turn / TURNS);
    let last = end.0 - GAP.0 / 3.0;
    let mut points = vec![start, (first, start.1)];
    if end.0 - start.0 > GAP.0 + 1.0 {
        let lane = to.y - GAP.1 * (0.25 + 0.5 * turn / TURNS);
        points.extend([(first, lane), (last, lane), (last, end.1)]);
    } else {
        points.push((first, end.1));
    }
    points.push((end.0 - 4.0, end.1));
    svg.path(&points, Pen { ink: INK, width: 0.9, dashes: "" });
    svg.arrow_head(end, Heading::Right);
}

fn one_box(svg: &mut Svg, part: &OrderBox, place: Rect) {
    const SIZE: f64 = 8.0;
    let fill = "#ffffff";
    let width = if part.number.is_some() { 1.0 } else { 2.2 };
    svg.rect(place, fill, Pen { ink: INK, width, dashes: "" });
    let left = match part.number {
        Some(number) => {
            svg.badge((place.x + RADIUS + 4.0, place.middle().1), RADIUS, number);
            place.x + 2.0 * RADIUS + 9.0
        }
        None => place.x + 7.0,
    };
    let room = place.x + place.w - left - 4.0;
    let lines = lines(&part.label, SIZE, room, 3);
    let first = place.middle().1 + 0.36 * SIZE - (lines.len() as f64 - 1.0) * 4.6;
    for (k, line) in lines.iter().enumerate() {
        let at = (left, first + 9.2 * k as f64);
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

fn described(drawing: &OrderDrawing) -> String {
    let pieces: Vec<String> = drawing
        .boxes
        .iter()
        .map(|part| {
            let name = match part.number {
                Some(number) => format!("{number} {}", part.label),
                None => format!("wanted: {}", part.label),
            };
            let hidden: Vec<&str> = part
                .hides
                .iter()
                .filter_map(|to| drawing.boxes.get(*to))
                .map(|hidden| hidden.label.as_str())
                .collect();
            if hidden.is_empty() { name } else { format!("{name} hides {}", hidden.join(", ")) }
        })
        .collect();
    format!("Order of removal. {}.", pieces.join("; "))
}
