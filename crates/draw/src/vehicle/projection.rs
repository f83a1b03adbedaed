//! From a point in the vehicle to a point on paper.

use crate::Cuboid;
use crate::svg::Rect;

/// From where one looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum VehicleView {
    /// From above; the front is on the left, the left of the vehicle at the bottom.
    Plan,
    /// What stands left of the middle, seen from the middle: the front is on the right.
    LeftHalf,
    /// What stands right of the middle, seen from the middle: the front is on the left.
    RightHalf,
    /// From above at a slant, from the side on which less is to be done.
    Isometric,
}

impl VehicleView {
    pub(crate) fn words(self) -> &'static str {
        match self {
            VehicleView::Plan => "Plan, from above",
            VehicleView::LeftHalf => "Left half, seen from the middle of the vehicle",
            VehicleView::RightHalf => "Right half, seen from the middle of the vehicle",
            VehicleView::Isometric => "Isometric",
        }
    }

    /// Whether a box is shown in this view of a vehicle whose middle is at `middle_m`. What crosses
    /// the middle is shown on both sides.
    pub(crate) fn shows(self, cuboid: &Cuboid, middle_m: f64) -> bool {
        match self {
            VehicleView::Plan | VehicleView::Isometric => true,
            VehicleView::LeftHalf => cuboid.from_m()[1] < middle_m,
            VehicleView::RightHalf => cuboid.to_m()[1] > middle_m,
        }
    }
}

/// A flat view at a scale and a place on the paper.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Flat {
    pub(crate) view: VehicleView,
    pub(crate) hull: Cuboid,
    pub(crate) points_per_m: f64,
    pub(crate) left: f64,
    pub(crate) top: f64,
}

impl Flat {
    /// Which axis of the vehicle runs up the paper.
    pub(crate) fn up(view: VehicleView) -> usize {
        if view == VehicleView::Plan { 1 } else { 2 }
    }

    /// Where a point stands on paper, points.
    pub(crate) fn at(&self, point_m: [f64; 3]) -> (f64, f64) {
        let (hull, scale, up) = (&self.hull, self.points_per_m, Self::up(self.view));
        let along_m = match self.view {
            VehicleView::LeftHalf => hull.to_m()[0] - point_m[0],
            _ => point_m[0] - hull.from_m()[0],
        };
        (self.left + scale * along_m, self.top + scale * (hull.to_m()[up] - point_m[up]))
    }

    pub(crate) fn on_paper(&self, cuboid: &Cuboid) -> Rect {
        let (a, b) = (self.at(cuboid.from_m()), self.at(cuboid.to_m()));
        let (x, y) = (a.0.min(b.0), a.1.min(b.1));
        Rect { x, y, w: (a.0 - b.0).abs(), h: (a.1 - b.1).abs() }
    }

    /// How far the near face of a box is, the larger the farther, m.
    pub(crate) fn depth_m(&self, cuboid: &Cuboid) -> f64 {
        match self.view {
            VehicleView::LeftHalf => -cuboid.to_m()[1],
            VehicleView::RightHalf => cuboid.from_m()[1],
            VehicleView::Plan | VehicleView::Isometric => -cuboid.to_m()[2],
        }
    }

    /// The whole vehicle on paper.
    pub(crate) fn frame(&self) -> Rect {
        self.on_paper(&self.hull)
    }
}

/// An isometric projection: the plane of the paper makes equal angles with all three axes. The vertical
/// axis stands upright, the other two run at 30° to the level; lengths along the axes are drawn at one
/// scale. Source: ISO 5456-3, isometric axonometry (from memory).
#[derive(Clone, Copy, Debug)]
pub(crate) struct Isometric {
    /// Towards the one who looks: 1 from the rear, -1 from the front; 1 from the right, -1 from the left.
    pub(crate) towards: [f64; 2],
    pub(crate) points_per_m: f64,
    pub(crate) origin: (f64, f64),
}

impl Isometric {
    /// Where a point stands on paper, points: along the axes `(±cos 30°, ±sin 30°)` and `(0, -1)`.
    pub(crate) fn at(&self, [x_m, y_m, z_m]: [f64; 3]) -> (f64, f64) {
        let (sin, cos) = 30.0_f64.to_radians().sin_cos();
        let [sx, sy] = self.towards;
        let across = cos * (-sy * x_m + sx * y_m);
        let down = sin * (sx * x_m + sy * y_m) - z_m;
        let scale = self.points_per_m;
        (self.origin.0 + scale * across, self.origin.1 + scale * down)
    }

    /// The outline of a box: six corners.
    pub(crate) fn outline(&self, cuboid: &Cuboid) -> [(f64, f64); 6] {
        let c = |x: bool, y: bool, z: bool| self.at(self.corner(cuboid, [x, y, z]));
        [
            c(false, false, true),
            c(true, false, true),
            c(true, false, false),
            c(true, true, false),
            c(false, true, false),
            c(false, true, true),
        ]
    }

    /// The three faces that are seen: the top, the one towards front or rear, the one towards a side.
    pub(crate) fn faces(&self, cuboid: &Cuboid) -> [[(f64, f64); 4]; 3] {
        let c = |x: bool, y: bool, z: bool| self.at(self.corner(cuboid, [x, y, z]));
        let top = [
            c(false, false, true),
            c(true, false, true),
            c(true, true, true),
            c(false, true, true),
        ];
        let end = [
            c(true, false, true),
            c(true, true, true),
            c(true, true, false),
            c(true, false, false),
        ];
        let side = [
            c(false, true, true),
            c(true, true, true),
            c(true, true, false),
            c(false, true, false),
        ];
        [top, end, side]
    }

    /// A corner of a box: on each axis the one nearer to the one who looks, or the farther one.
    pub(crate) fn corner(&self, cuboid: &Cuboid, near: [bool; 3]) -> [f64; 3] {
        let towards = [self.towards[0], self.towards[1], 1.0];
        std::array::from_fn(|k| {
            if (towards[k] > 0.0) == near[k] { cuboid.to_m()[k] } else { cuboid.from_m()[k] }
        })
    }

    /// How far along an axis a box begins and ends, counted away from the one who looks, m.
    pub(crate) fn away(&self, cuboid: &Cuboid, axis: usize) -> (f64, f64) {
        let towards = [self.towards[0], self.towards[1], 1.0];
        let (a, b) = (-towards[axis] * cuboid.from_m()[axis], -towards[axis] * cuboid.to_m()[axis]);
        (a.min(b), a.max(b))
    }
}
