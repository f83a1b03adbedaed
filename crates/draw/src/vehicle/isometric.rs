//! The isometric: boxes drawn from the farthest to the nearest, what is wanted dashed through whatever
//! hides it. Seen from the side on which less is to be done, as one stands in the vehicle.

use super::flat::{put, ranks, scale_bar, shade};
use super::overlay;
use super::projection::{Isometric, VehicleView};
use super::{OVER, Role, Thing, VehicleDrawing, View, is_looked_through};
use crate::Cuboid;
use crate::badge::{Home, MOST_ON_OTHERS, RADIUS, rim};
use crate::paper::{Dashes, Fill, MARGIN, Paper, Pen, SHEET};
use crate::svg::{Anchor, Rect};
use crate::tone::Tone;

/// It may be this much higher than a flat view.
const TALLER: f64 = 1.45;
/// Room below the floor for the arrow towards the front, points.
const FRONT: f64 = 13.0;
/// Draws the isometric below a height; returns the height below it.
pub(crate) fn draw(paper: &mut Paper, shown: &View<'_>, top: f64) -> f64 {
    let drawing = shown.drawing;
    let (view, frame) = laid_out(drawing, &shown.hull, top + OVER, shown.highest);
    over(paper, &view, frame);
    let ranks = ranks(drawing);
    paper.begin("view", &[("view", VehicleView::Isometric.words())]);
    room(paper, &view, &shown.hull);
    let things = in_order(&view, drawing);
    for (thing, cuboid) in &things {
        if is_looked_through(drawing, thing, &shown.hull) {
            looked_through(paper, &view, thing, cuboid);
        } else {
            one(paper, &view, thing, cuboid, ranks);
        }
    }
    for (thing, cuboid) in things.iter().filter(|(thing, _)| thing.role == Role::Wanted) {
        paper.begin_named("hidden", &[("thing", &thing.id)], &thing.words());
        let pen = Pen::wide(Tone::Ink).broken(Dashes::Hidden);
        paper.area(&view.outline(cuboid), Fill::Open, Some(pen));
        paper.end();
    }
    let solid: Vec<Solid<'_>> = things
        .iter()
        .filter(|(thing, _)| !is_looked_through(drawing, thing, &shown.hull))
        .map(|(thing, cuboid)| Solid { thing, cuboid, outline: view.outline(cuboid) })
        .collect();
    let mut homes = homes(&view, &solid, shown.numbers);
    homes.extend(overlay::on_isometric(paper, drawing, &view));
    let is_open = |at| !solid.iter().any(|one| one.matters() && is_inside(&one.outline, at));
    put(paper, &homes, frame, is_open);
    paper.end();
    scale_bar(paper, (frame.x, frame.y + frame.h + 9.0), view.points_per_m)
}

/// From which side one looks: from the right if most that matters stands on the left; from the rear if most of it stands in the
/// front half, else from the front.
fn towards(drawing: &VehicleDrawing, hull: &Cuboid) -> [f64; 2] {
    let matters = |thing: &&Thing| !matches!(thing.role, Role::Stays | Role::Out);
    let placed: Vec<Cuboid> =
        drawing.things.iter().filter(matters).filter_map(|thing| thing.cuboid).collect();
    let side = |axis: usize| {
        let middle = hull.middle_m()[axis];
        let offset: f64 = placed.iter().map(|cuboid| middle - cuboid.middle_m()[axis]).sum();
        if offset >= 0.0 { 1.0 } else { -1.0 }
    };
    [side(0), side(1)]
}

fn laid_out(drawing: &VehicleDrawing, hull: &Cuboid, top: f64, highest: f64) -> (Isometric, Rect) {
    let towards = towards(drawing, hull);
    let unit = Isometric { towards, points_per_m: 1.0, origin: (0.0, 0.0) };
    let outline = unit.outline(hull);
    let range = |of: fn(&(f64, f64)) -> f64| {
        let values = outline.iter().map(of);
        let low = values.clone().fold(f64::INFINITY, f64::min);
        (low, values.fold(f64::NEG_INFINITY, f64::max))
    };
    let ((left, right), (high, low)) = (range(|p| p.0), range(|p| p.1));
    let room = SHEET - 2.0 * MARGIN;
    let scale = (room / (right - left)).min(TALLER * highest / (low - high));
    let margin = MARGIN + (room - scale * (right - left)) / 2.0;
    let origin = (margin - scale * left, top - scale * high);
    let h = scale * (low - high) + FRONT;
    let frame = Rect { x: margin, y: top, w: scale * (right - left), h };
    (Isometric { towards, points_per_m: scale, origin }, frame)
}

