//! Checks: each looks at a solved vehicle for one defect and says fails, holds or cannot tell.
//!
//! One check, one file, named by its defect, in the folder of its group; its page in `spec/` says
//! what it is called, what can happen and how bad that is, and holds examples that a test runs.
//! `cargo xtask new-check` starts one. Checks never solve, change or format for a medium.
//!
//! | file | what it holds |
//! |---|---|
//! | `context.rs` | what a check may look at |
//! | `outcome.rs` | where a check writes what it found |
//! | `registry.rs` | the one list of checks, by groups |
//! | `grade.rs` | consequence times likelihood, as the pages say it |
//! | `cause.rs` | which failures follow from which |
//! | `metal.rs` | short questions on what metal joins |
//! | `conductor.rs` | what a wire may carry, as far as its facts tell |
//! | `weigh.rs` | whether a verdict would stand if assumed powers were others |
//! | `shorts.rs` | what short circuits do, worked out beforehand |
//! | `looked.rs` | verdicts of things that were seen, and one question for many that were not |
//! | `circuits.rs` | walks several checks share: fed regions, ways from a load to its source |
//! | the others | one group each: its list, and a folder with one file for each check |

mod cause;
mod circuits;
mod conductor;
mod context;
mod grade;
mod looked;
mod metal;
mod outcome;
mod registry;
mod shorts;
mod weigh;

mod access;
mod conductors;
mod gas;
mod joints;
mod labels;
mod loads;
mod mains;
mod metering;
mod protection;
mod restraint;
mod routing;
mod sources;
mod water;

pub use cause::causes;
pub use context::{Context, Reachable, Solved, Sure};
pub use grade::Grade;
pub use outcome::{Outcome, Tally};
pub use registry::{Check, ON_SHORTS, all, find, run, run_on_shorts};
pub use restraint::HEAVY_KG;
pub use shorts::{Short, Withstands};
pub use weigh::assumed_devices;
