//! What may be wrong, and what to do next so that it is found in the fewest minutes.
//!
//! The first group of modules knows suspects, readings, checks and repairs as numbers; no circuit, no
//! vehicle, no part of its furniture. What lies behind what is asked through [`Access`]. The second
//! group knows the vehicle and its circuit.
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
//! | `fault.rs` | a fault of the vehicle as changes to a circuit |
//! | `blow.rs` | the fuses that a short circuit opens |
//! | `suspects.rs` | everything that may be wrong, with its odds |
//! | `observe.rs` | what was read and noticed, as evidence |
//! | `bench.rs` | the circuits of all states: what suspects would make instruments show and equipment do |
//! | `weigh.rs` | how well predictions agree with everything observed |
//! | `profile.rs` | a suspect of unknown size, weighed over all its sizes |
//! | `groups.rs` | explanations that one repair cures, taken together |
//! | `offered.rs` | checks that can be made, where, in which state |
//! | `outcomes.rs` | what a check may show, cut into outcomes |
//! | `openings.rs` | what has to come out, paid for once |
//! | `advice.rs` | the next check or repair of a vehicle |
//! | `trace.rs` | where a wire ends that vanishes |
//! | `mended.rs` | what is left to be found after a repair that did not cure |
//! | `spreads.rs` | how far predictions may be off |
//! | `rank.rs` | how likely each suspect and each pair is |

mod advice;
mod again;
mod belief;
mod bench;
mod blow;
mod conflict;
mod evidence;
mod exact;
mod fault;
mod groups;
mod instrument;
mod mended;
mod next;
mod observe;
mod offered;
mod openings;
mod outcomes;
mod pairs;
mod problem;
mod profile;
mod rank;
mod repairs;
mod spreads;
mod suspects;
mod trace;
mod weigh;

#[cfg(test)]
mod tests;

pub use advice::{Advice, Asked, Considered, Proof, Rated, Step, advise, cure_reach};
pub use belief::{Belief, entropy_bit};
pub use bench::{Answered, Benches, Sized, Values};
pub use blow::opens_first;
pub use conflict::minimal_hitting_sets;
pub use evidence::{Evidence, Prediction, Reading, log_likelihood};
pub use exact::exact_minutes;
pub use fault::{Fault, Thing};
pub use groups::{Cure, Group};
pub use instrument::{Accuracy, likelihood_per_unit};
pub use next::{Choice, Ranked, next_action};
pub use observe::{Impossible, Looked, Noticed, Observations, Taken, can_be_said_of, observations};
pub use offered::{Offered, What, look, offered};
pub use openings::{Opened, Openings};
pub use outcomes::{Band, Outcome, Outcomes};
pub use problem::{Access, Action, Check, NoAccess, Problem, ProblemFault, Repair, Target};
pub use rank::{Explanation, Ranking, rank};
pub use spreads::{ghost, spread_of_change};
pub use suspects::{Suspect, suspects};
pub use trace::{Candidate, FarEnd, NoTrace, Trace, TraceTest, trace};
pub use weigh::{Predicted, fits};
