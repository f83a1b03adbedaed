//! How the vehicle can stand, and what was observed in it.

use units::{Celsius, Dimension, Fraction, Irradiance, Rpm, Volt};

use crate::arena::id;
use crate::{DeviceId, Fact, JointId, Place, TerminalId, WireId};

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
    /// Speed of the running engine; `None`: not said.
    pub engine_speed: Option<Rpm>,
    /// Voltage an alternator under the engine's command is told to hold.
    pub commanded: Vec<(DeviceId, Volt)>,
    /// Light on the roof.
    pub sun: Irradiance,
    /// Temperature of the solar cells; `None`: follows from sun and air.
    pub cells: Option<Celsius>,
    /// Light lost on one bypass group of a module.
    pub shade: Vec<(DeviceId, Fraction)>,
    /// The shore lead.
    pub shore: Shore,
    /// How the supply behind the shore lead is wired.
    pub supply: Fact<Supply>,
    /// Loads and inverters that are on.
    pub on: Vec<DeviceId>,
    /// Switches, breakers and fuses that are open.
    pub open: Vec<DeviceId>,
    /// Motors that are held fast.
    pub stalled: Vec<DeviceId>,
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
            engine_speed: None,
            commanded: Vec::new(),
            sun: Irradiance::from_si(0.0),
            cells: None,
            shade: Vec::new(),
            shore: Shore::Unplugged,
            supply: Fact::Unknown,
            on: Vec::new(),
            stalled: Vec::new(),
            open: Vec::new(),
            charge: Vec::new(),
            temperature: Celsius::from_si(State::USUAL_C),
        }
    }
}

/// Between what a reading was taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ReadingPoints {
    /// Voltage, red probe first.
    Between(TerminalId, TerminalId),
    /// Current in a wire, positive from its first end to its second.
    In(WireId),
    /// Current on the display of a monitor.
    On(DeviceId),
    /// Voltage over a joint: one probe on the stud, the other on the metal of the wire's end.
    Over(JointId),
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
    /// Its id in the record.
    pub name: String,
    /// In words.
    pub words: String,
    /// The device it is about.
    pub device: Option<DeviceId>,
    /// The state it shows in.
    pub state: Option<StateId>,
    /// The same in a word of the fixed list. Told: the owner says so; seen: a technician saw it.
    pub shows: Fact<Shows>,
    /// Seconds until it shows, where that was noticed.
    pub after_s: Option<f64>,
}

/// What equipment does, in words that can be held against a computed state.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Shows {
    /// It does what it should.
    Works,
    /// It does nothing.
    Dead,
    /// It runs, but dim, slow or weak.
    Weak,
    /// It makes its protection open.
    Trips,
    /// It, or its joint, gets warm.
    Warm,
    /// Something in it clicks.
    Clicks,
    /// It starts and stops, again and again.
    Hunts,
    /// What was complained of did not show.
    NotReproduced,
}

impl Shows {
    /// Every word of the list.
    pub const ALL: [(Shows, &'static str); 8] = [
        (Shows::Works, "works"),
        (Shows::Dead, "dead"),
        (Shows::Weak, "weak"),
        (Shows::Trips, "trips"),
        (Shows::Warm, "warm"),
        (Shows::Clicks, "clicks"),
        (Shows::Hunts, "hunts"),
        (Shows::NotReproduced, "not reproduced"),
    ];

    /// The word.
    pub fn word(self) -> &'static str {
        Shows::ALL[self as usize].1
    }

    /// What a word means.
    pub fn of_word(word: &str) -> Option<Shows> {
        Shows::ALL.iter().find(|row| row.1 == word).map(|row| row.0)
    }
}

/// What the owner answers when asked how it began.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Answer {
    /// It never worked.
    NeverWorked,
    /// It worked before.
    WorkedBefore,
    /// It began after rain or washing.
    AfterRain,
    /// It began after a long drive.
    AfterLongDrive,
    /// It began after a battery was changed.
    AfterBatteryChange,
    /// It began after something was added.
    AfterAddition,
    /// It grew worse slowly.
    SlowlyWorse,
}

impl Answer {
    /// Every answer with its words.
    pub const ALL: [(Answer, &'static str); 7] = [
        (Answer::NeverWorked, "never worked"),
        (Answer::WorkedBefore, "worked before"),
        (Answer::AfterRain, "after rain"),
        (Answer::AfterLongDrive, "after a long drive"),
        (Answer::AfterBatteryChange, "after a battery change"),
        (Answer::AfterAddition, "after an addition"),
        (Answer::SlowlyWorse, "slowly worse"),
    ];

    /// The answer in words.
    pub fn words(self) -> &'static str {
        Answer::ALL[self as usize].1
    }

    /// The answer of some words.
    pub fn of_words(words: &str) -> Option<Answer> {
        Answer::ALL.iter().find(|row| row.1 == words).map(|row| row.0)
    }
}

/// How the complaint began, what the search could not get at, and what cured nothing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct History {
    /// What the owner answered.
    pub answers: Vec<Answer>,
    /// Terminals that could not be reached with a probe.
    pub not_reached: Vec<TerminalId>,
    /// Places that were put right, and everything stayed as it was.
    pub no_cure: Vec<Place>,
    /// Places that were put right, after which something was different.
    pub changed: Vec<Repaired>,
}

/// A place that was put right without curing what was complained of.
#[derive(Clone, Debug, PartialEq)]
pub struct Repaired {
    /// The place.
    pub place: Place,
    /// The names of readings and symptoms from before: they tell of a vehicle that is no more.
    pub before: Vec<String>,
}

impl History {
    /// Whether a reading or a symptom is from before a repair that changed something.
    pub fn is_laid_aside(&self, name: &str) -> bool {
        self.changed.iter().any(|repaired| repaired.before.iter().any(|before| before == name))
    }
}

/// A proposed change to the record.
#[derive(Clone, Debug, PartialEq)]
pub struct Mend {
    /// Its id in the record.
    pub name: String,
    /// What is done, in words.
    pub words: String,
    /// Values of the record that change.
    pub changes: Vec<Change>,
}

/// A value of the record's text that changes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// Section, name and perhaps field.
    pub path: Vec<String>,
    /// What stood there when the change was thought of.
    pub was: Was,
    /// What is to stand there; nothing: it is taken out.
    pub is: Option<String>,
}

/// What stood at a place of the record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Was {
    /// Nobody wrote it down.
    NotSaid,
    /// Nothing stood there.
    Nothing,
    /// This.
    Value(String),
}
