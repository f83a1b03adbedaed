//! What it takes to reach everything that wants service, and how much that is in a year.
//!
//! Deliberately does not know what the service is, nor who says how often it is wanted.

use crate::plan::{NoPlan, Plan, plan};
use crate::problem::{Costing, Damage, Permitted, Problem, Target};

/// Something that wants service.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// How it is reached. No ways: nobody said what covers it.
    pub target: Target,
    /// How often in a year, if known.
    pub per_year: Option<f64>,
}

/// How an item can be reached.
#[derive(Clone, Debug, PartialEq)]
pub enum Access {
    /// Nobody said what covers it.
    NotKnown,
    /// There is no way.
    None(NoPlan),
    /// The cheapest way leaves everything whole; it may be empty (in the open).
    Whole(Plan),
    /// The cheapest way destroys something; the second is the cheapest that does not, if any.
    Destroys(Plan, Option<Plan>),
}

impl Access {
    /// The cheapest way, if there is one.
    #[must_use]
    pub fn cheapest(&self) -> Option<&Plan> {
        match self {
            Self::NotKnown | Self::None(_) => None,
            Self::Whole(plan) | Self::Destroys(plan, _) => Some(plan),
        }
    }
}

/// How each item can be reached, in the order given.
#[must_use]
pub fn service_access(problem: &Problem, items: &[Item], costing: &Costing) -> Vec<Access> {
    items.iter().map(|item| access(problem, &item.target, costing)).collect()
}

fn access(problem: &Problem, target: &Target, costing: &Costing) -> Access {
    if target.ways.is_empty() {
        return Access::NotKnown;
    }
    let targets = std::slice::from_ref(target);
    match plan(problem, targets, costing) {
        Err(reason) => Access::None(reason),
        Ok(cheapest) if destroys(problem, &cheapest) => {
            let careful = Costing { allow: Permitted::NothingDestroyed, ..*costing };
            Access::Destroys(cheapest, plan(problem, targets, &careful).ok())
        }
        Ok(cheapest) => Access::Whole(cheapest),
    }
}

/// Access over a year.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct AccessIndex {
    /// Sum of rate times expected minutes, out and back, over the items counted; minutes a year.
    pub minutes_per_year: f64,
    /// The same with breakage, as expected money; minor money units a year.
    pub minor_per_year: f64,
    /// Items counted: those with a way and a rate.
    pub counted: usize,
    /// Items left out because there is no way, no rate, or nobody said what covers them. They do
    /// not count as zero: the index says nothing about them.
    pub left_out: usize,
}

/// The access index: `Σ rate_i × minutes_i`, in minutes a year, with rates in 1/year and expected
/// minutes of the cheapest way, out and back. Valid for rates of 0 or more; items without a rate or a
/// way are counted as left out. Checked in `the_index_is_rate_times_minutes`.
#[must_use]
pub fn access_index(items: &[Item], access: &[Access]) -> AccessIndex {
    let mut index = AccessIndex::default();
    for (item, access) in items.iter().zip(access) {
        match (item.per_year, access.cheapest()) {
            (Some(rate), Some(plan)) => {
                index.minutes_per_year += rate * plan.total.mean_min;
                index.minor_per_year += rate * plan.cost_minor;
                index.counted += 1;
            }
            _ => index.left_out += 1,
        }
    }
    index
}

fn destroys(problem: &Problem, plan: &Plan) -> bool {
    let removals = plan.steps.iter().filter_map(|step| problem.removal(step.removal));
    removals.into_iter().any(|removal| removal.damage == Damage::Destroys)
}
