//! The wiring drawing: which symbol a device has, what stands on a line, which lines are one cable.

use std::collections::BTreeMap;

use analysis::{
    Case, DrawnEnd, DrawnWire, LineUse, Role, WireInState, WireSide, WiredDevice, WiredTerminal,
    WiringFinding, WiringState, WiringView,
};
use draw::wiring::{
    Device, End, Kind, LineState, Mark, Paper, Rank, Remark, Shows, Side, Signal, Status, Symbol,
    Terminal, Wire, WiringDrawing,
};
use wording::Teller;

use crate::Picture;
use crate::voice::Voice;

/// How strongly each element is suspected, 0 to 1, by the name of the wire or device.
pub type Suspicion = BTreeMap<String, f64>;

/// What the wiring drawing shows besides the wiring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Overlay<'a> {
    /// Nothing.
    Nothing,
    /// What fails, numbered as in the review.
    Findings,
    /// The state of this name.
    State(&'a str),
    /// What is suspected.
    Suspects(&'a Suspicion),
}

/// One wiring drawing, on as many sheets as it takes; none if no such state or nothing to draw.
pub fn wiring(case: &Case, overlay: Overlay<'_>, paper: Paper) -> Vec<Picture> {
    one(case, overlay, paper, &Voice::default())
}

/// The same in the language and the units of whoever reads it.
pub fn wiring_told(
    case: &Case,
    overlay: Overlay<'_>,
    paper: Paper,
    teller: &Teller,
) -> Vec<Picture> {
    one(case, overlay, paper, &Voice::of(teller))
}

fn one(case: &Case, overlay: Overlay<'_>, paper: Paper, voice: &Voice<'_>) -> Vec<Picture> {
    let facts = Facts {
        view: case.wiring(),
        states: match overlay {
            Overlay::State(_) => case.wiring_states(),
            _ => Vec::new(),
        },
        findings: match overlay {
            Overlay::Findings => case.wiring_findings(),
            _ => Vec::new(),
        },
    };
    drawings(case.vehicle_name(), &facts, &overlay, paper, voice)
}

/// What drawings are made from.
struct Facts {
    view: WiringView,
    states: Vec<WiringState>,
    findings: Vec<WiringFinding>,
}

/// The wiring, what fails on it, and every state.
pub(crate) fn all(case: &Case, paper: Paper, voice: &Voice<'_>) -> Vec<Picture> {
    let facts = Facts {
        view: case.wiring(),
        states: case.wiring_states(),
        findings: case.wiring_findings(),
    };
    let name = case.vehicle_name();
    let mut pictures = drawings(name, &facts, &Overlay::Nothing, paper, voice);
    let has_mark = |found: &WiringFinding| {
        [&found.wires, &found.devices, &found.mains_devices].iter().any(|at| !at.is_empty())
    };
    if facts.findings.iter().any(has_mark) {
        pictures.extend(drawings(name, &facts, &Overlay::Findings, paper, voice));
    }
    for state in &facts.states {
        pictures.extend(drawings(name, &facts, &Overlay::State(&state.name), paper, voice));
    }
    pictures
}

/// Which half of the wiring.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Half {
    Direct,
    Mains,
}

fn drawings(
    vehicle: &str,
    facts: &Facts,
    overlay: &Overlay<'_>,
    paper: Paper,
    voice: &Voice<'_>,
) -> Vec<Picture> {
    let state = match overlay {
        Overlay::State(name) => match facts.states.iter().find(|state| state.name == *name) {
            Some(state) => Some(state),
            None => return Vec::new(),
        },
        _ => None,
    };
    // A mains side that nothing feeds in this state would only be dots.
    let halves: &[Half] = match state {
        Some(state) if !feeds_mains(facts, state) => &[Half::Direct],
        _ => &[Half::Direct, Half::Mains],
    };
    halves
        .iter()
        .flat_map(|&half| {
            let drawing = Drafting { vehicle, facts, overlay, state, half, voice }.drawing();
            let sheets = draw::wiring::wiring(&drawing, paper);
            let count = sheets.len();
            (1..).zip(sheets).map(move |(number, sheet)| Picture {
                name: if count == 1 {
                    drawing.key.clone()
                } else {
                    format!("{}-{number}", drawing.key)
                },
                title: if count == 1 {
                    drawing.title.clone()
                } else {
                    voice.say(&format!("{}, sheet {number} of {count}", drawing.title))
                },
                svg: sheet.svg,
            })
        })
        .collect()
}

