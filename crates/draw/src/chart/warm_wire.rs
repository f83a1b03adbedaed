//! Temperature along a wire: warm joints at its ends, the conductor between, and the limits.

use super::axis::{Axis, Scale};
use super::frame::{Heading, RIGHT, axis_below, axis_left, corner, heading, key, notes};
use crate::label::shortened;
use crate::paper::{Dashes, Fill, LINE, MARGIN, Paper, Pen, SHEET, TEXT, Told};
use crate::speech::Speech;
use crate::svg::{Anchor, Point, Rect};
use crate::tone::Tone;
use units::{Dimension, in_unit};

/// What is to be drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct WarmWire {
    /// Heading and notes.
    pub heading: Heading,
    /// What stands at the first and the second end, with the joint's figures.
    pub ends: [String; 2],
    /// From the first end to the second, by rising place.
    pub profile: Vec<Warm>,
    /// The air around, °C.
    pub air_c: f64,
    /// Limits.
    pub limits: Vec<WarmLimit>,
    /// Above this nothing is drawn, °C: the figures no longer mean more than "far too hot". `None`: all of
    /// it is drawn.
    pub ceiling_c: Option<f64>,
    /// Whether the profile is that of the wire, or only of its ends.
    pub reach: Reach,
}

/// How much of the wire the profile shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reach {
    /// All of it: its length is known.
    WholeWire,
    /// Its length is not known: the ends, with a break in the middle.
    EndsOnly,
}

/// The temperature at a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Warm {
    /// From the first end, m.
    pub at_m: f64,
    /// The coolest it may be, °C.
    pub coolest_c: f64,
    /// The hottest it may be, °C.
    pub hottest_c: f64,
}

/// A temperature not to be passed.
#[derive(Clone, Debug, PartialEq)]
pub struct WarmLimit {
    /// The limit, °C.
    pub celsius: f64,
    /// With its source: `insulation, 70 °C`.
    pub words: String,
    /// Where it holds.
    pub place: Place,
}

/// Where along the wire a limit holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// Everywhere.
    All,
    /// At the first end.
    First,
    /// At the second end.
    Second,
}

const LEFT: f64 = 34.0;
const HIGH: f64 = 170.0;
/// Length of a limit that holds at an end, points.
const AT_END: f64 = 60.0;

/// Draws the chart. `None` without a profile.
pub fn warm_wire(chart: &WarmWire) -> Option<String> {
    let good = |warm: &&Warm| {
        warm.at_m.is_finite() && warm.coolest_c.is_finite() && warm.hottest_c.is_finite()
    };
    let profile: Vec<Warm> = chart.profile.iter().filter(good).copied().collect();
    let (first, last) = (profile.first()?.at_m, profile.last()?.at_m);
    let mut paper = Paper::speaking(&chart.heading.speech);
    let top = heading(&mut paper, &chart.heading) + 2.0 * LINE + 10.0;
    let plot = Rect { x: MARGIN + LEFT, y: top, w: SHEET - 2.0 * MARGIN - LEFT - RIGHT, h: HIGH };
    let system = paper.speech.system();
    let place = |place_m: f64| in_unit(place_m, Dimension::Length, system);
    let warmth = |celsius: f64| in_unit(celsius, Dimension::Temperature, system);
    let x = Axis::exactly((place(first).0, place(last).0), (plot.x, plot.x + plot.w), 46.0)?;
    let y = upright(chart, &profile, plot)?;
    let across = paper.speech.fill("place along the wire, {a}", &[place(first).1]);
    let foot = axis_below(&mut paper, plot, &x, &across);
    axis_left(&mut paper, plot, &y, (warmth(chart.air_c).1, plot.y - 8.0));
    ends(&mut paper, plot, chart);
    let height = |celsius: f64| y.at(warmth(celsius).0);
    let at = |place_m: f64, celsius: f64| (x.at(place(place_m).0), height(celsius));
    let low: Vec<Point> = profile.iter().map(|w| at(w.at_m, w.coolest_c)).collect();
    let high: Vec<Point> = profile.iter().map(|w| at(w.at_m, w.hottest_c)).collect();
    paper.begin("profile", &[("places", &profile.len().to_string())]);
    let around: Vec<Point> = high.iter().chain(low.iter().rev()).copied().collect();
    paper.area(&around, Fill::Flat(Tone::Light), None);
    for limit in &chart.limits {
        over(&mut paper, plot, limit, (&low, &high), height(limit.celsius));
    }
    for (curve, pen) in [(&high, Pen::wide(Tone::Ink)), (&low, Pen::narrow(Tone::Ink))] {
        for piece in below(curve, plot.y) {
            paper.line(&piece, pen);
        }
    }
    paper.end();
    for limit in &chart.limits {
        limit_line(&mut paper, plot, limit, height(limit.celsius));
    }
    let air = height(chart.air_c);
    paper.line(
        &[(plot.x, air), (plot.x + plot.w, air)],
        Pen::narrow(Tone::Quiet).broken(Dashes::Dots),
    );
    if chart.reach == Reach::EndsOnly {
        gap(&mut paper, plot);
    }
    corner(&mut paper, plot);
    let foot = legend(&mut paper, chart, foot);
    let end = notes(&mut paper, &chart.heading.notes, foot);
    let title = &chart.heading.title;
    let told = described(chart, &profile);
    let told = Told { kind: "warm-wire", title, description: &told };
    Some(paper.finish(SHEET, end + MARGIN, &told))
}

