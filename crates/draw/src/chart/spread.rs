//! How a sum is spread: shares of cases over its range, with the marks that half and eight of ten of
//! them do not exceed.

use super::axis::{Axis, Scale};
use super::frame::{
    Heading, RIGHT, axis_below, axis_left, corner, heading, kept_between, key, notes,
};
use super::strips::Mark;
use crate::label::{shortened, width};
use crate::paper::{Fill, LINE, MARGIN, Paper, Pen, SHEET, TEXT, Told};
use crate::svg::{Anchor, Rect};
use crate::tone::Tone;

/// What is to be drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    /// Heading and notes.
    pub heading: Heading,
    /// What is spread: `time to open and close`.
    pub quantity: String,
    /// Its unit: `min`.
    pub unit: String,
    /// The shares; they may come in any order and any number.
    pub shares: Vec<Share>,
    /// What is not exceeded in half of the cases.
    pub p50: Mark,
    /// What is not exceeded in eight of ten cases.
    pub p80: Mark,
}

/// A part of the cases.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share {
    /// At this value.
    pub value: f64,
    /// How large it is; all of them together are taken as the whole.
    pub part: f64,
}

const LEFT: f64 = 34.0;
const HIGH: f64 = 130.0;

/// Draws the distribution. `None` without shares, or where a mark is no number or P50 lies past P80.
pub fn spread(chart: &Spread) -> Option<String> {
    let marks = [chart.p50.value, chart.p80.value];
    let good =
        |share: &&Share| share.value.is_finite() && share.part.is_finite() && share.part > 0.0;
    let shares: Vec<Share> = chart.shares.iter().filter(good).copied().collect();
    let whole: f64 = shares.iter().map(|share| share.part).sum();
    if shares.is_empty() || whole <= 0.0 || !(marks[0] <= marks[1] && marks[1].is_finite()) {
        return None;
    }
    let mut paper = Paper::speaking(&chart.heading.speech);
    let (x, right) = (MARGIN + LEFT, SHEET - MARGIN - RIGHT);
    let values = shares.iter().map(|share| share.value).chain(marks);
    let axis = Axis::covering(Scale::Linear, values, (x, right), 46.0)?;
    let rows = if has_room_left(&axis, &chart.p50) { 2.0 } else { 3.0 };
    let top = heading(&mut paper, &chart.heading) + rows * LINE + 2.0;
    let plot = Rect { x, y: top, w: right - x, h: HIGH };
    let bars = bars(&shares, whole, &axis);
    let highest = bars.iter().map(|bar| bar.percent).fold(0.0, f64::max);
    let left = Axis::covering(Scale::Linear, [0.0, highest], (plot.y + plot.h, plot.y), 24.0)?;
    let foot = axis_below(&mut paper, plot, &axis, &format!("{}, {}", chart.quantity, chart.unit));
    let width = bars.first().map_or(0.0, |bar| bar.to - bar.from);
    let each = format!("{} {}", amount(width), chart.unit);
    let each = paper.speech.fill("% of cases in each {a}", &[&each]);
    axis_left(&mut paper, plot, &left, (&each, plot.y - 4.0 - (rows - 1.0) * LINE));
    for bar in &bars {
        one_bar(&mut paper, plot, (&axis, &left), bar, marks);
    }
    corner(&mut paper, plot);
    mark_lines(&mut paper, plot, &axis, chart);
    let foot = legend(&mut paper, foot);
    let end = notes(&mut paper, &chart.heading.notes, foot);
    let title = &chart.heading.title;
    let told = format!("{}. {}; {}.", chart.quantity, chart.p50.words, chart.p80.words);
    Some(paper.finish(SHEET, end + MARGIN, &Told { kind: "spread", title, description: &told }))
}

struct Bar {
    from: f64,
    to: f64,
    percent: f64,
}

/// The shares gathered into bars whose edges are whole parts of the axis's steps.
fn bars(shares: &[Share], whole: f64, axis: &Axis) -> Vec<Bar> {
    let step = axis.step() / 5.0;
    let count = ((axis.high() - axis.low()) / step).round().max(1.0) as usize;
    let from = |k: usize| axis.low() + k as f64 * step;
    let mut bars: Vec<Bar> =
        (0..count).map(|k| Bar { from: from(k), to: from(k + 1), percent: 0.0 }).collect();
    for share in shares {
        let k = ((share.value - axis.low()) / step + 1e-9).floor().max(0.0) as usize;
        bars[k.min(count - 1)].percent += 100.0 * share.part / whole;
    }
    bars
}

