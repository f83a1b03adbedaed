//! The answer: which removals, in which order, why each, how long and how dear, and what is proved.
//!
//! Deliberately does not know how the search works, and prints nothing.

use crate::blocked::{self, NeverOut, Unreachable, unreachable};
use crate::estimate::Estimate;
use crate::faults::{InputError, Rest};
use crate::problem::{
    Costing, PartIdx, Presence, Priced, Problem, RemovalIdx, SetupIdx, Target, TargetIdx,
};
use crate::scope::Scope;
use crate::search::{Effort, Found, cheapest};
use crate::task::{Origin, Task, in_minor};

/// A way in for all targets together.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The removals in an order that respects their needs; put back in reverse.
    pub steps: Vec<Step>,
    /// The setups paid for, in order of first use. Those in place already are not listed.
    pub setups: Vec<SetupUse>,
    /// By target: which of its ways this plan opens; `None` for one that was left out because it
    /// cannot be reached (only in a [`Partial`]).
    pub ways: Vec<Option<usize>>,
    /// Time to take everything out, setting up included.
    pub out: Estimate,
    /// Time to put everything back, putting setups away included.
    pub back: Estimate,
    /// Both together.
    pub total: Estimate,
    /// Expected cost of breakage, in minor money units.
    pub breakage_minor: f64,
    /// Expected cost of everything: minutes at their worth plus breakage, in minor money units.
    pub cost_minor: f64,
    /// No plan has an expected cost below this (proved), in minor money units. Equal to
    /// `cost_minor` when the plan is proven cheapest.
    pub least_minor: f64,
    /// Steps whose damage has no stated cost, so that the costing's assumption was used. The plan
    /// is cheapest *under that assumption*.
    pub unpriced: Vec<RemovalIdx>,
    /// What is proved about `cost_minor`.
    pub proof: Proof,
    /// Nodes of the search tree looked at.
    pub nodes: u64,
}

