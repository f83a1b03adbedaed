//! The vehicle on paper: plan, both sides and a simple isometric, from boxes.
//!
//! What comes out is shaded by the order in which it does, first lightest; what is wanted is hatched; what
//! something else hides is dashed (ISO 128-2). Shows only what has a position; the legend names what
//! has none.
//!
//! | file | what it holds |
//! |---|---|
//! | `projection.rs` | from a point in the vehicle to a point on paper |
//! | `hidden.rs` | which pieces of an outline something nearer hides |
//! | `flat.rs` | plan and sides |
//! | `isometric.rs` | the isometric |
//! | `overlay.rs` | ways of wires, work area, pulls in a crash |
//! | `legend.rs` | what the numbers and signs mean |

mod flat;
mod hidden;
mod isometric;
mod legend;
mod overlay;
mod projection;

#[cfg(test)]
mod tests;

use crate::Cuboid;
use crate::chart::{Heading, heading, notes};
use crate::paper::{MARGIN, Paper, SHEET, Told};

pub use overlay::{Pull, PullVerdict, Route, RouteEnd};
pub use projection::VehicleView;

/// What a thing is to the drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// It comes out, as this number (from 1). Things of one rank (from 1) are shaded alike: nothing says
    /// which of them comes out first.
    Step {
        /// Its number.
        number: usize,
        /// Its place in the order.
        rank: usize,
    },
    /// It is what is to be reached.
    Wanted,
    /// It is pointed at by this number, and neither comes out nor is reached.
    Noted(usize),
    /// It is out already.
    Out,
    /// It stays where it is.
    Stays,
}

/// A part or device with its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Thing {
    /// Its name for programs.
    pub id: String,
    /// What people call it.
    pub label: String,
    /// Where it is; `None` if nobody has said.
    pub cuboid: Option<Cuboid>,
    /// What it is to the drawing.
    pub role: Role,
}

impl Thing {
    /// Its number in the drawing, if it has one, and what people call it.
    fn words(&self) -> String {
        match self.role {
            Role::Step { number, .. } | Role::Noted(number) => format!("{number} {}", self.label),
            Role::Wanted | Role::Out | Role::Stays => self.label.clone(),
        }
    }
}

/// What is to be drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct VehicleDrawing {
    /// Heading, and notes below the drawing.
    pub heading: Heading,
    /// The inside of the vehicle; `None`: a box around everything that has a place.
    pub inside: Option<Cuboid>,
    /// The views; empty: the plan, and each side on which something comes out or is wanted.
    pub views: Vec<VehicleView>,
    /// Parts and devices. Steps may come in any order.
    pub things: Vec<Thing>,
    /// Ways of wires.
    pub routes: Vec<Route>,
    /// The box around all that is worked on.
    pub work_area: Option<Cuboid>,
    /// Heavy things and what holds them.
    pub pulls: Vec<Pull>,
}

/// Points of height kept for the words over a view.
const OVER: f64 = 19.0;
/// No vehicle is drawn larger than this, points per metre.
const MOST_POINTS_PER_M: f64 = 140.0;
/// One view on a sheet is drawn no higher than this, points; two, and three or more. So that sheets with
/// their legend stay within a page.
const HIGHEST: [f64; 3] = [230.0, 172.0, 150.0];
/// Points kept over a view for arrows that leave it.
const ARROWS: f64 = 16.0;

/// Draws the views as SVG. `None` if nothing in it has a position.
pub fn vehicle(drawing: &VehicleDrawing) -> Option<String> {
    let hull = hull(drawing)?;
    let views =
        if drawing.views.is_empty() { usual(drawing, &hull) } else { drawing.views.clone() };
    let over = if drawing.pulls.is_empty() { OVER } else { OVER + ARROWS };
    let mut paper = Paper::speaking(&drawing.heading.speech);
    let mut y = heading(&mut paper, &drawing.heading);
    let numbers = flat::shown_in(drawing, &views, &hull);
    for (k, view) in views.iter().enumerate() {
        let shown = View { drawing, hull, numbers: &numbers[k], highest: highest(&views), over };
        y = match view {
            VehicleView::Isometric => isometric::draw(&mut paper, &shown, y),
            flat => flat::draw(&mut paper, *flat, &shown, y),
        };
    }
    y = legend::draw(&mut paper, drawing, &hull, &numbers, y + 6.0);
    y = notes(&mut paper, &drawing.heading.notes, y);
    let title = &drawing.heading.title;
    let told = described(drawing, &views);
    let told = Told { kind: "vehicle", title, description: &told };
    Some(paper.finish(SHEET, y + MARGIN, &told))
}

