//! Checks: each looks at a solved vehicle for one defect and says fails, holds or cannot tell.
//!
//! One check, one file, named by its defect; its page in `spec/` explains it and holds examples
//! that a test runs. Checks never solve, change or format for a medium.
//!
//! | file | what it holds |
//! |---|---|
//! | `context.rs` | what a check may look at |
//! | `outcome.rs` | where a check writes what it found |
//! | `registry.rs` | the one list of checks |
//! | `conductor.rs` | what a wire may carry, as far as its facts tell |
//! | `weigh.rs` | whether a verdict would stand if assumed powers were others |
//! | `circuits.rs` | walks several checks share: fed regions, ways from a load to its source |
//! | the others | one check each |

mod circuits;
mod conductor;
mod context;
mod outcome;
mod registry;
mod weigh;

mod cable_entry_without_strain_relief;
mod conductor_overloaded;
mod conductor_too_small_for_drop;
mod equipment_starved;
mod heavy_item_held_by_lining;
mod inverter_joined_to_inlet;
mod joint_too_hot;
mod load_reversed;
mod monitor_bypassed;
mod protection_larger_than_conductor;
mod protection_overloaded;
mod service_needs_destruction;
mod solid_conductor;
mod source_end_without_protection;
mod source_shorted;
mod source_without_isolator;
mod two_neutral_earth_bonds;
mod washer_or_paint_in_current_path;

pub use heavy_item_held_by_lining::{HEAVY_KG, held};

pub use context::{Context, Reachable, Solved, Sure};
pub use outcome::{Outcome, Tally};
pub use registry::{Check, all, find, run};
pub use weigh::assumed_devices;
