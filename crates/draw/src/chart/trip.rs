//! When a protective device opens and what the wire behind it stands, over the current, both axes
//! logarithmic; with the currents that a short circuit drives at both ends of the wire.

use super::axis::{Axis, Scale};
use super::frame::{
    Heading, RIGHT, axis_below, axis_left, corner, heading, kept_between, key, notes,
};
use crate::label::width;
use crate::paper::{Dashes, Fill, LINE, MARGIN, Paper, Pen, SHEET, TEXT, Told};
use crate::svg::{Anchor, Rect};
use crate::tone::Tone;

/// What is to be drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Trip {
    /// Heading and notes.
    pub heading: Heading,
    /// The device with its class and rating.
    pub device: String,
    /// The wire with its size and insulation.
    pub wire: String,
    /// Where the device opens earliest and latest, by rising current. Between the points straight
    /// lines in both logarithms.
    pub points: Vec<TripPoint>,
    /// What the wire stands in a short circuit; `None` if its size is not known.
    pub withstand: Option<Withstand>,
    /// Currents of short circuits.
    pub currents: Vec<Prospective>,
    /// The currents at which device and wire come closest, A.
    pub critical_a: Vec<f64>,
    /// Where the device lets more through for good than the wire carries for good.
    pub for_good: Option<ForGood>,
}

/// What flows for good, where that is too much for the wire.
#[derive(Clone, Debug, PartialEq)]
pub struct ForGood {
    /// What the device lets through, A.
    pub lets_a: f64,
    /// What the wire carries, A.
    pub carries_a: f64,
    /// Both with units.
    pub words: [String; 2],
}

/// The heat a wire stands in a short circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Withstand {
    /// `I²t`, A²s.
    pub a2s: f64,
    /// The longest time for which all of the heat stays in the wire, s.
    pub adiabatic_to_s: f64,
}

/// Opening times at a current; all of them as the wire sees them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TripPoint {
    /// Current through the wire, A.
    pub ampere: f64,
    /// Not before, s.
    pub earliest_s: Option<f64>,
    /// Not after, s, by all figures, also those that were recalled.
    pub latest_s: Option<f64>,
    /// Not after, s, by figures that were read.
    pub latest_read_s: Option<f64>,
}

/// A current that flows in a short circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct Prospective {
    /// Where the short circuit is, with the figures: `short at the far end: 180 to 410 A`.
    pub words: String,
    /// Least, A.
    pub least_a: f64,
    /// Most, A.
    pub most_a: f64,
}

const LEFT: f64 = 40.0;
const HIGH: f64 = 170.0;
/// What the wire stands.
const WIRE: Pen = Pen { tone: Tone::Quiet, width: 3.2, dashes: Dashes::Whole };
/// What the wire carries for good, and what the device lets through for good.
const CARRIES: Pen = Pen { tone: Tone::Ink, width: 2.4, dashes: Dashes::Whole };
const LETS: Pen = Pen { tone: Tone::Ink, width: 1.4, dashes: Dashes::Dots };
/// No opening time and no current is drawn beyond these.
const TIMES_S: (f64, f64) = (1e-3, 1e4);
const CURRENTS_A: (f64, f64) = (0.1, 1e6);

/// Draws the chart. `None` without a current to draw.
pub fn trip(chart: &Trip) -> Option<String> {
    let mut paper = Paper::speaking(&chart.heading.speech);
    let (left, right) = (MARGIN + LEFT, SHEET - MARGIN - RIGHT);
    let x = Axis::covering(Scale::Logarithmic, currents(chart), (left, right), 1.0)?;
    let top = heading(&mut paper, &chart.heading) + rows_above(chart, &x) + LINE + 4.0;
    let plot = Rect { x: left, y: top, w: right - left, h: HIGH };
    let ends = (plot.y + plot.h, plot.y);
    let y = Axis::covering(Scale::Logarithmic, times(chart), ends, 1.0)?;
    let [across, upright] = ["current in the wire, A", "time, s"].map(|words| paper.say(words));
    let foot = axis_below(&mut paper, plot, &x, &across);
    axis_left(&mut paper, plot, &y, (&upright, plot.y - 8.0));
    let area = Area { plot, x, y };
    area.band(&mut paper, chart);
    area.wire(&mut paper, chart);
    area.currents(&mut paper, chart);
    area.for_good(&mut paper, chart);
    area.critical(&mut paper, chart);
    corner(&mut paper, plot);
    let foot = legend(&mut paper, chart, foot);
    let end = notes(&mut paper, &chart.heading.notes, foot);
    let title = &chart.heading.title;
    let told = described(chart);
    let told = Told { kind: "trip", title, description: &told };
    Some(paper.finish(SHEET, end + MARGIN, &told))
}

