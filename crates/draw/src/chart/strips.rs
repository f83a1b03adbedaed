//! What each suspect predicts for a reading: one strip a suspect, the reading across all of them.

use super::axis::{Axis, Scale};
use super::frame::{Heading, axis_below, beside, heading, kept_between, notes};
use crate::label::lines;
use crate::paper::{Dashes, Fill, LINE, MARGIN, Paper, Pen, SHEET, TEXT, Told};
use crate::svg::Rect;
use crate::tone::Tone;

/// What is to be drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Strips {
    /// Heading and notes.
    pub heading: Heading,
    /// What is read, with its unit: `volts between fridge.+ and fridge.-, V`.
    pub quantity: String,
    /// How values are spread along the axis.
    pub scale: Scale,
    /// What was read; `None` while it has not been.
    pub reading: Option<Mark>,
    /// The suspects, in the order they are to stand.
    pub rows: Vec<Strip>,
}

/// A value on the axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// The value, in the unit of the axis.
    pub value: f64,
    /// How far it may be off, either way; zero if that is not known.
    pub plus_minus: f64,
    /// The value with its unit and origin: `measured 10.75 V ± 0.05 V`.
    pub words: String,
}

impl Mark {
    fn is_number(&self) -> bool {
        self.value.is_finite() && self.plus_minus.is_finite()
    }
}

/// One suspect.
#[derive(Clone, Debug, PartialEq)]
pub struct Strip {
    /// Its name for programs.
    pub id: String,
    /// What people call it.
    pub label: String,
    /// What stands beside its strip: how likely it is.
    pub aside: String,
    /// Where the reading would lie if it were this one. Bands may overlap.
    pub bands: Vec<Band>,
}

/// A range of readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// From, in the unit of the axis.
    pub low: f64,
    /// To.
    pub high: f64,
    /// How much of the suspect's chances lies in it, 0 to 1: a heavier band is drawn higher.
    pub weight: f64,
}

const LABELS: f64 = 176.0;
const ASIDE: f64 = 84.0;
/// Lines of words beside a strip, at most.
const MOST: usize = 3;
/// Height of the heaviest band of a suspect, points.
const BAND: f64 = 19.0;
/// A band is drawn at least as wide, points.
const LEAST: f64 = 2.0;

/// Draws the strips. `None` where no band has a place on the axis.
pub fn strips(chart: &Strips) -> Option<String> {
    let reading = chart.reading.as_ref().filter(|reading| reading.is_number());
    let mut paper = Paper::speaking(&chart.heading.speech);
    let top = heading(&mut paper, &chart.heading) + if reading.is_some() { LINE } else { 0.0 };
    let high = row_height(chart);
    let plot = Rect {
        x: MARGIN + LABELS,
        y: top,
        w: SHEET - 2.0 * MARGIN - LABELS - ASIDE,
        h: high * chart.rows.len() as f64,
    };
    let ends = chart.rows.iter().flat_map(|row| &row.bands).flat_map(|band| [band.low, band.high]);
    let read = reading.into_iter().flat_map(reading_ends);
    let sides = (plot.x, plot.x + plot.w);
    let axis = Axis::covering(chart.scale, ends.chain(read), sides, 46.0)?;
    let foot = axis_below(&mut paper, plot, &axis, &chart.quantity);
    if let Some(reading) = reading {
        reading_zone(&mut paper, plot, &axis, reading);
    }
    for (k, row) in chart.rows.iter().enumerate() {
        let middle = plot.y + high * (k as f64 + 0.5);
        strip(&mut paper, plot, &axis, (row, middle), reading);
    }
    paper.line(&[(plot.x, plot.y + plot.h), (sides.1, plot.y + plot.h)], Pen::narrow(Tone::Ink));
    if let Some(reading) = reading {
        let x = axis.at(reading.value);
        let foot = plot.y + plot.h;
        paper.begin_named("reading", &[("value", &reading.value.to_string())], &reading.words);
        paper.line(&[(x, plot.y - 1.0), (x, foot)], Pen::wide(Tone::Ink));
        let between = (MARGIN, SHEET - MARGIN);
        kept_between(&mut paper, (x, plot.y - 4.0), between, Tone::Ink, &reading.words);
        paper.end();
    }
    let end = notes(&mut paper, &chart.heading.notes, foot);
    let told = described(chart, reading);
    let title = &chart.heading.title;
    Some(paper.finish(SHEET, end + MARGIN, &Told { kind: "strips", title, description: &told }))
}

