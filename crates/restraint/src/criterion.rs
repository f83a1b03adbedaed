//! Deceleration figures: data with source and status, nothing else.
//!
//! None of them is law for a shelf or a battery in a private conversion unless the approval route
//! says so; each says what it was written for and how it is used here.

use std::fmt;

/// Direction in which the thing wants to move, seen from the vehicle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Direction {
    /// Towards the front: braking, frontal impact.
    Forward,
    /// Towards the rear: pulling away, impact from behind.
    Rearward,
    /// To either side.
    Sideways,
}

/// How far a figure was checked against its source.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// Read in a copy of the source.
    Seen,
    /// Read in a page that restates the source.
    SecondHand,
    /// Remembered, not read.
    FromMemory,
}

/// One direction of a criterion.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Level {
    /// Direction.
    pub direction: Direction,
    /// Deceleration in multiples of standard gravity.
    pub g_level: f64,
}

/// A set of deceleration figures with where they come from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Criterion {
    /// Short name.
    pub id: &'static str,
    /// What the source wrote it for.
    pub written_for: &'static str,
    /// How it is used here, and what it is not.
    pub used_as: &'static str,
    /// Document and clause.
    pub source: &'static str,
    /// How far it was checked.
    pub status: Status,
    /// The figures, one direction at a time.
    pub levels: &'static [Level],
}

/// 0.8 g forward, 0.5 g rearward, 0.5 g sideways: loads of ordinary hard driving.
pub const CARGO_IN_MOTION: Criterion = Criterion {
    id: "cargo-in-motion",
    written_for: "cargo and its fastening in a commercial vehicle: breaking strength not exceeded, \
                  one direction at a time",
    used_as: "a floor that driving alone reaches; it is not a crash figure",
    source: "49 CFR 393.102(a)(1)",
    status: Status::Seen,
    levels: &[
        Level { direction: Direction::Forward, g_level: 0.8 },
        Level { direction: Direction::Rearward, g_level: 0.5 },
        Level { direction: Direction::Sideways, g_level: 0.5 },
    ],
};

/// 20 g forward and rearward: what an occupant seat has to stand. The rule counts 9.8 m/s2 per g;
/// here standard gravity is used, which is 0.07 % more.
pub const CRASH_AS_FOR_SEATS: Criterion = Criterion {
    id: "crash-as-for-seats",
    written_for: "occupant seats (side-facing and bus passenger seats excepted): static force of \
                  20 times the mass through its centre, forward and separately rearward",
    used_as: "by analogy only: no rule was found that applies it to equipment in a private \
              conversion; it says nothing about sideways",
    source: "49 CFR 571.207 S4.2(a) and (b), revision of 2002-10-01",
    status: Status::Seen,
    levels: &[
        Level { direction: Direction::Forward, g_level: 20.0 },
        Level { direction: Direction::Rearward, g_level: 20.0 },
    ],
};

impl fmt::Display for Direction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Forward => "forward",
            Self::Rearward => "rearward",
            Self::Sideways => "sideways",
        })
    }
}

impl fmt::Display for Status {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Seen => "seen",
            Self::SecondHand => "second-hand",
            Self::FromMemory => "from memory",
        })
    }
}
