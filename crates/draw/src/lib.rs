//! Drawings as SVG text, from plain shapes and words.
//!
//! The crate knows boxes, numbers and labels; no vehicle, no record, no file. The same input gives
//! the same bytes. Colours are left to hazards (as everywhere in this program), so a drawing is ink
//! on white: what comes out first is shaded lightest, what is wanted is hatched.
//!
//! | file | what it holds |
//! |---|---|
//! | `cuboid.rs` | a box in the vehicle's axes |
//! | `vehicle/` | plan, both sides and isometric of the vehicle with the order of removal |
//! | `badge.rs` | numbers in circles that do not cover each other |
//! | `order.rs` | what has to be out before what, where no positions are recorded |
//! | `label.rs` | how wide words are, and how they break |
//! | `wiring/` | the wiring drawing: layout, routes, symbols, sheets |
//! | `qr.rs` | a short text as a code for bag labels |
//! | `chart/` | charts from plain numbers |
//! | `paper.rs`, `tone.rs` | a sheet with lines, areas and words; tones for light, dark and print |
//! | `speech.rs` | the words a drawing puts in by itself, in a language |
//! | `svg.rs` | places on paper; words as SVG allows them |

mod badge;
pub mod chart;
mod cuboid;
mod label;
mod order;
mod paper;
mod qr;
mod speech;
mod svg;
mod tone;
mod vehicle;
pub mod wiring;

#[cfg(test)]
mod measure;
#[cfg(test)]
mod tests;

pub use cuboid::Cuboid;
pub use order::{OrderBox, OrderDrawing, order};
pub use qr::qr;
pub use speech::{OWN_WORDS, Speech};
pub use vehicle::{
    Pull, PullVerdict, Role, Route, RouteEnd, Thing, VehicleDrawing, VehicleView, vehicle,
};