/// A setup a plan pays for.
#[derive(Clone, Debug, PartialEq)]
pub struct SetupUse {
    /// Which setup.
    pub setup: SetupIdx,
    /// Positions in [`Plan::steps`] of the removals that use it; never empty.
    pub steps: Vec<usize>,
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

/// What can be planned of a question, and what cannot, with the reason.
#[derive(Clone, Debug, PartialEq)]
pub struct Partial {
    /// The cheapest way in for all targets that can be reached, together.
    pub plan: Plan,
    /// The targets that cannot be reached with the removals permitted.
    pub unreachable: Vec<Unreachable>,
    /// Faults of the question. The faulty removals and ways were left out.
    pub faults: Vec<InputError>,
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
/// Minimises the expected cost: the sum over the removals, and over the setups they use, of (mean
/// minutes out + mean minutes back) times the worth of a minute, plus probability times cost of
/// breakage. Each removal and each setup is paid for once, however many targets or parts ask for
/// it. Of equally dear plans the one with fewer removals is taken; among those the choice depends
/// on the order of the lists given, and on nothing else.
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
    let checked = problem.check(targets, costing);
    if !checked.faults.is_empty() {
        return Err(NoPlan::BadInput(checked.faults));
    }
    let scope = Scope::new(problem, costing, checked.sound);
    solve(&scope, targets, effort).ok_or_else(|| NoPlan::Unreachable(unreachable(&scope, targets)))
}

/// The cheapest way in for those of the targets that can be reached, leaving out what is faulty,
/// and why the others cannot be.
///
/// # Errors
///
/// [`NoPlan::BadInput`] when the question is too large or its costing is faulty: nothing is left
/// to plan then.
pub fn plan_reachable(
    problem: &Problem,
    targets: &[Target],
    costing: &Costing,
    effort: Effort,
) -> Result<Partial, NoPlan> {
    let checked = problem.check(targets, costing);
    if checked.rest == Rest::Nothing {
        return Err(NoPlan::BadInput(checked.faults));
    }
    let scope = Scope::new(problem, costing, checked.sound);
    let mut targets = checked.targets;
    let unreachable = unreachable(&scope, &targets);
    for stuck in &unreachable {
        targets[stuck.target.0].ways.clear();
    }
    let plan = solve(&scope, &targets, effort);
    let plan = plan.ok_or_else(|| NoPlan::Unreachable(unreachable.clone()))?;
    Ok(Partial { plan, unreachable, faults: checked.faults })
}

/// Every part that can never come out, with the reason: a circle of needs, a missing setup, a part
/// without removal. Faulty removals do not count. Empty when the problem is too large to look at.
#[must_use]
pub fn never_out(problem: &Problem, costing: &Costing) -> Vec<NeverOut> {
    let checked = problem.check(&[], costing);
    match checked.rest {
        Rest::Usable => blocked::never_out(&Scope::new(problem, costing, checked.sound)),
        Rest::Nothing => Vec::new(),
    }
}

/// The cheapest plan for the targets that have ways; `None` when one of them cannot be reached.
pub(crate) fn solve(scope: &Scope, targets: &[Target], effort: Effort) -> Option<Plan> {
    let found = cheapest(&Task::new(scope, targets), effort)?;
    let (mut removals, mut setups) = (Vec::new(), Vec::new());
    for origin in &found.chosen {
        match origin {
            Origin::Removal(removal) => removals.push(*removal),
            Origin::Setup(setup) => setups.push(*setup),
            Origin::Reach => {}
        }
    }
    Some(answer(scope, targets, &removals, &setups, &found))
}

fn answer(
    scope: &Scope,
    targets: &[Target],
    removals: &[RemovalIdx],
    setups: &[SetupIdx],
    found: &Found,
) -> Plan {
    let (problem, costing) = (scope.problem, &scope.costing);
    let chosen = Chosen::new(problem, removals);
    let ways: Vec<Option<usize>> = targets.iter().map(|target| chosen.open_way(target)).collect();
    let steps = chosen.steps(targets, &ways);
    let used = || removals.iter().map(|removal| &problem.removals[removal.0]);
    let set_up = || setups.iter().map(|setup| &problem.setups[setup.0]);
    let out = || used().map(|r| &r.minutes_out).chain(set_up().map(|s| &s.minutes_out));
    let back = || used().map(|r| &r.minutes_back).chain(set_up().map(|s| &s.minutes_back));
    let breakages = used().map(|removal| removal.breakage_counted(costing));
    let unpriced = steps.iter().map(|step| step.removal).filter(|removal| {
        problem.removals[removal.0].breakage_counted(costing).1 == Priced::Assumed
    });
    Plan {
        ways,
        setups: setups_used(problem, setups, &steps),
        out: Estimate::of_chain(out()),
        back: Estimate::of_chain(back()),
        total: Estimate::of_chain(out().chain(back())),
        breakage_minor: breakages.map(|(breakage, _)| breakage.expected_minor()).sum(),
        cost_minor: in_minor(found.cost),
        least_minor: in_minor(found.least.min(found.cost)),
        unpriced: unpriced.collect(),
        proof: proof(found),
        nodes: found.nodes,
        steps,
    }
}

/// The setups paid for, each with the steps that use it, in order of first use.
fn setups_used(problem: &Problem, setups: &[SetupIdx], steps: &[Step]) -> Vec<SetupUse> {
    let mut used: Vec<SetupUse> = setups
        .iter()
        .map(|setup| SetupUse {
            setup: *setup,
            steps: (0..steps.len())
                .filter(|step| problem.removals[steps[*step].removal.0].setups.contains(setup))
                .collect(),
        })
        .collect();
    used.sort_by_key(|used| (used.steps.first().copied(), used.setup));
    used
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
    fn open_way(&self, target: &Target) -> Option<usize> {
        let out = |part: &PartIdx| {
            self.by_part[part.0].is_some() || self.problem.parts[part.0].presence == Presence::Out
        };
        target.ways.iter().position(|way| way.iter().all(out))
    }

    /// Parts still to be taken out before a part can come out.
    fn needs(&self, part: PartIdx) -> impl Iterator<Item = PartIdx> + '_ {
        let removal = self.by_part[part.0].map(|removal| &self.problem.removals[removal.0]);
        let needs = removal.into_iter().flat_map(|removal| removal.needs.iter().copied());
        needs.filter(|need| self.by_part[need.0].is_some())
    }

    /// The steps: each target in turn, each part directly after what it needs.
    fn steps(&self, targets: &[Target], ways: &[Option<usize>]) -> Vec<Step> {
        let mut because = vec![Vec::new(); self.by_part.len()];
        let mut order = Vec::new();
        let mut state = vec![Visit::New; self.by_part.len()];
        for (index, (target, way)) in targets.iter().zip(ways).enumerate() {
            for part in way.and_then(|way| target.ways.get(way)).into_iter().flatten() {
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
