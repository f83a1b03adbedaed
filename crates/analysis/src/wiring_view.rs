//! The wiring as plain data, for drawings: what is joined to what, how sure every figure is, how it
//! stands in each state, and which findings are where.

use std::collections::BTreeMap;

use live::Status;
use model::{
    Attribute, Device, DeviceId, Fact, Landing, Origin, Place, Pole, Role, TerminalId, WireEnd,
    WireId,
};
use network::{Network, Point};
use solve::{NodeVoltage, OperatingPoint};
use units::{Ampere, System, Volt};

use crate::case::{Case, points};
use crate::states;
use crate::view::{FindingView, LineUse};

/// The wiring of a vehicle.
#[derive(Clone, Debug, PartialEq)]
pub struct WiringView {
    /// Devices, in the order of the record.
    pub devices: Vec<WiredDevice>,
    /// Wires, in the order of the record; every core of a cable is one.
    pub wires: Vec<DrawnWire>,
}

/// A device.
#[derive(Clone, Debug, PartialEq)]
pub struct WiredDevice {
    /// Its name in the record.
    pub name: String,
    /// What it is and where, in words.
    pub words: String,
    /// What it does in the circuit.
    pub role: Role,
    /// The catalog's kind.
    pub kind: String,
    /// The figure people ask for first (`15 A`, `60 W`); a question mark after it: told or assumed.
    pub rating: String,
    /// Its terminals.
    pub terminals: Vec<WiredTerminal>,
    /// Joined to the vehicle's body.
    pub is_body: bool,
    /// Belongs to the base vehicle.
    pub is_base_vehicle: bool,
}

/// A terminal.
#[derive(Clone, Debug, PartialEq)]
pub struct WiredTerminal {
    /// Its name on the device.
    pub name: String,
    /// What kind it is.
    pub pole: Pole,
    /// Which side of the circuit it is on.
    pub side: WireSide,
    /// For a way of a fuse box: the fuse in it.
    pub words: String,
}

/// Which side of the circuit a wire or terminal is on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WireSide {
    /// From the sources.
    Feed,
    /// Joined to the return of a source.
    Return,
    /// Next to no current.
    Signal,
    /// The mains side.
    Mains,
}

/// A wire.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnWire {
    /// Its name.
    pub name: String,
    /// Both ends as written.
    pub ends: [DrawnEnd; 2],
    /// Size as written; empty: not known; a question mark after it: told or assumed.
    pub size: String,
    /// Colour as written.
    pub colour: Option<String>,
    /// Length, like the size.
    pub length: String,
    /// Which side it is on.
    pub side: WireSide,
    /// All of it in words.
    pub words: String,
}

/// An end of a wire.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DrawnEnd {
    /// On a terminal, by index.
    At {
        /// Of the device.
        device: usize,
        /// Of the terminal on it.
        terminal: usize,
    },
    /// Behind a part, by what people call it.
    Behind(String),
    /// Not seen.
    Unseen,
}

/// The wires in one state.
#[derive(Clone, Debug, PartialEq)]
pub struct WiringState {
    /// Its name.
    pub name: String,
    /// In words.
    pub words: String,
    /// `settles`, `hunts` or `no answer`.
    pub outcome: String,
    /// Each wire, in the order of [`WiringView::wires`].
    pub wires: Vec<WireInState>,
}

/// A wire in a state.
#[derive(Clone, Debug, PartialEq)]
pub struct WireInState {
    /// What it is.
    pub status: LineUse,
    /// Joined to nothing that fixes its voltage.
    pub is_floating: bool,
    /// Current, A; absent where the sums say none.
    pub current_a: Option<f64>,
    /// Current and drop, short; the drop also as a share of the vehicle's nominal voltage where that
    /// is known. Empty where nothing flows.
    pub words: String,
}

/// A finding and what it is about.
#[derive(Clone, Debug, PartialEq)]
pub struct WiringFinding {
    /// Its number in the review, from 1.
    pub number: usize,
    /// `DANGER`, `WARNING`, `CAUTION` or `NOTICE`.
    pub signal: String,
    /// One sentence.
    pub message: String,
    /// Wires, by index.
    pub wires: Vec<usize>,
    /// Devices it is about on the direct-current side, by index.
    pub devices: Vec<usize>,
    /// Devices it is about on the mains side, by index.
    pub mains_devices: Vec<usize>,
}

