//! How the vehicle can stand, and what was observed in it.

use units::{Celsius, Dimension, Fraction, Irradiance};

use crate::arena::id;
use crate::{DeviceId, Fact, TerminalId, WireId};

id! {
    /// A state: how the vehicle stands.
    StateId
}

/// The rules a vehicle is judged by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Region {
    /// United States and Canada.
    NorthAmerica,
    /// Europe and the United Kingdom.
    EuropeUk,
    /// Australia and New Zealand.
    AustraliaNz,
}

/// The engine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Engine {
    /// Not running.
    Off,
    /// Running.
    Running,
}

/// The shore lead.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shore {
    /// Not plugged in.
    Unplugged,
    /// Plugged in and live.
    Plugged,
}

/// How the supply is wired at which the shore lead is plugged in, as found at its socket.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Supply {
    /// Line, neutral and earth each in its place; neutral joined to earth at the source.
    Correct,
    /// Line and neutral swapped.
    Reversed,
    /// The earth contact leads nowhere.
    NoEarth,
    /// The earth contact leads to a rod in the ground beside the socket only.
    RodOnly,
    /// The neutral is interrupted.
    NoNeutral,
    /// Neither pole is joined to earth, as from many small generators.
    Floating,
}

impl Supply {
    /// Every way, the right one first.
    pub const ALL: [Supply; 6] = [
        Supply::Correct,
        Supply::Reversed,
        Supply::NoEarth,
        Supply::RodOnly,
        Supply::NoNeutral,
        Supply::Floating,
    ];

    /// The word a record uses.
    pub fn key(self) -> &'static str {
        match self {
            Supply::Correct => "correct",
            Supply::Reversed => "reversed",
            Supply::NoEarth => "no earth",
            Supply::RodOnly => "earth by rod only",
            Supply::NoNeutral => "no neutral",
            Supply::Floating => "floating",
        }
    }
}

/// How the vehicle stands.
#[derive(Clone, Debug, PartialEq)]
pub struct State {
    /// Its name.
    pub name: String,
    /// The engine.
    pub engine: Engine,
    /// Light on the roof.
    pub sun: Irradiance,
    /// The shore lead.
    pub shore: Shore,
    /// How the supply behind the shore lead is wired.
    pub supply: Fact<Supply>,
    /// Loads and inverters that are on.
    pub on: Vec<DeviceId>,
    /// Switches, breakers and fuses that are open.
    pub open: Vec<DeviceId>,
    /// How full batteries are.
    pub charge: Vec<(DeviceId, Fraction)>,
    /// Temperature of wires and batteries.
    pub temperature: Celsius,
}

impl State {
    /// Temperature of a state that says none; the reference of conductor tables.
    pub const USUAL_C: f64 = 20.0;

    /// Engine off, no sun, no shore, nothing on, nothing open.
    pub fn at_rest(name: &str) -> State {
        State {
            name: name.to_owned(),
            engine: Engine::Off,
            sun: Irradiance::from_si(0.0),
            shore: Shore::Unplugged,
            supply: Fact::Unknown,
            on: Vec::new(),
            open: Vec::new(),
            charge: Vec::new(),
            temperature: Celsius::from_si(State::USUAL_C),
        }
    }
}

/// Between what a reading was taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReadingPoints {
    /// Voltage, red probe first.
    Between(TerminalId, TerminalId),
    /// Current in a wire, positive from its first end to its second.
    In(WireId),
}

/// What an instrument showed.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// Its id in the record.
    pub name: String,
    /// In which state.
    pub state: StateId,
    /// Where.
    pub points: ReadingPoints,
    /// What it showed.
    pub value: f64,
    /// What it measures.
    pub dimension: Dimension,
    /// Half width of its spread.
    pub spread: Option<f64>,
    /// Instrument, who and when, in words.
    pub note: String,
}

/// What the owner or the technician noticed.
#[derive(Clone, Debug, PartialEq)]
pub struct Symptom {
    /// In words.
    pub words: String,
    /// The device it is about.
    pub device: Option<DeviceId>,
    /// The state it shows in.
    pub state: Option<StateId>,
}

/// A proposed change to the record.
#[derive(Clone, Debug, PartialEq)]
pub struct Mend {
    /// Its id in the record.
    pub name: String,
    /// What is done, in words.
    pub words: String,
    /// Values of the record that change: dotted path and new value.
    pub sets: Vec<(String, String)>,
}
