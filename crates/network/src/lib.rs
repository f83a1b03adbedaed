//! From a vehicle in a state to a circuit, and to the graph of what conducts.
//!
//! Every wire, joint, fuse, switch and shunt is a branch of its own, because that is where faults
//! sit. Solves nothing and judges nothing. Where the record is silent a stand-in is used and
//! listed in [`Network::assumptions`].
//!
//! | file | what it holds |
//! |---|---|
//! | `build.rs` | walks the vehicle: points, wires, joints |
//! | `devices.rs` | one rule for each role of a device |
//! | `solar.rs` | modules from their labels, strings behind a controller |
//! | `feed.rs` | which points are on the return side, where sources deliver |
//! | `graph.rs` | links between points, and walks over them |

mod build;
mod devices;
mod feed;
mod graph;
mod solar;

#[cfg(test)]
mod tests;

pub use build::{Assumed, Group, Network, Port, build};
pub use feed::{is_base_vehicle, return_points, source_terminals};
pub use graph::{Graph, Item, Link, LinkId, Passage, Point, Walk};
