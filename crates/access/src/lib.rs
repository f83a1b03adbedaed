//! The way in: which parts come out, in which order, so that one or more targets can be touched,
//! at the least expected cost, with proof that no other choice is cheaper.
//!
//! A part comes out by a *removal*; a part may have several removals, each with its own needs
//! (parts that must be out first), minutes and breakage. A target is reached when any one of its
//! *ways* (a set of parts) is out. Removals shared by several targets are paid for once.
//!
//! The planner knows parts, removals and targets only; no wiring, no record text, no tool and no
//! currency. `vehicle` alone knows the vehicle and turns its parts into a [`Problem`].
//!
//! | module | what is there |
//! |---|---|
//! | `problem` | the question: [`Problem`], [`Target`], [`Costing`], and what is wrong with one |
//! | `estimate` | three-point times, their sums and percentiles |
//! | `plan` | [`plan`] and the answer, [`Plan`] |
//! | `vehicle` | from a vehicle's parts to a [`Problem`] |
//! | `blocked` | why a target cannot be reached |
//! | `task`, `presolve`, `bound`, `search` | the exact search (not public) |

mod blocked;
mod bound;
mod estimate;
mod plan;
mod presolve;
mod problem;
mod search;
mod task;
pub mod vehicle;

pub use blocked::{Blocked, Blocker, Unreachable};
pub use estimate::{Estimate, Percentile, Spread, SpreadFault};
pub use plan::{Because, NoPlan, Plan, Proof, Step, plan, plan_within};
pub use problem::{
    Breakage, Costing, Damage, InputError, MAX_MINUTES, MAX_PARTS, MAX_REMOVALS, Part, PartIdx,
    Permitted, Presence, Problem, Removal, RemovalIdx, Target, TargetIdx, Trip,
};
pub use search::Effort;