/// Whether a conductor of the mains side is, or may be, live in a state.
fn feeds_mains(facts: &Facts, state: &WiringState) -> bool {
    let is_fed = |now: &WireInState| matches!(now.status, LineUse::Live | LineUse::MayBeLive);
    let mut wires = facts.view.wires.iter().zip(&state.wires);
    wires.any(|(wire, now)| wire.side == WireSide::Mains && is_fed(now))
}

/// Where each terminal of the record, by device and terminal, went on the drawing.
type Places = BTreeMap<(usize, usize), (usize, usize)>;

/// A drawing in the making.
struct Drafting<'a> {
    vehicle: &'a str,
    facts: &'a Facts,
    overlay: &'a Overlay<'a>,
    state: Option<&'a WiringState>,
    half: Half,
    voice: &'a Voice<'a>,
}

impl Drafting<'_> {
    fn drawing(&self) -> WiringDrawing {
        let (devices, terminals) = self.devices();
        let wires = self.wires(&terminals);
        if wires.is_empty() && self.half == Half::Mains {
            return WiringDrawing::default();
        }
        let (key, title, subtitle) = self.words();
        WiringDrawing {
            key,
            title: self.voice.say(&title),
            subtitle,
            caution: self.voice.say(CAUTION),
            devices,
            wires,
            findings: self.remarks(),
            shows: if self.state.is_some() { Shows::State } else { Shows::Wiring },
            speech: self.voice.speech(),
        }
    }

    fn words(&self) -> (String, String, String) {
        let (stem, what) = match self.half {
            Half::Direct => ("wiring", "wiring, direct-current side"),
            Half::Mains => ("wiring-mains", "wiring, mains side"),
        };
        let (vehicle, voice) = (self.vehicle, self.voice);
        match (self.overlay, self.state) {
            (_, Some(state)) => (
                format!("{stem}-state-{}", stem_of(&state.name)),
                format!("{vehicle}: {what}, state {}", state.name),
                {
                    let words = voice.perhaps(&state.words, "; ");
                    match state.outcome.as_str() {
                        "hunts" => {
                            let position = voice.say("one of the two positions it hunts between");
                            format!("{position}; {words}")
                        }
                        "no answer" => format!("{}; {words}", voice.say("no answer to the sums")),
                        _ => words,
                    }
                },
            ),
            (Overlay::Findings, _) => (
                format!("{stem}-findings"),
                format!("{vehicle}: {what}, with what fails"),
                voice.say("numbers as in the review"),
            ),
            (Overlay::Suspects(_), _) => (
                format!("{stem}-suspects"),
                format!("{vehicle}: {what}, with what is suspected"),
                voice.say("the darker, the more suspected; per cent as in the list of suspects"),
            ),
            _ => (
                stem.to_owned(),
                format!("{vehicle}: {what}"),
                voice.say(match self.half {
                    Half::Direct => "sources left, loads right, return bars beyond them",
                    Half::Mains => "a line is a cable; the strokes across it count its conductors",
                }),
            ),
        }
    }

    /// Devices of this half, and where each terminal of the record went.
    fn devices(&self) -> (Vec<Device>, Places) {
        let mut devices = Vec::new();
        let mut places = BTreeMap::new();
        for (index, device) in self.facts.view.devices.iter().enumerate() {
            let mut terminals: Vec<Terminal> = Vec::new();
            for (at, terminal) in device.terminals.iter().enumerate() {
                if !self.is_of_half(terminal, device) {
                    continue;
                }
                let name = self.terminal_name(terminal);
                let known = match self.half {
                    Half::Direct => None,
                    Half::Mains => terminals.iter().position(|known| known.name == name),
                };
                let place = known.unwrap_or_else(|| {
                    terminals.push(Terminal {
                        name,
                        words: terminal.words.clone(),
                        side: side(terminal.side),
                    });
                    terminals.len() - 1
                });
                places.insert((index, at), (devices.len(), place));
            }
            if !terminals.is_empty() {
                devices.push(self.device(index, device, terminals));
            }
        }
        (devices, places)
    }

    fn is_of_half(&self, terminal: &WiredTerminal, device: &WiredDevice) -> bool {
        let is_mains = terminal.pole.is_ac();
        match self.half {
            Half::Direct => !is_mains,
            Half::Mains => is_mains && device.terminals.iter().any(|t| t.pole.is_ac()),
        }
    }

    /// On the mains side the conductors of one cable entry are one terminal: `in.L` is `in`.
    fn terminal_name(&self, terminal: &WiredTerminal) -> String {
        match self.half {
            Half::Direct => terminal.name.clone(),
            Half::Mains => terminal
                .name
                .rsplit_once('.')
                .map_or_else(String::new, |(entry, _)| entry.to_owned()),
        }
    }

    fn device(&self, index: usize, device: &WiredDevice, terminals: Vec<Terminal>) -> Device {
        let (symbol, rank) = match self.half {
            Half::Direct => (symbol(device), rank(device)),
            Half::Mains => (mains_symbol(device), mains_rank(device)),
        };
        let marks = match self.overlay {
            Overlay::Findings => self.marks(|finding| self.devices_of(finding).contains(&index)),
            _ => Vec::new(),
        };
        let suspicion = match self.overlay {
            Overlay::Suspects(suspicion) => suspicion.get(&device.name).copied(),
            _ => None,
        };
        let rating = if matches!(symbol, Symbol::Bar | Symbol::Body | Symbol::Earth) {
            String::new()
        } else {
            self.voice.quantity(&device.rating)
        };
        Device {
            name: device.name.clone(),
            rating,
            words: device.words.clone(),
            symbol,
            rank,
            terminals,
            marks,
            suspicion,
        }
    }

    /// Devices that a finding marks on this half.
    fn devices_of<'f>(&self, finding: &'f WiringFinding) -> &'f [usize] {
        match self.half {
            Half::Direct => &finding.devices,
            Half::Mains => &finding.mains_devices,
        }
    }

    fn marks(&self, is_about: impl Fn(&WiringFinding) -> bool) -> Vec<Mark> {
        self.facts.findings.iter().filter(|finding| is_about(finding)).map(mark).collect()
    }

    fn remarks(&self) -> Vec<Remark> {
        match self.overlay {
            Overlay::Findings => self
                .facts
                .findings
                .iter()
                .map(|finding| Remark {
                    mark: mark(finding),
                    words: self.voice.finding(&finding.message),
                })
                .collect(),
            _ => Vec::new(),
        }
    }

    fn wires(&self, places: &Places) -> Vec<Wire> {
        let mut cables: Vec<(String, Vec<usize>)> = Vec::new();
        for (index, wire) in self.facts.view.wires.iter().enumerate() {
            if (wire.side == WireSide::Mains) != (self.half == Half::Mains) {
                continue;
            }
            let name = match (self.half, wire.name.rsplit_once('/')) {
                (Half::Mains, Some((cable, _))) => cable,
                _ => wire.name.as_str(),
            };
            match cables
                .iter_mut()
                .find(|(known, cores)| known == name && self.same_ends(cores[0], index, places))
            {
                Some((_, cores)) => cores.push(index),
                None => cables.push((name.to_owned(), vec![index])),
            }
        }
        cables.into_iter().map(|(name, cores)| self.wire(name, &cores, places)).collect()
    }

    fn same_ends(&self, a: usize, b: usize, places: &Places) -> bool {
        let ends =
            |index: usize| self.facts.view.wires[index].ends.each_ref().map(|e| end(e, places));
        ends(a) == ends(b)
    }

    fn wire(&self, name: String, cores: &[usize], places: &Places) -> Wire {
        let first = &self.facts.view.wires[cores[0]];
        let marks = match self.overlay {
            Overlay::Findings => {
                self.marks(|finding| cores.iter().any(|core| finding.wires.contains(core)))
            }
            _ => Vec::new(),
        };
        let suspicion = match self.overlay {
            Overlay::Suspects(suspicion) => cores
                .iter()
                .filter_map(|&core| suspicion.get(&self.facts.view.wires[core].name))
                .copied()
                .reduce(f64::max),
            _ => None,
        };
        Wire {
            name,
            facts: facts(first, cores.len(), self.voice),
            words: first.words.clone(),
            ends: first.ends.each_ref().map(|e| end(e, places)),
            side: side(first.side),
            cores: cores.len(),
            state: self.state.map(|state| match self.half {
                Half::Direct => {
                    let state = line_state(&state.wires[cores[0]]);
                    LineState { words: self.voice.quantity(&state.words), ..state }
                }
                Half::Mains => cable_state(cores.iter().map(|&core| &state.wires[core])),
            }),
            marks,
            suspicion,
        }
    }
}

