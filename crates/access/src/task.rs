//! The question as facts and actions: "part p is out", "target t is in reach", and what makes
//! one true from others. Nothing is ever undone, so a set of actions either works or does not,
//! whatever the order.
//!
//! Deliberately does not know names, minutes or money: only indices and one cost per action.

use crate::problem::{Costing, Damage, Permitted, Presence, Problem, Removal, RemovalIdx, Target};

/// Cost in [`UNIT`]ths of a sixth of a minor money unit, with the number of removals in the low
/// bits: of two plans of equal cost the one with fewer removals is cheaper. Integers, so that
/// sums do not depend on their order and ties are ties.
pub(crate) type Cost = u128;

/// Cost of what cannot be done.
pub(crate) const NEVER: Cost = Cost::MAX;

/// Costs are kept to a millionth of a minor money unit, and in sixths because of the `/ 6` of the
/// three-point mean.
const UNIT: f64 = 1.0e6;
const SIXTHS: f64 = 6.0;
/// 2^15 exceeds [`crate::MAX_REMOVALS`].
const COUNT_BITS: u32 = 15;

/// Where an action comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Origin {
    /// A removal of the problem.
    Removal(RemovalIdx),
    /// Free bookkeeping: a way to a target, or all targets together.
    Reach,
}

/// Makes fact `gives` true once all `needs` are true.
#[derive(Clone, Debug)]
pub(crate) struct Action {
    pub(crate) origin: Origin,
    pub(crate) needs: Vec<usize>,
    pub(crate) gives: usize,
    pub(crate) cost: Cost,
}

/// Facts are numbered: parts first, then targets, then `goal`, then `start` (true from the start).
#[derive(Clone, Debug)]
pub(crate) struct Task {
    pub(crate) facts: usize,
    pub(crate) goal: usize,
    pub(crate) start: usize,
    pub(crate) actions: Vec<Action>,
    /// By fact: the actions that give it.
    pub(crate) achievers: Vec<Vec<usize>>,
    /// By fact: the actions that need it.
    pub(crate) users: Vec<Vec<usize>>,
}

impl Task {
    /// Builds the task. The problem must be free of faults.
    pub(crate) fn new(problem: &Problem, targets: &[Target], costing: &Costing) -> Self {
        let goal = problem.parts.len() + targets.len();
        let start = goal + 1;
        let mut actions = Vec::new();
        for (index, removal) in problem.removals.iter().enumerate() {
            if is_usable(problem, removal, costing.allow) {
                actions.push(Action {
                    origin: Origin::Removal(RemovalIdx(index)),
                    needs: facts_needed(problem, &removal.needs, start),
                    gives: removal.part.0,
                    cost: cost_of(removal, costing),
                });
            }
        }
        let reach = |needs, gives| Action { origin: Origin::Reach, needs, gives, cost: 0 };
        for (index, target) in targets.iter().enumerate() {
            for way in &target.ways {
                let needs = facts_needed(problem, way, start);
                actions.push(reach(needs, problem.parts.len() + index));
            }
        }
        let mut all: Vec<usize> = (problem.parts.len()..goal).collect();
        if all.is_empty() {
            all.push(start);
        }
        actions.push(reach(all, goal));
        Self::from_actions(start + 1, goal, start, actions)
    }

    /// The same facts with only the actions for which `keep` is true.
    pub(crate) fn restricted(&self, keep: &[bool]) -> Self {
        let kept = self.actions.iter().zip(keep).filter(|(_, keep)| **keep);
        let actions = kept.map(|(action, _)| action.clone()).collect();
        Self::from_actions(self.facts, self.goal, self.start, actions)
    }

    /// Which facts come true using only the actions for which `usable` holds.
    pub(crate) fn reached(&self, usable: impl Fn(usize) -> bool) -> Vec<bool> {
        let mut reached = vec![false; self.facts];
        let mut open: Vec<usize> = self.actions.iter().map(|a| a.needs.len()).collect();
        let mut queue = vec![self.start];
        reached[self.start] = true;
        while let Some(fact) = queue.pop() {
            for &user in &self.users[fact] {
                open[user] -= 1;
                let gives = self.actions[user].gives;
                if open[user] == 0 && !reached[gives] && usable(user) {
                    reached[gives] = true;
                    queue.push(gives);
                }
            }
        }
        reached
    }

    /// Whether an action is a removal, and so worth deciding about.
    pub(crate) fn is_removal(&self, action: usize) -> bool {
        matches!(self.actions[action].origin, Origin::Removal(_))
    }

    fn from_actions(facts: usize, goal: usize, start: usize, actions: Vec<Action>) -> Self {
        let mut achievers = vec![Vec::new(); facts];
        let mut users = vec![Vec::new(); facts];
        for (index, action) in actions.iter().enumerate() {
            achievers[action.gives].push(index);
            for &need in &action.needs {
                users[need].push(index);
            }
        }
        Self { facts, goal, start, actions, achievers, users }
    }
}

/// Adds two costs; what cannot be done stays so.
pub(crate) fn plus(a: Cost, b: Cost) -> Cost {
    a.saturating_add(b)
}

/// The expected cost in minor money units, without the tie-breaking count.
pub(crate) fn in_minor(cost: Cost) -> f64 {
    (cost >> COUNT_BITS) as f64 / (UNIT * SIXTHS)
}

/// Whether a removal is allowed by the costing and its part is still in place.
pub(crate) fn is_usable(problem: &Problem, removal: &Removal, allow: Permitted) -> bool {
    let fitted = problem.parts[removal.part.0].presence == Presence::Fitted;
    fitted && (allow == Permitted::Anything || removal.damage != Damage::Destroys)
}

fn facts_needed(problem: &Problem, parts: &[crate::PartIdx], start: usize) -> Vec<usize> {
    let fitted = |part: &&crate::PartIdx| problem.parts[part.0].presence == Presence::Fitted;
    let mut needs: Vec<usize> = parts.iter().filter(fitted).map(|part| part.0).collect();
    needs.sort_unstable();
    needs.dedup();
    if needs.is_empty() {
        needs.push(start);
    }
    needs
}

/// Expected cost: minutes out and back at the worth of a minute, plus expected breakage.
fn cost_of(removal: &Removal, costing: &Costing) -> Cost {
    let sixths = |t: crate::Spread| t.low_min + 4.0 * t.likely_min + t.high_min;
    let minutes = sixths(removal.minutes_out) + sixths(removal.minutes_back);
    let (breakage, _) = removal.breakage_counted(costing);
    let units =
        minutes * costing.value_of_a_minute * UNIT + breakage.expected_minor() * SIXTHS * UNIT;
    // Not negative and at most about 1e25 by the input limits, so the conversion cannot wrap.
    ((units.round() as Cost) << COUNT_BITS) + 1
}