fn drawable(value: f64, (low, high): (f64, f64)) -> bool {
    value.is_finite() && value >= low && value <= high
}

fn currents(chart: &Trip) -> Vec<f64> {
    let shorts = chart.currents.iter().flat_map(|current| [current.least_a, current.most_a]);
    let points = chart.points.iter().map(|point| point.ampere);
    let good = chart.for_good.iter().flat_map(|good| [good.lets_a, good.carries_a]);
    let all = shorts.chain(points).chain(chart.critical_a.iter().copied()).chain(good);
    all.filter(|ampere| drawable(*ampere, CURRENTS_A)).collect()
}

/// Times worth showing: those of the device within the drawn range, and at least a hundredth of a second
/// to a hundred seconds, so that the wire's line has room.
fn times(chart: &Trip) -> Vec<f64> {
    let points = chart.points.iter();
    let all = points.flat_map(|point| [point.earliest_s, point.latest_s, point.latest_read_s]);
    let all = all.flatten().map(|second| second.min(TIMES_S.1));
    all.chain([0.01, 100.0]).filter(|second| drawable(*second, TIMES_S)).collect()
}

struct Area {
    plot: Rect,
    x: Axis,
    y: Axis,
}

impl Area {
    fn at(&self, (ampere, second): (f64, f64)) -> (f64, f64) {
        (self.x.at(ampere), self.y.at(second))
    }

    /// A polyline in logarithms, cut at the edges of the plot.
    fn cut(&self, points: &[(f64, f64)]) -> Vec<(f64, f64)> {
        let mut out: Vec<(f64, f64)> = Vec::new();
        for pair in points.windows(2) {
            let Some((a, b)) = clipped(pair[0], pair[1], (&self.x, &self.y)) else { continue };
            if out.last().is_none_or(|last| (last.0 / a.0 - 1.0).abs() > 1e-12) {
                out.push(a);
            }
            out.push(b);
        }
        out.iter().map(|point| self.at(*point)).collect()
    }

    fn band(&self, paper: &mut Paper, chart: &Trip) {
        let of = |time: fn(&TripPoint) -> Option<f64>| -> Vec<(f64, f64)> {
            let times = chart.points.iter().filter_map(|p| Some((p.ampere, time(p)?)));
            times
                .filter(|(ampere, second)| drawable(*ampere, CURRENTS_A) && *second > 0.0)
                .collect()
        };
        let earliest = of(|point| point.earliest_s);
        let latest = of(|point| point.latest_s);
        let read = of(|point| point.latest_read_s);
        paper.begin("device", &[("points", &chart.points.len().to_string())]);
        let (low, high) = (self.cut(&earliest), self.cut(&latest));
        if let Some(around) = between(&low, &high) {
            paper.area(&around, Fill::Glass(Tone::Middle), None);
        }
        paper.line(&low, Pen::narrow(Tone::Ink).broken(Dashes::Hidden));
        paper.line(&high, Pen::narrow(Tone::Ink).broken(Dashes::Hidden));
        paper.line(&self.cut(&read), Pen::wide(Tone::Ink));
        paper.end();
    }

    /// `I²t` of the wire: a straight line that falls two decades of time a decade of current.
    fn wire(&self, paper: &mut Paper, chart: &Trip) {
        let is_some = |w: &Withstand| w.a2s.is_finite() && w.a2s > 0.0;
        let Some(Withstand { a2s, adiabatic_to_s }) = chart.withstand.filter(is_some) else {
            return;
        };
        let at = |ampere: f64| (ampere, a2s / (ampere * ampere));
        let turn_a = (a2s / adiabatic_to_s).sqrt();
        paper.begin("wire", &[("withstand-a2s", &a2s.to_string())]);
        let (low, high) = (self.x.low(), self.x.high());
        let thick = WIRE;
        if turn_a < high {
            paper.line(&self.cut(&[at(turn_a.max(low)), at(high)]), thick);
        }
        if turn_a > low {
            let line = self.cut(&[at(low), at(turn_a.min(high))]);
            paper.line(&line, thick.broken(Dashes::Dots));
        }
        paper.end();
    }