/// At the foot of every sheet.
const CAUTION: &str = "Drawn from what is recorded; nobody has compared it with the vehicle. Prove \
    every conductor dead with a meter before you touch it. ? told or assumed, neither seen nor measured.";

/// A name as part of a file name.
fn stem_of(name: &str) -> String {
    name.chars().map(|c| if c.is_ascii_alphanumeric() || c == '-' { c } else { '-' }).collect()
}

fn mark(finding: &WiringFinding) -> Mark {
    let signal = match finding.signal.as_str() {
        "DANGER" => Signal::Danger,
        "WARNING" => Signal::Warning,
        "CAUTION" => Signal::Caution,
        _ => Signal::Notice,
    };
    Mark { number: finding.number, signal }
}

fn end(end: &DrawnEnd, places: &Places) -> End {
    match end {
        DrawnEnd::At { device, terminal } => match places.get(&(*device, *terminal)) {
            Some(&(device, terminal)) => End::At { device, terminal },
            None => End::Unseen,
        },
        DrawnEnd::Behind(part) => End::Behind(part.clone()),
        DrawnEnd::Unseen => End::Unseen,
    }
}

fn side(side: WireSide) -> Side {
    match side {
        WireSide::Feed | WireSide::Mains => Side::Feed,
        WireSide::Return => Side::Return,
        WireSide::Signal => Side::Signal,
    }
}

