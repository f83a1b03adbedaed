//! What a plan pays for, piece by piece, so that several plans can share what they have in common.

use crate::plan::Plan;
use crate::problem::{Costing, Problem, RemovalIdx, SetupIdx};

/// Something that is paid for once.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PaidFor {
    /// A removal and putting back.
    Removal(RemovalIdx),
    /// Setting up and clearing away.
    Setup(SetupIdx),
}

/// What a piece costs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Paid {
    /// For what.
    pub what: PaidFor,
    /// Expected minutes out and back.
    pub minutes: f64,
    /// Expected cost of breakage, in minor money units.
    pub breakage_minor: f64,
}

impl Paid {
    /// Minutes and breakage together, breakage at the worth of a minute.
    pub fn worth_min(&self, costing: &Costing) -> f64 {
        self.minutes + self.breakage_minor / costing.value_of_a_minute
    }
}

impl Plan {
    /// The pieces of this plan. Their sums are [`Plan::total`] and [`Plan::breakage_minor`].
    pub fn paid(&self, problem: &Problem, costing: &Costing) -> Vec<Paid> {
        let removals = self.steps.iter().map(|step| {
            let removal = &problem.removals[step.removal.0];
            Paid {
                what: PaidFor::Removal(step.removal),
                minutes: removal.minutes_out.mean_min() + removal.minutes_back.mean_min(),
                breakage_minor: removal.breakage_counted(costing).0.expected_minor(),
            }
        });
        let setups = self.setups.iter().map(|used| {
            let setup = &problem.setups[used.setup.0];
            let minutes = setup.minutes_out.mean_min() + setup.minutes_back.mean_min();
            Paid { what: PaidFor::Setup(used.setup), minutes, breakage_minor: 0.0 }
        });
        removals.chain(setups).collect()
    }
}
