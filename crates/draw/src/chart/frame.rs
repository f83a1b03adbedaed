//! What all charts have in common: heading, notes, axes with their marks, words beside things.

use super::axis::{Axis, Tick};
use crate::label::{lines, shortened, width};
use crate::paper::{HEADING, LINE, MARGIN, NARROW, Paper, Pen, SHEET, TEXT, Words};
use crate::speech::Speech;
use crate::svg::{Anchor, Rect};
use crate::tone::Tone;

/// Heading and the words below it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Heading {
    /// What the chart shows, one line.
    pub title: String,
    /// Of what, in which state, by what: a sentence or two.
    pub about: String,
    /// What the figures rest on, and what is not known; below the chart.
    pub notes: Vec<String>,
    /// The words the drawing puts in by itself.
    pub speech: Speech,
}

/// Room between words, points.
const GAP: f64 = 4.0;
/// What stays free on the right of a plot, so that the last word on its axis stands at its mark, points.
pub(crate) const RIGHT: f64 = 8.0;
/// Length of a mark on an axis, points.
const MARK: f64 = 4.0;

/// Puts the heading on; returns the height below it.
pub(crate) fn heading(paper: &mut Paper, heading: &Heading) -> f64 {
    let room = SHEET - 2.0 * MARGIN;
    let mut y = MARGIN;
    for line in lines(&heading.title, HEADING, room, 2) {
        y += HEADING + 3.0;
        let (tone, anchor, weight) = (Tone::Ink, Anchor::Start, 700);
        let at = (MARGIN, y - 3.4);
        paper.words(&Words { at, size: HEADING, tone, anchor, weight, text: &line });
    }
    let end = paragraph(paper, (MARGIN, y + 0.5), room, Tone::Quiet, &heading.about, 4);
    end + GAP
}

/// Lines of a note: a list of names is not cut before this.
const LONGEST_NOTE: usize = 12;

/// Puts the notes on; returns the height below them.
pub(crate) fn notes(paper: &mut Paper, notes: &[String], top: f64) -> f64 {
    let room = SHEET - 2.0 * MARGIN;
    let mut set = |y, note| paragraph(paper, (MARGIN, y), room, Tone::Quiet, note, LONGEST_NOTE);
    notes.iter().map(String::as_str).fold(top, |y, note| set(y, note) + GAP / 2.0)
}

/// A paragraph that begins below a point; returns the height below it.
pub(crate) fn paragraph(
    paper: &mut Paper,
    (x, y): (f64, f64),
    room: f64,
    tone: Tone,
    text: &str,
    most: usize,
) -> f64 {
    let broken = lines(text, TEXT, room, most);
    for (k, line) in broken.iter().enumerate() {
        let at = (x, y + LINE * (k as f64 + 1.0) - 0.25 * LINE);
        paper.text(at, Anchor::Start, tone, line);
    }
    y + LINE * broken.len() as f64
}

/// Words of at most `most` lines whose middle stands at a height.
pub(crate) fn beside(
    paper: &mut Paper,
    (x, middle): (f64, f64),
    room: f64,
    tone: Tone,
    text: &str,
    most: usize,
) {
    let broken = lines(text, TEXT, room, most);
    let first = middle + 0.36 * TEXT - (broken.len() as f64 - 1.0) * LINE / 2.0;
    for (k, line) in broken.iter().enumerate() {
        paper.text((x, first + LINE * k as f64), Anchor::Start, tone, line);
    }
}

/// Words centred on a point, but moved sideways so that they stay between two places.
pub(crate) fn kept_between(
    paper: &mut Paper,
    (x, base): (f64, f64),
    (left, right): (f64, f64),
    tone: Tone,
    text: &str,
) {
    let text = shortened(text, TEXT, right - left);
    let half = width(&text, TEXT) / 2.0;
    let middle = x.clamp(left + half, (right - half).max(left + half));
    paper.text((middle, base), Anchor::Middle, tone, &text);
}

