//! Restraint: what a thing with mass pulls on its fixings when the vehicle slows or is hit, and
//! whether the fixings can be shown to fall short of that.
//!
//! It knows published levels, the published laws of screws, bolts and sheet, and what somebody states. It
//! can show that something falls short, or that what is published or stated is not exceeded; everything
//! else is "not decided", with what to find out. It certifies nothing: a thing that comes loose in a
//! crash can kill, and what is acceptable is for the local rules and a qualified engineer to say. It
//! does not know where in a thing its weight sits, how a board bends, or whether a rib is rusted.
//!
//! | module | what is there |
//! |---|---|
//! | `criterion` | deceleration levels, with source and how far each was checked |
//! | `load` | mass and deceleration to force |
//! | `screw` | wood and lag screws pulled out |
//! | `lateral` | the same pulled across, and at an angle |
//! | `sheet` | screws in thin sheet |
//! | `strength` | what a piece carries, at least and at most |
//! | `fastener`, `wood`, `metal` | from a fixing of the record to its strength |
//! | `vehicle` | from what holds a thing to paths and links |
//! | `compare` | load against what holds the thing |
//! | `overturn` | what tipping over pulls on the foot of a thing |
//! | `remedy` | what would carry it; what a pull by hand amounts to |

mod compare;
mod criterion;
mod fastener;
mod lateral;
mod load;
mod metal;
mod overturn;
mod remedy;
mod screw;
mod sheet;
mod strength;
mod vehicle;
mod wood;

pub use compare::{Acts, Comparison, FindOut, Held, Link, Path, Verdict, compare};
pub use criterion::{Criterion, Level, USUAL};
pub use lateral::{AcrossScrew, Grain, YieldMode, across_design_n, at_an_angle_n, yield_load_n};
pub use load::{BadInput, load_n};
pub use overturn::{Standing, overturning_pull_n};
pub use remedy::{Remedy, ScrewsThere, hand_test_g, remedies};
pub use screw::{
    BoardSide, LAG_END_GRAIN, lag_screw_design_n, lag_screw_withdrawal_n,
    particle_board_withdrawal_n, wood_screw_design_n, wood_screw_withdrawal_n,
};
pub use sheet::{
    SCREW_WORKING_FACTOR, SheetScrew, pull_out_n, pull_over_n, shear_n, sheet_at_an_angle_n,
};
pub use strength::{Figure, Footing, Mode, Strength};
pub use vehicle::held;
