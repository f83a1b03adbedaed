//! What is drawn over the boxes: ways of wires, the work area, what a crash pulls on.

use super::VehicleDrawing;
use super::projection::{Flat, Isometric};
use crate::Cuboid;
use crate::badge::{Home, RADIUS};
use crate::paper::{Dashes, Fill, Paper, Pen};
use crate::speech::Speech;
use crate::svg::Rect;
use crate::tone::Tone;

/// The way of one or several wires between two places, as far as it is known.
#[derive(Clone, Debug, PartialEq)]
pub struct Route {
    /// Its number in the legend, from 1.
    pub number: usize,
    /// Which wires, from where to where, and how well their way is known.
    pub words: String,
    /// Where it begins and ends.
    pub ends: [RouteEnd; 2],
    /// Boxes it is known to pass, in order.
    pub past: Vec<Cuboid>,
}

/// An end of a way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RouteEnd {
    /// At a thing that has a place.
    At(Cuboid),
    /// Behind a part: somewhere within its box the wire is lost to sight.
    Behind(Cuboid),
    /// Nobody knows, or what it lands on has no place.
    Unknown,
}

/// A heavy thing, what it would pull in a crash, and whether what holds it stands that.
#[derive(Clone, Debug, PartialEq)]
pub struct Pull {
    /// Its number in the legend, from 1.
    pub number: usize,
    /// The thing with the figures.
    pub words: String,
    /// Where it is; `None` if nobody has said.
    pub cuboid: Option<Cuboid>,
    /// Forward, rearward, left, right, up, down.
    pub directions: [PullVerdict; 6],
}

/// Whether what holds a thing stands its pull in a direction.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PullVerdict {
    /// It falls short even on the figures most in its favour.
    FallsShort,
    /// It cannot be told.
    CannotTell,
    /// The pull does not exceed a rating that somebody stated.
    WithinRating,
    /// No figure is known to hold it against.
    NotJudged,
}

/// Towards front, rear, left, right, up and down, in the axes of a box.
const DIRECTIONS: [[f64; 3]; 6] = [
    [-1.0, 0.0, 0.0],
    [1.0, 0.0, 0.0],
    [0.0, -1.0, 0.0],
    [0.0, 1.0, 0.0],
    [0.0, 0.0, 1.0],
    [0.0, 0.0, -1.0],
];

/// Length of an arrow, points.
const ARROW: f64 = 24.0;
/// Length of the stub of an end that nobody knows, points.
const STUB: f64 = 18.0;

/// The boxes a way touches.
pub(crate) fn boxes(route: &Route) -> Vec<Cuboid> {
    let ends = route.ends.iter().filter_map(|end| match end {
        RouteEnd::At(cuboid) | RouteEnd::Behind(cuboid) => Some(*cuboid),
        RouteEnd::Unknown => None,
    });
    ends.chain(route.past.iter().copied()).collect()
}

/// Whether a ring shows that one of its ends is not seen.
pub(crate) fn is_lost(route: &Route) -> bool {
    let is_behind = |end: &RouteEnd| matches!(end, RouteEnd::Behind(_));
    route.ends.iter().any(is_behind) || boxes(route).len() == 1
}

/// Draws on a flat view; returns the numbers that belong to it, those that must not move first.
pub(crate) fn on_flat(paper: &mut Paper, drawing: &VehicleDrawing, flat: &Flat) -> Vec<Home> {
    let middle_m = flat.hull.middle_m()[1];
    let shows = |cuboid: &Cuboid| flat.view.shows(cuboid, middle_m);
    if let Some(area) = drawing.work_area.filter(|area| shows(area)) {
        let Rect { x, y, w, h } = flat.on_paper(&area);
        corners(paper, &[(x, y), (x + w, y), (x + w, y + h), (x, y + h)]);
    }
    let mut homes = Vec::new();
    for pull in &drawing.pulls {
        let Some(cuboid) = pull.cuboid.filter(shows) else { continue };
        pull_arrows(paper, pull, &cuboid, flat);
        homes.push(Home { number: pull.number, at: flat.at(cuboid.middle_m()), has_room: true });
    }
    let routes = drawing.routes.iter().filter(|route| boxes(route).iter().any(shows));
    homes.extend(ways(paper, routes, |point: [f64; 3]| flat.at(point)));
    homes
}

/// Draws on an isometric; returns the numbers that belong to it.
pub(crate) fn on_isometric(
    paper: &mut Paper,
    drawing: &VehicleDrawing,
    view: &Isometric,
) -> Vec<Home> {
    ways(paper, drawing.routes.iter(), |point: [f64; 3]| view.at(point))
}

/// The corners of an area as strokes, so that nothing in it is covered.
fn corners(paper: &mut Paper, at: &[(f64, f64); 4]) {
    const SHARE: f64 = 0.16;
    paper.begin("work-area", &[]);
    for k in 0..4 {
        let (before, here, after) = (at[(k + 3) % 4], at[k], at[(k + 1) % 4]);
        let towards =
            |to: (f64, f64)| (here.0 + SHARE * (to.0 - here.0), here.1 + SHARE * (to.1 - here.1));
        let pen = Pen { width: 3.0, ..Pen::wide(Tone::Ink) };
        paper.line(&[towards(before), here, towards(after)], pen);
    }
    paper.end();
}

