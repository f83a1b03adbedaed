//! Findings: plain data shared by the checks that produce them and everything that shows them.

use crate::{DeviceId, JointId, PartId, SpotId, StateId, TerminalId, WireId};

/// What a finding is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Place {
    /// The vehicle as a whole.
    Vehicle,
    /// A device.
    Device(DeviceId),
    /// A terminal.
    Terminal(TerminalId),
    /// A wire.
    Wire(WireId),
    /// The joint at an end of a wire.
    Joint(JointId),
    /// A part.
    Part(PartId),
    /// A spot.
    Spot(SpotId),
    /// A state.
    State(StateId),
}

/// The signal words of the open safety-sign standards (ANSI Z535.4, ISO 3864-2), worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Signal {
    /// Will kill or maim if not avoided.
    Danger,
    /// Could kill or maim.
    Warning,
    /// Could cause lesser harm.
    Caution,
    /// Nobody is hurt; property or procedure.
    Notice,
}

impl Signal {
    /// The word itself.
    pub fn word(self) -> &'static str {
        match self {
            Signal::Danger => "DANGER",
            Signal::Warning => "WARNING",
            Signal::Caution => "CAUTION",
            Signal::Notice => "NOTICE",
        }
    }
}

/// How firm a finding is; separate from how bad it would be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Confidence {
    /// Every fact it rests on was told, seen or measured.
    Firm,
    /// Some fact it rests on is an assumption.
    Likely,
}

/// The outcome of a check at a place.
#[derive(Clone, Debug, PartialEq)]
pub enum Verdict {
    /// The place is as the check demands.
    Holds,
    /// It is not.
    Fails(Confidence),
    /// It cannot be told until these are found out.
    CannotTell(Vec<Missing>),
}

/// A fact that is missing.
#[derive(Clone, Debug, PartialEq)]
pub struct Missing {
    /// What to find out, as an instruction: `read the size off the jacket`.
    pub what: String,
    /// Where.
    pub at: Place,
}

/// A statement a finding rests on, with its numbers and where they come from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Evidence {
    /// The sentence.
    pub words: String,
}

/// The limit a value was held against.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Limit {
    /// The limit in words, with its number.
    pub words: String,
    /// Key of its source in the catalog.
    pub source: String,
}

/// One thing wrong, or not tellable, at one place.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// The check's name.
    pub check: &'static str,
    /// The one place it is about.
    pub place: Place,
    /// Related places.
    pub related: Vec<Place>,
    /// The outcome. Never [`Verdict::Holds`].
    pub verdict: Verdict,
    /// How bad it would be.
    pub signal: Signal,
    /// One sentence that stands alone.
    pub message: String,
    /// What it rests on.
    pub evidence: Vec<Evidence>,
    /// What it was held against.
    pub limit: Option<Limit>,
    /// What to do about it here.
    pub remedy: String,
}
