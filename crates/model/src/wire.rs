//! Wires, the joints at their ends, and the order of things on a stud.

use units::{Celsius, Metre, Ohm, SquareMillimetre};

use crate::arena::id;
use crate::{Fact, Looks, PartId, TerminalId};

id! {
    /// A wire.
    WireId
}
id! {
    /// The joint at one end of a wire.
    JointId
}

/// One of the two ends of a wire, in the order they were written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WireEnd {
    /// The end written first.
    From,
    /// The end written second.
    To,
}

impl WireEnd {
    /// Both.
    pub const BOTH: [WireEnd; 2] = [WireEnd::From, WireEnd::To];

    /// The opposite end.
    pub fn other(self) -> WireEnd {
        match self {
            WireEnd::From => WireEnd::To,
            WireEnd::To => WireEnd::From,
        }
    }
}

/// Where an end of a wire goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Landing {
    /// On a terminal.
    At(TerminalId),
    /// It vanishes behind a part.
    Behind(PartId),
    /// Nobody has seen it.
    Unknown,
}

/// An end of a wire: where it lands, and its joint.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct End {
    /// Where it goes.
    pub landing: Landing,
    /// The joint there.
    pub joint: JointId,
}

/// How the metal of a conductor is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Core {
    /// One solid wire.
    Solid,
    /// Stranded (IEC 60228 class 2, ASTM class B or C).
    Stranded,
    /// Fine-stranded (IEC 60228 class 5 or 6).
    Fine,
}

/// A conductor between two landings.
#[derive(Clone, Debug, PartialEq)]
pub struct Wire {
    /// Its id in the record.
    pub name: String,
    /// Both ends.
    pub ends: [End; 2],
    /// Cross-section of the conductor.
    pub area: Fact<SquareMillimetre>,
    /// The size as it was written (`6 AWG`, `16 mm2`), for print.
    pub size_words: String,
    /// Length along the wire.
    pub length: Fact<Metre>,
    /// How the conductor is made.
    pub core: Fact<Core>,
    /// Temperature rating of the insulation.
    pub insulation: Fact<Celsius>,
    /// Colour, as seen.
    pub colour: Option<String>,
    /// Runs in a sheath, conduit or enclosure all the way.
    pub sheathed: Fact<bool>,
    /// How many loaded conductors lie together on the way, itself included; 1: it runs alone.
    pub bundle: Fact<u32>,
    /// Some of it runs in the engine space.
    pub engine_space: Fact<bool>,
    /// A part it runs behind.
    pub runs_behind: Option<PartId>,
    /// What was seen of its way.
    pub course: Course,
}

/// What was seen of the way of a wire.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Course {
    /// What the eye sees.
    pub looks: Looks,
    /// Longest stretch between two supports.
    pub held_every: Fact<Metre>,
    /// Radius of its tightest bend, on the inside.
    pub bend: Fact<Metre>,
    /// Outside diameter, insulation or sheath included.
    pub outside: Fact<Metre>,
    /// Temperature of the hottest place it passes, as found there.
    pub hottest: Fact<Celsius>,
    /// Smallest distance to wiring of the other voltage; none: see [`crate::Look::MainsApart`].
    pub from_mains: Fact<Metre>,
}

impl Wire {
    /// The end at `which`.
    pub fn end(&self, which: WireEnd) -> End {
        self.ends[which as usize]
    }

    /// The terminal an end lands on, if it is known.
    pub fn terminal(&self, which: WireEnd) -> Option<TerminalId> {
        match self.end(which).landing {
            Landing::At(terminal) => Some(terminal),
            _ => None,
        }
    }
}

/// How an end is joined to its terminal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum JointKind {
    /// Crimped lug on a stud.
    Lug,
    /// Crimped pin, ferrule or butt connector.
    Crimp,
    /// Push-on spade.
    Spade,
    /// Clamped under a screw.
    Screw,
    /// Plug and socket.
    Plug,
    /// Soldered.
    Solder,
    /// Twisted together.
    Twisted,
    /// Laid together and taped.
    Taped,
    /// A screwed-on cap over twisted ends, as in houses.
    TwistOn,
}

impl JointKind {
    /// All of them with the word people write.
    pub const ALL: [(JointKind, &'static str); 9] = [
        (JointKind::Lug, "lug"),
        (JointKind::Crimp, "crimp"),
        (JointKind::Spade, "spade"),
        (JointKind::Screw, "screw"),
        (JointKind::Plug, "plug"),
        (JointKind::Solder, "solder"),
        (JointKind::Twisted, "twisted"),
        (JointKind::Taped, "taped"),
        (JointKind::TwistOn, "twist-on"),
    ];

    /// The word for it.
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(kind, _)| *kind == self).map_or("", |(_, word)| word)
    }

    /// The kind of a word.
    pub fn of_word(word: &str) -> Option<JointKind> {
        Self::ALL.iter().find(|(_, known)| *known == word).map(|(kind, _)| *kind)
    }
}

/// Strands of a conductor that are harmed where it was stripped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Strands {
    /// How many are nicked or broken.
    pub harmed: u32,
    /// Of how many.
    pub of: u32,
    /// They are broken through, not only nicked.
    pub broken: bool,
}

/// What a joint looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Condition {
    /// Clean and tight.
    Good,
    /// Moves under a finger.
    Loose,
    /// Green, white or black.
    Corroded,
    /// Discoloured by heat.
    Burnt,
}

/// The landing of a wire at one end.
#[derive(Clone, Debug, PartialEq)]
pub struct Joint {
    /// The wire.
    pub wire: WireId,
    /// Which end of it.
    pub end: WireEnd,
    /// How it is made.
    pub kind: Fact<JointKind>,
    /// What it looks like.
    pub condition: Fact<Condition>,
    /// Its resistance.
    pub resistance: Fact<Ohm>,
    /// The cable is held by a clamp or gland of its own where it enters the device.
    pub strain_relief: Fact<bool>,
    /// What the eye sees.
    pub looks: Looks,
    /// Length by which the wire can be drawn out and ended anew.
    pub slack: Fact<Metre>,
    /// Harmed strands where it was stripped.
    pub strands: Fact<Strands>,
    /// Thread size the hole of its lug is made for, mm: 8 for M8.
    pub lug_mm: Fact<f64>,
}

/// What a surface under a lug is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Surface {
    /// Bare or plated metal.
    Bare,
    /// Painted or powder-coated.
    Painted,
    /// Rusted.
    Rusty,
}

/// One thing in the stack on a stud, counted from the surface outwards.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Layer {
    /// The surface that should carry the current.
    Surface(Surface),
    /// A lug of a wire.
    Lug(WireId),
    /// A washer, in words.
    Washer(String),
    /// The nut or screw head that clamps it all.
    Nut,
}

/// The order of things on a stud.
#[derive(Clone, Debug, PartialEq)]
pub struct Stack {
    /// The terminal.
    pub terminal: TerminalId,
    /// From the surface outwards.
    pub layers: Vec<Layer>,
    /// Thread size of the stud, mm: 8 for M8.
    pub stud_mm: Option<f64>,
}
