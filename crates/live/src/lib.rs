//! The live map: in one state, which conductors are energised, from which sources, by which way,
//! and how certainly.
//!
//! **Hazard.** A conductor taken for dead that is not can burn, blind or kill. This map is drawn
//! from a record; it replaces no measurement. Whatever the map says, prove a conductor at the point
//! of work with an instrument checked on a known source before and after, and look for voltage fed
//! back from elsewhere (29 CFR 1910.333(b)(2)(iv), from memory and a secondary copy). On the mains
//! side local codes and licensed practice come first. Batteries deliver thousands of ampere into a
//! short at any voltage.
//!
//! Knows no voltages, no currents, no text of the record and no page. Does not know induced voltage,
//! a generator plugged in without a record, or a wire nobody wrote down. It errs towards live. The rules, each with its reason (common practice, no source, unless
//! one is named):
//!
//! **What is a source**
//! 1. A battery, always: it has no off.
//! 2. The alternator while the engine runs. A solar module whenever the state has any light: by
//!    daylight always; nothing downstream switches it off.
//! 3. The pins L and N of the shore inlet while it is plugged in. N too, for the polarity of the
//!    post cannot be trusted. Protective earth is never a source.
//! 4. L and N at an inverter's output while the state has it on, shore or no shore. An inverter
//!    whose plus no source reaches is only doubtful: its capacitors hold charge, and the record may
//!    lack a feed.
//! 5. A mains charger's output while shore is plugged in and a mains source reaches its input; if
//!    nobody wrote down what feeds its input, doubtfully. An inverter that can charge: doubtfully.
//! 6. A DC-DC charger's output while the engine runs; doubtfully if nothing certain reaches its
//!    input.
//!
//! Rules 21 to 23, below, are about energy that no switch of the vehicle reaches.
//!
//! **What is return**
//! 7. The return of a source is what metal joins to its minus. Below the upper battery of a series
//!    bank it goes on through the lower one, or every minus wire would count as live from the upper.
//! 8. If metal joins the minus of any battery to the body, the body and all metal on it are the
//!    return of every direct-current source: that is what a hand and a spanner stand on. If none
//!    does, the body is a conductor like others.
//! 9. A source whose minus is not on such a body but whose plus reaches it, by metal or through a
//!    load, stands upside down: its minus is what is live (a lifted negative cable). If the plus
//!    reaches the body only by doubt, its minus may be live. An isolated DC-DC charger does not
//!    count as reaching, so the minus of a floating house side stays return.
//! 10. A source whose plus metal joins to its own minus has no return: nothing tells the two
//!     apart, so all of it counts as live.
//! 11. On the mains side only protective earth is return; what reaches a stud of it, a chassis
//!     point or the body stops there. Whether that earth is whole is not looked at here.
//!
//! **How energy goes**
//! 12. Through metal, loads (an open return is live through the load, on or off), other sources
//!     (series banks), diodes forward; never through what is open in the state, and never into the
//!     source's own return. From an upside-down minus, and on the mains side, diodes pass both ways.
//! 13. Combiner relay, DC-DC charger, solar controller: may pass, both ways. A relay closes by
//!     itself; a converter's insides are not known well enough to rule its way back out.
//! 14. Electronics (chargers, controllers, monitors, relay coils, a standing alternator) and devices
//!     of unknown kind may pass between any two of their terminals, so a lifted minus of a charger
//!     may be live. The changeover in an inverter with an input may pass, so may its inlet be live.
//! 15. What was reached by doubt does not go on into another source's return: that source itself
//!     holds it there.
//!
//! **What is said**
//! 16. Live if any source certainly reaches it; may be live if one does by doubt; else return if it
//!     is in any return; else not reached, which is never called dead. So what is return for one
//!     source and hot for another (the midpoint of a bank) is live.
//! 17. Of the ways from a source the one with the fewest doubts is told, then the shortest.
//! 18. An end that vanishes behind a part is as live as the rest of its wire.
//! 19. No vehicle has more than [`MAX_SOURCES`] source poles; in a record that does, those beyond
//!     are walked together and spare nothing, so all metal near them counts as live.
//! 20. Ends that vanish behind one part may be one wire or be joined there; an end nobody has seen
//!     at all may be joined to any of them. So what is only reached past such ends may be live.
//!
//! **Energy that no switch reaches**
//! 21. A power station, what a trailer socket is plugged to, and the like: certainly while the state
//!     has it on; else doubtfully, unless the record says that it holds nothing of its own. A
//!     high-voltage battery of the drive: always.
//! 22. A device that stores charge (an inverter always; any with a capacitance) or holds a cell of
//!     its own may keep its plus live, where no other source certainly does.
//! 23. What is taken away by hand ([`Cuts`]) conducts and feeds no more; returns stay as recorded,
//!     for a lifted minus is no reason to think the rest of the return harmless.

