//! The question as facts and actions: "part p is out", "setup s is in place", "target t is in
//! reach", and what makes one true from others. Nothing is ever undone, so a set of actions either works or does not,
//! whatever the order.
//!
//! Deliberately does not know names, minutes or money: only indices and one cost per action.

use crate::estimate::Spread;
use crate::problem::{Costing, PartIdx, Presence, Removal, RemovalIdx, SetupIdx, Standing, Target};
use crate::scope::Scope;

/// Cost in [`UNIT`]ths of a sixth of a minor money unit, with the number of removals in the low
/// bits: of two plans of equal cost the one with fewer removals is cheaper. Integers, so that
/// sums do not depend on their order and ties are ties.
pub(crate) type Cost = u128;

/// Costs are kept to a millionth of a minor money unit, and in sixths because of the `/ 6` of the
/// three-point mean.
const UNIT: f64 = 1.0e6;
const SIXTHS: f64 = 6.0;
/// 2^15 exceeds [`crate::MAX_REMOVALS`].
pub(crate) const COUNT_BITS: u32 = 15;

/// Where an action comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Origin {
    /// A removal of the problem.
    Removal(RemovalIdx),
    /// A setup of the problem.
    Setup(SetupIdx),
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

/// Facts are numbered: parts first, then setups, then targets, then `goal`, then `start` (true from
/// the start).
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
    /// Builds the task of a sound question: the targets that have ways, with what may be used.
    pub(crate) fn new(scope: &Scope, targets: &[Target]) -> Self {
        let problem = scope.problem;
        let first_target = problem.parts.len() + problem.setups.len();
        let goal = first_target + targets.len();
        let start = goal + 1;
        let mut actions = Vec::new();
        for (index, removal) in problem.removals.iter().enumerate() {
            if scope.usable[index] {
                actions.push(Action {
                    origin: Origin::Removal(RemovalIdx(index)),
                    needs: facts_needed(scope, &removal.needs, &removal.setups, start),
                    gives: removal.part.0,
                    cost: removal_cost(removal, &scope.costing),
                });
            }
        }
        for (index, setup) in problem.setups.iter().enumerate() {
            if scope.standing[index] == Standing::ToDo {
                actions.push(Action {
                    origin: Origin::Setup(SetupIdx(index)),
                    needs: vec![start],
                    gives: problem.parts.len() + index,
                    cost: cost_of([setup.minutes_out, setup.minutes_back], 0.0, &scope.costing),
                });
            }
        }
        let reach = |needs, gives| Action { origin: Origin::Reach, needs, gives, cost: 0 };
        let mut all = Vec::new();
        for (index, target) in targets.iter().enumerate().filter(|(_, t)| !t.ways.is_empty()) {
            all.push(first_target + index);
            for way in &target.ways {
                let needs = facts_needed(scope, way, &[], start);
                actions.push(reach(needs, first_target + index));
            }
        }
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

    /// Whether an action is work (a removal or a setup), and so worth deciding about.
    pub(crate) fn is_work(&self, action: usize) -> bool {
        self.actions[action].origin != Origin::Reach
    }

    /// The task of these actions.
    pub(crate) fn from_actions(
        facts: usize,
        goal: usize,
        start: usize,
        actions: Vec<Action>,
    ) -> Self {
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

/// The expected cost in minor money units, without the tie-breaking count.
pub(crate) fn in_minor(cost: Cost) -> f64 {
    (cost >> COUNT_BITS) as f64 / (UNIT * SIXTHS)
}

fn facts_needed(scope: &Scope, parts: &[PartIdx], setups: &[SetupIdx], start: usize) -> Vec<usize> {
    let problem = scope.problem;
    let fitted = |part: &&PartIdx| problem.parts[part.0].presence == Presence::Fitted;
    let wanting = |setup: &&SetupIdx| scope.standing[setup.0] != Standing::InPlace;
    let parts = parts.iter().filter(fitted).map(|part| part.0);
    let setups = setups.iter().filter(wanting).map(|setup| problem.parts.len() + setup.0);
    let mut needs: Vec<usize> = parts.chain(setups).collect();
    needs.sort_unstable();
    needs.dedup();
    if needs.is_empty() {
        needs.push(start);
    }
    needs
}

fn removal_cost(removal: &Removal, costing: &Costing) -> Cost {
    let (breakage, _) = removal.breakage_counted(costing);
    let minutes = [removal.minutes_out, removal.minutes_back];
    cost_of(minutes, breakage.expected_minor(), costing) + 1
}

/// Expected cost: minutes out and back at the worth of a minute, plus expected breakage.
fn cost_of(minutes: [Spread; 2], breakage_minor: f64, costing: &Costing) -> Cost {
    let sixths = |t: Spread| t.low_min + 4.0 * t.likely_min + t.high_min;
    let sixths: f64 = minutes.into_iter().map(sixths).sum();
    let units = sixths * costing.value_of_a_minute * UNIT + breakage_minor * SIXTHS * UNIT;
    // Not negative and at most about 1e25 by the input limits, so the conversion cannot wrap.
    (units.round() as Cost) << COUNT_BITS
}
