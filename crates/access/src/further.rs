//! While it is open: what one more thing costs, given what is out already.
//!
//! Deliberately does not know how the vehicle came to stand open.

use crate::plan::{NoPlan, Plan, plan};
use crate::problem::{Costing, PartIdx, Presence, Problem, SetupIdx, Standing, Target, TargetIdx};

/// How far a vehicle stands open, beyond what its problem says.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Opening {
    /// Parts that are out.
    pub out: Vec<PartIdx>,
    /// Setups that are in place.
    pub in_place: Vec<SetupIdx>,
}

impl Opening {
    /// As it stands when a plan is done.
    #[must_use]
    pub fn after(plan: &Plan) -> Self {
        Self {
            out: plan.steps.iter().map(|step| step.part).collect(),
            in_place: plan.setups.iter().map(|used| used.setup).collect(),
        }
    }
}

/// One more thing to reach.
#[derive(Clone, Debug, PartialEq)]
pub struct Further {
    /// Which target.
    pub target: TargetIdx,
    /// What is still to be done for it alone, or why there is no way. What is out already costs
    /// nothing: taking it out is paid, and putting it back is owed anyway.
    pub plan: Result<Plan, NoPlan>,
}

/// What each target would cost in addition, cheapest first, those without a way last.
///
/// Each figure is a proven plan in the vehicle as it stands, so work shared with what is open is
/// counted exactly. It is never negative and never above the cost from a closed vehicle: whatever
/// works on a closed vehicle works on an open one. Figures are for one target each; two further
/// targets together may cost less than their sum.
#[must_use]
pub fn while_open(
    problem: &Problem,
    opening: &Opening,
    targets: &[Target],
    costing: &Costing,
) -> Vec<Further> {
    let open = opened(problem, opening);
    let mut further: Vec<Further> = targets
        .iter()
        .enumerate()
        .map(|(index, target)| Further {
            target: TargetIdx(index),
            plan: plan(&open, std::slice::from_ref(target), costing),
        })
        .collect();
    let cost = |further: &Further| further.plan.as_ref().map_or(f64::INFINITY, |p| p.cost_minor);
    further.sort_by(|a, b| cost(a).total_cmp(&cost(b)).then(a.target.cmp(&b.target)));
    further
}

/// The problem as it stands open. What does not exist is left out.
fn opened(problem: &Problem, opening: &Opening) -> Problem {
    let mut open = problem.clone();
    for part in &opening.out {
        if let Some(part) = open.parts.get_mut(part.0) {
            part.presence = Presence::Out;
        }
    }
    for setup in &opening.in_place {
        if let Some(setup) = open.setups.get_mut(setup.0) {
            setup.standing = Standing::InPlace;
        }
    }
    open
}
