//! A box in the vehicle's axes: x from the front to the rear, y from the left to the right as one
//! sits in the vehicle, z from the floor upwards. Knows no unit but the metre.

/// A box that is parallel to the vehicle's axes. Every edge is finite and longer than nothing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cuboid {
    from_m: [f64; 3],
    to_m: [f64; 3],
}

impl Cuboid {
    /// From one corner to the opposite one, metres; `None` if an edge is not finite or has no length.
    pub fn new(from_m: [f64; 3], to_m: [f64; 3]) -> Option<Cuboid> {
        let good = |k: usize| {
            from_m[k].is_finite() && to_m[k].is_finite() && from_m[k] < to_m[k] && {
                // A vehicle of a kilometre is a slip of the pen, and would draw everything else away.
                from_m[k].abs() < 1e3 && to_m[k].abs() < 1e3
            }
        };
        (0..3).all(good).then_some(Cuboid { from_m, to_m })
    }

    /// The corner with the smallest coordinates, m.
    pub fn from_m(&self) -> [f64; 3] {
        self.from_m
    }

    /// The corner with the largest coordinates, m.
    pub fn to_m(&self) -> [f64; 3] {
        self.to_m
    }

    /// The middle, m.
    pub fn middle_m(&self) -> [f64; 3] {
        std::array::from_fn(|k| (self.from_m[k] + self.to_m[k]) / 2.0)
    }

    /// The smallest box around both.
    pub fn around(&self, other: &Cuboid) -> Cuboid {
        Cuboid {
            from_m: std::array::from_fn(|k| self.from_m[k].min(other.from_m[k])),
            to_m: std::array::from_fn(|k| self.to_m[k].max(other.to_m[k])),
        }
    }
}