mod conduction;
mod cuts;
mod map;
mod reach;
mod rules;
mod sources;
mod stance;
mod ways;
mod words;

use std::sync::Arc;

use model::{DeviceId, Id, TerminalId, WireId};
use network::{Item, Passage, Point};

use reach::Found;

pub use conduction::{Conduction, Conductor, Start, conduction, worst};
pub use cuts::Cuts;
pub use map::{map, map_with};

/// Most source poles that are told apart; see rule 19.
pub const MAX_SOURCES: usize = 64;

/// Most names of a way that are told; of a longer one the last.
pub const MAX_NAMES: usize = 100;

/// What a conductor is in a state.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Status {
    /// A source energises it.
    Live,
    /// A source may energise it; it cannot be ruled out.
    MayBeLive,
    /// Joined to the return of a source, and no source energises it.
    Return,
    /// No recorded source reaches it. To be proved by measurement.
    NotReached,
}

/// Why a way is only possible.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DoubtKind {
    /// A relay that closes by itself.
    RelayMayClose,
    /// Energy may come through a converter, either way.
    ThroughConverter,
    /// Current may pass inside, between terminals that are not meant to carry it.
    ThroughElectronics,
    /// A changeover between mains input and mains output may be closed.
    Changeover,
    /// What is inside is not known.
    InsideUnknown,
    /// Ends nobody has seen may be joined where they vanish.
    JoinedUnseen,
    /// Whether this source is fed cannot be told from the record.
    FeedUncertain,
    /// It has energy of its own and may be on.
    MayBeOn,
    /// It holds charge after everything is off.
    StoredCharge,
    /// A cell of its own may feed.
    OwnCell,
}

/// What makes a way doubtful: the first place of doubt along it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Doubt {
    /// Where: a device.
    pub item: Item,
    /// Why.
    pub kind: DoubtKind,
}

/// One step of a way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Step {
    /// What was passed.
    pub item: Item,
    /// How it lets current pass.
    pub passage: Passage,
    /// Where the step led.
    pub to: Point,
}

/// A source that reaches a conductor, and how.
#[derive(Clone, Debug, PartialEq)]
pub struct Reached {
    /// The source.
    pub source: DeviceId,
    /// The terminal of it the way starts at.
    pub terminal: TerminalId,
    /// Why it is only possible; none when certain.
    pub doubt: Option<Doubt>,
    /// All ways of this walk, and the place of the conductor in them.
    tree: Arc<Found>,
    place: usize,
}

impl Reached {
    /// The way from the source to the conductor, joints included; see [`Reached::names`].
    pub fn path(&self) -> Vec<Step> {
        let mut path: Vec<Step> = self.tree.steps_back(self.place).collect();
        path.reverse();
        path
    }

    /// The loads the way leads through, in order.
    pub fn loads(&self) -> Vec<DeviceId> {
        let load = |step: Step| match (step.item, step.passage) {
            (Item::Device(id), Passage::Load) => Some(id),
            _ => None,
        };
        self.path().into_iter().filter_map(load).collect()
    }
}

/// What a wire or terminal is, and which sources reach it.
#[derive(Clone, Debug, PartialEq)]
pub struct Use {
    /// What it is.
    pub status: Status,
    /// Every source that reaches it, certain ones first, then in the order of the record.
    pub from: Vec<Reached>,
}

/// The live map of one state.
#[derive(Clone, Debug, PartialEq)]
pub struct LiveMap {
    /// Every wire, by its id.
    pub wires: Vec<Use>,
    /// Every terminal, by its id: a stud can be live with no wire on it.
    pub terminals: Vec<Use>,
    /// The vehicle's body.
    pub body: Use,
}

impl LiveMap {
    /// A wire.
    pub fn wire(&self, id: WireId) -> &Use {
        &self.wires[id.index()]
    }

    /// A terminal.
    pub fn terminal(&self, id: TerminalId) -> &Use {
        &self.terminals[id.index()]
    }
}
