//! What has to be out before what: boxes in columns, an arrow from each part to what it hides. For
//! vehicles whose parts have no recorded positions, and beside the drawing of those that have.

use crate::badge::RADIUS;
use crate::chart::{Heading, beside, heading, notes};
use crate::label::lines;
use crate::paper::{Fill, LINE, MARGIN, Paper, Pen, SHEET, TEXT, Told};
use crate::speech::Speech;
use crate::svg::{Anchor, Rect};
use crate::tone::Tone;

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
    /// What is not shown, and what else is to be said.
    pub notes: Vec<String>,
    /// The words the drawing puts in by itself.
    pub speech: Speech,
}

const BOX: f64 = 128.0;
const GAP: (f64, f64) = (32.0, 9.0);
/// Lines of words in a box, at most.
const MOST_LINES: usize = 3;

/// Draws the order as SVG. Arrows to boxes that do not exist, and arrows that would close a circle,
/// are left out: an order has none.
pub fn order(drawing: &OrderDrawing) -> String {
    let mut paper = Paper::speaking(&drawing.speech);
    let columns = columns(&drawing.boxes);
    let before = before(&drawing.boxes, &columns);
    let is_list = before.iter().map(Vec::len).sum::<usize>() > MOST_ARROWS;
    let about = if is_list {
        "After each part what has to be out before it; a part without that can come out first."
    } else {
        "An arrow leads from what comes out first to what it hides."
    };
    let about = paper.say(about);
    let head = Heading { title: drawing.title.clone(), about, ..Heading::default() };
    let top = heading(&mut paper, &head) + 6.0;
    if is_list {
        return list(paper, drawing, &before, top);
    }
    let high = height(&drawing.boxes);
    let places = places(&drawing.boxes, &columns, (top, high));
    let deepest = places.iter().map(|p| p.x + p.w).fold(MARGIN + BOX, f64::max);
    let lowest = places.iter().map(|p| p.y + p.h).fold(top, f64::max);
    for (to, before) in before.iter().enumerate() {
        for &from in before {
            arrow(&mut paper, places[from], places[to], top);
        }
    }
    for (part, place) in drawing.boxes.iter().zip(&places) {
        one_box(&mut paper, part, *place);
    }
    let end = notes(&mut paper, &drawing.notes, lowest + 6.0);
    let told = described(drawing);
    let told = Told { kind: "order", title: &drawing.title, description: &told };
    paper.finish((deepest + MARGIN).max(SHEET), end + MARGIN, &told)
}

/// With more arrows they run into each other, and a list says what has to be out before what.
const MOST_ARROWS: usize = 10;

/// For each box those whose arrows lead to it.
fn before(boxes: &[OrderBox], columns: &[usize]) -> Vec<Vec<usize>> {
    let mut before = vec![Vec::new(); boxes.len()];
    for from in 0..boxes.len() {
        for to in direct(boxes, columns, from) {
            before[to].push(from);
        }
    }
    before
}

