//! What holds a heavy thing. Knows no strength.

use crate::{Direction, Fact};

/// Everything that holds a thing.
#[derive(Clone, Debug, PartialEq)]
pub struct Mounting {
    /// In words.
    pub words: String,
    /// Ways side by side, each as strong as its weakest piece.
    pub ways: Vec<HeldWay>,
}

/// One way a thing is held: what, into what, which way.
#[derive(Clone, Debug, PartialEq)]
pub struct HeldWay {
    /// In words.
    pub words: String,
    /// The fixings, one after the other from the thing to the vehicle.
    pub fixings: Vec<HeldBy>,
    /// What they go into.
    pub into: Option<HeldIn>,
    /// The way the fixings point, from the thing into the vehicle.
    pub driven: Fact<Direction>,
    /// Angle between the pull and the surface they go into, degrees: 90 is straight out.
    pub pull_deg: Fact<f64>,
    /// Distance to the nearest edge, mm.
    pub edge_mm: Fact<f64>,
    /// Diameter of heads or washers, mm.
    pub head_mm: Fact<f64>,
    /// Thickness of the bracket or plate they go through, mm of steel.
    pub bracket_mm: Fact<f64>,
    /// Movements it is said to act against; empty: nobody said.
    pub acts: Vec<Direction>,
    /// Strength of the whole way as it is mounted.
    pub strength: Option<StatedForce>,
}

/// Some fixings alike.
#[derive(Clone, Debug, PartialEq)]
pub struct HeldBy {
    /// What they are.
    pub sort: FixingSort,
    /// How many.
    pub count: Fact<f64>,
    /// Nominal diameter, mm; of a bolt its thread.
    pub diameter_mm: Fact<f64>,
    /// Length, mm.
    pub length_mm: Fact<f64>,
    /// Property class of bolts: `8.8`.
    pub class: Fact<String>,
    /// Strength of each, as it is written on it.
    pub each: Option<StatedForce>,
}

/// What a fixing is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FixingSort {
    /// Wood screw.
    WoodScrew,
    /// Lag screw, coach screw.
    LagScrew,
    /// Tapping screw in sheet metal.
    TappingScrew,
    /// Bolt with nut.
    Bolt,
    /// Rivet.
    Rivet,
    /// Threaded insert.
    Insert,
    /// Strap, webbing.
    Strap,
    /// Glue, hook tape: counts for nothing.
    Adhesive,
}

/// A strength somebody states.
#[derive(Clone, Debug, PartialEq)]
pub struct StatedForce {
    /// Newtons.
    pub n: Fact<f64>,
    /// What it promises.
    pub promise: Promise,
}

/// What a stated strength promises.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Promise {
    /// It breaks at this, not before.
    Breaks,
    /// It may be used with this.
    Working,
}

/// What fixings go into.
#[derive(Clone, Debug, PartialEq)]
pub struct HeldIn {
    /// The material by the catalog's name: `ply`, `skin`, `structure`.
    pub material: Fact<String>,
    /// How thick, mm.
    pub thick_mm: Fact<f64>,
    /// Its tensile strength, MPa.
    pub strength_mpa: Fact<f64>,
    /// Where.
    pub side: BoardSide,
}

/// Face or edge of a board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BoardSide {
    /// The face.
    Face,
    /// The edge.
    Edge,
}

impl FixingSort {
    /// How it is written, one and several.
    pub const WORDS: [(&'static str, &'static str, FixingSort); 8] = [
        ("screw", "screws", FixingSort::WoodScrew),
        ("lag screw", "lag screws", FixingSort::LagScrew),
        ("tapping screw", "tapping screws", FixingSort::TappingScrew),
        ("bolt", "bolts", FixingSort::Bolt),
        ("rivet", "rivets", FixingSort::Rivet),
        ("insert", "inserts", FixingSort::Insert),
        ("strap", "straps", FixingSort::Strap),
        ("glue bead", "glue beads", FixingSort::Adhesive),
    ];
}