fn upright(chart: &WarmWire, profile: &[Warm], plot: Rect) -> Option<Axis> {
    let ceiling = chart.ceiling_c.filter(|celsius| celsius.is_finite()).unwrap_or(f64::INFINITY);
    let warmth = profile.iter().flat_map(|warm| [warm.coolest_c, warm.hottest_c]);
    let limits = chart.limits.iter().map(|limit| limit.celsius);
    let system = chart.heading.speech.system();
    let values: Vec<f64> = warmth.chain(limits).chain([chart.air_c]).collect();
    let told = |celsius: &f64| in_unit(celsius.min(ceiling), Dimension::Temperature, system).0;
    let (ends, room) = ((plot.y + plot.h, plot.y), 26.0);
    let axis = Axis::covering(Scale::Linear, values.iter().map(told), ends, room)?;
    if values.iter().any(|celsius| *celsius > ceiling) {
        return Axis::exactly((axis.low(), told(&ceiling)), ends, room);
    }
    Some(axis)
}

/// The pieces of a curve that stay below the top of the plot; points on the top lie beyond it.
fn below(curve: &[Point], top: f64) -> Vec<Vec<Point>> {
    let is_beyond = |point: &&(f64, f64)| point.1 <= top + 1e-6;
    let mut pieces: Vec<Vec<Point>> = vec![Vec::new()];
    for (k, point) in curve.iter().enumerate() {
        let neighbours = [k.checked_sub(1).and_then(|k| curve.get(k)), curve.get(k + 1)];
        if is_beyond(&point) && neighbours.iter().flatten().all(is_beyond) {
            pieces.push(Vec::new());
        } else {
            pieces.last_mut().expect("there is one from the start").push(*point);
        }
    }
    pieces
}

/// The ends in words, over the plot: the first on the left, the second on the right, a row each.
fn ends(paper: &mut Paper, plot: Rect, chart: &WarmWire) {
    let room = plot.w - 12.0;
    let (left, right) = (plot.x, plot.x + plot.w);
    let rows = [plot.y - 8.0 - LINE, plot.y - 8.0];
    let first = shortened(&chart.ends[0], TEXT, room);
    paper.text((left + 6.0, rows[0]), Anchor::Start, Tone::Ink, &first);
    let second = shortened(&chart.ends[1], TEXT, room);
    paper.text((right - 6.0, rows[1]), Anchor::End, Tone::Ink, &second);
    paper.line(&[(left, rows[0] - 6.0), (left, plot.y)], Pen::narrow(Tone::Ink));
    paper.line(&[(right, rows[1] - 6.0), (right, plot.y)], Pen::narrow(Tone::Ink));
}

