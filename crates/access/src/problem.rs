//! The question put to the planner, and everything that can be wrong with it.
//!
//! Deliberately does not know how the answer is found, nor where the parts come from.

use std::fmt;

use crate::estimate::{Spread, SpreadFault};

/// Most parts a problem may have.
pub const MAX_PARTS: usize = 4_096;
/// Most removals a problem may have.
pub const MAX_REMOVALS: usize = 16_384;
/// Longest time one removal may be said to take, in minutes.
pub const MAX_MINUTES: f64 = 1.0e6;
/// Most that one breakage may cost, and most that one minute may be worth, in minor money units.
const MAX_MINOR: f64 = 1.0e12;

/// Position of a part in [`Problem::parts`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PartIdx(pub usize);

/// Position of a removal in [`Problem::removals`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RemovalIdx(pub usize);

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
#[derive(Clone, Debug, PartialEq)]
pub struct Removal {
    /// The part that is out afterwards.
    pub part: PartIdx,
    /// Name of the method, used in messages.
    pub label: String,
    /// Parts that must be out first. Order and repetition do not matter.
    pub needs: Vec<PartIdx>,
    /// Minutes to take the part out.
    pub minutes_out: Spread,
    /// Minutes to put it back.
    pub minutes_back: Spread,
    /// Likelihood and cost of breakage; `None` where it is not known (or where there is no damage).
    pub breakage: Option<Breakage>,
    /// What happens to the part.
    pub damage: Damage,
}

/// The parts and the ways of removing them.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Problem {
    /// All parts.
    pub parts: Vec<Part>,
    /// All removals, several per part where there are several methods.
    pub removals: Vec<Removal>,
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

/// A fault in the question. Each names what is wrong and where.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum InputError {
    /// More of something than the named limit.
    #[error("{count} {what}, but at most {limit} are handled; split the problem")]
    TooMany {
        /// What there is too much of.
        what: &'static str,
        /// How many there are.
        count: usize,
        /// The limit.
        limit: usize,
    },
    /// A removal is for a part that is not in the list.
    #[error(
        "removal `{removal}` takes out part number {part}, which does not exist; add the part or \
         correct the number"
    )]
    RemovalOfMissingPart {
        /// Label of the removal.
        removal: String,
        /// The number given.
        part: usize,
    },
    /// A removal needs a part that is not in the list.
    #[error(
        "removal `{removal}` needs part number {part}, which does not exist; add the part or \
         correct the number"
    )]
    NeedOfMissingPart {
        /// Label of the removal.
        removal: String,
        /// The number given.
        part: usize,
    },
    /// A removal needs its own part to be out first.
    #[error("removal `{removal}` needs its own part `{part}` to be out first; take that need away")]
    NeedsItself {
        /// Label of the removal.
        removal: String,
        /// Name of the part.
        part: String,
    },
    /// A way to a target names a part that is not in the list.
    #[error(
        "target `{target}` is reached through part number {part}, which does not exist; add the \
         part or correct the number"
    )]
    WayThroughMissingPart {
        /// Name of the target.
        target: String,
        /// The number given.
        part: usize,
    },
    /// A target without any way.
    #[error(
        "target `{target}` states no way in; find out what covers it, or give one empty way if it \
         is in reach now"
    )]
    NoWayStated {
        /// Name of the target.
        target: String,
    },
    /// A three-point time that cannot be one.
    #[error("removal `{removal}`, minutes {trip}: {fault}")]
    BadMinutes {
        /// Label of the removal.
        removal: String,
        /// Out or back.
        trip: Trip,
        /// What is wrong with it.
        fault: SpreadFault,
    },
    /// A probability outside 0 to 1, or a cost beyond the limit.
    #[error(
        "{place}: breakage of probability {} costing {} minor units; the probability must lie \
         between 0 and 1 and the cost at or below 1e12", .breakage.probability, .breakage.cost_minor
    )]
    BadBreakage {
        /// Removal label, or the costing's assumption.
        place: String,
        /// The values given.
        breakage: Breakage,
    },
    /// The worth of a minute is negative, not a number, or beyond the limit.
    #[error("a minute is said to be worth {value}; give a number from 0 to 1e12 minor units")]
    BadValueOfAMinute {
        /// The value given.
        value: f64,
    },
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

    /// Everything wrong with this problem, the targets and the costing; empty when nothing is.
    #[must_use]
    pub fn faults(&self, targets: &[Target], costing: &Costing) -> Vec<InputError> {
        let mut found = Vec::new();
        too_many("parts", self.parts.len(), MAX_PARTS, &mut found);
        too_many("removals", self.removals.len(), MAX_REMOVALS, &mut found);
        let ways = targets.iter().map(|t| t.ways.len()).sum();
        too_many("ways to targets", ways, MAX_REMOVALS, &mut found);
        for removal in &self.removals {
            self.removal_faults(removal, &mut found);
        }
        for target in targets {
            self.target_faults(target, &mut found);
        }
        let value = costing.value_of_a_minute;
        if !(0.0..=MAX_MINOR).contains(&value) {
            found.push(InputError::BadValueOfAMinute { value });
        }
        breakage_fault("the assumption for unpriced damage", costing.if_unpriced, &mut found);
        found
    }

    fn removal_faults(&self, removal: &Removal, found: &mut Vec<InputError>) {
        let label = || removal.label.clone();
        match self.part(removal.part) {
            None => found
                .push(InputError::RemovalOfMissingPart { removal: label(), part: removal.part.0 }),
            Some(part) if removal.needs.contains(&removal.part) => {
                found.push(InputError::NeedsItself { removal: label(), part: part.name.clone() })
            }
            Some(_) => {}
        }
        for need in removal.needs.iter().filter(|need| self.part(**need).is_none()) {
            found.push(InputError::NeedOfMissingPart { removal: label(), part: need.0 });
        }
        for (trip, spread) in [(Trip::Out, removal.minutes_out), (Trip::Back, removal.minutes_back)]
        {
            if let Some(fault) = spread.fault() {
                found.push(InputError::BadMinutes { removal: label(), trip, fault });
            }
        }
        if let Some(breakage) = removal.breakage {
            breakage_fault(&format!("removal `{}`", removal.label), breakage, found);
        }
    }

    fn target_faults(&self, target: &Target, found: &mut Vec<InputError>) {
        if target.ways.is_empty() {
            found.push(InputError::NoWayStated { target: target.name.clone() });
        }
        for part in target.ways.iter().flatten().filter(|part| self.part(**part).is_none()) {
            found.push(InputError::WayThroughMissingPart {
                target: target.name.clone(),
                part: part.0,
            });
        }
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

fn too_many(what: &'static str, count: usize, limit: usize, found: &mut Vec<InputError>) {
    if count > limit {
        found.push(InputError::TooMany { what, count, limit });
    }
}

fn breakage_fault(place: &str, breakage: Breakage, found: &mut Vec<InputError>) {
    let probable = (0.0..=1.0).contains(&breakage.probability);
    if !probable || breakage.cost_minor as f64 > MAX_MINOR {
        found.push(InputError::BadBreakage { place: place.to_owned(), breakage });
    }
}
