//! Plan and sides: what is nearer covers what is farther; hidden outlines are dashed over it.

use super::hidden::edges;
use super::projection::{Flat, VehicleView};
use super::{FEW, MOST_POINTS_PER_M, OVER, Role, Thing, VehicleDrawing, View, is_looked_through};
use super::{isometric, overlay};
use crate::Cuboid;
use crate::badge::{self, Home, MOST_ON_OTHERS, Placed, RADIUS, rim};
use crate::paper::{Dashes, Fill, MARGIN, Paper, Pen, SHEET};
use crate::svg::{Anchor, Rect};
use crate::tone::Tone;
use units::{Dimension, System};

/// A thing with its place in a view.
pub(crate) struct Laid<'d> {
    pub(crate) thing: &'d Thing,
    pub(crate) rect: Rect,
    depth_m: f64,
    is_looked_through: bool,
}

/// Draws a flat view below a height; returns the height below it.
pub(crate) fn draw(paper: &mut Paper, view: VehicleView, shown: &View<'_>, top: f64) -> f64 {
    let flat = laid_out(view, shown.hull, top + shown.over, shown.highest);
    let frame = flat.frame();
    over(paper, view, frame.y - shown.over + OVER - 6.0);
    let laid = laid(shown.drawing, &flat);
    let ranks = ranks(shown.drawing);
    paper.begin("view", &[("view", view.words())]);
    paper.rect(frame, Fill::Open, Some(Pen { width: 1.8, ..Pen::wide(Tone::Ink) }));
    for item in &laid {
        filled(paper, item, ranks);
    }
    for (k, item) in laid.iter().enumerate() {
        outlined(paper, item, &laid[k + 1..]);
    }
    let mut homes = overlay::on_flat(paper, shown.drawing, &flat);
    homes.extend(numbers(&laid, shown.numbers));
    let is_open =
        |at| !laid.iter().any(|item| item.is_numbered_or_wanted() && contains(&item.rect, at));
    put(paper, &homes, frame, is_open);
    paper.end();
    scale_bar(paper, (frame.x, frame.y + frame.h + 9.0), flat.points_per_m)
}

fn laid_out(view: VehicleView, hull: Cuboid, top: f64, highest: f64) -> Flat {
    let size = |k: usize| hull.to_m()[k] - hull.from_m()[k];
    let scale = ((SHEET - 2.0 * MARGIN) / size(0))
        .min(highest / size(Flat::up(view)))
        .min(MOST_POINTS_PER_M);
    let left = MARGIN + (SHEET - 2.0 * MARGIN - scale * size(0)) / 2.0;
    Flat { view, hull, points_per_m: scale, left, top }
}

/// Farthest first.
fn laid<'d>(drawing: &'d VehicleDrawing, flat: &Flat) -> Vec<Laid<'d>> {
    let middle_m = flat.hull.middle_m()[1];
    let placed = drawing.things.iter().filter_map(|thing| Some((thing, thing.cuboid?)));
    let mut laid: Vec<Laid<'_>> = placed
        .filter(|(_, cuboid)| flat.view.shows(cuboid, middle_m))
        .map(|(thing, cuboid)| Laid {
            thing,
            rect: flat.on_paper(&cuboid),
            depth_m: flat.depth_m(&cuboid),
            is_looked_through: flat.view == VehicleView::Plan
                && is_looked_through(drawing, thing, &flat.hull),
        })
        .collect();
    laid.sort_by(|a, b| b.depth_m.total_cmp(&a.depth_m));
    laid
}

impl Laid<'_> {
    fn matters(&self) -> bool {
        !matches!(self.thing.role, Role::Stays | Role::Out)
    }

    /// Whether what lies behind it is hidden by it.
    fn hides(&self) -> bool {
        self.thing.role != Role::Out && !self.is_looked_through
    }

    /// Whether a number that stands on it is read as its own.
    fn is_numbered_or_wanted(&self) -> bool {
        self.matters() && !self.is_looked_through
    }

    fn number(&self) -> Option<usize> {
        match self.thing.role {
            Role::Step { number, .. } | Role::Noted(number) => Some(number),
            Role::Wanted | Role::Out | Role::Stays => None,
        }
    }
}

