//! The answer: which removals, in which order, why each, how long and how dear, and what is proved.
//!
//! Deliberately does not know how the search works, and prints nothing.

use crate::blocked::{Unreachable, unreachable};
use crate::estimate::Estimate;
use crate::presolve::reduced;
use crate::problem::{
    Costing, InputError, PartIdx, Presence, Priced, Problem, RemovalIdx, Target, TargetIdx,
};
use crate::search::{Effort, Found, cheapest};
use crate::task::{Origin, Task, in_minor};

/// A way in for all targets together.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The removals in an order that respects their needs; put back in reverse.
    pub steps: Vec<Step>,
    /// By target: which of its ways this plan opens.
    pub ways: Vec<usize>,
    /// Time to take everything out.
    pub out: Estimate,
    /// Time to put everything back.
    pub back: Estimate,
    /// Both together.
    pub total: Estimate,
    /// Expected cost of breakage, in minor money units.
    pub breakage_minor: f64,
    /// Expected cost of everything: minutes at their worth plus breakage, in minor money units.
    pub cost_minor: f64,
    /// Steps whose damage has no stated cost, so that the costing's assumption was used. The plan
    /// is cheapest *under that assumption*.
    pub unpriced: Vec<RemovalIdx>,
    /// What is proved about `cost_minor`.
    pub proof: Proof,
    /// Nodes of the search tree looked at.
    pub nodes: u64,
}

/// One removal of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Which removal.
    pub removal: RemovalIdx,
    /// The part that is out afterwards.
    pub part: PartIdx,
    /// Everything in this plan that asked for the part; never empty.
    pub because: Vec<Because>,
}

/// What asked for a part to be out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Because {
    /// It hides this target.
    Target(TargetIdx),
    /// It is in the way of this part, which comes out later in the plan.
    Part(PartIdx),
}

/// How good the plan is known to be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Proof {
    /// No plan has a lower expected cost.
    Optimal,
    /// The search was stopped by its [`Effort`]. The best plan costs at least
    /// `(1 - gap) * cost_minor`; the gap is between 0 and 1.
    Gap(f64),
}

/// Why there is no plan.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoPlan {
    /// The question has faults; all of them.
    #[error("{}", lines(.0))]
    BadInput(Vec<InputError>),
    /// Some targets cannot be reached; all of them.
    #[error("{}", lines(.0))]
    Unreachable(Vec<Unreachable>),
}

/// The cheapest way in for all targets together, with the usual [`Effort`].
///
/// # Errors
///
/// [`NoPlan::BadInput`] when the question has faults, [`NoPlan::Unreachable`] when a target cannot
/// be reached with the removals permitted.
pub fn plan(problem: &Problem, targets: &[Target], costing: &Costing) -> Result<Plan, NoPlan> {
    plan_within(problem, targets, costing, Effort::USUAL)
}

/// The cheapest way in for all targets together that can be found within `effort`.
///
/// Minimises the expected cost: the sum over the removals of (mean minutes out + mean minutes back)
/// times the worth of a minute, plus probability times cost of breakage. Each removal is paid for
/// once, however many targets or parts ask for it. Of equally dear plans the one with fewer
/// removals is taken; among those the choice depends on the order of the lists given, and on
/// nothing else.
///
/// # Errors
///
/// As for [`plan`].
pub fn plan_within(
    problem: &Problem,
    targets: &[Target],
    costing: &Costing,
    effort: Effort,
) -> Result<Plan, NoPlan> {
    let faults = problem.faults(targets, costing);
    if !faults.is_empty() {
        return Err(NoPlan::BadInput(faults));
    }
    let task = Task::new(problem, targets, costing);
    let found = reduced(&task).and_then(|task| {
        let found = cheapest(&task, effort)?;
        Some((removals_of(&task, &found), found))
    });
    match found {
        Some((removals, found)) => Ok(answer(problem, targets, costing, &removals, &found)),
        None => Err(NoPlan::Unreachable(unreachable(problem, targets, costing.allow, &task))),
    }
}

fn removals_of(task: &Task, found: &Found) -> Vec<RemovalIdx> {
    let origins = found.chosen.iter().map(|action| task.actions[*action].origin);
    origins
        .filter_map(|origin| match origin {
            Origin::Removal(removal) => Some(removal),
            Origin::Reach => None,
        })
        .collect()
}