/// Size, colour, length: what is known of them.
fn facts(wire: &DrawnWire, cores: usize, voice: &Voice<'_>) -> Vec<String> {
    let mut facts = Vec::new();
    if !wire.size.is_empty() {
        let size = voice.quantity(&wire.size.replace("mm2", "mm²"));
        facts.push(if cores > 1 { format!("{cores} × {size}") } else { size });
    }
    if let Some(colour) = wire.colour.as_deref().filter(|_| cores == 1) {
        facts.push(colour_code(colour));
    }
    if !wire.length.is_empty() {
        facts.push(voice.quantity(&wire.length));
    }
    facts
}

/// The letter code of IEC 60757 (from memory) where it has one for the word.
fn colour_code(colour: &str) -> String {
    match colour {
        "black" => "BK",
        "brown" => "BN",
        "red" => "RD",
        "orange" => "OG",
        "yellow" => "YE",
        "green" => "GN",
        "blue" => "BU",
        "violet" | "purple" => "VT",
        "grey" | "gray" => "GY",
        "white" => "WH",
        "pink" => "PK",
        "silver" => "SR",
        "green/yellow" | "green-yellow" => "GNYE",
        other => other,
    }
    .to_owned()
}

fn line_state(wire: &WireInState) -> LineState {
    let status = match wire.status {
        _ if wire.is_floating => Status::Floating,
        LineUse::Live => Status::Live,
        LineUse::MayBeLive => Status::MayBeLive,
        LineUse::Return => Status::Return,
        LineUse::NotReached => Status::NotReached,
    };
    LineState { status, current_a: wire.current_a, words: wire.words.clone() }
}

