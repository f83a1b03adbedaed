//! One projection of the boxes onto paper: the plan from above, or a side seen from the left.

use crate::Cuboid;
use crate::svg::Rect;

/// From where one looks. In every view the front of the vehicle is on the left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Direction {
    /// From above; the left of the vehicle is at the bottom of the paper.
    Above,
    /// From the left, only what stands left of the middle.
    LeftHalf,
    /// From the left as well, only what stands right of the middle.
    RightHalf,
}

impl Direction {
    pub(crate) const ALL: [Direction; 3] =
        [Direction::Above, Direction::LeftHalf, Direction::RightHalf];

    pub(crate) fn words(self) -> &'static str {
        match self {
            Direction::Above => "Plan, from above",
            Direction::LeftHalf => "Left half, seen from the left",
            Direction::RightHalf => "Right half, seen from the left as well",
        }
    }

    /// Which axis of the vehicle runs up the paper.
    fn up(self) -> usize {
        match self {
            Direction::Above => 1,
            Direction::LeftHalf | Direction::RightHalf => 2,
        }
    }

    /// Whether a box is shown in this view of a vehicle whose middle is at `middle_m`. What crosses
    /// the middle is shown on both sides.
    pub(crate) fn shows(self, cuboid: &Cuboid, middle_m: f64) -> bool {
        match self {
            Direction::Above => true,
            Direction::LeftHalf => cuboid.from_m()[1] < middle_m,
            Direction::RightHalf => cuboid.to_m()[1] > middle_m,
        }
    }

    /// How far away something is, for drawing far things first: the larger, the farther.
    pub(crate) fn depth_m(self, cuboid: &Cuboid) -> f64 {
        match self {
            Direction::Above => -cuboid.to_m()[2],
            Direction::LeftHalf | Direction::RightHalf => cuboid.from_m()[1],
        }
    }
}

/// A view at a scale and a place on the paper.
#[derive(Clone, Copy, Debug)]
pub(crate) struct View {
    pub(crate) direction: Direction,
    hull: Cuboid,
    points_per_m: f64,
    left: f64,
    top: f64,
}

impl View {
    pub(crate) fn new(
        direction: Direction,
        hull: Cuboid,
        points_per_m: f64,
        (left, top): (f64, f64),
    ) -> View {
        View { direction, hull, points_per_m, left, top }
    }

    /// The whole vehicle on paper.
    pub(crate) fn frame(&self) -> Rect {
        self.on_paper(&self.hull)
    }

    pub(crate) fn on_paper(&self, cuboid: &Cuboid) -> Rect {
        let up = self.direction.up();
        let (hull, scale) = (&self.hull, self.points_per_m);
        Rect {
            x: self.left + scale * (cuboid.from_m()[0] - hull.from_m()[0]),
            y: self.top + scale * (hull.to_m()[up] - cuboid.to_m()[up]),
            w: scale * (cuboid.to_m()[0] - cuboid.from_m()[0]),
            h: scale * (cuboid.to_m()[up] - cuboid.from_m()[up]),
        }
    }
}
