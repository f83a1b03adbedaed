//! What a wiring drawing is made from. Plain data: devices with terminals, wires between them.

use crate::speech::Speech;

/// What is to be drawn.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WiringDrawing {
    /// Beginning of every `id` in the file, so that several drawings can stand on one page.
    pub key: String,
    /// The heading: what vehicle, what drawing.
    pub title: String,
    /// A line below the heading, such as the state in words; may be empty.
    pub subtitle: String,
    /// A line at the foot of every sheet.
    pub caution: String,
    /// Devices.
    pub devices: Vec<Device>,
    /// Wires; a cable of several cores may be one of them.
    pub wires: Vec<Wire>,
    /// Findings whose marks stand on the drawing, explained beside it.
    pub findings: Vec<Remark>,
    /// True words for the line styles where the lines show a state.
    pub shows: Shows,
    /// The words the drawing puts in by itself.
    pub speech: Speech,
}

/// What the style of the lines tells.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Shows {
    /// What is there.
    #[default]
    Wiring,
    /// A state: what is energised, how much flows.
    State,
}

/// A finding in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Remark {
    /// Its mark.
    pub mark: Mark,
    /// What is wrong, one line.
    pub words: String,
}

/// The mark of a finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Mark {
    /// Its number.
    pub number: usize,
    /// How bad it is.
    pub signal: Signal,
}

/// The signal words of the safety-sign standards (ANSI Z535.4, ISO 3864-2), worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Signal {
    /// Will kill or maim if not avoided.
    Danger,
    /// Could kill or maim.
    Warning,
    /// Could cause lesser harm.
    Caution,
    /// Property or procedure.
    Notice,
}

/// A device.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Device {
    /// Its name, unique.
    pub name: String,
    /// A figure beside the name (`15 A`), may be empty.
    pub rating: String,
    /// All that is known of it, for who asks.
    pub words: String,
    /// How it is drawn.
    pub symbol: Symbol,
    /// Where it belongs on the way of the energy.
    pub rank: Rank,
    /// Its terminals, in the order they are drawn.
    pub terminals: Vec<Terminal>,
    /// Marks of findings.
    pub marks: Vec<Mark>,
    /// How much it is suspected, 0 to 1.
    pub suspicion: Option<f64>,
}

/// Where a device belongs on the way from sources to loads.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Rank {
    /// Feeds; the larger the share of 1, the further ahead.
    Source(f64),
    /// Passes on.
    #[default]
    Between,
    /// Consumes.
    Load,
}

/// Symbols, as IEC 60617 and IEEE 315 describe them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Symbol {
    /// A rectangle with its terminals named.
    #[default]
    Block,
    /// Cells.
    Battery,
    /// A circle with a G.
    Generator,
    /// Cells in a square with light falling in.
    SolarModule,
    /// A rectangle with the conductor straight through.
    Fuse,
    /// Several fuses on one feed.
    FuseBox,
    /// A blade with a cross at the fixed contact.
    Breaker,
    /// A blade with a bar at the fixed contact.
    Isolator,
    /// A blade.
    Switch,
    /// A coil and a contact.
    Relay,
    /// A triangle at a bar.
    Diode,
    /// A rectangle with two terminals for sensing.
    Shunt,
    /// A circle with a V.
    Meter,
    /// A circle with a diagonal cross.
    Lamp,
    /// A circle with an M.
    Motor,
    /// A rectangle with strokes across.
    Heater,
    /// A rectangle that stands for a piece of equipment.
    Equipment,
    /// A box with a diagonal: what goes in, what comes out.
    Converter {
        /// What goes in.
        from: Kind,
        /// What comes out.
        to: Kind,
    },
    /// A bar on which everything is joined.
    Bar,
    /// The body of the vehicle: repeated wherever a wire goes to it.
    Body,
    /// Protective earth: repeated like the body.
    Earth,
    /// Mains socket.
    Socket,
    /// Inlet of the supply.
    Inlet,
}

/// Direct or alternating.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Direct current.
    Direct,
    /// Alternating current.
    Alternating,
}

/// A terminal.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Terminal {
    /// Its name on the device, may be empty.
    pub name: String,
    /// In words beside it (`15 A fridge`): what a way of a fuse box holds and feeds.
    pub words: String,
    /// Which side of the circuit it is on.
    pub side: Side,
}

/// Which side of the circuit something is on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Side {
    /// From the sources to the loads.
    #[default]
    Feed,
    /// Back from the loads.
    Return,
    /// Carries next to nothing.
    Signal,
}

/// A wire.
#[derive(Clone, Debug, PartialEq)]
pub struct Wire {
    /// Its name, unique.
    pub name: String,
    /// What stands on its line, most wanted first: size, colour, length.
    pub facts: Vec<String>,
    /// All that is known of it, for who asks.
    pub words: String,
    /// Both ends, as they were written.
    pub ends: [End; 2],
    /// Which side it is on.
    pub side: Side,
    /// How many conductors it has.
    pub cores: usize,
    /// How it stands in the state shown.
    pub state: Option<LineState>,
    /// Marks of findings.
    pub marks: Vec<Mark>,
    /// How much it is suspected, 0 to 1.
    pub suspicion: Option<f64>,
}

/// Where an end of a wire goes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum End {
    /// To a terminal, both by index.
    At {
        /// Which device.
        device: usize,
        /// Which of its terminals.
        terminal: usize,
    },
    /// It vanishes behind a part, by what people call it.
    Behind(String),
    /// Nobody has seen where.
    Unseen,
}

/// A wire in a state.
#[derive(Clone, Debug, PartialEq)]
pub struct LineState {
    /// What it is.
    pub status: Status,
    /// Current in ampere, if it is known.
    pub current_a: Option<f64>,
    /// Current and drop in words, short.
    pub words: String,
}

/// What a conductor is in a state.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Status {
    /// A source reaches it.
    Live,
    /// A source may reach it.
    MayBeLive,
    /// Joined to the return of a source.
    Return,
    /// Joined to nothing that fixes its voltage.
    Floating,
    /// No known source reaches it; to be proved by measurement.
    NotReached,
}