/// A cable is as live as the core of it that is most so. Currents and floating voltages are sums of the
/// direct-current side and say nothing here.
fn cable_state<'a>(cores: impl Iterator<Item = &'a WireInState>) -> LineState {
    let order = [LineUse::Live, LineUse::MayBeLive, LineUse::Return, LineUse::NotReached];
    let graver = |core: &WireInState| order.iter().position(|&used| used == core.status);
    let gravest = cores.min_by_key(|core| graver(core));
    let status = match gravest.map_or(LineUse::NotReached, |core| core.status) {
        LineUse::Live => Status::Live,
        LineUse::MayBeLive => Status::MayBeLive,
        LineUse::Return => Status::Return,
        LineUse::NotReached => Status::NotReached,
    };
    LineState { status, current_a: None, words: String::new() }
}

fn symbol(device: &WiredDevice) -> Symbol {
    let direct = Symbol::Converter { from: Kind::Direct, to: Kind::Direct };
    match device.role {
        Role::Battery => Symbol::Battery,
        Role::Alternator => Symbol::Generator,
        Role::DcDcCharger | Role::SolarController | Role::DirectController => direct,
        Role::CombinerRelay | Role::Relay => Symbol::Relay,
        Role::SolarModule => Symbol::SolarModule,
        Role::MainsCharger => Symbol::Converter { from: Kind::Alternating, to: Kind::Direct },
        Role::Inverter => Symbol::Converter { from: Kind::Direct, to: Kind::Alternating },
        Role::Diode => Symbol::Diode,
        Role::Fuse => Symbol::Fuse,
        Role::FuseBox => Symbol::FuseBox,
        Role::Breaker => Symbol::Breaker,
        Role::Switch if device.kind == "isolator" => Symbol::Isolator,
        Role::Switch => Symbol::Switch,
        Role::Junction if device.is_body => Symbol::Body,
        Role::Junction => Symbol::Bar,
        Role::Shunt => Symbol::Shunt,
        Role::Monitor => Symbol::Meter,
        Role::PowerLoad => Symbol::Equipment,
        Role::HeatingLoad if device.kind == "heater" => Symbol::Heater,
        Role::HeatingLoad | Role::MotorLoad => Symbol::Motor,
        Role::LampLoad => Symbol::Lamp,
        Role::ShoreInlet => Symbol::Inlet,
        Role::AcLoad => Symbol::Socket,
        Role::Generator => Symbol::Generator,
        Role::OutsideSource => Symbol::Battery,
        Role::AcBreaker | Role::Other => match device.kind.as_str() {
            "starter motor" => Symbol::Motor,
            _ => Symbol::Block,
        },
    }
}

/// Where a device stands on the way of the energy: what the engine and the sun give comes before the
/// batteries, the base vehicle's battery before that of the house.
fn rank(device: &WiredDevice) -> Rank {
    match device.role {
        Role::Alternator
        | Role::SolarModule
        | Role::MainsCharger
        | Role::Generator
        | Role::OutsideSource => Rank::Source(1.0),
        Role::Battery if device.is_base_vehicle => Rank::Source(0.95),
        Role::Battery => Rank::Source(0.75),
        role if role.is_dc_load() => Rank::Load,
        Role::Monitor | Role::Other => Rank::Load,
        _ => Rank::Between,
    }
}

fn mains_symbol(device: &WiredDevice) -> Symbol {
    match device.role {
        Role::Junction => Symbol::Earth,
        Role::AcLoad if device.kind == "mains appliance" => Symbol::Equipment,
        Role::AcLoad => Symbol::Socket,
        _ => symbol(device),
    }
}

fn mains_rank(device: &WiredDevice) -> Rank {
    match device.role {
        Role::ShoreInlet | Role::Generator | Role::OutsideSource => Rank::Source(1.0),
        Role::Inverter => Rank::Source(0.8),
        Role::AcLoad | Role::MainsCharger => Rank::Load,
        _ => Rank::Between,
    }
}
