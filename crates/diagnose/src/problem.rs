//! The question of what to do next: which suspects there are, which checks tell them apart, which
//! repairs cure them, what has to be opened for each, and what that costs.

use std::fmt::Debug;
use std::hash::Hash;

/// Something that has to be laid open before a check or a repair can be done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Target(pub usize);

/// What opening costs, given what stands open already. Closing is charged when a thing is opened.
pub trait Access {
    /// What stands open.
    type State: Clone + Debug + Eq + Hash;

    /// Minutes to lay a target open and close up again, and what stands open then. `None`: it cannot
    /// be reached. Invariants: never negative; zero if it is open already; opening more never makes
    /// a target dearer.
    fn open(&self, from: &Self::State, target: Target) -> Option<(f64, Self::State)>;

    /// The minutes of [`Access::open`] alone.
    fn minutes(&self, from: &Self::State, target: Target) -> Option<f64> {
        self.open(from, target).map(|opened| opened.0)
    }
}

/// Everything lies open.
#[derive(Clone, Copy, Debug, Default)]
pub struct NoAccess;

impl Access for NoAccess {
    type State = ();

    fn open(&self, (): &(), _: Target) -> Option<(f64, ())> {
        Some((0.0, ()))
    }
}

/// A measurement, a look, a manipulation: something that tells suspects apart.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    /// Minutes it takes, opening apart.
    pub minutes: f64,
    /// What has to be open; `None`: nothing.
    pub behind: Option<Target>,
    /// `outcomes[suspect][k]`: probability of the `k`-th outcome if that suspect is the cause. Every
    /// row sums to one; all rows are equally long.
    pub outcomes: Vec<Vec<f64>>,
}

/// Something done that may cure, and the proof whether it did.
#[derive(Clone, Debug, PartialEq)]
pub struct Repair {
    /// Minutes it takes with its proof, opening apart.
    pub minutes: f64,
    /// What has to be open; `None`: nothing.
    pub behind: Option<Target>,
    /// `cures[suspect]`: probability that it cures if that suspect is the cause.
    pub cures: Vec<f64>,
}

/// The question.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// How many suspects there are.
    pub suspects: usize,
    /// What can be checked.
    pub checks: Vec<Check>,
    /// What can be repaired. For every suspect one of them has to cure for certain, be it stripping
    /// everything.
    pub repairs: Vec<Repair>,
}

/// What to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Action {
    /// A check, by its place in [`Problem::checks`].
    Check(usize),
    /// A repair, by its place in [`Problem::repairs`].
    Repair(usize),
}

/// What is wrong with a question.
#[derive(Clone, Debug, PartialEq)]
pub enum ProblemFault {
    /// A check has not one row of outcomes for each suspect, rows of different lengths, or a row
    /// that does not sum to one.
    Outcomes {
        /// The check.
        check: usize,
    },
    /// Minutes that are negative or no number.
    Minutes {
        /// Of which action.
        action: Action,
    },
    /// A repair has not one chance for each suspect, or one outside 0 to 1.
    Cures {
        /// The repair.
        repair: usize,
    },
    /// More checks, or more repairs, than are kept apart.
    TooMany,
    /// No repair cures this suspect for certain, so no plan ends.
    Incurable {
        /// The suspect.
        suspect: usize,
    },
}

/// Rounding allowed in a row that is to sum to one.
const ROW_ROUNDING: f64 = 1e-9;

impl Problem {
    /// Everything wrong with the question; empty when nothing is.
    pub fn faults(&self) -> Vec<ProblemFault> {
        let mut faults = Vec::new();
        if self.checks.len() > Done::MOST || self.repairs.len() > Done::MOST {
            faults.push(ProblemFault::TooMany);
        }
        for (k, check) in self.checks.iter().enumerate() {
            let width = check.outcomes.first().map_or(0, Vec::len);
            let row_is_good = |row: &Vec<f64>| {
                row.len() == width
                    && row.iter().all(|p| (0.0..=1.0 + ROW_ROUNDING).contains(p))
                    && (row.iter().sum::<f64>() - 1.0).abs() <= ROW_ROUNDING
            };
            if check.outcomes.len() != self.suspects || !check.outcomes.iter().all(row_is_good) {
                faults.push(ProblemFault::Outcomes { check: k });
            }
            if !usable(check.minutes) {
                faults.push(ProblemFault::Minutes { action: Action::Check(k) });
            }
        }
        for (k, repair) in self.repairs.iter().enumerate() {
            let chances = repair.cures.iter().all(|c| (0.0..=1.0).contains(c));
            if repair.cures.len() != self.suspects || !chances {
                faults.push(ProblemFault::Cures { repair: k });
            }
            if !usable(repair.minutes) {
                faults.push(ProblemFault::Minutes { action: Action::Repair(k) });
            }
        }
        let cured =
            |g: usize| self.repairs.iter().any(|r| r.cures.get(g).is_some_and(|c| *c >= 1.0));
        let incurable = (0..self.suspects).filter(|g| !cured(*g));
        faults.extend(incurable.map(|suspect| ProblemFault::Incurable { suspect }));
        faults
    }
}