/// How many ranks there are.
pub(crate) fn ranks(drawing: &VehicleDrawing) -> usize {
    let ranks = drawing.things.iter().filter_map(|thing| match thing.role {
        Role::Step { rank, .. } => Some(rank),
        _ => None,
    });
    ranks.max().unwrap_or(1).max(1)
}

/// The shade of a rank: the first is lightest.
pub(crate) fn shade(rank: usize, ranks: usize) -> Tone {
    let shades = Tone::SHADES;
    let at = (rank.saturating_sub(1)) * shades.len() / ranks.max(1);
    shades[at.min(shades.len() - 1)]
}

/// The area of a thing. What stays has none, so that it never covers what is worked on.
fn filled(paper: &mut Paper, item: &Laid<'_>, ranks: usize) {
    let fill = match item.thing.role {
        _ if item.is_looked_through => return,
        Role::Stays | Role::Out => return,
        Role::Noted(_) => Fill::Flat(Tone::Light),
        Role::Wanted => Fill::Flat(Tone::Ground),
        Role::Step { rank, .. } => Fill::Flat(shade(rank, ranks)),
    };
    paper.begin_named("thing", &[("thing", &item.thing.id)], &item.thing.words());
    paper.rect(item.rect, fill, None);
    paper.end();
}

/// The outline of a thing: whole where it is seen, dashed where something nearer hides it; what stays only
/// where it is seen. What is wanted is hatched through whatever hides it.
fn outlined(paper: &mut Paper, item: &Laid<'_>, nearer: &[Laid<'_>]) {
    let nearer: Vec<Rect> = nearer.iter().filter(|n| n.hides()).map(|n| n.rect).collect();
    let seen = match item.thing.role {
        _ if item.is_looked_through => Pen::narrow(Tone::Quiet).broken(Dashes::Dots),
        Role::Stays => Pen { width: 0.5, ..Pen::narrow(Tone::Faint) },
        Role::Out => Pen::narrow(Tone::Faint).broken(Dashes::Dots),
        Role::Noted(_) => Pen::narrow(Tone::Ink),
        Role::Wanted => Pen { width: 2.0, ..Pen::wide(Tone::Ink) },
        Role::Step { .. } => Pen { width: 1.0, ..Pen::narrow(Tone::Ink) },
    };
    let is_wanted = item.thing.role == Role::Wanted;
    let hidden = if is_wanted { Pen::wide(Tone::Ink) } else { Pen::narrow(Tone::Quiet) };
    paper.begin_named("outline", &[("thing", &item.thing.id)], &item.thing.words());
    if is_wanted {
        paper.rect(item.rect, Fill::Hatch, None);
    }
    for piece in edges(item.rect, &nearer) {
        if !piece.is_hidden {
            paper.line(&[piece.from, piece.to], seen);
        } else if item.matters() {
            paper.line(&[piece.from, piece.to], hidden.broken(Dashes::Hidden));
        }
    }
    paper.end();
}