fn over(paper: &mut Paper, view: &Isometric, frame: Rect) {
    let side = if view.towards[1] > 0.0 { "right" } else { "left" };
    let end = if view.towards[0] > 0.0 { "rear" } else { "front" };
    let [side, end] = [side, end].map(|english| paper.say(english));
    let words = paper.speech.fill("Isometric, from above, the {a} and the {b}", &[&side, &end]);
    paper.text((MARGIN, frame.y - 6.0), Anchor::Start, Tone::Quiet, &words);
}

/// Floor and the walls that are farthest away, as edges; an arrow on the floor towards the front.
fn room(paper: &mut Paper, view: &Isometric, hull: &Cuboid) {
    let c = |x: bool, y: bool, z: bool| view.at(view.corner(hull, [x, y, z]));
    let floor = [
        c(false, false, false),
        c(true, false, false),
        c(true, true, false),
        c(false, true, false),
    ];
    paper.area(&floor, Fill::Flat(Tone::Wash), Some(Pen::narrow(Tone::Ink)));
    let back = [
        c(true, false, false),
        c(true, false, true),
        c(false, false, true),
        c(false, true, true),
        c(false, true, false),
    ];
    paper.line(&back, Pen::narrow(Tone::Quiet));
    paper.line(&[c(false, false, false), c(false, false, true)], Pen::narrow(Tone::Quiet));
    let (low, high) = (hull.from_m(), hull.to_m());
    let y_m = if view.towards[1] > 0.0 { high[1] } else { low[1] };
    let along = |share: f64| {
        let (x, y) = view.at([low[0] + share * (high[0] - low[0]), y_m, low[2]]);
        (x, y + FRONT)
    };
    paper.line(&[along(0.28), along(0.14)], Pen::narrow(Tone::Ink));
    paper.arrow_head(along(0.12), along(0.24), Tone::Ink);
    // Beyond the end of the arrow that is higher on paper: from there on the floor rises away from it.
    let (tip, tail) = (along(0.12), along(0.28));
    let (at, other) = if tip.1 < tail.1 { (tip, tail) } else { (tail, tip) };
    let (anchor, aside) = if at.0 > other.0 { (Anchor::Start, 5.0) } else { (Anchor::End, -5.0) };
    let front = paper.say("front");
    paper.text((at.0 + aside, at.1 + 3.2), anchor, Tone::Ink, &front);
}

/// Farthest first: a box comes before another where it lies wholly behind it along some axis and not the
/// other way round. Boxes that run into each other come by their middle.
pub(crate) fn in_order<'d>(
    view: &Isometric,
    drawing: &'d VehicleDrawing,
) -> Vec<(&'d Thing, Cuboid)> {
    let mut left: Vec<(&Thing, Cuboid)> =
        drawing.things.iter().filter_map(|thing| Some((thing, thing.cuboid?))).collect();
    let far_m = |cuboid: &Cuboid| {
        let middle = cuboid.middle_m();
        view.towards[0] * middle[0] + view.towards[1] * middle[1] + middle[2]
    };
    left.sort_by(|a, b| far_m(&a.1).total_cmp(&far_m(&b.1)));
    let behind = |a: &Cuboid, b: &Cuboid| {
        (0..3).any(|axis| view.away(a, axis).0 >= view.away(b, axis).1 - 1e-9)
    };
    let before = |a: &Cuboid, b: &Cuboid| behind(a, b) && !behind(b, a);
    let mut order = Vec::with_capacity(left.len());
    while !left.is_empty() {
        let free = left
            .iter()
            .position(|(_, candidate)| left.iter().all(|(_, other)| !before(other, candidate)));
        // A ring of boxes, each before the next, has no farthest: the one whose middle is farthest goes.
        order.push(left.remove(free.unwrap_or(0)));
    }
    order
}

