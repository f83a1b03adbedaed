//! What may be wrong, and what to do next so that it is found in the fewest minutes.
//!
//! These modules know suspects, readings, checks and repairs as numbers; no circuit, no vehicle, no
//! part of its furniture. What lies behind what is asked through [`Access`].
//!
//! | file | what it holds |
//! |---|---|
//! | `instrument.rs` | what a reading says about the true value: the likelihood of a reading |
//! | `evidence.rs` | several readings together: shared gain errors, shared spreads, stray readings |
//! | `belief.rs` | weights of suspects, kept as logarithms; entropy |
//! | `conflict.rs` | sets that cannot all be good, and the fewest that explain them all |
//! | `problem.rs` | the question of what to do next: suspects, checks, repairs, access |
//! | `repairs.rs` | the best order of trying repairs without another check |
//! | `exact.rs` | the cheapest plan, proven, where the question is small |
//! | `next.rs` | the next action, exact or by looking ahead |

mod belief;
mod conflict;
mod evidence;
mod exact;
mod instrument;
mod next;
mod problem;
mod repairs;

#[cfg(test)]
mod tests;

pub use belief::{Belief, entropy_bit};
pub use conflict::minimal_hitting_sets;
pub use evidence::{Evidence, Prediction, Reading, log_likelihood};
pub use exact::exact_minutes;
pub use instrument::{Accuracy, likelihood_per_unit};
pub use next::{Choice, Ranked, next_action};
pub use problem::{Access, Action, Check, NoAccess, Problem, ProblemFault, Repair, Target};
