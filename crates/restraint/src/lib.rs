//! Restraint: what a thing with mass pulls on its fixings when the vehicle slows or is hit, and
//! whether the fixings can be shown to fall short of that.
//!
//! First slice. It knows two sets of deceleration figures, one law for wood screws and ratings
//! given by somebody else. It can show that something falls short, or that a stated rating is not
//! exceeded; everything else is "not decided", with what to find out. It knows no vehicle and no
//! record text, and it certifies nothing: a thing that comes loose in a crash can kill, and what
//! is acceptable is for the local rules and a qualified engineer to say.
//!
//! | module | what is there |
//! |---|---|
//! | `criterion` | deceleration figures, with source and how far each was checked |
//! | `load` | mass and deceleration to force |
//! | `screw` | wood screw withdrawal |
//! | `compare` | load against what holds the thing |

mod compare;
mod criterion;
mod load;
mod screw;

pub use compare::{
    Acts, Capacity, Comparison, FindOut, Held, Link, Path, Rating, Verdict, compare,
};
pub use criterion::{CARGO_IN_MOTION, CRASH_AS_FOR_SEATS, Criterion, Direction, Level, Status};
pub use load::{BadInput, STANDARD_GRAVITY_M_PER_S2, load_n};
pub use screw::{Board, WoodScrew, wood_screw_withdrawal_n};
