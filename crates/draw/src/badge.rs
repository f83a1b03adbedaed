//! Numbers in circles: each on a piece of its part that little else covers, none covering another. A
//! number that had to move off its part keeps a thin line to it.

use crate::svg::Rect;

/// Radius of a number's circle, points.
pub(crate) const RADIUS: f64 = 7.5;
/// Room kept between two circles, points.
const GAP: f64 = 1.5;
/// Steps of the spiral along which a circle looks for room.
const TRIES: u32 = 4_000;

/// A number and the point of its part it belongs to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Home {
    pub(crate) number: usize,
    pub(crate) at: (f64, f64),
    /// Whether its circle can stand there without being read as the number of another part; if not, it
    /// stands aside, with a line to the point.
    pub(crate) has_room: bool,
}

/// Points on the edge of a circle around a point, slightly inside the circle of a number.
pub(crate) fn rim(at: (f64, f64)) -> impl Iterator<Item = (f64, f64)> {
    const POINTS: i32 = 8;
    (0..POINTS).map(move |k| {
        let angle = std::f64::consts::TAU * f64::from(k) / f64::from(POINTS);
        (at.0 + 0.8 * RADIUS * angle.cos(), at.1 + 0.8 * RADIUS * angle.sin())
    })
}

/// Of the points of a rim so many may lie on other parts.
pub(crate) const MOST_ON_OTHERS: usize = 3;

/// A number and where it went.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Placed {
    pub(crate) number: usize,
    /// The point of its part it belongs to.
    pub(crate) home: (f64, f64),
    /// The middle of its circle.
    pub(crate) at: (f64, f64),
}

impl Placed {
    pub(crate) fn has_moved(&self) -> bool {
        distance(self.home, self.at) > RADIUS
    }
}

/// The point of a rectangle that the fewest of the others cover, of those the one nearest to its
/// middle.
pub(crate) fn home(rect: Rect, others: &[Rect]) -> (f64, f64) {
    const GRID: i32 = 9;
    let middle = rect.middle();
    let covers = |other: &Rect, (x, y): (f64, f64)| {
        (other.x..=other.x + other.w).contains(&x) && (other.y..=other.y + other.h).contains(&y)
    };
    let share = |k: i32| f64::from(2 * k + 1) / f64::from(2 * GRID);
    let points = (0..GRID * GRID)
        .map(|k| (rect.x + rect.w * share(k % GRID), rect.y + rect.h * share(k / GRID)));
    points
        .map(|at| {
            (others.iter().filter(|other| covers(other, at)).count(), distance(at, middle), at)
        })
        .min_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)))
        .map_or(middle, |best| best.2)
}

/// Places numbers one after the other, each at the nearest free place within the sheet; one that has no
/// room at home at the nearest where nothing is drawn (`is_open`), or where no point of another lies.
pub(crate) fn place(
    homes: &[Home],
    sheet: (f64, f64, f64, f64),
    is_open: impl Fn((f64, f64)) -> bool,
) -> Vec<Placed> {
    let mut placed: Vec<Placed> = Vec::with_capacity(homes.len());
    let (mut first, last): (Vec<Home>, Vec<Home>) = homes.iter().partition(|home| home.has_room);
    first.extend(last);
    for &Home { number, at: home, has_room } in &first {
        let free = |at: (f64, f64)| {
            let (x0, y0, x1, y1) = sheet;
            let inside = at.0 >= x0 + RADIUS
                && at.0 <= x1 - RADIUS
                && at.1 >= y0 + RADIUS
                && at.1 <= y1 - RADIUS;
            inside && placed.iter().all(|other| distance(other.at, at) >= 2.0 * RADIUS + GAP)
        };
        let clear = |at: &(f64, f64)| {
            let aside = distance(*at, home) >= 2.0 * RADIUS;
            aside && homes.iter().all(|other| distance(other.at, *at) >= RADIUS + GAP)
        };
        let nearest = || spiral(home).find(|at| free(*at));
        let at = if has_room {
            nearest()
        } else {
            let open = |at: &(f64, f64)| is_open(*at) && rim(*at).all(&is_open);
            let beside = || spiral(home).filter(clear).find(|at| free(*at));
            let outside = spiral(home).filter(clear).filter(open).find(|at| free(*at));
            outside.or_else(beside).or_else(nearest)
        };
        // A sheet too crowded for another circle keeps the number at its part rather than lose it.
        let at = at.unwrap_or(home);
        placed.push(Placed { number, home, at });
    }
    placed
}

fn distance(a: (f64, f64), b: (f64, f64)) -> f64 {
    (a.0 - b.0).hypot(a.1 - b.1)
}

/// Points around a middle, ever further out (golden-angle spiral: even cover, no preferred side).
fn spiral(middle: (f64, f64)) -> impl Iterator<Item = (f64, f64)> {
    let golden_angle = std::f64::consts::PI * (3.0 - 5.0_f64.sqrt());
    (0..TRIES).map(move |step| {
        let (step, spread) = (f64::from(step), 2.2);
        let (angle, radius) = (step * golden_angle, spread * step.sqrt());
        (middle.0 + radius * angle.cos(), middle.1 + radius * angle.sin())
    })
}