fn one(paper: &mut Paper, view: &Isometric, thing: &Thing, cuboid: &Cuboid, ranks: usize) {
    paper.begin_named("thing", &[("thing", &thing.id)], &thing.words());
    let faces = view.faces(cuboid);
    match thing.role {
        // What stays would hide the rest: edges only.
        Role::Stays => {
            let pen = Pen { width: 0.4, ..Pen::narrow(Tone::Faint) };
            for face in &faces {
                paper.area(face, Fill::Open, Some(pen));
            }
        }
        Role::Out => {
            let pen = Pen::narrow(Tone::Faint).broken(Dashes::Dots);
            paper.area(&view.outline(cuboid), Fill::Open, Some(pen));
        }
        Role::Wanted => {
            for face in &faces {
                paper.area(face, Fill::Flat(Tone::Ground), None);
                paper.area(face, Fill::Hatch, Some(Pen::wide(Tone::Ink)));
            }
        }
        Role::Noted(_) => solid(paper, &faces, Tone::Light),
        Role::Step { rank, .. } => solid(paper, &faces, shade(rank, ranks)),
    }
    paper.end();
}

fn looked_through(paper: &mut Paper, view: &Isometric, thing: &Thing, cuboid: &Cuboid) {
    paper.begin_named("thing", &[("thing", &thing.id)], &thing.words());
    let pen = Pen::narrow(Tone::Quiet).broken(Dashes::Dots);
    paper.area(&view.outline(cuboid), Fill::Open, Some(pen));
    paper.end();
}

/// Of each number how much of its faces nothing nearer covers, sampled, square points.
pub(crate) fn seen(drawing: &VehicleDrawing, hull: &Cuboid) -> Vec<(usize, f64)> {
    const GRID: i32 = 8;
    let (view, _) = laid_out(drawing, hull, 0.0, super::HIGHEST[0]);
    let things = in_order(&view, drawing);
    let covers = |(thing, cuboid): &(&Thing, Cuboid), at: (f64, f64)| {
        let is_solid = matches!(thing.role, Role::Step { .. } | Role::Noted(_) | Role::Wanted);
        is_solid && !is_looked_through(drawing, thing, hull) && is_inside(&view.outline(cuboid), at)
    };
    let share = |k: i32| f64::from(2 * k + 1) / f64::from(2 * GRID);
    let mut all = Vec::new();
    for (k, (thing, cuboid)) in things.iter().enumerate() {
        let (Role::Step { number, .. } | Role::Noted(number)) = thing.role else { continue };
        let free = |face: &[(f64, f64); 4]| {
            let at = |u: f64, v: f64| {
                let along = |k: usize, to: usize, share: f64| {
                    (share * (face[to].0 - face[k].0), share * (face[to].1 - face[k].1))
                };
                let (a, b) = (along(0, 1, u), along(0, 3, v));
                (face[0].0 + a.0 + b.0, face[0].1 + a.1 + b.1)
            };
            let points = (0..GRID * GRID).map(|n| at(share(n % GRID), share(n / GRID)));
            let open = points.filter(|at| !things[k + 1..].iter().any(|other| covers(other, *at)));
            let (a, b) = (side(face[0], face[1]), side(face[0], face[3]));
            (a.0 * b.1 - a.1 * b.0).abs() * open.count() as f64 / f64::from(GRID * GRID)
        };
        all.push((number, view.faces(cuboid).iter().map(free).sum()));
    }
    all
}

fn side(from: (f64, f64), to: (f64, f64)) -> (f64, f64) {
    (to.0 - from.0, to.1 - from.1)
}

/// Whether a point lies inside a convex outline.
fn is_inside(outline: &[(f64, f64)], at: (f64, f64)) -> bool {
    let turns = (0..outline.len()).map(|k| {
        let (a, b) = (outline[k], outline[(k + 1) % outline.len()]);
        let (along, to) = (side(a, b), side(a, at));
        along.0 * to.1 - along.1 * to.0
    });
    let (mut left, mut right) = (false, false);
    for turn in turns {
        left |= turn > 1e-9;
        right |= turn < -1e-9;
    }
    !(left && right)
}

fn solid(paper: &mut Paper, faces: &[[(f64, f64); 4]; 3], tone: Tone) {
    for face in faces {
        paper.area(face, Fill::Flat(tone), Some(Pen::narrow(Tone::Ink)));
    }
}