    /// Each current in a row of its own above the plot, its ends taken down into it.
    fn currents(&self, paper: &mut Paper, chart: &Trip) {
        let mut middle = self.plot.y - rows_above(chart, &self.x) + 1.0;
        for current in &chart.currents {
            let ends = [current.least_a, current.most_a].map(|ampere| self.x.at(ampere));
            let words = &current.words;
            let beside = beside(ends, words, &self.plot);
            if beside.is_none() {
                middle += LINE;
            }
            let data = [current.least_a, current.most_a].map(|ampere| ampere.to_string());
            let data = [("least-a", data[0].as_str()), ("most-a", data[1].as_str())];
            paper.begin_named("current", &data, words);
            let foot = self.plot.y + self.plot.h;
            for x in ends {
                let pen = Pen { width: 0.5, ..Pen::narrow(Tone::Quiet) };
                paper.line(&[(x, self.plot.y), (x, foot)], pen.broken(Dashes::Chain));
                paper.line(&[(x, middle - 3.5), (x, middle + 3.5)], Pen::wide(Tone::Ink));
            }
            paper.line(&[(ends[0], middle), (ends[1], middle)], Pen::wide(Tone::Ink));
            let base = middle + 0.36 * TEXT;
            match beside {
                Some((x, anchor)) => paper.text((x, base), anchor, Tone::Ink, words),
                None => {
                    let at = ((ends[0] + ends[1]) / 2.0, base - LINE);
                    kept_between(paper, at, (self.plot.x, SHEET - MARGIN), Tone::Ink, words);
                }
            }
            paper.end();
            middle += LINE;
        }
    }

    fn critical(&self, paper: &mut Paper, chart: &Trip) {
        let Some(withstand) = chart.withstand else { return };
        for &ampere in &chart.critical_a {
            let second = withstand.a2s / (ampere * ampere);
            let is_shown = second >= self.y.low() && second <= self.y.high();
            if !(drawable(ampere, CURRENTS_A) && is_shown) {
                continue;
            }
            paper.begin("critical", &[("a", &ampere.to_string())]);
            let pen = Some(Pen::wide(Tone::Ink));
            paper.circle(self.at((ampere, second)), 4.5, Fill::Flat(Tone::Ground), pen);
            paper.end();
        }
    }

    /// Upright lines at what the wire carries for good and at what the device lets through.
    fn for_good(&self, paper: &mut Paper, chart: &Trip) {
        let Some(good) = &chart.for_good else { return };
        let data = [good.carries_a, good.lets_a].map(|ampere| ampere.to_string());
        let data = [("carries-a", data[0].as_str()), ("lets-a", data[1].as_str())];
        paper.begin_named("for-good", &data, &good.words.join("; "));
        let foot = self.plot.y + self.plot.h;
        for (ampere, pen) in [(good.carries_a, CARRIES), (good.lets_a, LETS)] {
            if drawable(ampere, CURRENTS_A) {
                let x = self.x.at(ampere);
                paper.line(&[(x, self.plot.y), (x, foot)], pen);
            }
        }
        paper.end();
    }
}

/// Where words stand beside a bar; `None` where neither side has room, so that they stand above it.
fn beside([left, right]: [f64; 2], words: &str, plot: &Rect) -> Option<(f64, Anchor)> {
    let needs = width(words, TEXT) + 6.0;
    if SHEET - MARGIN - right >= needs {
        Some((right + 6.0, Anchor::Start))
    } else if left - plot.x >= needs {
        Some((left - 6.0, Anchor::End))
    } else {
        None
    }
}

/// Height of the rows of currents.
fn rows_above(chart: &Trip, x: &Axis) -> f64 {
    let (start, end) = x.ends();
    let plot = Rect { x: start, y: 0.0, w: end - start, h: 0.0 };
    let rows = chart.currents.iter().map(|current| {
        let ends = [current.least_a, current.most_a].map(|ampere| x.at(ampere));
        if beside(ends, &current.words, &plot).is_some() { LINE } else { 2.0 * LINE }
    });
    rows.sum()
}

