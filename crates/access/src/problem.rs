//! The question put to the planner: parts, removals, setups, targets and what a minute is worth.
//!
//! Deliberately does not know how the answer is found, nor where the parts come from.

use std::fmt;

use crate::estimate::Spread;

/// Most parts a problem may have.
pub const MAX_PARTS: usize = 4_096;
/// Most setups a problem may have.
pub const MAX_SETUPS: usize = 4_096;
/// Most removals a problem may have.
pub const MAX_REMOVALS: usize = 16_384;
/// Longest time one removal may be said to take, in minutes.
pub const MAX_MINUTES: f64 = 1.0e6;
/// Most that one breakage may cost, and most that one minute may be worth, in minor money units.
pub(crate) const MAX_MINOR: f64 = 1.0e12;

/// Position of a part in [`Problem::parts`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PartIdx(pub usize);

/// Position of a removal in [`Problem::removals`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RemovalIdx(pub usize);

/// Position of a setup in [`Problem::setups`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SetupIdx(pub usize);

/// Position of a target in the slice handed to [`crate::plan`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TargetIdx(pub usize);

/// Whether a part is in place when work starts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Presence {
    /// In place: it has to be removed if something behind it is wanted.
    #[default]
    Fitted,
    /// Already out: it hides nothing and costs nothing.
    Out,
}

/// A thing that can hide something: a panel, a drawer, a box, a cable clip.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Name used in messages.
    pub name: String,
    /// Fitted or already out.
    pub presence: Presence,
}

/// Whether a setup is there when work starts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Standing {
    /// Not yet there, but it can be had for its minutes.
    #[default]
    ToDo,
    /// There already: it costs nothing.
    InPlace,
    /// It cannot be had: the tool is missing, nobody can come and help. What needs it cannot be
    /// done.
    Missing,
}

/// Something paid for once in a plan, however many removals use it: fetching a tool, lying down
/// under the vehicle, calling a second person. A mess to be cleaned up once is a setup too: no
/// minutes before, the cleaning time after.
#[derive(Clone, Debug, PartialEq)]
pub struct Setup {
    /// Name used in messages.
    pub name: String,
    /// Minutes until it is there; they count as time out.
    pub minutes_out: Spread,
    /// Minutes to put it away or clean up after it; they count as time back.
    pub minutes_back: Spread,
    /// Whether it is there already.
    pub standing: Standing,
}

/// What a removal does to the part itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Damage {
    /// The part comes away whole.
    #[default]
    None,
    /// The part may break.
    MayBreak,
    /// The part is destroyed: cut, drilled, broken out.
    Destroys,
}

/// How likely something breaks and what that costs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Breakage {
    /// Probability, 0 to 1, that the cost falls due.
    pub probability: f64,
    /// Cost when it does, in minor money units (cents).
    pub cost_minor: u64,
}

/// One method of taking one part out.
///
/// What comes free with another part (a panel that is out has also swung aside) is a part of its
/// own with a removal that needs the other part and takes no minutes. Removals without cost cannot
/// feed each other: a plan has an order in which every need is out beforehand.
#[derive(Clone, Debug, PartialEq)]
pub struct Removal {
    /// The part that is out afterwards.
    pub part: PartIdx,
    /// Name of the method, used in messages.
    pub label: String,
    /// Parts that must be out first. Order and repetition do not matter.
    pub needs: Vec<PartIdx>,
    /// Setups that must be in place. Order and repetition do not matter.
    pub setups: Vec<SetupIdx>,
    /// Minutes to take the part out.
    pub minutes_out: Spread,
    /// Minutes to put it back.
    pub minutes_back: Spread,
    /// Likelihood and cost of breakage; `None` where it is not known (or where there is no damage).
    pub breakage: Option<Breakage>,
    /// What happens to the part.
    pub damage: Damage,
}

/// The parts and the ways of removing them, in any state of opening: parts may be out and setups
/// in place already.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Problem {
    /// All parts.
    pub parts: Vec<Part>,
    /// All removals, several per part where there are several methods.
    pub removals: Vec<Removal>,
    /// All setups that removals may use.
    pub setups: Vec<Setup>,
}

/// Something to be touched. It is in reach when every part of any one way is out.
#[derive(Clone, Debug, PartialEq)]
pub struct Target {
    /// Name used in messages.
    pub name: String,
    /// Sets of parts; one set being out is enough. An empty *set* means in reach now; an empty
    /// *list* means that nobody has said how to reach it, which is an error and not a pass.
    pub ways: Vec<Vec<PartIdx>>,
}

/// Which removals may be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Permitted {
    /// Every removal.
    Anything,
    /// Every removal except those with [`Damage::Destroys`]. Removals that *may* break stay in.
    NothingDestroyed,
}

/// How minutes and breakage are weighed against each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Costing {
    /// Worth of one minute of work, in minor money units (cents) per minute.
    pub value_of_a_minute: f64,
    /// Which removals may be used.
    pub allow: Permitted,
    /// What to count for a removal that damages or may damage but states no [`Breakage`]. A
    /// damage of unknown cost is not free: the caller has to say what to assume, and the plan
    /// lists every step for which the assumption was used.
    pub if_unpriced: Breakage,
}

/// Out or back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trip {
    /// Taking the part out.
    Out,
    /// Putting it back.
    Back,
}

impl fmt::Display for Trip {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Out => "out",
            Self::Back => "back",
        })
    }
}

impl Problem {
    /// The part at `index`, if there is one.
    #[must_use]
    pub fn part(&self, index: PartIdx) -> Option<&Part> {
        self.parts.get(index.0)
    }

    /// The removal at `index`, if there is one.
    #[must_use]
    pub fn removal(&self, index: RemovalIdx) -> Option<&Removal> {
        self.removals.get(index.0)
    }

    /// The setup at `index`, if there is one.
    #[must_use]
    pub fn setup(&self, index: SetupIdx) -> Option<&Setup> {
        self.setups.get(index.0)
    }
}

impl Removal {
    /// The breakage to count, and whether it had to be assumed.
    pub(crate) fn breakage_counted(&self, costing: &Costing) -> (Breakage, Priced) {
        match (self.breakage, self.damage) {
            (Some(breakage), _) => (breakage, Priced::Stated),
            (None, Damage::None) => (Breakage { probability: 0.0, cost_minor: 0 }, Priced::Stated),
            (None, Damage::MayBreak) => (costing.if_unpriced, Priced::Assumed),
            (None, Damage::Destroys) => {
                (Breakage { probability: 1.0, ..costing.if_unpriced }, Priced::Assumed)
            }
        }
    }
}

impl Breakage {
    /// Expected cost in minor money units: probability times cost.
    #[must_use]
    pub fn expected_minor(&self) -> f64 {
        self.probability * self.cost_minor as f64
    }
}

/// Whether a breakage cost was in the problem or had to be assumed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Priced {
    Stated,
    Assumed,
}