/// Lightest up to P50, darker up to P80, darkest beyond; a bar that a mark goes through is cut there.
fn one_bar(paper: &mut Paper, plot: Rect, axes: (&Axis, &Axis), bar: &Bar, marks: [f64; 2]) {
    let foot = plot.y + plot.h;
    let head = axes.1.at(bar.percent);
    if foot - head < 0.05 {
        return;
    }
    let data = [bar.from, bar.to, bar.percent].map(|value| format!("{value:.6}"));
    paper.begin("bar", &[("from", &data[0]), ("to", &data[1]), ("percent", &data[2])]);
    let cuts =
        [bar.from, marks[0].clamp(bar.from, bar.to), marks[1].clamp(bar.from, bar.to), bar.to];
    for (piece, tone) in cuts.windows(2).zip([Tone::Light, Tone::Middle, Tone::Deep]) {
        let (x, right) = (axes.0.at(piece[0]), axes.0.at(piece[1]));
        if right > x {
            let rect = Rect { x, y: head, w: right - x, h: foot - head };
            paper.rect(rect, Fill::Flat(tone), None);
        }
    }
    let (x, right) = (axes.0.at(bar.from), axes.0.at(bar.to));
    let outline = Rect { x, y: head, w: right - x, h: foot - head };
    paper.rect(outline, Fill::Open, Some(Pen { width: 0.4, ..Pen::narrow(Tone::Ink) }));
    paper.end();
}

/// Whether the words of a mark fit on the left of its line.
fn has_room_left(axis: &Axis, mark: &Mark) -> bool {
    axis.at(mark.value) - needs(mark) >= axis.ends().0
}

/// Width of the words of a mark with their distance from its line.
fn needs(mark: &Mark) -> f64 {
    width(&mark.words, TEXT) + 5.0
}

/// The lines of both marks with their words: P50 on the left of its line, or above it where there is no
/// room; P80 on the right of its line, or as far right as it goes.
fn mark_lines(paper: &mut Paper, plot: Rect, axis: &Axis, chart: &Spread) {
    let base = plot.y - 4.0;
    let right = SHEET - MARGIN;
    let at = |mark: &Mark| axis.at(mark.value);
    let (x50, x80) = (at(&chart.p50), at(&chart.p80));
    for (mark, x) in [(&chart.p50, x50), (&chart.p80, x80)] {
        paper.begin_named("mark", &[("value", &mark.value.to_string())], &mark.words);
        paper.line(&[(x, plot.y - LINE), (x, plot.y + plot.h)], Pen::wide(Tone::Ink));
        paper.end();
    }
    let words = &chart.p50.words;
    if has_room_left(axis, &chart.p50) {
        paper.text((x50 - 5.0, base), Anchor::End, Tone::Ink, words);
    } else {
        kept_between(paper, (x50, base - LINE), (plot.x, right), Tone::Ink, words);
    }
    let words = &chart.p80.words;
    if x80 + needs(&chart.p80) <= right {
        paper.text((x80 + 5.0, base), Anchor::Start, Tone::Ink, words);
    } else {
        let words = shortened(words, TEXT, right - x50 - 5.0);
        paper.text((right, base), Anchor::End, Tone::Ink, &words);
    }
}

fn legend(paper: &mut Paper, top: f64) -> f64 {
    let rows = [
        (Tone::Light, "up to P50: half of the cases need no more"),
        (Tone::Middle, "up to P80: eight of ten cases need no more"),
        (Tone::Deep, "beyond: two of ten cases need more"),
    ];
    let third = (SHEET - 2.0 * MARGIN) / 3.0;
    let ends = rows.iter().enumerate().map(|(k, (tone, text))| {
        let at = (MARGIN + third * k as f64, top);
        let text = paper.say(text);
        key(paper, at, third - 8.0, &text, |paper, sample| {
            let pen = Pen { width: 0.4, ..Pen::narrow(Tone::Ink) };
            paper.rect(sample, Fill::Flat(*tone), Some(pen));
        })
    });
    ends.fold(top, f64::max) + 3.0
}

fn amount(width: f64) -> String {
    let text = format!("{width:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
