//! Everything that can be wrong with a question, each named with its place; and what is left of
//! the question without the faulty pieces.
//!
//! Deliberately does not know how the answer is found.

use crate::estimate::{Spread, SpreadFault};
use crate::problem::{
    Breakage, Costing, MAX_MINOR, MAX_PARTS, MAX_REMOVALS, MAX_SETUPS, Problem, Removal, Target,
    Trip,
};

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
    /// A removal uses a setup that is not in the list.
    #[error(
        "removal `{removal}` uses setup number {setup}, which does not exist; add the setup or \
         correct the number"
    )]
    UseOfMissingSetup {
        /// Label of the removal.
        removal: String,
        /// The number given.
        setup: usize,
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
    /// A three-point time of a setup that cannot be one.
    #[error("setup `{setup}`, minutes {trip}: {fault}")]
    BadSetupMinutes {
        /// Name of the setup.
        setup: String,
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

/// A question with its faults, and which pieces are without.
pub(crate) struct Checked {
    /// All faults.
    pub(crate) faults: Vec<InputError>,
    /// Whether the sound pieces can be planned.
    pub(crate) rest: Rest,
    /// By removal: whether it can be used as stated.
    pub(crate) sound: Vec<bool>,
    /// The targets without ways that cannot be; one whose ways are all faulty has none.
    pub(crate) targets: Vec<Target>,
}

/// What faults leave of a question.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Rest {
    /// The faulty pieces can be left out.
    Usable,
    /// Nothing can be planned: too large, or no sound costing.
    Nothing,
}

impl Problem {
    /// Everything wrong with this problem, the targets and the costing; empty when nothing is.
    #[must_use]
    pub fn faults(&self, targets: &[Target], costing: &Costing) -> Vec<InputError> {
        self.check(targets, costing).faults
    }

    pub(crate) fn check(&self, targets: &[Target], costing: &Costing) -> Checked {
        let mut faults = Vec::new();
        too_many("parts", self.parts.len(), MAX_PARTS, &mut faults);
        too_many("removals", self.removals.len(), MAX_REMOVALS, &mut faults);
        too_many("setups", self.setups.len(), MAX_SETUPS, &mut faults);
        let ways = targets.iter().map(|t| t.ways.len()).sum();
        too_many("ways to targets", ways, MAX_REMOVALS, &mut faults);
        let value = costing.value_of_a_minute;
        if !(0.0..=MAX_MINOR).contains(&value) {
            faults.push(InputError::BadValueOfAMinute { value });
        }
        breakage_fault("the assumption for unpriced damage", costing.if_unpriced, &mut faults);
        let rest = if faults.is_empty() { Rest::Usable } else { Rest::Nothing };
        let sound_setups: Vec<bool> = (0..self.setups.len())
            .map(|setup| without_fault(&mut faults, |faults| self.setup_faults(setup, faults)))
            .collect();
        let sound = self
            .removals
            .iter()
            .map(|removal| {
                let usable = |setup: &crate::SetupIdx| sound_setups.get(setup.0) != Some(&false);
                without_fault(&mut faults, |faults| self.removal_faults(removal, faults))
                    && removal.setups.iter().all(usable)
            })
            .collect();
        let targets = targets.iter().map(|t| self.sound_target(t, &mut faults)).collect();
        Checked { faults, rest, sound, targets }
    }

    fn setup_faults(&self, setup: usize, found: &mut Vec<InputError>) {
        let setup = &self.setups[setup];
        for (trip, fault) in bad_minutes(setup.minutes_out, setup.minutes_back) {
            let setup = setup.name.clone();
            found.push(InputError::BadSetupMinutes { setup, trip, fault });
        }
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
        for setup in removal.setups.iter().filter(|setup| self.setup(**setup).is_none()) {
            found.push(InputError::UseOfMissingSetup { removal: label(), setup: setup.0 });
        }
        for (trip, fault) in bad_minutes(removal.minutes_out, removal.minutes_back) {
            found.push(InputError::BadMinutes { removal: label(), trip, fault });
        }
        if let Some(breakage) = removal.breakage {
            breakage_fault(&format!("removal `{}`", removal.label), breakage, found);
        }
    }

    fn sound_target(&self, target: &Target, found: &mut Vec<InputError>) -> Target {
        let name = || target.name.clone();
        if target.ways.is_empty() {
            found.push(InputError::NoWayStated { target: name() });
        }
        let missing = |part: &&crate::PartIdx| self.part(**part).is_none();
        for part in target.ways.iter().flatten().filter(missing) {
            found.push(InputError::WayThroughMissingPart { target: name(), part: part.0 });
        }
        let sound = |way: &&Vec<_>| way.iter().all(|part| !missing(&part));
        Target { name: name(), ways: target.ways.iter().filter(sound).cloned().collect() }
    }
}

/// Whether a look for faults adds none.
fn without_fault(faults: &mut Vec<InputError>, mut look: impl FnMut(&mut Vec<InputError>)) -> bool {
    let before = faults.len();
    look(faults);
    faults.len() == before
}

fn bad_minutes(out: Spread, back: Spread) -> impl Iterator<Item = (Trip, SpreadFault)> {
    let trips = [(Trip::Out, out), (Trip::Back, back)];
    trips.into_iter().filter_map(|(trip, spread)| Some((trip, spread.fault()?)))
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