/// A thing that is drawn with its faces.
struct Solid<'d> {
    thing: &'d Thing,
    cuboid: &'d Cuboid,
    outline: [(f64, f64); 6],
}

impl Solid<'_> {
    /// Whether it covers what lies behind it, and a number that stands on it is read as its own.
    fn matters(&self) -> bool {
        matches!(self.thing.role, Role::Step { .. } | Role::Noted(_) | Role::Wanted)
    }
}

/// Where the number of each thing belongs, farthest thing first among the solid ones.
fn homes(view: &Isometric, solid: &[Solid<'_>], shown: &[usize]) -> Vec<Home> {
    let home = |(k, one): (usize, &Solid<'_>)| match one.thing.role {
        Role::Step { number, .. } | Role::Noted(number) if shown.contains(&number) => {
            let covers = |at: (f64, f64)| {
                let nearer = solid[k + 1..].iter().filter(|other| other.matters());
                nearer.into_iter().any(|other| is_inside(&other.outline, at))
            };
            let at = home(view, one.cuboid, covers);
            let is_own = |at: (f64, f64)| is_inside(&one.outline, at) && !covers(at);
            let others = |at: (f64, f64)| {
                let others =
                    solid.iter().enumerate().filter(|(other, s)| *other != k && s.matters());
                others.into_iter().any(|(_, other)| is_inside(&other.outline, at))
            };
            let on_others = rim(at).filter(|at| !is_own(*at) && others(*at)).count();
            Some(Home { number, at, has_room: on_others <= MOST_ON_OTHERS })
        }
        _ => None,
    };
    let mut homes: Vec<Home> = solid.iter().enumerate().filter_map(home).collect();
    homes.sort_by_key(|home| home.number);
    homes
}

/// The point of the faces that nothing nearer covers and around which most of them is seen; of a thing
/// that is covered wholly the middle of its largest face.
fn home(view: &Isometric, cuboid: &Cuboid, covers: impl Fn((f64, f64)) -> bool) -> (f64, f64) {
    const GRID: usize = 10;
    let faces = view.faces(cuboid);
    let share = |k: usize| (2 * k + 1) as f64 / (2 * GRID) as f64;
    let grid = |face: &[(f64, f64); 4]| {
        let (origin, a, b) = (face[0], side(face[0], face[1]), side(face[0], face[3]));
        (0..GRID * GRID).map(move |n| {
            let (u, v) = (share(n % GRID), share(n / GRID));
            (origin.0 + u * a.0 + v * b.0, origin.1 + u * a.1 + v * b.1)
        })
    };
    let area = |face: &[(f64, f64); 4]| {
        let (a, b) = (side(face[0], face[1]), side(face[0], face[3]));
        (a.0 * b.1 - a.1 * b.0).abs()
    };
    let seen: Vec<((f64, f64), f64)> = faces
        .iter()
        .flat_map(|face| grid(face).map(|at| (at, area(face))))
        .filter(|(at, _)| !covers(*at))
        .collect();
    // Of points around which as much is seen, the one nearest to the middle of all that is seen.
    let whole: f64 = seen.iter().map(|(_, weight)| weight).sum();
    let mean = |pick: fn(&(f64, f64)) -> f64| {
        seen.iter().map(|(at, weight)| weight * pick(at)).sum::<f64>() / whole
    };
    let middle = (mean(|at| at.0), mean(|at| at.1));
    let apart = |a: (f64, f64), b: (f64, f64)| (a.0 - b.0).hypot(a.1 - b.1);
    let around = |at: (f64, f64)| -> f64 {
        let near = seen.iter().filter(|(other, _)| apart(*other, at) <= RADIUS);
        near.map(|(_, weight)| weight).sum()
    };
    let rated = seen.iter().map(|(at, _)| (around(*at) - apart(*at, middle) * 1e-3 * whole, *at));
    let best = rated.max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, at)| at);
    best.unwrap_or_else(|| {
        let largest = faces.iter().max_by(|a, b| area(a).total_cmp(&area(b)));
        largest.map_or((0.0, 0.0), |face| {
            ((face[0].0 + face[2].0) / 2.0, (face[0].1 + face[2].1) / 2.0)
        })
    })
}
