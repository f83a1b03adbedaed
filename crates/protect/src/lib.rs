//! What a short circuit does to every wire: how much flows, from which end, what opens, and whether
//! it opens before the wire is ruined.
//!
//! Two questions, answered for each feed-side wire and each of its ends behind which a source stands:
//! the fault at the *far* end gives the least current and the slowest fuse, the fault at the *near*
//! end the most current to break. Overload is judged beside it. Nothing passes on a fact that is
//! missing or on a figure that was only recalled. It does not draw, print or change anything.
//!
//! | file | what it holds |
//! |---|---|
//! | `outcome.rs` | what is said: levels, rows, verdicts |
//! | `stand.rs` | the ways the vehicle can stand, each with its least and most current |
//! | `faults.rs` | every fault solved once; currents by end |
//! | `behind.rs` | which sources stand behind an end, and which devices cut them off |
//! | `wire.rs` | what a wire stands: for good, and for seconds |
//! | `device.rs` | what a fuse or breaker is known to do |
//! | `coordinate.rs` | opening time against the wire, current by current |
//! | `judge.rs` | the verdict for one end of one wire |
//! | `selectivity.rs` | which of several devices opens first |
//! | `study.rs` | puts it together for a vehicle |

mod behind;
mod coordinate;
mod device;
mod faults;
mod judge;
mod outcome;
mod selectivity;
mod stand;
mod study;
mod wire;

/// Comparisons with a printed limit leave room for rounding only.
const SLACK: f64 = 1e-9;

pub use outcome::{DeviceView, Leaning, LeftOut, Level, Overload, Row, Study, Verdict, Word};
pub use stand::Stand;
pub use study::{most_at, study, study_wires};
pub use wire::{Withstand, withstand};

#[cfg(test)]
mod tests;