fn answer(
    problem: &Problem,
    targets: &[Target],
    costing: &Costing,
    removals: &[RemovalIdx],
    found: &Found,
) -> Plan {
    let chosen = Chosen::new(problem, removals);
    let ways: Vec<usize> = targets.iter().map(|target| chosen.open_way(target)).collect();
    let steps = chosen.steps(targets, &ways);
    let used = || removals.iter().map(|removal| &problem.removals[removal.0]);
    let out = || used().map(|removal| &removal.minutes_out);
    let back = || used().map(|removal| &removal.minutes_back);
    let breakages = used().map(|removal| removal.breakage_counted(costing));
    let unpriced = steps.iter().map(|step| step.removal).filter(|removal| {
        problem.removals[removal.0].breakage_counted(costing).1 == Priced::Assumed
    });
    Plan {
        ways,
        out: Estimate::of_chain(out()),
        back: Estimate::of_chain(back()),
        total: Estimate::of_chain(out().chain(back())),
        breakage_minor: breakages.map(|(breakage, _)| breakage.expected_minor()).sum(),
        cost_minor: in_minor(found.cost),
        unpriced: unpriced.collect(),
        proof: proof(found),
        nodes: found.nodes,
        steps,
    }
}

fn proof(found: &Found) -> Proof {
    let (cost, least) = (in_minor(found.cost), in_minor(found.least));
    if found.least >= found.cost {
        Proof::Optimal
    } else if cost > 0.0 {
        Proof::Gap(((cost - least) / cost).clamp(0.0, 1.0))
    } else {
        Proof::Gap(0.0)
    }
}

/// The chosen removals, by part.
struct Chosen<'p> {
    problem: &'p Problem,
    by_part: Vec<Option<RemovalIdx>>,
}

impl<'p> Chosen<'p> {
    fn new(problem: &'p Problem, removals: &[RemovalIdx]) -> Self {
        let mut by_part = vec![None; problem.parts.len()];
        for &removal in removals {
            by_part[problem.removals[removal.0].part.0] = Some(removal);
        }
        Self { problem, by_part }
    }

    /// The first way of a target all of whose parts are out in the end.
    fn open_way(&self, target: &Target) -> usize {
        let out = |part: &PartIdx| {
            self.by_part[part.0].is_some() || self.problem.parts[part.0].presence == Presence::Out
        };
        target.ways.iter().position(|way| way.iter().all(out)).unwrap_or(0)
    }

    /// Parts still to be taken out before a part can come out.
    fn needs(&self, part: PartIdx) -> impl Iterator<Item = PartIdx> + '_ {
        let removal = self.by_part[part.0].map(|removal| &self.problem.removals[removal.0]);
        let needs = removal.into_iter().flat_map(|removal| removal.needs.iter().copied());
        needs.filter(|need| self.by_part[need.0].is_some())
    }

    /// The steps: each target in turn, each part directly after what it needs.
    fn steps(&self, targets: &[Target], ways: &[usize]) -> Vec<Step> {
        let mut because = vec![Vec::new(); self.by_part.len()];
        let mut order = Vec::new();
        let mut state = vec![Visit::New; self.by_part.len()];
        for (index, (target, way)) in targets.iter().zip(ways).enumerate() {
            for part in target.ways.get(*way).into_iter().flatten() {
                add_reason(&mut because[part.0], Because::Target(TargetIdx(index)));
                self.visit(*part, &mut state, &mut order);
            }
        }
        for &part in &order {
            for need in self.needs(part) {
                add_reason(&mut because[need.0], Because::Part(part));
            }
        }
        let step = |part: PartIdx| {
            let removal = self.by_part[part.0]?;
            Some(Step { removal, part, because: std::mem::take(&mut because[part.0]) })
        };
        order.into_iter().filter_map(step).collect()
    }

    /// Depth first, needs before the part itself; needs cannot circle in a plan that works.
    fn visit(&self, part: PartIdx, state: &mut [Visit], order: &mut Vec<PartIdx>) {
        let mut stack = vec![part];
        while let Some(&top) = stack.last() {
            match state[top.0] {
                Visit::New => {
                    state[top.0] = Visit::Opened;
                    let mut needs: Vec<PartIdx> = self.needs(top).collect();
                    needs.retain(|need| state[need.0] == Visit::New);
                    stack.extend(needs.into_iter().rev());
                }
                Visit::Opened => {
                    state[top.0] = Visit::Done;
                    order.push(top);
                    stack.pop();
                }
                Visit::Done => {
                    stack.pop();
                }
            }
        }
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Visit {
    New,
    Opened,
    Done,
}

fn add_reason(reasons: &mut Vec<Because>, reason: Because) {
    if !reasons.contains(&reason) {
        reasons.push(reason);
    }
}

fn lines<T: ToString>(items: &[T]) -> String {
    items.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
}