/// Straight from place to place: which way a wire takes between them is not known, so the line is that
/// of what is thought, not seen. Numbers stand in the middle.
fn ways<'r>(
    paper: &mut Paper,
    routes: impl Iterator<Item = &'r Route>,
    at: impl Fn([f64; 3]) -> (f64, f64),
) -> Vec<Home> {
    let mut homes = Vec::new();
    for route in routes {
        let mut points: Vec<(f64, f64)> = Vec::new();
        paper.begin_named("route", &[("route", &route.words)], &route.words);
        let [first, last] = route.ends;
        points.extend(end_point(paper, first, &at));
        points.extend(route.past.iter().map(|cuboid| at(cuboid.middle_m())));
        points.extend(end_point(paper, last, &at));
        if let [only] = points[..] {
            points.push((only.0 + STUB * 0.7, only.1 - STUB * 0.7));
            lost(paper, points[1]);
        }
        let pen = Pen { width: 1.0, ..Pen::narrow(Tone::Ink) };
        paper.line(&points, pen.broken(Dashes::Chain));
        paper.end();
        if let Some(middle) = halfway(&points) {
            homes.push(Home { number: route.number, at: middle, has_room: true });
        }
    }
    homes
}

/// Half the way along a line.
fn halfway(points: &[(f64, f64)]) -> Option<(f64, f64)> {
    let length = |a: (f64, f64), b: (f64, f64)| (a.0 - b.0).hypot(a.1 - b.1);
    let whole: f64 = points.windows(2).map(|pair| length(pair[0], pair[1])).sum();
    let mut left = whole / 2.0;
    for pair in points.windows(2) {
        let here = length(pair[0], pair[1]);
        if here >= left && here > 0.0 {
            let share = left / here;
            let (a, b) = (pair[0], pair[1]);
            return Some((a.0 + share * (b.0 - a.0), a.1 + share * (b.1 - a.1)));
        }
        left -= here;
    }
    points.first().copied()
}

/// A dot where it lands, a ring where it is lost behind a part.
fn end_point(
    paper: &mut Paper,
    end: RouteEnd,
    at: &impl Fn([f64; 3]) -> (f64, f64),
) -> Option<(f64, f64)> {
    match end {
        RouteEnd::At(cuboid) => {
            let point = at(cuboid.middle_m());
            paper.circle(point, 2.4, Fill::Flat(Tone::Ink), None);
            Some(point)
        }
        RouteEnd::Behind(cuboid) => {
            let point = at(cuboid.middle_m());
            lost(paper, point);
            Some(point)
        }
        RouteEnd::Unknown => None,
    }
}

fn lost(paper: &mut Paper, point: (f64, f64)) {
    paper.circle(point, 3.4, Fill::Flat(Tone::Ground), Some(Pen::wide(Tone::Ink)));
}

fn pull_arrows(paper: &mut Paper, pull: &Pull, cuboid: &Cuboid, flat: &Flat) {
    let middle = cuboid.middle_m();
    paper.begin_named("pull", &[("pull", &pull.words)], &pull.words);
    for (direction, verdict) in DIRECTIONS.iter().zip(pull.directions) {
        let from = flat.at(middle);
        let to = flat.at(std::array::from_fn(|k| middle[k] + direction[k]));
        let length = (to.0 - from.0).hypot(to.1 - from.1);
        if length < 1e-9 || verdict == PullVerdict::NotJudged {
            continue;
        }
        let (ux, uy) = ((to.0 - from.0) / length, (to.1 - from.1) / length);
        let along = |far: f64| (from.0 + far * ux, from.1 + far * uy);
        arrow(paper, along(RADIUS + 1.5), along(RADIUS + ARROW), verdict);
    }
    paper.end();
}

/// Told by its form: filled and thick, dashed and open, thin with a bar.
pub(crate) fn arrow(paper: &mut Paper, from: (f64, f64), to: (f64, f64), verdict: PullVerdict) {
    let length = (to.0 - from.0).hypot(to.1 - from.1).max(1e-9);
    let (ux, uy) = ((to.0 - from.0) / length, (to.1 - from.1) / length);
    let at = |along: f64, aside: f64| {
        (from.0 + along * ux - aside * uy, from.1 + along * uy + aside * ux)
    };
    match verdict {
        PullVerdict::FallsShort => {
            let pen = Pen { width: 3.4, ..Pen::wide(Tone::Danger) };
            paper.line(&[from, at(length - 7.0, 0.0)], pen);
            let head = [to, at(length - 8.5, 5.0), at(length - 8.5, -5.0)];
            paper.area(&head, Fill::Flat(Tone::Danger), None);
        }
        PullVerdict::CannotTell => {
            let pen = Pen::wide(Tone::Ink);
            paper.line(&[from, at(length - 8.0, 0.0)], pen.broken(Dashes::Hidden));
            let head = [to, at(length - 7.5, 4.0), at(length - 7.5, -4.0)];
            paper.area(&head, Fill::Flat(Tone::Ground), Some(Pen::narrow(Tone::Ink)));
        }
        PullVerdict::WithinRating => {
            paper.line(&[from, at(length - 6.0, 0.0)], Pen::narrow(Tone::Ink));
            paper.line(&[at(length - 6.0, 4.0), at(length - 6.0, -4.0)], Pen::wide(Tone::Ink));
        }
        PullVerdict::NotJudged => {}
    }
}

/// What is to be said of the work area: its size along and across.
pub(crate) fn area_words(area: &Cuboid, speech: &Speech) -> String {
    let size = |k: usize| speech.quantity(&format!("{:.2} m", area.to_m()[k] - area.from_m()[k]));
    speech.fill(
        "work area: all that comes out and is wanted lies within {a} along, {b} across, {c} in height",
        &[&size(0), &size(1), &size(2)],
    )
}