/// Height of a row: what the longest words want.
fn row_height(chart: &Strips) -> f64 {
    let rows = chart.rows.iter().flat_map(|row| {
        let aside = lines(&row.aside, TEXT, ASIDE - 20.0, MOST).len();
        [lines(&row.label, TEXT, LABELS - 8.0, MOST).len(), aside, 2]
    });
    LINE * rows.max().unwrap_or(2) as f64 + 5.0
}

fn reading_ends(reading: &Mark) -> [f64; 2] {
    [reading.value - reading.plus_minus, reading.value + reading.plus_minus]
}

fn reading_zone(paper: &mut Paper, plot: Rect, axis: &Axis, reading: &Mark) {
    let [low, high] = reading_ends(reading).map(|value| axis.at(value));
    let zone = Rect { x: low, y: plot.y, w: high - low, h: plot.h };
    paper.rect(zone, Fill::Flat(Tone::Light), None);
}

fn strip(
    paper: &mut Paper,
    plot: Rect,
    axis: &Axis,
    (row, middle): (&Strip, f64),
    reading: Option<&Mark>,
) {
    let share =
        |band: &Band| if band.weight.is_finite() { band.weight.clamp(0.0, 1.0) } else { 0.0 };
    let heaviest = row.bands.iter().map(share).fold(0.0, f64::max);
    paper.begin_named("strip", &[("suspect", &row.id)], &row.label);
    beside(paper, (MARGIN, middle), LABELS - 8.0, Tone::Ink, &row.label, MOST);
    let whole = [(plot.x, middle), (plot.x + plot.w, middle)];
    paper.line(&whole, Pen::narrow(Tone::Faint).broken(Dashes::Dots));
    for band in row.bands.iter().filter(|band| band.low.is_finite() && band.high.is_finite()) {
        let (left, right) = (axis.at(band.low.min(band.high)), axis.at(band.high.max(band.low)));
        let w = (right - left).max(LEAST);
        let part = if heaviest > 0.0 { share(band) / heaviest } else { 1.0 };
        let h = BAND * (0.3 + 0.7 * part);
        let x = (left + right - w) / 2.0;
        let data = [band.low, band.high, band.weight].map(|value| value.to_string());
        paper.begin("band", &[("low", &data[0]), ("high", &data[1]), ("weight", &data[2])]);
        let rect = Rect { x, y: middle - h / 2.0, w, h };
        paper.rect(rect, Fill::Flat(Tone::Deep), Some(Pen::narrow(Tone::Ink)));
        paper.end();
    }
    let right = plot.x + plot.w + 8.0;
    if let Some(reading) = reading {
        let radius = 0.36 * TEXT;
        let fill = if agrees(row, reading) { Fill::Flat(Tone::Ink) } else { Fill::Open };
        paper.circle((right + radius, middle), radius, fill, Some(Pen::narrow(Tone::Ink)));
    }
    let indent = if reading.is_some() { 12.0 } else { 0.0 };
    let room = ASIDE - 8.0 - indent;
    beside(paper, (right + indent, middle), room, Tone::Ink, &row.aside, MOST);
    paper.end();
}

/// Whether the reading, as far as it may be off, meets a band.
fn agrees(row: &Strip, reading: &Mark) -> bool {
    let [low, high] = reading_ends(reading);
    row.bands.iter().any(|band| band.low.min(band.high) <= high && band.high.max(band.low) >= low)
}

fn described(chart: &Strips, reading: Option<&Mark>) -> String {
    let rows = chart.rows.iter().map(|row| {
        let bands = row.bands.iter().map(|band| format!("{:.4} to {:.4}", band.low, band.high));
        let bands: Vec<String> = bands.collect();
        let fits = reading.map(|reading| {
            if agrees(row, reading) { ", agrees with the reading" } else { ", does not agree" }
        });
        format!("{}: {}{}", row.label, bands.join(" or "), fits.unwrap_or_default())
    });
    let rows: Vec<String> = rows.collect();
    let reading = reading
        .map_or_else(|| "Not read yet".to_owned(), |reading| format!("Read: {}", reading.words));
    format!("{}. {reading}. {}.", chart.quantity, rows.join("; "))
}