fn numbers(laid: &[Laid<'_>], shown: &[usize]) -> Vec<Home> {
    let home = |(k, item): (usize, &Laid<'_>)| {
        let number = item.number().filter(|number| shown.contains(number))?;
        let nearer = nearer(laid, k);
        let at = badge::home(item.rect, &nearer);
        let others: Vec<Rect> = laid
            .iter()
            .enumerate()
            .filter(|(other, thing)| *other != k && thing.is_numbered_or_wanted())
            .map(|(_, thing)| thing.rect)
            .collect();
        let is_own = |at: (f64, f64)| {
            contains(&item.rect, at) && !nearer.iter().any(|rect| contains(rect, at))
        };
        let is_on_another =
            |at: &(f64, f64)| !is_own(*at) && others.iter().any(|rect| contains(rect, *at));
        let has_room = rim(at).filter(is_on_another).count() <= MOST_ON_OTHERS;
        Some((k, Home { number, at, has_room }))
    };
    let mut homes: Vec<(usize, Home)> = laid.iter().enumerate().filter_map(home).collect();
    keep_points_in_sight(laid, &mut homes);
    let mut homes: Vec<Home> = homes.into_iter().map(|(_, home)| home).collect();
    homes.sort_by_key(|home| home.number);
    homes
}

/// The line of a number that stands aside ends on its part where no circle of another covers the point.
fn keep_points_in_sight(laid: &[Laid<'_>], homes: &mut [(usize, Home)]) {
    const STEPS: i32 = 8;
    const CLEAR: f64 = RADIUS + 2.0;
    let circles: Vec<(f64, f64)> =
        homes.iter().filter(|(_, home)| home.has_room).map(|(_, home)| home.at).collect();
    let apart = |a: (f64, f64), b: (f64, f64)| (a.0 - b.0).hypot(a.1 - b.1);
    let is_clear = |at: (f64, f64)| circles.iter().all(|circle| apart(*circle, at) >= CLEAR);
    for (k, home) in homes.iter_mut().filter(|(_, home)| !home.has_room) {
        if is_clear(home.at) {
            continue;
        }
        let (rect, nearer) = (laid[*k].rect, nearer(laid, *k));
        let is_hidden = |at: (f64, f64)| nearer.iter().any(|rect| contains(rect, at));
        let was_hidden = is_hidden(home.at);
        let part = |step: i32| (f64::from(step) + 0.5) / f64::from(STEPS);
        let points = (0..STEPS * STEPS)
            .map(|at| (rect.x + rect.w * part(at % STEPS), rect.y + rect.h * part(at / STEPS)));
        let fit = points.filter(|at| is_clear(*at) && (was_hidden || !is_hidden(*at)));
        let nearest = fit.min_by(|a, b| apart(*a, home.at).total_cmp(&apart(*b, home.at)));
        home.at = nearest.unwrap_or(home.at);
    }
}

fn contains(rect: &Rect, (x, y): (f64, f64)) -> bool {
    (rect.x..=rect.x + rect.w).contains(&x) && (rect.y..=rect.y + rect.h).contains(&y)
}

fn nearer(laid: &[Laid<'_>], k: usize) -> Vec<Rect> {
    laid[k + 1..]
        .iter()
        .filter(|item| item.matters() && item.hides())
        .map(|item| item.rect)
        .collect()
}

/// Numbers at their places, with a thin line to those that had to move.
pub(crate) fn put(
    paper: &mut Paper,
    homes: &[Home],
    frame: Rect,
    is_open: impl Fn((f64, f64)) -> bool,
) {
    let sheet = (frame.x, frame.y, frame.x + frame.w, frame.y + frame.h);
    let placed = badge::place(homes, sheet, is_open);
    for moved in placed.iter().filter(|placed| placed.has_moved()) {
        paper.line(&[moved.home, moved.at], Pen::narrow(Tone::Ink));
        paper.circle(moved.home, 1.2, Fill::Flat(Tone::Ink), None);
    }
    for Placed { at, number, .. } in placed {
        paper.badge(at, RADIUS, number);
    }
}

/// Which numbers stand in which view: all in all while there are few; else each where most of it is
/// seen.
pub(crate) fn shown_in(
    drawing: &VehicleDrawing,
    views: &[VehicleView],
    hull: &Cuboid,
) -> Vec<Vec<usize>> {
    let all = super::numbers(drawing);
    if all.len() <= FEW {
        return vec![all; views.len()];
    }
    let mut shown = vec![Vec::new(); views.len()];
    let seen: Vec<Vec<(usize, f64)>> = views
        .iter()
        .map(|view| match view {
            VehicleView::Isometric => isometric::seen(drawing, hull),
            flat => seen(drawing, *flat, *hull),
        })
        .collect();
    for number in all {
        let part = |k: &usize| {
            seen[*k].iter().find(|(known, _)| *known == number).map_or(0.0, |(_, part)| *part)
        };
        let best = (0..views.len()).max_by(|a, b| part(a).total_cmp(&part(b)).then(b.cmp(a)));
        // Of the two halves each shows what spans the middle, and its number with it.
        if let Some(best) = best.filter(|_| is_halves(views)) {
            let most = part(&best);
            let also = (0..views.len()).filter(|k| *k != best && part(k) >= ENOUGH * most);
            also.filter(|k| part(k) > 0.0).for_each(|k| shown[k].push(number));
        }
        // In an isometric what cannot be seen gets no number; a flat view dashes it and keeps it.
        let is_seen = |k: &usize| views[*k] != VehicleView::Isometric || part(k) > 0.0;
        if let Some(best) = best.filter(is_seen) {
            shown[best].push(number);
        }
    }
    shown
}

/// A half shows a number beside the other half if it shows so much of what the other shows of its part.
const ENOUGH: f64 = 0.5;

fn is_halves(views: &[VehicleView]) -> bool {
    let is_half =
        |view: &VehicleView| matches!(view, VehicleView::LeftHalf | VehicleView::RightHalf);
    views.iter().all(is_half)
}

/// Of each number the area that nothing nearer covers, sampled, square points.
fn seen(drawing: &VehicleDrawing, view: VehicleView, hull: Cuboid) -> Vec<(usize, f64)> {
    const GRID: i32 = 12;
    let flat = laid_out(view, hull, 0.0, super::HIGHEST[0]);
    let laid = laid(drawing, &flat);
    let share = |k: i32| f64::from(2 * k + 1) / f64::from(2 * GRID);
    let free = |rect: Rect, nearer: &[Rect]| {
        let points = (0..GRID * GRID)
            .map(|k| (rect.x + rect.w * share(k % GRID), rect.y + rect.h * share(k / GRID)));
        let covers =
            |r: &Rect, (x, y): (f64, f64)| x >= r.x && x <= r.x + r.w && y >= r.y && y <= r.y + r.h;
        let seen = points.filter(|at| !nearer.iter().any(|rect| covers(rect, *at))).count();
        rect.w * rect.h * seen as f64 / f64::from(GRID * GRID)
    };
    laid.iter()
        .enumerate()
        .filter_map(|(k, item)| Some((item.number()?, free(item.rect, &nearer(&laid, k)))))
        .collect()
}

/// What the view is, and where the front is, across the whole sheet.
fn over(paper: &mut Paper, view: VehicleView, line: f64) {
    let [words, front] = [view.words(), "front"].map(|english| paper.say(english));
    let (left, right) = (MARGIN, SHEET - MARGIN);
    let y = line - 3.2;
    if view == VehicleView::LeftHalf {
        paper.text((left, line), Anchor::Start, Tone::Quiet, &words);
        paper.text((right - 26.0, line), Anchor::End, Tone::Quiet, &front);
        paper.line(&[(right - 22.0, y), (right - 3.0, y)], Pen::narrow(Tone::Ink));
        paper.arrow_head((right, y), (right - 20.0, y), Tone::Ink);
    } else {
        paper.line(&[(left + 3.0, y), (left + 22.0, y)], Pen::narrow(Tone::Ink));
        paper.arrow_head((left, y), (left + 20.0, y), Tone::Ink);
        paper.text((left + 26.0, line), Anchor::Start, Tone::Quiet, &front);
        paper.text((right, line), Anchor::End, Tone::Quiet, &words);
    }
}

/// One metre or three feet, or a tenth of a metre or four inches where that would not fit.
pub(crate) fn scale_bar(paper: &mut Paper, (x, y): (f64, f64), points_per_m: f64) -> f64 {
    let is_small = points_per_m > SHEET / 2.0;
    let text = match (paper.speech.system(), is_small) {
        (System::Metric, false) => "1 m",
        (System::Metric, true) => "0.1 m",
        (System::Us, false) => "3 ft",
        (System::Us, true) => "4 in",
    };
    let length = points_per_m * units::parse(text, Dimension::Length).unwrap_or(1.0);
    let pen = Pen::narrow(Tone::Ink);
    for end in [x, x + length] {
        paper.line(&[(end, y - 3.0), (end, y + 3.0)], pen);
    }
    paper.line(&[(x, y), (x + length, y)], pen);
    paper.text((x + length + 6.0, y + 3.2), Anchor::Start, Tone::Quiet, text);
    y + 8.0
}
