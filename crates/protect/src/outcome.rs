//! What is said about faults: plain data.

use model::{Breaking, DeviceId, Missing, TerminalId, WireEnd, WireId};
use network::Assumed;
use units::{Ampere, Interval, Metre, Second};

/// Everything about short circuits in one vehicle.
#[derive(Clone, Debug)]
pub struct Study {
    /// The ways the vehicle stands for this, in words.
    pub stands: Vec<String>,
    /// Fault level at every stud of the feed side, highest first.
    pub levels: Vec<Level>,
    /// Every wire and end with a source behind it, worst first.
    pub rows: Vec<Row>,
    /// Wires that were not judged, and why.
    pub left_out: Vec<LeftOut>,
    /// What the sums assumed.
    pub assumptions: Vec<Assumed>,
    /// Faults that could not be solved, in words.
    pub troubles: Vec<String>,
}

/// What flows when a stud is joined to the return.
#[derive(Clone, Debug)]
pub struct Level {
    /// The stud.
    pub terminal: TerminalId,
    /// Least and most current, A.
    pub ampere_a: Interval,
    /// What each source brings to it at most, A, largest first.
    pub by_source: Vec<(DeviceId, f64)>,
}

/// A wire and one of its ends.
#[derive(Clone, Debug)]
pub struct Row {
    /// The wire.
    pub wire: WireId,
    /// The end the current comes in at.
    pub end: WireEnd,
    /// Sources behind this end, by metal.
    pub sources: Vec<DeviceId>,
    /// Current through the wire when it is shorted at its other end, A: the least fault.
    pub far_a: Interval,
    /// Current from this end when the wire is shorted right here, A: the greatest fault.
    pub near_a: Interval,
    /// The device that opens, if there is one; of several, the one that decides.
    pub device: Option<DeviceView>,
    /// The current at which opening time and wire come closest, A.
    pub critical_a: Option<f64>,
    /// How long the wire stands that current.
    pub stands: Option<Second>,
    /// How the wire is protected against overload from this end.
    pub overload: Overload,
    /// Unprotected, but no longer than the rules allow ahead of the first device.
    pub short_run: Option<Metre>,
    /// Which device opens first, in words; empty if there is only one.
    pub selectivity: String,
    /// The verdict.
    pub verdict: Verdict,
}

/// A protective device as seen from a fault.
#[derive(Clone, Debug)]
pub struct DeviceView {
    /// The device.
    pub device: DeviceId,
    /// Its name, with its way.
    pub name: String,
    /// Its rating, as far as known.
    pub rated: Option<Ampere>,
    /// The part of the wire's current that passes it.
    pub share: f64,
    /// Its class in words, if known.
    pub class: Option<String>,
    /// It opens no earlier than this at the critical current.
    pub at_least: Option<Second>,
    /// It opens no later than this at the critical current, by every figure there is.
    pub at_most: Option<Second>,
    /// The latest time rests on figures that were read, not recalled.
    pub is_published: bool,
    /// Whether it can break the greatest fault.
    pub breaking: Breaking,
    /// What decides whether it can, where that is not known.
    pub to_break: Option<Missing>,
    /// Keys of the sources of its figures.
    pub figures: Vec<String>,
}

/// Overload of a wire.
#[derive(Clone, Debug, PartialEq)]
pub enum Overload {
    /// The device is rated no higher than what the wire carries for good.
    Holds {
        /// The device, or several.
        by: String,
        /// Rating, A.
        rated_a: f64,
        /// What the wire carries for good, A.
        allowed_a: f64,
    },
    /// It is rated higher.
    TooLarge {
        /// The device, or several.
        by: String,
        /// Rating, A.
        rated_a: f64,
        /// What the wire carries for good at best, A.
        allowed_a: f64,
    },
    /// Not known.
    Unknown,
    /// There is no device at this end.
    NoDevice,
    /// What feeds this end delivers no more than the wire carries for good.
    OwnLimit {
        /// What the sources deliver together at most, A.
        limit_a: f64,
        /// What the wire carries for good, A.
        allowed_a: f64,
    },
}

/// What comes of it, worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Word {
    /// The wire is ruined before anything opens, or nothing opens.
    BurnsFirst,
    /// The device cannot break the current.
    CannotBreak,
    /// A lasting overload is not cut off.
    Overheats,
    /// A fact is missing.
    CannotTell,
    /// It is cut off in time.
    Protected,
}

impl Word {
    /// As printed.
    pub fn words(self) -> &'static str {
        match self {
            Word::BurnsFirst => "BURNS FIRST",
            Word::CannotBreak => "CANNOT BREAK",
            Word::Overheats => "OVERHEATS",
            Word::CannotTell => "CANNOT TELL",
            Word::Protected => "PROTECTED",
        }
    }
}

/// Which way a "cannot tell" points, by recalled figures and assumed values.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Leaning {
    /// Too late.
    TooLate,
    /// Neither way.
    Open,
    /// In time.
    InTime,
}

/// The verdict for one end.
#[derive(Clone, Debug)]
pub struct Verdict {
    /// In a word.
    pub word: Word,
    /// Which way it points; only where it cannot be told.
    pub leaning: Option<Leaning>,
    /// Why, in a sentence with its figures.
    pub why: String,
    /// What to find out; empty unless it cannot be told.
    pub missing: Vec<Missing>,
}

/// A wire that was not judged.
#[derive(Clone, Debug)]
pub struct LeftOut {
    /// The wire.
    pub wire: WireId,
    /// Why.
    pub why: String,
}
