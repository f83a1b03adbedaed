//! Why a step of a plan is taken, and what doing without it would cost. Worked out on request
//! only: each answer plans anew without the thing in question.
//!
//! Deliberately does not put anything into words.

use crate::plan::{Because, Plan, solve};
use crate::problem::{Costing, PartIdx, Problem, Target, TargetIdx};
use crate::scope::{Avoid, Scope};
use crate::search::Effort;

/// Why a step is taken.
#[derive(Clone, Debug, PartialEq)]
pub struct Why {
    /// The parts it makes room for, each for the next, up to the one that hides the target; empty
    /// when the part of the step hides the target itself. The shortest such chain of the plan.
    pub makes_room_for: Vec<PartIdx>,
    /// The target at the end of the chain.
    pub target: TargetIdx,
    /// What it would cost to leave the part in place.
    pub part_stays: Otherwise,
    /// What it would cost to use any other removal of the part, or to leave it in place.
    pub other_removal: Otherwise,
}

/// What a plan without something would cost.
#[derive(Clone, Debug, PartialEq)]
pub enum Otherwise {
    /// There is no plan without it.
    NoOtherWay,
    /// The best plan found without it.
    Instead {
        /// That plan, with what is proved about it.
        plan: Box<Plan>,
        /// How much dearer it is than the given plan, in minor money units. It is below zero only
        /// if the given plan was not proven cheapest.
        more_minor: f64,
    },
}

/// Why step number `step` of `plan` is taken; `None` if there is no such step or the question has
/// faults. The plan must be an answer to the same question.
#[must_use]
pub fn why(
    problem: &Problem,
    targets: &[Target],
    costing: &Costing,
    plan: &Plan,
    step: usize,
) -> Option<Why> {
    let taken = plan.steps.get(step)?;
    let (makes_room_for, target) = chain(plan, step)?;
    let without = |avoid| otherwise(problem, targets, costing, plan, avoid);
    Some(Why {
        makes_room_for,
        target,
        part_stays: without(Avoid::Part(taken.part))?,
        other_removal: without(Avoid::Removal(taken.removal))?,
    })
}

/// What the best plan without something costs, within the usual [`Effort`]; `None` if the question
/// has faults. Targets that `plan` leaves out are left out.
#[must_use]
pub fn otherwise(
    problem: &Problem,
    targets: &[Target],
    costing: &Costing,
    plan: &Plan,
    avoid: Avoid,
) -> Option<Otherwise> {
    let checked = problem.check(targets, costing);
    if checked.rest == crate::faults::Rest::Nothing {
        return None;
    }
    let mut wanted = checked.targets;
    for (target, way) in wanted.iter_mut().zip(&plan.ways) {
        if way.is_none() {
            target.ways.clear();
        }
    }
    let scope = Scope::new(problem, costing, checked.sound).avoiding(avoid);
    Some(match solve(&scope, &wanted, Effort::USUAL) {
        None => Otherwise::NoOtherWay,
        Some(instead) => Otherwise::Instead {
            more_minor: instead.cost_minor - plan.cost_minor,
            plan: Box::new(instead),
        },
    })
}

/// The shortest chain of reasons from a step to a target, by breadth.
fn chain(plan: &Plan, step: usize) -> Option<(Vec<PartIdx>, TargetIdx)> {
    let mut paths = std::collections::VecDeque::from([(step, Vec::new())]);
    let mut seen = vec![false; plan.steps.len()];
    while let Some((at, path)) = paths.pop_front() {
        if std::mem::replace(&mut seen[at], true) {
            continue;
        }
        let because = &plan.steps[at].because;
        let target = because.iter().find_map(|because| match because {
            Because::Target(target) => Some(*target),
            Because::Part(_) => None,
        });
        if let Some(target) = target {
            return Some((path, target));
        }
        for because in because {
            if let Because::Part(part) = because
                && let Some(next) = plan.steps.iter().position(|step| step.part == *part)
            {
                let mut longer = path.clone();
                longer.push(*part);
                paths.push_back((next, longer));
            }
        }
    }
    None
}
