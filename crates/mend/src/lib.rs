//! Repairs for findings, proposed by computation: each is a set of changes to the record's text, with
//! the work, the parts and the reasons. Also the rule that decides whether a reading proves a repair.
//!
//! Whether a repair cures is not said here: who uses this puts the changes in and looks at the vehicle
//! again. Formats for no medium, reads and writes nothing.
//!
//! | file | what it holds |
//! |---|---|
//! | `draft.rs` | what a proposal is |
//! | `patch.rs`, `pieces.rs` | changes collected on the record's text: wires, joints, stacks, pieces of their lines |
//! | `scene.rs` | the solved vehicle as the rules see it |
//! | `sizes.rs`, `fuses.rs` | which conductors and fuses are sold, and which of them fits |
//! | `bench.rs` | a proposal while it is put together |
//! | `rules.rs`, `rules/` | one rule for each check |
//! | `verdict.rs` | pass, fail or read again, by the accuracy of the instrument |

mod bench;
mod draft;
mod fuses;
mod patch;
mod pieces;
mod rules;
mod scene;
mod sizes;
mod verdict;

pub use draft::{Caution, Draft, Figure, Part, Sort, Task, Who};
pub use fuses::{Fuse, FuseWanted};
pub use patch::Values;
pub use rules::{Covered, Proposed, covered, propose};
pub use scene::{OnWay, Scene, Seen};
pub use sizes::{Run, Size, least_copper};
pub use verdict::{Decided, Limits, Uncertainty};
