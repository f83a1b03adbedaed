//! Panels, cupboards and trim: what hides what, and how it comes out.

use units::{Fraction, Money};

use crate::arena::id;
use crate::{Fact, Origin};

id! {
    /// A part of the furniture, trim or body that can be in the way.
    PartId
}
id! {
    /// One way of taking a part out.
    RemovalId
}
id! {
    /// A place where something can be touched, seen or measured.
    SpotId
}

/// Alternatives of sets of parts: any one set being out is enough. An empty set: reachable now.
pub type Reach = Vec<Vec<PartId>>;

/// What holds a part.
#[derive(Clone, Debug, PartialEq)]
pub struct Fixing {
    /// How many.
    pub count: u32,
    /// The catalog's fixing: screw, clip, glue bead.
    pub kind: String,
}

/// Minutes as a three-point estimate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Minutes {
    /// When all goes well.
    pub low: f64,
    /// Usually.
    pub likely: f64,
    /// When it does not.
    pub high: f64,
}

/// What taking a part out this way does to it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Damage {
    /// Nothing that cannot be put back as it was.
    None,
    /// It may break.
    MayBreak,
    /// It is destroyed.
    Destroys,
}

/// One way of taking a part out.
#[derive(Clone, Debug, PartialEq)]
pub struct Removal {
    /// The part.
    pub part: PartId,
    /// The way, in words.
    pub label: String,
    /// Parts that must be out first.
    pub needs: Vec<PartId>,
    /// Time to take it out.
    pub out: Minutes,
    /// Time to put it back.
    pub back: Minutes,
    /// Where the times come from.
    pub origin: Origin,
    /// How likely it breaks.
    pub breaks: Fraction,
    /// What it costs when it breaks.
    pub price: Option<Money>,
    /// What happens to it.
    pub damage: Damage,
}

/// A part of the furniture, trim or body.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its id in the record.
    pub name: String,
    /// What people call it.
    pub label: String,
    /// What holds it.
    pub fixings: Vec<Fixing>,
    /// The ways to take it out.
    pub removals: Vec<RemovalId>,
    /// It is already out.
    pub is_out: bool,
}

/// A place where something can be touched, seen or measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// Its id in the record.
    pub name: String,
    /// What people call it.
    pub label: String,
    /// What must be out.
    pub reach: Fact<Reach>,
}
