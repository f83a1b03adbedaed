//! Invented vehicles for tests, trials and benchmarks: the text of a record, drawn from a seed.
//!
//! What comes out is a believable conversion: a bank, what charges it, fuse boxes, loads behind
//! furniture, a mains side, and the states to look at. The same seed, size and options give the same
//! text on every machine. Knows the language of the record and what conversions look like; nothing
//! outside tests, trials and benchmarks depends on it.
//!
//! | file | what it draws |
//! |---|---|
//! | `dice.rs` | chance |
//! | `draft.rs` | the record as it grows: sections, wires counted, facts that stay unknown |
//! | `furniture.rs` | parts behind parts, and the places between them |
//! | `sources.rs` | bank, alternator, charger, sun |
//! | `boxes.rs` | fuse boxes and minus bars |
//! | `loads.rs` | what the boxes feed, with switches, splices and returns |
//! | `mains.rs` | inverter, shore inlet, sockets |
//! | `states.rs` | how the vehicle stands |
//! | `shipped.rs` | no drawing: the example records that ship with the program |

mod boxes;
mod dice;
mod draft;
mod furniture;
mod loads;
mod mains;
mod shipped;
mod sources;
mod states;

pub use dice::Dice;
pub use shipped::{DUNLIN, SHIPPED, WREN};

use draft::Draft;

/// How large a vehicle is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Size {
    /// Wires, every core of a cable counted; the vehicle has exactly so many. 30 at least.
    pub wires: usize,
    /// Parts that hide things; the vehicle has exactly so many. 10 at least.
    pub parts: usize,
}

/// What else is asked of a vehicle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Options {
    /// Share of sizes, lengths, powers and places that nobody knows, 0 to 1.
    pub unknown: f64,
    /// Share of load circuits that get a defect of building, 0 to 1.
    pub defects: f64,
}

impl Default for Options {
    fn default() -> Options {
        Options { unknown: 0.05, defects: 0.0 }
    }
}

/// A vehicle and what was built into it on purpose.
#[derive(Clone, Debug, PartialEq)]
pub struct Built {
    /// The record.
    pub text: String,
    /// The defects of building.
    pub defects: Vec<Seeded>,
}

/// A defect of building that was put in on purpose.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seeded {
    /// The check that looks for it.
    pub check: &'static str,
    /// Name of the wire, device or terminal that has it.
    pub at: String,
}

/// The record of an invented vehicle with few unknown facts and no defects of building.
pub fn vehicle(seed: u64, size: Size) -> String {
    vehicle_with(seed, size, &Options::default()).text
}

/// The record of an invented vehicle. A size below the least is raised to it.
pub fn vehicle_with(seed: u64, size: Size, options: &Options) -> Built {
    let size = Size { wires: size.wires.max(30), parts: size.parts.max(10) };
    let mut draft = Draft::new(seed, size, *options);
    let rooms = furniture::draw(&mut draft);
    let core = sources::draw(&mut draft, &rooms);
    let mains = mains::draw(&mut draft, &rooms, &core);
    let loads = loads::draw(&mut draft, &rooms, &core);
    states::draw(&mut draft, &core, &mains, &loads);
    draft.finish()
}
