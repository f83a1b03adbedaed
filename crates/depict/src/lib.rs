//! What a case looks like: the plain data of `analysis` put into the shapes and words that `draw`
//! draws, and the drawings given back with a name each.
//!
//! Computes nothing about the vehicle, writes no file, draws no line itself.
//!
//! | file | what it holds |
//! |---|---|
//! | `charts/` | charts |
//! | `picture.rs` | a drawing with its name and title |
//! | `vehicle.rs` | where everything is, and from where to where wires run |
//! | `restraint.rs` | heavy things and what holds them |
//! | `wiring.rs` | the wiring: symbols, words on lines, overlays of findings, states and suspects |
//! | `voice.rs` | in which language and units a drawing is told |
//! | `way_in.rs` | one way in: its parts in the vehicle, what comes out before what, codes for bags |

mod charts;
mod picture;
mod restraint;
mod vehicle;
mod voice;
mod way_in;
mod wiring;

pub use charts::{minutes_of, next_check, next_check_of};
pub use draw::wiring::Paper;
pub use picture::{Picture, pictures, pictures_told};
pub use vehicle::vehicle;
pub use way_in::{bag_codes, way_in, way_in_told};
pub use wiring::{Overlay, Suspicion, wiring, wiring_told};
