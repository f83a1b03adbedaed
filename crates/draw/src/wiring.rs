//! The wiring drawing: sources on the left, then what protects and distributes, loads on the right,
//! the bars of the return beyond them, so that an ordinary circuit is one straight line from its fuse
//! to the minus bar. Nobody places anything by hand.
//!
//! The steps, each a file and each pure: which way lines run (`net`), in which column things stand
//! (`layers`), in which order (`columns`), how high (`rows`, by the simplex in `simplex`), where
//! lines turn (`tracks`), how wide it all is (`place`), ink (`paint`, `symbols`, `canvas`), sheets of
//! paper (`sheet`, `split`). Every line has room of its own for its words, so no words can lie on
//! anything; what a wire crosses is only another wire.
//!
//! Symbols follow the descriptions of IEC 60617 and IEEE 315 (from memory, drawn from their meaning).

mod canvas;
mod columns;
mod input;
mod layers;
mod net;
mod paint;
mod place;
mod rows;
mod sheet;
mod simplex;
mod split;
mod symbols;
mod tracks;

#[cfg(test)]
mod tests;

pub use input::{
    Device, End, Kind, LineState, Mark, Rank, Remark, Shows, Side, Signal, Status, Symbol,
    Terminal, Wire, WiringDrawing,
};
pub use sheet::{Paper, WiringSheet};
pub use split::wiring;
