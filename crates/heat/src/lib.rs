//! Heat in conductors and joints: how warm, how fast, and how much a conductor stands for an instant.
//!
//! Physics only: bodies, currents and temperatures. Knows no vehicle, no table of allowable
//! currents and no limit; the same input gives the same bits.
//!
//! | file | what it holds |
//! |---|---|
//! | `adiabatic.rs` | short circuits: all heat stays in the copper |
//! | `air.rs` | air, natural convection, radiation: what a cable's surface gives off |
//! | `cable.rs` | a round insulated cable in still air: resting temperature and current |
//! | `transient.rs` | the way there: temperature after a time, time to a temperature |
//! | `joint.rs` | a joint between its wires: power, rise, temperature along the wire |
//! | `contact.rs` | temperature inside a contact by its voltage |
//! | `root.rs` | where a rising function meets a value |

pub mod adiabatic;
pub mod air;
pub mod cable;
pub mod contact;
pub mod joint;
mod root;
pub mod transient;

pub use cable::{Cable, Metal, NoFigure};
