//! Where things are: boxes in the vehicle's own axes, and the six directions along them.
//!
//! The axes are those of ISO 8855 (forward, left, up; recalled, not read here), measured from one
//! point of the author's choice, usually the middle of the floor's rear edge.

use units::Metre;

/// One of the six directions along the vehicle's axes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Direction {
    /// Towards the front of the vehicle.
    Forward,
    /// Towards its rear.
    Back,
    /// Towards its left, looking forward.
    Left,
    /// Towards its right, looking forward.
    Right,
    /// Upwards.
    Up,
    /// Downwards.
    Down,
}

impl Direction {
    /// All six, each axis with its positive direction first.
    pub const ALL: [Direction; 6] = [
        Direction::Forward,
        Direction::Back,
        Direction::Left,
        Direction::Right,
        Direction::Up,
        Direction::Down,
    ];

    /// The word people write and read.
    pub fn word(self) -> &'static str {
        match self {
            Direction::Forward => "forward",
            Direction::Back => "back",
            Direction::Left => "left",
            Direction::Right => "right",
            Direction::Up => "up",
            Direction::Down => "down",
        }
    }

    /// The other way along the same axis.
    #[must_use]
    pub fn opposite(self) -> Direction {
        match self {
            Direction::Forward => Direction::Back,
            Direction::Back => Direction::Forward,
            Direction::Left => Direction::Right,
            Direction::Right => Direction::Left,
            Direction::Up => Direction::Down,
            Direction::Down => Direction::Up,
        }
    }

    /// The number of its axis in [`Cuboid::low`] and [`Cuboid::high`].
    pub fn axis(self) -> usize {
        match self {
            Direction::Forward | Direction::Back => 0,
            Direction::Left | Direction::Right => 1,
            Direction::Up | Direction::Down => 2,
        }
    }

    /// True for forward, left and up, along which the axes count.
    pub fn is_positive(self) -> bool {
        matches!(self, Direction::Forward | Direction::Left | Direction::Up)
    }
}

/// A box along the vehicle's axes. Low is below high on each axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cuboid {
    /// Rearmost, rightmost and lowest: positions forward, left and up.
    pub low: [Metre; 3],
    /// Foremost, leftmost and highest.
    pub high: [Metre; 3],
}

impl Cuboid {
    /// Its size along an axis.
    pub fn size(&self, axis: usize) -> Metre {
        Metre::from_si(self.high[axis].si() - self.low[axis].si())
    }
}
