//! The way in: which parts come out, in which order, so that one or more targets can be touched,
//! at the least expected cost, with proof that no other choice is cheaper.
//!
//! A part comes out by a *removal*; a part may have several removals, each with its own needs
//! (parts that must be out first), minutes and breakage. A target is reached when any one of its
//! *ways* (a set of parts) is out. Removals shared by several targets are paid for once, and so are
//! *setups* (a tool fetched, a position taken up) that several removals use.
//!
//! The planner knows parts, removals, setups and targets only; no wiring, no record text, no tool and no
//! currency. `vehicle` alone knows the vehicle and turns its parts into a [`Problem`].
//!
//! | module | what is there |
//! |---|---|
//! | `problem` | the question: [`Problem`], [`Target`], [`Costing`] |
//! | `faults` | what is wrong with a question: [`InputError`] |
//! | `estimate` | three-point times, their sums |
//! | `plan` | [`plan`], [`plan_reachable`] and the answer, [`Plan`] |
//! | `paid` | what a plan pays for, piece by piece |
//! | `explain` | why a step is taken, and what doing without it would cost: [`why`] |
//! | `chances` | the distribution of a sum of times or costs (with `beta`, its special function) |
//! | `further` | [`while_open`]: what one more target costs |
//! | `service` | what it takes to reach all that wants service, and how much that is in a year |
//! | `hatch` | which one or two new openings save most |
//! | `learn` | actual minutes refine an estimate |
//! | `vehicle` | from a vehicle's parts to a [`Problem`] |
//! | `blocking`, `contradiction` | which box is in the way of which, and where that contradicts the record |
//! | `blocked` | why a target cannot be reached, or a part never comes out |
//! | `scope`, `task`, `presolve`, `search`, `exact` | the exact search (not public) |

mod beta;
mod blocked;
mod blocking;
mod chances;
mod contradiction;
mod estimate;
mod exact;
mod explain;
mod faults;
mod further;
pub mod hatch;
pub mod learn;
mod paid;
mod plan;
mod presolve;
mod problem;
mod scope;
mod search;
mod service;
mod task;
pub mod vehicle;

pub use blocked::{Blocked, Blocker, MissingSetup, NeverOut, Reason, Unreachable};
pub use blocking::{Blocking, Side};
pub use chances::{Chances, Piece};
pub use contradiction::{Contradiction, boxes, contradictions};
pub use estimate::{Estimate, Percentile, Spread, SpreadFault};
pub use explain::{Otherwise, Why, otherwise, why};
pub use faults::InputError;
pub use further::{Further, Opening, while_open};
pub use paid::{Paid, PaidFor};
pub use plan::{
    Because, NoPlan, Partial, Plan, Proof, SetupUse, Step, never_out, plan, plan_reachable,
    plan_within,
};
pub use problem::{
    Breakage, Costing, Damage, MAX_MINUTES, MAX_PARTS, MAX_REMOVALS, MAX_SETUPS, Part, PartIdx,
    Permitted, Presence, Problem, Removal, RemovalIdx, Setup, SetupIdx, Standing, Target,
    TargetIdx, Trip,
};
pub use scope::Avoid;
pub use search::Effort;
pub use service::{Access, AccessIndex, Item, access_index, service_access};