/// Up to so many numbers each stands in every view; of more each stands where it is seen best.
const FEW: usize = 12;
/// What lies wholly in this upper share of a vehicle counts as its ceiling.
const CEILING: f64 = 0.12;

/// Whether a plan or an isometric looks through a thing, as a plan of a room is cut below the ceiling: it
/// lies up there, and is not one of a few steps.
fn is_looked_through(drawing: &VehicleDrawing, thing: &Thing, hull: &Cuboid) -> bool {
    let (low, high) = (hull.from_m()[2], hull.to_m()[2]);
    let is_above = thing.cuboid.is_some_and(|c| c.from_m()[2] >= high - CEILING * (high - low));
    let is_stage = matches!(thing.role, Role::Stays | Role::Out);
    is_above && (is_stage || numbers(drawing).len() > FEW)
}

/// All numbers of things.
fn numbers(drawing: &VehicleDrawing) -> Vec<usize> {
    let number = |thing: &Thing| match thing.role {
        Role::Step { number, .. } | Role::Noted(number) => Some(number),
        Role::Wanted | Role::Out | Role::Stays => None,
    };
    drawing.things.iter().filter_map(number).collect()
}

/// What a view needs to know.
struct View<'d> {
    drawing: &'d VehicleDrawing,
    hull: Cuboid,
    /// The numbers to be shown in it.
    numbers: &'d [usize],
    /// It is drawn no higher than this, points.
    highest: f64,
    /// What is kept over it, points.
    over: f64,
}

fn highest(views: &[VehicleView]) -> f64 {
    HIGHEST[views.len().clamp(1, HIGHEST.len()) - 1]
}

fn hull(drawing: &VehicleDrawing) -> Option<Cuboid> {
    let placed = drawing.things.iter().filter_map(|thing| thing.cuboid);
    let ends = drawing.routes.iter().flat_map(overlay::boxes);
    let around = placed.chain(ends).reduce(|a, b| a.around(&b))?;
    Some(drawing.inside.map_or(around, |inside| inside.around(&around)))
}

/// The plan, and each side on which something comes out or is wanted; both where that is nowhere.
fn usual(drawing: &VehicleDrawing, hull: &Cuboid) -> Vec<VehicleView> {
    let matters = |thing: &&Thing| !matches!(thing.role, Role::Stays | Role::Out);
    let placed: Vec<Cuboid> =
        drawing.things.iter().filter(matters).filter_map(|thing| thing.cuboid).collect();
    let middle_m = hull.middle_m()[1];
    [VehicleView::Plan, VehicleView::LeftHalf, VehicleView::RightHalf]
        .into_iter()
        .filter(|view| placed.is_empty() || placed.iter().any(|c| view.shows(c, middle_m)))
        .collect()
}

/// What a screen reader says in place of the picture.
fn described(drawing: &VehicleDrawing, views: &[VehicleView]) -> String {
    let mut steps: Vec<(usize, &str)> = Vec::new();
    let mut wanted = Vec::new();
    for thing in &drawing.things {
        match thing.role {
            Role::Step { number, .. } | Role::Noted(number) => steps.push((number, &thing.label)),
            Role::Wanted => wanted.push(thing.label.as_str()),
            Role::Out | Role::Stays => {}
        }
    }
    steps.sort_unstable();
    let speech = &drawing.heading.speech;
    let views: Vec<&str> = views.iter().map(|view| speech.say(view.words())).collect();
    let mut out = format!("{}.", views.join("; "));
    if !wanted.is_empty() {
        out.push(' ');
        out.push_str(&speech.fill("To be reached: {a}.", &[&wanted.join(", ")]));
    }
    if !steps.is_empty() {
        let steps: Vec<String> =
            steps.iter().map(|(number, label)| format!("{number} {label}")).collect();
        out.push(' ');
        out.push_str(&speech.fill("Numbered: {a}.", &[&steps.join("; ")]));
    }
    for pull in &drawing.pulls {
        out.push_str(&format!(" {}.", pull.words));
    }
    out
}
