//! Minutes before and after: a ring where it is now, a dot where it would be, an arrow between.

use super::axis::{Axis, Scale};
use super::frame::{Heading, axis_below, beside, heading, key, notes};
use crate::paper::{Dashes, Fill, LINE, MARGIN, Paper, Pen, SHEET, Told};
use crate::svg::Rect;
use crate::tone::Tone;

/// What is to be drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct BeforeAfter {
    /// Heading and notes.
    pub heading: Heading,
    /// What is counted, with its unit: `minutes to open and close, expected`.
    pub quantity: String,
    /// What the ring means: `as it is`.
    pub before: String,
    /// What the dot means: `with a hatch in the bunk side`. Empty where there is no after.
    pub after: String,
    /// The things, in the order they are to stand.
    pub rows: Vec<Pair>,
}

/// One thing before and after.
#[derive(Clone, Debug, PartialEq)]
pub struct Pair {
    /// Its name for programs.
    pub id: String,
    /// What people call it.
    pub label: String,
    /// Before; `None` if that is not known.
    pub before: Option<f64>,
    /// After; `None` if nothing changes.
    pub after: Option<f64>,
    /// What is usually borne for what is wanted so often; drawn as an upright stroke.
    pub bearable: Option<f64>,
    /// The figures in words, beside it.
    pub words: String,
}

const LABELS: f64 = 220.0;
const WORDS: f64 = 110.0;
const ROW: f64 = 2.0 * LINE + 3.0;
const DOT: f64 = 3.6;

/// Draws the rows. `None` where nothing has a figure.
pub fn before_after(chart: &BeforeAfter) -> Option<String> {
    let mut paper = Paper::speaking(&chart.heading.speech);
    let top = heading(&mut paper, &chart.heading);
    let top = legend(&mut paper, chart, top) + 4.0;
    let plot = Rect {
        x: MARGIN + LABELS,
        y: top,
        w: SHEET - 2.0 * MARGIN - LABELS - WORDS,
        h: ROW * chart.rows.len() as f64,
    };
    let figures = chart.rows.iter().flat_map(|row| [row.before, row.after, row.bearable]).flatten();
    chart.rows.iter().find_map(|row| row.before.or(row.after))?;
    let sides = (plot.x, plot.x + plot.w);
    let axis = Axis::covering(Scale::Linear, figures.chain([0.0]), sides, 40.0)?;
    let foot = axis_below(&mut paper, plot, &axis, &chart.quantity);
    for (k, row) in chart.rows.iter().enumerate() {
        pair(&mut paper, plot, &axis, row, plot.y + ROW * (k as f64 + 0.5));
    }
    paper.line(&[(plot.x, plot.y), (plot.x, plot.y + plot.h)], Pen::narrow(Tone::Ink));
    let end = notes(&mut paper, &chart.heading.notes, foot);
    let told = described(chart);
    let title = &chart.heading.title;
    let told = Told { kind: "before-after", title, description: &told };
    Some(paper.finish(SHEET, end + MARGIN, &told))
}

fn legend(paper: &mut Paper, chart: &BeforeAfter, top: f64) -> f64 {
    let room = SHEET - 2.0 * MARGIN;
    let mut y = key(paper, (MARGIN, top), room, &chart.before, |paper, sample| {
        ring(paper, sample.middle());
    });
    if !chart.after.is_empty() {
        y = key(paper, (MARGIN, y), room, &chart.after, |paper, sample| {
            dot(paper, sample.middle())
        });
    }
    if chart.rows.iter().any(|row| row.bearable.is_some()) {
        let text = paper.say("what is usually borne for what is wanted so often (common practice)");
        y = key(paper, (MARGIN, y), room, &text, |paper, sample| {
            stroke(paper, sample.middle());
        });
    }
    y
}

fn ring(paper: &mut Paper, at: (f64, f64)) {
    paper.circle(at, DOT, Fill::Flat(Tone::Ground), Some(Pen::wide(Tone::Ink)));
}

fn dot(paper: &mut Paper, at: (f64, f64)) {
    paper.circle(at, DOT + 0.5, Fill::Flat(Tone::Ink), None);
}

fn stroke(paper: &mut Paper, (x, y): (f64, f64)) {
    paper.line(&[(x, y - 6.0), (x, y + 6.0)], Pen::wide(Tone::Quiet));
}

fn pair(paper: &mut Paper, plot: Rect, axis: &Axis, row: &Pair, middle: f64) {
    let data = [row.before, row.after].map(|value| value.map_or(String::new(), |v| v.to_string()));
    let title = format!("{}: {}", row.label, row.words);
    let data =
        [("item", row.id.as_str()), ("before", data[0].as_str()), ("after", data[1].as_str())];
    paper.begin_named("pair", &data, &title);
    beside(paper, (MARGIN, middle), LABELS - 8.0, Tone::Ink, &row.label, 2);
    let whole = [(plot.x, middle), (plot.x + plot.w, middle)];
    paper.line(&whole, Pen::narrow(Tone::Faint).broken(Dashes::Dots));
    if let Some(bearable) = row.bearable.filter(|value| value.is_finite()) {
        stroke(paper, (axis.at(bearable), middle));
    }
    let at = |value: f64| (axis.at(value), middle);
    match (row.before.map(at), row.after.map(at)) {
        (Some(before), Some(after)) => {
            paper.line(&[before, after], Pen::wide(Tone::Ink));
            ring(paper, before);
            dot(paper, after);
        }
        (Some(before), None) => ring(paper, before),
        (None, Some(after)) => dot(paper, after),
        (None, None) => {}
    }
    let x = plot.x + plot.w + 8.0;
    beside(paper, (x, middle), WORDS - 8.0, Tone::Ink, &row.words, 2);
    paper.end();
}

fn described(chart: &BeforeAfter) -> String {
    let rows: Vec<String> =
        chart.rows.iter().map(|row| format!("{}: {}", row.label, row.words)).collect();
    format!("{}. {}.", chart.quantity, rows.join("; "))
}
