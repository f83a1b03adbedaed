//! Operating points of nonlinear direct-current circuits, settled guards, solar modules, and
//! steady alternating current.
//!
//! The crate knows nodes, branches and guards (`circuit`) and nothing of vehicles, records,
//! files, clocks or chance: the same circuit gives the same answer, bit for bit.
//!
//! | file | what it holds |
//! |---|---|
//! | `trouble.rs` | why there is no answer, in plain words |
//! | `validate.rs` | values no circuit may hold |
//! | `islands.rs` | which nodes hang together; loops of ideal sources |
//! | `laws.rs` | current and slope of every nonlinear element |
//! | `solar.rs` | single-diode solar module: curve, best point, De Soto translation |
//! | `alternator.rs`, `inverter.rs`, `capacitor.rs` | closed forms of machines |
//! | `assemble.rs` | circuit to equations (modified nodal analysis) |
//! | `sparse.rs` | sparse LU with its symbolic part kept |
//! | `newton.rs` | the iteration and its fallbacks |
//! | `point.rs` | the operating point and its always-on check |
//! | `phasor.rs` | steady alternating current, as complex numbers |
//! | `settle.rs` | guards flipped between solves until they rest or hunt |
//! | `fault_level.rs` | what flows when two nodes are joined by next to nothing |
//! | `tangent.rs` | the straight lines and the matrix at a solved point |
//! | `reading.rs` | what a meter or a clamp would show |
//! | `sensitivity.rs`, `sensitivity/` | how a reading follows the numbers it rests on; its spread |
//! | `variants.rs`, `variants/` | thousands of changed circuits as updates of one factorisation |

pub mod alternator;
mod assemble;
pub mod capacitor;
mod fault_level;
pub mod inverter;
mod islands;
mod laws;
mod newton;
mod phasor;
mod point;
mod reading;
pub mod sensitivity;
mod settle;
pub mod solar;
mod sparse;
mod tangent;
mod trouble;
mod validate;
pub mod variants;

pub use fault_level::{BOLTED_OHM, FaultPoint, FaultStudy};
pub use phasor::{PhasorPoint, PhasorTrouble, phasor_point};
pub use point::{NodeVoltage, OperatingPoint, Options, operating_point};
pub use reading::Reading;
pub use settle::{FLIP_LIMIT, Outcome, settle};
pub use solar::{BestPoint, ReferenceModule, maximum_power_point};
pub use trouble::Trouble;