/// Currents below this are shown as none, A.
const NOTHING_A: f64 = 5e-3;

impl Case {
    /// The wiring.
    pub fn wiring(&self) -> WiringView {
        let vehicle = self.vehicle();
        let is_return = self.return_side();
        WiringView {
            devices: vehicle
                .devices
                .iter()
                .map(|(id, device)| self.wired_device(id, device, &is_return))
                .collect(),
            wires: vehicle.wires.ids().map(|id| self.drawn_wire(id, &is_return)).collect(),
        }
    }

    /// For each terminal whether it is on the return side in any state.
    fn return_side(&self) -> Vec<bool> {
        let vehicle = self.vehicle();
        let returns: Vec<_> = self
            .states()
            .map(|(_, _, network, _)| (network::return_points(vehicle, network), network))
            .collect();
        vehicle
            .terminals
            .ids()
            .map(|id| {
                returns.iter().any(|(points, network)| points.contains(&network.graph.stud(id)))
            })
            .collect()
    }

    fn wired_device(&self, id: DeviceId, device: &Device, is_return: &[bool]) -> WiredDevice {
        let terminals = device
            .terminals
            .iter()
            .map(|&terminal| WiredTerminal {
                name: self.vehicle().terminals[terminal].name.clone(),
                pole: self.vehicle().terminals[terminal].pole,
                side: self.side(terminal, is_return),
                words: way_words(device, terminal),
            })
            .collect();
        let place = self.place_view(Place::Device(id));
        WiredDevice {
            name: device.name.clone(),
            words: format!("{}: {} ({})", device.name, place.label, device.kind),
            role: device.role,
            kind: device.kind.clone(),
            rating: rating(device),
            terminals,
            is_body: device.is_chassis,
            is_base_vehicle: device.base_vehicle,
        }
    }

    fn side(&self, terminal: TerminalId, is_return: &[bool]) -> WireSide {
        match self.vehicle().terminals[terminal].pole {
            pole if pole.is_ac() => WireSide::Mains,
            Pole::Signal => WireSide::Signal,
            Pole::Minus => WireSide::Return,
            Pole::Any if is_return[model::Id::index(terminal)] => WireSide::Return,
            _ => WireSide::Feed,
        }
    }

    fn drawn_wire(&self, id: WireId, is_return: &[bool]) -> DrawnWire {
        let wire = &self.vehicle().wires[id];
        let row = self.wire_row(id);
        let sides: Vec<WireSide> = WireEnd::BOTH
            .into_iter()
            .filter_map(|end| wire.terminal(end))
            .map(|terminal| self.side(terminal, is_return))
            .collect();
        let side = [WireSide::Mains, WireSide::Signal]
            .into_iter()
            .find(|side| sides.contains(side))
            .unwrap_or(if !sides.is_empty() && sides.iter().all(|s| *s == WireSide::Return) {
                WireSide::Return
            } else {
                WireSide::Feed
            });
        DrawnWire {
            name: wire.name.clone(),
            ends: WireEnd::BOTH.map(|end| self.drawn_end(id, end)),
            size: marked(&wire.area, &wire.size_words),
            colour: wire.colour.clone(),
            length: wire
                .length
                .value()
                .map_or_else(String::new, |length| marked(&wire.length, &length.to_string())),
            side,
            words: format!(
                "{}: {} to {}, {}, {}, {}",
                row.name, row.from, row.to, row.size, row.length, row.make
            ),
        }
    }

    fn drawn_end(&self, id: WireId, end: WireEnd) -> DrawnEnd {
        let vehicle = self.vehicle();
        match vehicle.wires[id].end(end).landing {
            Landing::Behind(part) => DrawnEnd::Behind(vehicle.parts[part].label.clone()),
            Landing::Unknown => DrawnEnd::Unseen,
            Landing::At(terminal) => {
                let device = vehicle.terminals[terminal].device;
                let at = vehicle.devices[device].terminals.iter().position(|&t| t == terminal);
                DrawnEnd::At { device: model::Id::index(device), terminal: at.unwrap_or_default() }
            }
        }
    }