/// The parts by number in two columns, each with what has to be out before it.
fn list(mut paper: Paper, drawing: &OrderDrawing, before: &[Vec<usize>], top: f64) -> String {
    const SIGN: f64 = 2.0 * RADIUS + 7.0;
    let column = (SHEET - 2.0 * MARGIN) / 2.0;
    let room = column - SIGN - 12.0;
    let name = |k: &usize| match drawing.boxes[*k].number {
        Some(number) => number.to_string(),
        None => drawing.boxes[*k].label.clone(),
    };
    let rows: Vec<String> = drawing
        .boxes
        .iter()
        .zip(before)
        .map(|(part, before)| {
            let names: Vec<String> = before.iter().map(name).collect();
            match names[..] {
                [] => part.label.clone(),
                _ => drawing.speech.fill("{a}: after {b}", &[&part.label, &names.join(", ")]),
            }
        })
        .collect();
    let height = |text: &String| {
        let rows = lines(text, TEXT, room, MOST_LINES).len().max(1);
        (LINE * rows as f64).max(2.0 * RADIUS) + 3.0
    };
    let whole: f64 = rows.iter().map(height).sum();
    let mut at = [top, top];
    let mut side = 0;
    for (part, text) in drawing.boxes.iter().zip(&rows) {
        if side == 0 && at[0] - top >= whole / 2.0 {
            side = 1;
        }
        let (x, middle) = (MARGIN + column * side as f64, at[side] + height(text) / 2.0);
        paper.begin_named("box", &[("part", &part.label)], text);
        match part.number {
            Some(number) => paper.badge((x + RADIUS, middle), RADIUS, number),
            None => {
                let patch = Rect { x, y: middle - RADIUS, w: 2.0 * RADIUS, h: 2.0 * RADIUS };
                paper.rect(patch, Fill::Hatch, Some(Pen::wide(Tone::Ink)));
            }
        }
        beside(&mut paper, (x + SIGN, middle), room, Tone::Ink, text, MOST_LINES);
        paper.end();
        at[side] += height(text);
    }
    let end = notes(&mut paper, &drawing.notes, at[0].max(at[1]) + 6.0);
    let told = described(drawing);
    let told = Told { kind: "order", title: &drawing.title, description: &told };
    paper.finish(SHEET, end + MARGIN, &told)
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
fn places(boxes: &[OrderBox], columns: &[usize], (top, high): (f64, f64)) -> Vec<Rect> {
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
    let step = (BOX + GAP.0, high + GAP.1);
    (0..boxes.len())
        .map(|k| Rect {
            x: MARGIN + step.0 * columns[k] as f64,
            y: top + step.1 * row[k],
            w: BOX,
            h: high,
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
fn arrow(paper: &mut Paper, from: Rect, to: Rect, top: f64) {
    const TURNS: f64 = 5.0;
    let (start, end) = ((from.x + from.w, from.middle().1), (to.x, to.middle().1));
    let turn = ((from.y - top) / (from.h + GAP.1)) % TURNS;
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
    paper.line(&points, Pen::narrow(Tone::Ink));
    paper.arrow_head(end, (end.0 - 10.0, end.1), Tone::Ink);
}

/// Room for words beside a number, points.
const ROOM: f64 = BOX - 2.0 * RADIUS - 13.0;

/// Height of a box: what the longest label wants.
fn height(boxes: &[OrderBox]) -> f64 {
    let rows = boxes.iter().map(|part| lines(&part.label, TEXT, ROOM, MOST_LINES).len());
    LINE * rows.max().unwrap_or(1) as f64 + 7.0
}

fn one_box(paper: &mut Paper, part: &OrderBox, place: Rect) {
    let pen = if part.number.is_some() {
        Pen::narrow(Tone::Ink)
    } else {
        Pen { width: 2.2, ..Pen::wide(Tone::Ink) }
    };
    paper.begin_named("box", &[("part", &part.label)], &part.label);
    paper.rect(place, Fill::Flat(Tone::Ground), Some(pen));
    let left = match part.number {
        Some(number) => {
            paper.badge((place.x + RADIUS + 4.0, place.middle().1), RADIUS, number);
            place.x + 2.0 * RADIUS + 9.0
        }
        None => place.x + 7.0,
    };
    let lines = lines(&part.label, TEXT, ROOM, MOST_LINES);
    let first = place.middle().1 + 0.36 * TEXT - (lines.len() as f64 - 1.0) * LINE / 2.0;
    for (k, line) in lines.iter().enumerate() {
        paper.text((left, first + LINE * k as f64), Anchor::Start, Tone::Ink, line);
    }
    paper.end();
}

fn described(drawing: &OrderDrawing) -> String {
    let pieces: Vec<String> = drawing
        .boxes
        .iter()
        .map(|part| {
            let name = match part.number {
                Some(number) => format!("{number} {}", part.label),
                None => drawing.speech.fill("wanted: {a}", &[&part.label]),
            };
            let hidden: Vec<&str> = part
                .hides
                .iter()
                .filter_map(|to| drawing.boxes.get(*to))
                .map(|hidden| hidden.label.as_str())
                .collect();
            if hidden.is_empty() {
                name
            } else {
                drawing.speech.fill("{a} hides {b}", &[&name, &hidden.join(", ")])
            }
        })
        .collect();
    drawing.speech.fill("Order of removal. {a}.", &[&pieces.join("; ")])
}
