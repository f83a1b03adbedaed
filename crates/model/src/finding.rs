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
    /// Every signal word, worst first.
    pub const ALL: [Signal; 4] = [Signal::Danger, Signal::Warning, Signal::Caution, Signal::Notice];

    /// The signal word of a consequence that is this likely. The words follow ANSI Z535.4 (2011):
    /// DANGER for what will kill or maim, WARNING for what could, CAUTION for lesser injury, NOTICE
    /// without injury; what could kill only if two things go wrong counts as CAUTION, an own choice.
    pub fn of(consequence: Consequence, likelihood: Likelihood) -> Signal {
        match (consequence, likelihood) {
            (Consequence::Grave, Likelihood::Expected) => Signal::Danger,
            (Consequence::Grave, Likelihood::Possible) => Signal::Warning,
            (Consequence::Grave, Likelihood::Remote) => Signal::Caution,
            (Consequence::Lesser, Likelihood::Expected | Likelihood::Possible) => Signal::Caution,
            (Consequence::Lesser, Likelihood::Remote) | (Consequence::Loss, _) => Signal::Notice,
        }
    }

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

/// What happens at worst.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Consequence {
    /// Death, grave injury, fire.
    Grave,
    /// Lesser injury; people left in the dark, in the cold or on the road.
    Lesser,
    /// Loss or damage, nobody hurt.
    Loss,
}

impl Consequence {
    /// Every consequence, worst first.
    pub const ALL: [Consequence; 3] = [Consequence::Grave, Consequence::Lesser, Consequence::Loss];

    /// The word a page uses.
    pub fn word(self) -> &'static str {
        match self {
            Consequence::Grave => "grave",
            Consequence::Lesser => "lesser",
            Consequence::Loss => "loss",
        }
    }
}

/// How readily it happens.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Likelihood {
    /// Sooner or later, in ordinary use.
    Expected,
    /// If one more thing goes wrong.
    Possible,
    /// If two more things go wrong together.
    Remote,
}

impl Likelihood {
    /// Every likelihood, most likely first.
    pub const ALL: [Likelihood; 3] =
        [Likelihood::Expected, Likelihood::Possible, Likelihood::Remote];

    /// The word a page uses.
    pub fn word(self) -> &'static str {
        match self {
            Likelihood::Expected => "expected",
            Likelihood::Possible => "possible",
            Likelihood::Remote => "remote",
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
    /// The limit was recalled and not read.
    Hint,
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