/// The area between two lines on paper, as far along as there are both.
fn between(low: &[(f64, f64)], high: &[(f64, f64)]) -> Option<Vec<(f64, f64)>> {
    let first = low.first()?.0.max(high.first()?.0);
    let last = low.last()?.0.min(high.last()?.0);
    if first >= last {
        return None;
    }
    let kept = |line: &[(f64, f64)]| {
        let mut kept: Vec<(f64, f64)> = Vec::new();
        for pair in line.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            if b.0 <= first || a.0 >= last || b.0 <= a.0 {
                continue;
            }
            let at = |x: f64| (x, a.1 + (x - a.0) / (b.0 - a.0) * (b.1 - a.1));
            kept.extend([at(a.0.max(first)), at(b.0.min(last))]);
        }
        kept
    };
    let (mut around, back) = (kept(high), kept(low));
    around.extend(back.into_iter().rev());
    Some(around)
}

/// A straight line in logarithms between two points, cut at the ends of both axes; `None` where all of
/// it lies beyond (Liang and Barsky).
fn clipped(a: (f64, f64), b: (f64, f64), axes: (&Axis, &Axis)) -> Option<((f64, f64), (f64, f64))> {
    let logs = |point: (f64, f64)| [point.0.ln(), point.1.ln()];
    let (from, to) = (logs(a), logs(b));
    let (mut first, mut last) = (0.0_f64, 1.0_f64);
    for (k, axis) in [axes.0, axes.1].into_iter().enumerate() {
        let (low, high) = (axis.low().ln(), axis.high().ln());
        let way = to[k] - from[k];
        for (way, room) in [(-way, from[k] - low), (way, high - from[k])] {
            if way.abs() < 1e-12 {
                if room < -1e-9 {
                    return None;
                }
            } else if way < 0.0 {
                first = first.max(room / way);
            } else {
                last = last.min(room / way);
            }
        }
    }
    let at = |share: f64| {
        let log = |k: usize| from[k] + share * (to[k] - from[k]);
        (log(0).exp(), log(1).exp())
    };
    (first < last).then(|| (at(first), at(last)))
}

fn legend(paper: &mut Paper, chart: &Trip, top: f64) -> f64 {
    let room = SHEET - 2.0 * MARGIN;
    let has = |time: fn(&TripPoint) -> Option<f64>| chart.points.iter().any(|p| time(p).is_some());
    let mut y = top;
    let mut row = |paper: &mut Paper, text: &str, sample: fn(&mut Paper, Rect)| {
        y = key(paper, (MARGIN, y), room, text, sample);
    };
    if has(|point| point.earliest_s) || has(|point| point.latest_s) {
        let text = paper.speech.fill(
            "{a}: opens within this band; broken edges rest on recalled figures",
            &[&chart.device],
        );
        row(paper, &text, |paper, sample| {
            paper.rect(sample, Fill::Glass(Tone::Middle), None);
            for y in [sample.y, sample.y + sample.h] {
                let pen = Pen::narrow(Tone::Ink).broken(Dashes::Hidden);
                paper.line(&[(sample.x, y), (sample.x + sample.w, y)], pen);
            }
        });
    }
    if has(|point| point.latest_read_s) {
        let text = paper.say("opens no later than this, by figures that were read");
        row(paper, &text, |paper, sample| {
            level(paper, sample, Pen::wide(Tone::Ink));
        });
    }
    if let Some(withstand) = chart.withstand {
        let text = paper.speech.fill(
            "{a}: stands the current for so long, I²t = k²S²; dotted beyond {b}\u{a0}s, where it gives off heat and stands longer",
            &[&chart.wire, &withstand.adiabatic_to_s.to_string()],
        );
        row(paper, &text, |paper, sample| {
            level(paper, sample, WIRE);
        });
    }
    if let Some(good) = &chart.for_good {
        row(paper, &good.words[0], |paper, sample| level(paper, sample, CARRIES));
        row(paper, &good.words[1], |paper, sample| level(paper, sample, LETS));
    }
    if !chart.critical_a.is_empty() && chart.withstand.is_some() {
        let text = paper.say("where device and wire come closest");
        row(paper, &text, |paper, sample| {
            let pen = Some(Pen::wide(Tone::Ink));
            paper.circle(sample.middle(), 4.0, Fill::Flat(Tone::Ground), pen);
        });
    }
    y + 3.0
}

fn level(paper: &mut Paper, sample: Rect, pen: Pen) {
    let y = sample.middle().1;
    paper.line(&[(sample.x, y), (sample.x + sample.w, y)], pen);
}

fn described(chart: &Trip) -> String {
    let currents: Vec<&str> = chart.currents.iter().map(|c| c.words.as_str()).collect();
    chart.heading.speech.fill(
        "Opening times of {a} and what {b} stands, over the current. {c}.",
        &[&chart.device, &chart.wire, &currents.join("; ")],
    )
}
