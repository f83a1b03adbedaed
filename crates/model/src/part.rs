//! Panels, cupboards and trim: what hides what, and how it comes out.

use units::{Fraction, Kilogram, Money};

use crate::arena::id;
use crate::{Cuboid, Fact, Fixing, Mounting, Origin};

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

/// How somebody has to stand or lie to do it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WorkPosition {
    /// On both feet.
    Standing,
    /// On a seat or the floor.
    Sitting,
    /// On the knees.
    Kneeling,
    /// On the floor, reaching in.
    Lying,
    /// Under the vehicle.
    LyingUnder,
    /// On the roof.
    OnTheRoof,
}

impl WorkPosition {
    /// All of them with the words people write.
    pub const ALL: [(WorkPosition, &'static str); 6] = [
        (WorkPosition::Standing, "standing"),
        (WorkPosition::Sitting, "sitting"),
        (WorkPosition::Kneeling, "kneeling"),
        (WorkPosition::Lying, "lying"),
        (WorkPosition::LyingUnder, "lying under"),
        (WorkPosition::OnTheRoof, "on the roof"),
    ];

    /// The words for it.
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(position, _)| *position == self).map_or("", |(_, word)| word)
    }
}

/// What has to be cleaned up afterwards.
#[derive(Clone, Debug, PartialEq)]
pub struct Mess {
    /// What it is: tile dust, old sealant.
    pub what: String,
    /// Minutes to clean it up, if written.
    pub cleaning: Option<Minutes>,
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
    /// What this way undoes.
    pub fixings: Vec<Fixing>,
    /// Tools of the catalog it takes besides those of its fixings.
    pub tools: Vec<String>,
    /// How somebody has to stand or lie.
    pub position: Fact<WorkPosition>,
    /// Whether a second person is needed.
    pub second_person: Fact<bool>,
    /// Push or pull that it takes, newton.
    pub force_n: Fact<f64>,
    /// Time to take it out.
    pub out: Minutes,
    /// Time to put it back.
    pub back: Minutes,
    /// Where the time out comes from.
    pub origin: Origin,
    /// Where the time back comes from.
    pub back_origin: Origin,
    /// How likely it breaks.
    pub breaks: Fraction,
    /// What it costs when it breaks.
    pub price: Option<Money>,
    /// What happens to it.
    pub damage: Damage,
    /// What has to be cleaned up.
    pub mess: Option<Mess>,
}

/// A part of the furniture, trim or body, or a position that one can be moved to.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its id in the record; of a position, part and position: `fridge slid`.
    pub name: String,
    /// What people call it.
    pub label: String,
    /// What holds it.
    pub fixings: Vec<Fixing>,
    /// The ways to take it out, or to move it there.
    pub removals: Vec<RemovalId>,
    /// It is already out, or moved there.
    pub is_out: bool,
    /// Of a position: the part that is moved. Something behind the position is reached when the part
    /// is moved there, or out altogether.
    pub moved: Option<PartId>,
    /// What it weighs.
    pub mass: Fact<Kilogram>,
    /// What holds it when the vehicle brakes or is hit.
    pub mounting: Option<Mounting>,
    /// The space it takes up.
    pub space: Fact<Cuboid>,
    /// Moisture of its wood, by a pin meter.
    pub damp: Fact<Fraction>,
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
    /// The space it takes up.
    pub space: Fact<Cuboid>,
    /// Moisture of the wood there, by a pin meter.
    pub damp: Fact<Fraction>,
}
