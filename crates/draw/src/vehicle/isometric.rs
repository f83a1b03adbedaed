//! The isometric: boxes drawn from the farthest to the nearest, what is wanted dashed through whatever
//! hides it. Seen from the side on which less is to be done, as one stands in the vehicle.

use super::flat::{put, ranks, scale_bar, shade};
use super::overlay;
use super::projection::{Isometric, VehicleView};
use super::{OVER, Role, Thing, VehicleDrawing, View, is_looked_through};
use crate::Cuboid;
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
    let mut homes = homes(&view, &things, shown.numbers);
    homes.extend(overlay::on_isometric(paper, drawing, &view));
    put(paper, &homes, frame);
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
    let at = along(0.2);
    let is_rightward = along(0.1).0 > at.0;
    let (anchor, aside) = if is_rightward { (Anchor::End, -8.0) } else { (Anchor::Start, 8.0) };
    let front = paper.say("front");
    paper.text((at.0 + aside, at.1 + 12.0), anchor, Tone::Ink, &front);
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

/// Where the number of each thing belongs: the middle of its upper edge on paper that is nearest.
fn homes(
    view: &Isometric,
    things: &[(&Thing, Cuboid)],
    shown: &[usize],
) -> Vec<(usize, (f64, f64))> {
    let mut homes: Vec<(usize, (f64, f64))> = things
        .iter()
        .enumerate()
        .filter_map(|(k, (thing, cuboid))| match thing.role {
            Role::Step { number, .. } | Role::Noted(number) => {
                Some((number, home(view, cuboid, &things[k + 1..])))
            }
            _ => None,
        })
        .filter(|(number, _)| shown.contains(number))
        .collect();
    homes.sort_by_key(|home| home.0);
    homes
}

/// The middle of the face of which most is seen, judged by its middle.
fn home(view: &Isometric, cuboid: &Cuboid, nearer: &[(&Thing, Cuboid)]) -> (f64, f64) {
    let faces = view.faces(cuboid);
    let middle =
        |face: &[(f64, f64); 4]| ((face[0].0 + face[2].0) / 2.0, (face[0].1 + face[2].1) / 2.0);
    let area = |face: &[(f64, f64); 4]| {
        let (a, b) = (side(face[0], face[1]), side(face[0], face[3]));
        (a.0 * b.1 - a.1 * b.0).abs()
    };
    let hidden = |at: (f64, f64)| {
        nearer.iter().filter(|(_, other)| is_inside(&view.outline(other), at)).count()
    };
    let best = faces
        .iter()
        .min_by(|a, b| hidden(middle(a)).cmp(&hidden(middle(b))).then(area(b).total_cmp(&area(a))));
    best.map_or((0.0, 0.0), middle)
}
