//! Charts as SVG, from plain numbers with their words: one file a chart.
//!
//! A chart computes nothing about a vehicle; it gets numbers, units and where they come from, and puts
//! them on paper so that they can be read without colour, on a screen, in print and by a program
//! (`data-` attributes carry the numbers).
//!
//! | file | what it holds |
//! |---|---|
//! | `axis.rs` | scales and their marks |
//! | `frame.rs` | heading, notes, axes on paper |
//! | `strips.rs` | what each suspect predicts for a reading |
//! | `trip.rs` | when a protective device opens, and what the wire stands |
//! | `warm_wire.rs` | temperature along a wire |
//! | `spread.rs` | how a sum is spread, with P50 and P80 |
//! | `minutes.rs` | minutes before and after |
//! | `matrix.rs` | verdicts in rows and columns |

mod axis;
mod frame;
mod matrix;
mod minutes;
mod spread;
mod strips;
mod trip;
mod warm_wire;

#[cfg(test)]
mod tests;

pub(crate) use frame::{beside, heading, notes};

pub use axis::Scale;
pub use frame::Heading;
pub use matrix::{Matrix, MatrixCell, MatrixRow, Verdict, matrix};
pub use minutes::{BeforeAfter, Pair, before_after};
pub use spread::{Share, Spread, spread};
pub use strips::{Band, Mark, Strip, Strips, strips};
pub use trip::{ForGood, Prospective, Trip, TripPoint, Withstand, trip};
pub use warm_wire::{Place, Reach, Warm, WarmLimit, WarmWire, warm_wire};