    /// Every state with each wire in it, in the order of [`WiringView::wires`].
    pub fn wiring_states(&self) -> Vec<WiringState> {
        let vehicle = self.vehicle();
        let nominal_v = vehicle.nominal.value().map(|volt| volt.si());
        self.states()
            .map(|(_, state, network, outcome)| {
                let map = live::map(vehicle, state, network);
                let point = points(outcome).first();
                let wires = vehicle
                    .wires
                    .ids()
                    .map(|id| {
                        let status = map.wire(id).status;
                        self.wire_in_state(id, status, network, point, nominal_v)
                    })
                    .collect();
                WiringState {
                    name: state.name.clone(),
                    words: states::words(vehicle, state),
                    outcome: states::outcome_word(outcome).to_owned(),
                    wires,
                }
            })
            .collect()
    }

    fn wire_in_state(
        &self,
        id: WireId,
        status: Status,
        network: &Network,
        point: Option<&OperatingPoint>,
        nominal_v: Option<f64>,
    ) -> WireInState {
        let floats = |at: Point| match (network.node(at), point) {
            (Some(node), Some(point)) => {
                matches!(point.voltage(node), NodeVoltage::Floating { .. })
            }
            _ => false,
        };
        let is_floating = status == Status::NotReached
            && WireEnd::BOTH.into_iter().any(|end| floats(network.graph.wire_end(id, end)));
        let (mut current_a, mut words) = (None, String::new());
        if let (Some(branch), Some(point)) = (network.wire_branch(id), point) {
            let ampere = point.current(branch).abs();
            if ampere >= NOTHING_A {
                current_a = Some(ampere);
                words = flow_words(ampere, point.power(branch).abs() / ampere, nominal_v);
            }
        }
        let status = match status {
            Status::Live => LineUse::Live,
            Status::MayBeLive => LineUse::MayBeLive,
            Status::Return => LineUse::Return,
            Status::NotReached => LineUse::NotReached,
        };
        WireInState { status, is_floating, current_a, words }
    }

    /// What fails, numbered as in the review, with the wires and devices it is about.
    pub fn wiring_findings(&self) -> Vec<WiringFinding> {
        let named = self.drawn_places();
        let fails = self.found().fails;
        let told = |(at, view): (usize, &FindingView)| self.wiring_finding(at + 1, view, &named);
        fails.iter().enumerate().map(told).collect()
    }

    /// Everything that stands on a wiring drawing, by its name.
    fn drawn_places(&self) -> BTreeMap<String, Vec<Place>> {
        let vehicle = self.vehicle();
        let joints = |(_, wire): (WireId, &model::Wire)| {
            WireEnd::BOTH.map(|end| Place::Joint(wire.end(end).joint))
        };
        let places = vehicle
            .devices
            .ids()
            .map(Place::Device)
            .chain(vehicle.terminals.ids().map(Place::Terminal))
            .chain(vehicle.wires.ids().map(Place::Wire))
            .chain(vehicle.wires.iter().flat_map(joints));
        let mut named: BTreeMap<String, Vec<Place>> = BTreeMap::new();
        for place in places {
            named.entry(vehicle.place_name(place)).or_default().push(place);
        }
        named
    }