/// The marks that get words: those that do not run into the word before.
fn written(ticks: &[Tick], clear: f64, extent: impl Fn(&str) -> f64) -> Vec<bool> {
    let mut taken: Option<(f64, f64)> = None;
    let mut shown = Vec::with_capacity(ticks.len());
    for tick in ticks {
        let half = extent(&tick.text) / 2.0;
        let fits = taken.is_none_or(|(at, last)| (tick.at - at).abs() >= half + last + clear);
        let write = !tick.text.is_empty() && fits;
        if write {
            taken = Some((tick.at, half));
        }
        shown.push(write);
    }
    shown
}

/// Grid lines upright, and marks with words below the plot, with the quantity under them. Returns the
/// height below.
pub(crate) fn axis_below(paper: &mut Paper, plot: Rect, axis: &Axis, quantity: &str) -> f64 {
    let ticks = axis.ticks();
    let foot = plot.y + plot.h;
    let shown = written(&ticks, GAP, |text| width(text, TEXT));
    paper.begin("axis", &[("quantity", quantity)]);
    for (tick, shown) in ticks.iter().zip(shown) {
        let long = if tick.text.is_empty() { MARK / 2.0 } else { MARK };
        if !tick.text.is_empty() && tick.at > plot.x + 1.0 && tick.at < plot.x + plot.w - 1.0 {
            paper.line(&[(tick.at, plot.y), (tick.at, foot)], grid());
        }
        paper.line(&[(tick.at, foot), (tick.at, foot + long)], Pen::narrow(Tone::Ink));
        if shown {
            let at = (tick.at, foot + MARK + TEXT + 2.0);
            kept_between(paper, at, (2.0, SHEET - 2.0), Tone::Ink, &tick.text);
        }
    }
    let base = foot + MARK + TEXT + LINE + 3.0;
    let quantity = shortened(quantity, TEXT, plot.x + plot.w - MARGIN);
    paper.text((plot.x + plot.w, base), Anchor::End, Tone::Quiet, &quantity);
    paper.end();
    base + GAP
}

/// Grid lines level, and marks with words on the left of the plot. The quantity stands over them, on a
/// line of its own.
pub(crate) fn axis_left(paper: &mut Paper, plot: Rect, axis: &Axis, (quantity, base): (&str, f64)) {
    let ticks = axis.ticks();
    let shown = written(&ticks, 1.0, |_| TEXT);
    paper.begin("axis", &[("quantity", quantity)]);
    for (tick, shown) in ticks.iter().zip(shown) {
        let long = if tick.text.is_empty() { MARK / 2.0 } else { MARK };
        if !tick.text.is_empty() && tick.at > plot.y + 1.0 && tick.at < plot.y + plot.h - 1.0 {
            paper.line(&[(plot.x, tick.at), (plot.x + plot.w, tick.at)], grid());
        }
        paper.line(&[(plot.x - long, tick.at), (plot.x, tick.at)], Pen::narrow(Tone::Ink));
        if shown {
            let at = (plot.x - MARK - 2.0, tick.at + 0.36 * TEXT);
            paper.text(at, Anchor::End, Tone::Ink, &tick.text);
        }
    }
    paper.text((MARGIN, base), Anchor::Start, Tone::Quiet, quantity);
    paper.end();
}

/// Lines at the foot and on the left of a plot.
pub(crate) fn corner(paper: &mut Paper, plot: Rect) {
    let foot = plot.y + plot.h;
    paper
        .line(&[(plot.x, plot.y), (plot.x, foot), (plot.x + plot.w, foot)], Pen::narrow(Tone::Ink));
}

fn grid() -> Pen {
    Pen { width: NARROW / 2.0, ..Pen::narrow(Tone::Faint) }
}

/// A row of a key: a sample is drawn into the rectangle that is handed out, the words stand beside.
/// Returns the height below.
pub(crate) fn key(
    paper: &mut Paper,
    (x, y): (f64, f64),
    room: f64,
    text: &str,
    sample: impl FnOnce(&mut Paper, Rect),
) -> f64 {
    const SAMPLE: f64 = 26.0;
    let rows = lines(text, TEXT, room - SAMPLE - 6.0, 3).len().max(1) as f64;
    sample(paper, Rect { x, y: y + 2.0, w: SAMPLE, h: LINE - 4.0 });
    let middle = y + rows * LINE / 2.0;
    beside(paper, (x + SAMPLE + 6.0, middle), room - SAMPLE - 6.0, Tone::Ink, text, 3);
    y + rows * LINE + 1.5
}
