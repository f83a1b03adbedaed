//! Tests of the solver against references outside the project, and against laws of physics.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

mod battery;
mod classified;
mod fault_level;
mod hunting;
mod machines;
mod ngspice;
mod oracle_networks;
mod phasor;
mod properties;
mod sensitivity;
mod support;
mod textbook;
#[path = "../../examples/support/tree.rs"]
mod tree;
#[path = "../../examples/support/van.rs"]
mod van;
mod variants;