    fn wiring_finding(
        &self,
        number: usize,
        view: &FindingView,
        named: &BTreeMap<String, Vec<Place>>,
    ) -> WiringFinding {
        let vehicle = self.vehicle();
        let of = |name: &str| named.get(name).into_iter().flatten().copied();
        let related: Vec<Place> = view.related.iter().flat_map(|place| of(&place.name)).collect();
        let is_state = |id| vehicle.place_name(Place::State(id)) == view.place.name;
        // A state stands nowhere: what is found in it is marked at what it names.
        let marked: Vec<Place> = match vehicle.states.ids().any(is_state) {
            true => related.clone(),
            false => of(&view.place.name).collect(),
        };
        // What has both sides is marked on the one that the rest of the finding is about.
        let about = related
            .iter()
            .map(|place| self.sides_of(*place))
            .filter(|[direct, mains]| direct != mains)
            .fold([false; 2], |all, one| [all[0] || one[0], all[1] || one[1]]);
        let devices = |side: usize| {
            let mut devices: Vec<usize> = marked
                .iter()
                .filter(|place| {
                    let own = self.sides_of(**place);
                    let is_told = (0..2).any(|side| own[side] && about[side]);
                    own[side] && (about[side] || !is_told)
                })
                .filter_map(|place| match place {
                    Place::Device(id) => Some(*id),
                    Place::Terminal(id) => Some(vehicle.terminals[*id].device),
                    _ => None,
                })
                .map(model::Id::index)
                .collect();
            devices.sort_unstable();
            devices.dedup();
            devices
        };
        let wire = |place: &Place| match place {
            Place::Wire(id) => Some(*id),
            Place::Joint(id) => Some(vehicle.joints[*id].wire),
            _ => None,
        };
        let mut wires: Vec<usize> = marked.iter().filter_map(wire).map(model::Id::index).collect();
        wires.sort_unstable();
        wires.dedup();
        WiringFinding {
            number,
            signal: view.signal.clone(),
            message: view.message.clone(),
            wires,
            devices: devices(0),
            mains_devices: devices(1),
        }
    }

    /// Whether something has to do with the direct-current side, and whether with the mains side.
    fn sides_of(&self, place: Place) -> [bool; 2] {
        let vehicle = self.vehicle();
        let is_mains = |terminal: &TerminalId| vehicle.terminals[*terminal].pole.is_ac();
        let on = |is_mains: bool| [!is_mains, is_mains];
        match place {
            Place::Wire(id) => on(vehicle.is_ac(id)),
            Place::Joint(id) => on(vehicle.is_ac(vehicle.joints[id].wire)),
            Place::Terminal(id) => on(is_mains(&id)),
            Place::Device(id) => {
                let terminals = &vehicle.devices[id].terminals;
                [terminals.iter().any(|t| !is_mains(t)), terminals.iter().any(is_mains)]
            }
            _ => [true, true],
        }
    }
}

/// `3.2 A, 45 mV (0.4 %)`.
fn flow_words(ampere: f64, drop_v: f64, nominal_v: Option<f64>) -> String {
    let current = Ampere::from_si(ampere);
    match nominal_v {
        Some(nominal_v) if nominal_v > 0.0 => {
            format!("{current} {:.1} %", 100.0 * drop_v / nominal_v)
        }
        _ => format!("{current} {}", Volt::from_si(drop_v)),
    }
}

/// A question mark after what was neither seen nor measured.
fn marked<T>(fact: &Fact<T>, words: &str) -> String {
    match fact.origin() {
        None => String::new(),
        Some(Origin::Seen { .. } | Origin::Measured { .. }) => words.to_owned(),
        Some(Origin::Told { .. } | Origin::Assumed { .. }) => format!("{words}?"),
    }
}

/// The figure people ask for first.
pub(crate) fn rating(device: &Device) -> String {
    let attribute = match device.role {
        Role::Battery => Attribute::Holds,
        Role::Alternator | Role::DcDcCharger | Role::MainsCharger => Attribute::Limit,
        Role::SolarController | Role::DirectController => Attribute::Limit,
        Role::SolarModule | Role::Inverter | Role::PowerLoad | Role::HeatingLoad => {
            Attribute::Power
        }
        Role::LampLoad | Role::Generator | Role::AcLoad => Attribute::Power,
        _ => Attribute::Rated,
    };
    let fact = device.fact(attribute);
    fact.value().map_or_else(String::new, |&value| {
        marked(&fact, &units::format(value, attribute.dimension(), System::Metric))
    })
}

pub(crate) fn way_words(device: &Device, terminal: TerminalId) -> String {
    let Some(way) = device.ways.iter().find(|way| way.terminal == terminal) else {
        return String::new();
    };
    way.rated.value().map_or_else(|| "? A".to_owned(), |a| marked(&way.rated, &a.to_string()))
}
