//! From a vehicle in a state to a circuit, and to the graph of what conducts.
//!
//! Every wire, joint, fuse, switch and shunt is a branch of its own, because that is where faults
//! sit. Solves nothing and judges nothing. Where the record is silent a stand-in is used and
//! listed in [`Network::assumptions`].
//!
//! | file | what it holds |
//! |---|---|
//! | `build.rs` | walks the vehicle: points, wires, joints |
//! | `devices.rs` | which rule a role has, and what the rules share |
//! | `batteries.rs`, `charging.rs`, `switching.rs`, `loads.rs` | one rule for each role |
//! | `solar.rs` | modules from their labels, strings behind a controller |
//! | `feed.rs` | which points are on the return side, where sources deliver |
//! | `instrument.rs` | what a meter shows once it is put in |
//! | `monitor.rs` | what a shunt monitor displays, and the truth |
//! | `reading.rs` | where a reading sits in a circuit |
//! | `faults.rs` | faults in plain words as changes of the circuit |
//! | `graph.rs` | links between points, and walks over them |

mod batteries;
mod build;
mod charging;
mod devices;
mod faults;
mod feed;
mod graph;
pub mod instrument;
mod loads;
pub mod monitor;
pub mod reading;
mod solar;
mod switching;

#[cfg(test)]
mod tests;

pub use build::{Assumed, Group, Network, Port, Remark, build, build_without};
pub use faults::{Fault, NoFault, read_fault};
pub use feed::{is_base_vehicle, return_points, source_terminals};
pub use graph::{Graph, Item, Link, LinkId, Passage, Point, Walk};