/// What of the profile lies past a limit: hatched where it may, filled where it does in any case.
fn over(
    paper: &mut Paper,
    plot: Rect,
    limit: &WarmLimit,
    (low, high): (&[Point], &[Point]),
    line: f64,
) {
    let (from, to) = span(plot, limit.place);
    for (curve, fill) in [(high, Fill::DangerHatch), (low, Fill::Flat(Tone::Danger))] {
        for piece in above(curve, line, (from, to)) {
            paper.area(&piece, fill, None);
        }
    }
}

/// The pieces between a curve and a level line below it, within two places. Up is less on paper.
fn above(curve: &[Point], line: f64, (from, to): (f64, f64)) -> Vec<Vec<Point>> {
    let mut pieces: Vec<Vec<Point>> = Vec::new();
    let mut open: Vec<Point> = Vec::new();
    for pair in curve.windows(2) {
        let Some((a, b)) = within(pair[0], pair[1], (from, to)) else { continue };
        let cross = |a: (f64, f64), b: (f64, f64)| {
            let share = (line - a.1) / (b.1 - a.1);
            (a.0 + share * (b.0 - a.0), line)
        };
        match (a.1 < line, b.1 < line) {
            (true, true) => {
                if open.is_empty() {
                    open.extend([(a.0, line), a]);
                }
                open.push(b);
            }
            (true, false) => {
                if open.is_empty() {
                    open.extend([(a.0, line), a]);
                }
                open.push(cross(a, b));
                pieces.push(std::mem::take(&mut open));
            }
            (false, true) => open.extend([cross(a, b), b]),
            (false, false) => {}
        }
    }
    if let Some(last) = open.last().copied() {
        open.push((last.0, line));
        pieces.push(open);
    }
    pieces
}

/// The part of a line between two places along x.
fn within(
    a: (f64, f64),
    b: (f64, f64),
    (from, to): (f64, f64),
) -> Option<((f64, f64), (f64, f64))> {
    if b.0 <= from || a.0 >= to || b.0 <= a.0 {
        return None;
    }
    let at = |x: f64| (x, a.1 + (x - a.0) / (b.0 - a.0) * (b.1 - a.1));
    Some((at(a.0.max(from)), at(b.0.min(to))))
}

fn span(plot: Rect, place: Place) -> (f64, f64) {
    let (left, right) = (plot.x, plot.x + plot.w);
    match place {
        Place::All => (left, right),
        Place::First => (left, left + AT_END),
        Place::Second => (right - AT_END, right),
    }
}

fn limit_line(paper: &mut Paper, plot: Rect, limit: &WarmLimit, y: f64) {
    let (from, to) = span(plot, limit.place);
    paper.begin_named("limit", &[("celsius", &limit.celsius.to_string())], &limit.words);
    let pen = Pen::wide(Tone::Ink);
    let pen = if limit.place == Place::All {
        pen.broken(Dashes::Chain)
    } else {
        pen.broken(Dashes::Hidden)
    };
    paper.line(&[(from, y), (to, y)], pen);
    paper.end();
}

/// Two slanting strokes across the plot: what lies between is left out.
fn gap(paper: &mut Paper, plot: Rect) {
    let middle = plot.x + plot.w / 2.0;
    let (half, slant) = (7.0, 5.0);
    let (top, foot) = (plot.y - 2.0, plot.y + plot.h + 2.0);
    let side = |x: f64| [(x + slant, top), (x - slant, foot)];
    let [a, b] = side(middle - half);
    let [c, d] = side(middle + half);
    paper.area(&[a, b, d, c], Fill::Flat(Tone::Ground), None);
    paper.line(&[a, b], Pen::narrow(Tone::Ink));
    paper.line(&[c, d], Pen::narrow(Tone::Ink));
}