fn usable(minutes: f64) -> bool {
    minutes.is_finite() && minutes >= 0.0
}

/// Weights below this are taken for none: they decide nothing and would only cost time.
pub(crate) const NO_WEIGHT: f64 = 1e-9;

/// Which checks, or which repairs, were done.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub(crate) struct Done(u128);

impl Done {
    /// Checks, or repairs, that are kept apart.
    pub(crate) const MOST: usize = 128;

    pub(crate) fn has(self, at: usize) -> bool {
        at < Done::MOST && self.0 >> at & 1 == 1
    }

    pub(crate) fn with(self, at: usize) -> Done {
        Done(self.0 | 1_u128.checked_shl(at as u32).unwrap_or(0))
    }
}

/// Where the work stands: what is believed, what is open, what was done.
#[derive(Clone, Debug)]
pub(crate) struct Node<S> {
    /// Weights of suspects, summing to one.
    pub(crate) weights: Vec<f64>,
    pub(crate) open: S,
    pub(crate) checked: Done,
    pub(crate) repaired: Done,
}

/// What an action costs, and with which probability it leads where. Probabilities may sum to less
/// than one: the rest is cured.
pub(crate) struct Step<S> {
    pub(crate) minutes: f64,
    pub(crate) then: Vec<(f64, Node<S>)>,
}

impl Problem {
    pub(crate) fn start<S>(&self, weights: &[f64], open: S) -> Node<S> {
        let total: f64 = weights.iter().sum();
        Node {
            weights: weights.iter().map(|w| w / total).collect(),
            open,
            checked: Done::default(),
            repaired: Done::default(),
        }
    }

    /// What comes of a check; `None` if it was done, cannot be reached or tells nothing.
    pub(crate) fn check<A: Access>(
        &self,
        access: &A,
        node: &Node<A::State>,
        check: usize,
    ) -> Option<Step<A::State>> {
        if node.checked.has(check) {
            return None;
        }
        let Check { minutes, behind, outcomes } = &self.checks[check];
        let kinds = outcomes.first().map_or(0, Vec::len);
        let mut share = vec![0.0; kinds];
        for (weight, row) in node.weights.iter().zip(outcomes) {
            for (share, chance) in share.iter_mut().zip(row) {
                *share += weight * chance;
            }
        }
        let likely: Vec<usize> = (0..kinds).filter(|k| share[*k] > NO_WEIGHT).collect();
        if likely.len() < 2 || !likely.iter().any(|k| differs(&node.weights, outcomes, *k)) {
            return None;
        }
        let (opening, open) = opened(access, &node.open, *behind)?;
        let then = likely
            .into_iter()
            .map(|k| {
                let weights =
                    node.weights.iter().zip(outcomes).map(|(w, row)| w * row[k] / share[k]);
                let next = Node {
                    weights: weights.collect(),
                    open: open.clone(),
                    checked: node.checked.with(check),
                    repaired: node.repaired,
                };
                (share[k], next)
            })
            .collect();
        Some(Step { minutes: minutes + opening, then })
    }

    /// What comes of a repair; `None` if it was done, cannot be reached or cures nothing suspected.
    pub(crate) fn repair<A: Access>(
        &self,
        access: &A,
        node: &Node<A::State>,
        repair: usize,
    ) -> Option<Step<A::State>> {
        if node.repaired.has(repair) {
            return None;
        }
        let Repair { minutes, behind, cures } = &self.repairs[repair];
        let left: Vec<f64> = node.weights.iter().zip(cures).map(|(w, c)| w * (1.0 - c)).collect();
        let remains: f64 = left.iter().sum();
        if 1.0 - remains <= NO_WEIGHT {
            return None;
        }
        let (opening, open) = opened(access, &node.open, *behind)?;
        let mut then = Vec::new();
        if remains > NO_WEIGHT {
            let next = Node {
                weights: left.into_iter().map(|w| w / remains).collect(),
                open,
                checked: node.checked,
                repaired: node.repaired.with(repair),
            };
            then.push((remains, next));
        }
        Some(Step { minutes: minutes + opening, then })
    }
}

/// Whether an outcome is likelier under one of the possible suspects than under another.
fn differs(weights: &[f64], outcomes: &[Vec<f64>], kind: usize) -> bool {
    let (mut least, mut most) = (f64::INFINITY, 0.0_f64);
    for (weight, row) in weights.iter().zip(outcomes) {
        if *weight > NO_WEIGHT {
            (least, most) = (least.min(row[kind]), most.max(row[kind]));
        }
    }
    most - least > NO_WEIGHT
}

pub(crate) fn opening_minutes<A: Access>(
    access: &A,
    from: &A::State,
    behind: Option<Target>,
) -> Option<f64> {
    behind.map_or(Some(0.0), |target| access.minutes(from, target))
}

pub(crate) fn opened<A: Access>(
    access: &A,
    from: &A::State,
    behind: Option<Target>,
) -> Option<(f64, A::State)> {
    match behind {
        None => Some((0.0, from.clone())),
        Some(target) => access.open(from, target),
    }
}
