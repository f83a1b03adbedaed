//! What a proposal is, before anybody has looked whether it cures.

use model::{Change, Device, Role, Signal};

/// A proposed repair.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft {
    /// Its name: what is done and where; the same as long as both are.
    pub id: String,
    /// What is done, as an instruction.
    pub title: String,
    /// What changes in the record.
    pub changes: Vec<Change>,
    /// The work, the opening apart.
    pub work: Vec<Task>,
    /// Devices, wires, parts and spots to get at.
    pub reach: Vec<String>,
    /// What is used up or built in.
    pub parts: Vec<Part>,
    /// What it changes, in figures.
    pub figures: Vec<Figure>,
    /// What to mind.
    pub cautions: Vec<Caution>,
    /// Who may do it.
    pub by: Who,
    /// How it was computed.
    pub because: Vec<String>,
}

/// A piece of work.
#[derive(Clone, Debug, PartialEq)]
pub struct Task {
    /// What is done.
    pub what: String,
    /// How often, or over how many metres.
    pub times: f64,
    /// Minutes for all of it: low, likely, high.
    pub minutes: [f64; 3],
    /// Key of the source of the minutes.
    pub source: &'static str,
}

/// Something that is built in or used up.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// What sort of thing.
    pub sort: Sort,
    /// What it is, with all that one needs to buy it.
    pub what: String,
    /// How much, in metres for wire, else in pieces.
    pub quantity: f64,
    /// What it is for.
    pub why: String,
    /// Cross-section of wires, and of what is crimped on them, mm².
    pub size_mm2: Option<f64>,
    /// What it is rated for, A.
    pub rated_a: Option<f64>,
}

/// Sorts of things that are built in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sort {
    /// Wire by the metre.
    Wire,
    /// Lug, pin, ferrule: what ends a wire.
    Lug,
    /// Fuse.
    Fuse,
    /// Breaker for direct current.
    Breaker,
    /// Holder of a fuse.
    Holder,
    /// What switches a source off by hand.
    Isolator,
    /// Any other switch.
    Switch,
    /// Relay.
    Relay,
    /// Gland or clamp.
    Gland,
    /// Tray, frame, bolts.
    Mount,
    /// Lid of a hatch with what closes it.
    Hatch,
    /// What holds or guides a wire: clip, grommet, conduit, plate.
    Support,
    /// What covers or encloses: boot, box, tray, shield.
    Cover,
    /// Label or paper.
    Label,
    /// Busbar.
    Busbar,
    /// What joins wires for good: a butt joint.
    Splice,
    /// A stud on which lugs of wires are joined.
    Stud,
    /// Terminal block.
    Block,
    /// Charger of a battery.
    Charger,
    /// Controller of solar modules.
    Controller,
    /// From one direct voltage to another.
    Converter,
    /// Device of the mains side.
    Mains,
    /// Mains cable by the metre.
    MainsCable,
}

impl Sort {
    /// What is bought in the place of a fuse, a breaker, a switch or a relay.
    pub(crate) fn of(device: &Device) -> Sort {
        match device.role {
            Role::Breaker => Sort::Breaker,
            Role::Switch if device.kind.contains("isolator") => Sort::Isolator,
            Role::Switch => Sort::Switch,
            Role::Relay => Sort::Relay,
            _ => Sort::Fuse,
        }
    }

    /// Whether it is bought by the metre.
    pub fn is_by_metre(self) -> bool {
        matches!(self, Sort::Wire | Sort::MainsCable)
    }

    /// In a word or two.
    pub fn word(self) -> &'static str {
        match self {
            Sort::Wire => "wire",
            Sort::Lug => "lug",
            Sort::Fuse => "fuse",
            Sort::Holder => "holder",
            Sort::Isolator => "isolator",
            Sort::Breaker => "breaker",
            Sort::Switch => "switch",
            Sort::Relay => "relay",
            Sort::Gland => "gland",
            Sort::Mount => "mount",
            Sort::Hatch => "hatch",
            Sort::Support => "support",
            Sort::Cover => "cover",
            Sort::Label => "label",
            Sort::Busbar => "busbar",
            Sort::Splice => "splice",
            Sort::Stud => "stud",
            Sort::Block => "terminal block",
            Sort::Charger => "charger",
            Sort::Controller => "controller",
            Sort::Converter => "converter",
            Sort::Mains => "mains device",
            Sort::MainsCable => "mains cable",
        }
    }
}

/// A figure before and after.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figure {
    /// Of what.
    pub what: String,
    /// As it is.
    pub before: String,
    /// As it will be.
    pub after: String,
}

/// What to mind.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Caution {
    /// How bad it would be.
    pub signal: Signal,
    /// In words.
    pub words: String,
}

/// Who may do it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Who {
    /// The workshop.
    Workshop,
    /// Somebody licensed for this work, as the local rules say.
    Licensed,
}