fn legend(paper: &mut Paper, chart: &WarmWire, top: f64) -> f64 {
    let room = SHEET - 2.0 * MARGIN;
    let text = paper.say("the conductor: hottest (wide line) and coolest it may be");
    let mut y = key(paper, (MARGIN, top), room, &text, |paper, sample| {
        paper.rect(sample, Fill::Flat(Tone::Light), None);
        let right = sample.x + sample.w;
        paper.line(&[(sample.x, sample.y), (right, sample.y)], Pen::wide(Tone::Ink));
        let foot = sample.y + sample.h;
        paper.line(&[(sample.x, foot), (right, foot)], Pen::narrow(Tone::Ink));
    });
    let air = paper.speech.fill("the air around: {a}", &[&celsius(&paper.speech, chart.air_c)]);
    y = key(paper, (MARGIN, y), room, &air, |paper, sample| {
        level(paper, sample, Pen::narrow(Tone::Quiet).broken(Dashes::Dots));
    });
    for (k, limit) in chart.limits.iter().enumerate() {
        if chart.limits[..k].iter().any(|before| before.words == limit.words) {
            continue;
        }
        let place = limit.place;
        y = key(paper, (MARGIN, y), room, &limit.words, move |paper, sample| {
            let dashes = if place == Place::All { Dashes::Chain } else { Dashes::Hidden };
            level(paper, sample, Pen::wide(Tone::Ink).broken(dashes));
        });
    }
    if chart.limits.iter().any(|limit| passes(chart, limit)) {
        let text =
            paper.say("past a limit: filled where it is in any case, hatched where it may be");
        y = key(paper, (MARGIN, y), room, &text, |paper, sample| {
            let half = Rect { w: sample.w / 2.0, ..sample };
            paper.rect(half, Fill::Flat(Tone::Danger), None);
            paper.rect(Rect { x: half.x + half.w, ..half }, Fill::DangerHatch, None);
        });
    }
    y + 3.0
}

fn level(paper: &mut Paper, sample: Rect, pen: Pen) {
    let y = sample.middle().1;
    paper.line(&[(sample.x, y), (sample.x + sample.w, y)], pen);
}

/// Whether the profile may pass a limit where the limit holds.
fn passes(chart: &WarmWire, limit: &WarmLimit) -> bool {
    let hot = |warm: Option<&Warm>| warm.is_some_and(|warm| warm.hottest_c > limit.celsius);
    match limit.place {
        Place::All => chart.profile.iter().any(|warm| hot(Some(warm))),
        Place::First => hot(chart.profile.first()),
        Place::Second => hot(chart.profile.last()),
    }
}

fn described(chart: &WarmWire, profile: &[Warm]) -> String {
    let speech = &chart.heading.speech;
    let words = |warm: Option<&Warm>| {
        let ends = warm.map(|w| [w.coolest_c, w.hottest_c].map(|end_c| celsius(speech, end_c)));
        ends.map_or_else(String::new, |[low, high]| speech.fill("{a} to {b}", &[&low, &high]))
    };
    let middle = profile.get(profile.len() / 2);
    let limits: Vec<&str> = chart.limits.iter().map(|limit| limit.words.as_str()).collect();
    let limits =
        if limits.is_empty() { speech.say("none known").to_owned() } else { limits.join("; ") };
    speech.fill(
        "{a}: {b}; in the middle {c}; {d}: {e}. Air {f}. Limits: {g}.",
        &[
            &chart.ends[0],
            &words(profile.first()),
            &words(middle),
            &chart.ends[1],
            &words(profile.last()),
            &celsius(speech, chart.air_c),
            &limits,
        ],
    )
}

/// A temperature in whole degrees of the reader's units.
fn celsius(speech: &Speech, celsius: f64) -> String {
    let (degrees, unit) = in_unit(celsius, Dimension::Temperature, speech.system());
    format!("{degrees:.0} {unit}")
}
