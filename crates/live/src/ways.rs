//! The ways current can take: the network's links, and those inside devices which the circuit has
//! no use for but a live map must not leave out. Knows no source and no status.

use model::{DeviceId, Landing, PartId, Pole, Role, TerminalId, Vehicle, WireEnd, WireId};
use network::{Item, LinkId, Network, Passage, Point};

use crate::{Cuts, Doubt, DoubtKind};

/// A way between two points.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Way {
    pub(crate) a: Point,
    pub(crate) b: Point,
    pub(crate) item: Item,
    pub(crate) passage: Passage,
    /// Set where the passage is [`Passage::Maybe`].
    pub(crate) doubt: Option<Doubt>,
    /// Energy may cross here, but the two sides share no return.
    pub(crate) isolated: bool,
    /// The link of the network it is; none inside devices.
    pub(crate) link: Option<LinkId>,
}

impl Way {
    /// The other point.
    pub(crate) fn beyond(&self, point: Point) -> Point {
        if self.a == point { self.b } else { self.a }
    }
}

/// All ways of a network, and which meet at each point.
pub(crate) struct Ways {
    all: Vec<Way>,
    at: Vec<Vec<usize>>,
}

impl Ways {
    pub(crate) fn new(vehicle: &Vehicle, network: &Network, cuts: &Cuts) -> Ways {
        let mut ways = Ways { all: Vec::new(), at: vec![Vec::new(); network.graph.point_count()] };
        for (id, link) in network.graph.links().filter(|(id, _)| !cuts.links.contains(id)) {
            let (doubt, isolated) = match link.passage {
                Passage::Maybe => (Some(doubt_of(vehicle, link.item)), crosses(vehicle, link.item)),
                _ => (None, false),
            };
            let way = Way {
                a: link.a,
                b: link.b,
                item: link.item,
                passage: link.passage,
                doubt,
                isolated,
                link: Some(id),
            };
            ways.push(network, way);
        }
        for id in vehicle.devices.ids() {
            ways.inside(vehicle, network, id);
        }
        ways.unseen(vehicle, network);
        ways
    }

    /// Rule 20: any two ends that vanish behind one part may be joined, and an end nobody has seen
    /// at all to any of them. Mains only with mains.
    fn unseen(&mut self, vehicle: &Vehicle, network: &Network) {
        let mut ends: Vec<UnseenEnd> = Vec::new();
        for (wire, row) in vehicle.wires.iter() {
            for end in WireEnd::BOTH {
                let behind = match row.end(end).landing {
                    Landing::At(_) => continue,
                    Landing::Behind(part) => Some(part),
                    Landing::Unknown => None,
                };
                let point = network.graph.wire_end(wire, end);
                ends.push(UnseenEnd { wire, point, behind, mains: vehicle.is_ac(wire) });
            }
        }
        for (index, a) in ends.iter().enumerate().take(MAX_UNSEEN) {
            for b in ends[index + 1..].iter().filter(|b| a.may_meet(b)) {
                self.may_join(network, a.point, b.point, b.wire);
            }
        }
    }

    fn may_join(&mut self, network: &Network, a: Point, b: Point, wire: WireId) {
        let item = Item::Wire(wire);
        let doubt = Some(Doubt { item, kind: DoubtKind::JoinedUnseen });
        let (passage, isolated) = (Passage::Maybe, false);
        self.push(network, Way { a, b, item, passage, doubt, isolated, link: None });
    }

    /// Every way.
    pub(crate) fn all(&self) -> &[Way] {
        &self.all
    }

    /// The ways at a point, by its place in the graph.
    pub(crate) fn at(&self, point: usize) -> impl Iterator<Item = &Way> {
        self.at[point].iter().map(|index| &self.all[*index])
    }

    fn push(&mut self, network: &Network, way: Way) {
        for point in [way.a, way.b] {
            self.at[network.graph.index(point)].push(self.all.len());
        }
        self.all.push(way);
    }

    /// What the circuit leaves out inside a device.
    fn inside(&mut self, vehicle: &Vehicle, network: &Network, id: DeviceId) {
        let terminals = &vehicle.devices[id].terminals;
        for (index, a) in terminals.iter().enumerate() {
            for b in &terminals[index + 1..] {
                if let Some((passage, kind)) = between(vehicle, id, *a, *b) {
                    self.add_inside(network, id, [*a, *b], passage, kind);
                }
            }
        }
    }

    fn add_inside(
        &mut self,
        network: &Network,
        id: DeviceId,
        ends: [TerminalId; 2],
        passage: Passage,
        kind: DoubtKind,
    ) {
        let [a, b] = ends.map(|end| network.graph.stud(end));
        let item = Item::Device(id);
        let known = network
            .graph
            .links_at(a)
            .any(|(_, link)| link.item == item && (link.a == b || link.b == b));
        if !known {
            let doubt = (passage == Passage::Maybe).then_some(Doubt { item, kind });
            self.push(network, Way { a, b, item, passage, doubt, isolated: false, link: None });
        }
    }
}

/// Unseen ends each of which is joined with all others; a record with more has every further end
/// joined with these.
const MAX_UNSEEN: usize = 200;

/// An end of a wire that nobody has seen.
struct UnseenEnd {
    wire: WireId,
    point: Point,
    behind: Option<PartId>,
    mains: bool,
}

impl UnseenEnd {
    fn may_meet(&self, other: &UnseenEnd) -> bool {
        let same_place =
            self.behind.is_none() || other.behind.is_none() || self.behind == other.behind;
        self.mains == other.mains && self.wire != other.wire && same_place
    }
}

/// The sides of a device that metal may or may not join.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    Input,
    Output,
    Other,
}

/// What may pass inside a device between two terminals; none where nothing does or the network
/// knows already.
fn between(
    vehicle: &Vehicle,
    id: DeviceId,
    a: TerminalId,
    b: TerminalId,
) -> Option<(Passage, DoubtKind)> {
    let [pole_a, pole_b] = [a, b].map(|t| vehicle.terminals[t].pole);
    if pole_a == Pole::Earth || pole_b == Pole::Earth {
        return None;
    }
    let electronics = Some((Passage::Maybe, DoubtKind::ThroughElectronics));
    let same_side = pole_a.is_ac() == pole_b.is_ac();
    match vehicle.devices[id].role {
        Role::AcLoad if same_side => Some((Passage::Load, DoubtKind::InsideUnknown)),
        Role::MainsCharger if pole_a.is_ac() && pole_b.is_ac() => {
            Some((Passage::Load, DoubtKind::InsideUnknown))
        }
        Role::Inverter if pole_a.is_ac() && pole_b.is_ac() => inverter(vehicle, a, b),
        Role::MainsCharger if same_side => electronics,
        Role::DcDcCharger if !across_isolation(vehicle, id, a, b) => electronics,
        Role::SolarController
        | Role::DirectController
        | Role::Alternator
        | Role::Monitor
        | Role::CombinerRelay => electronics,
        Role::Other => Some((Passage::Maybe, DoubtKind::InsideUnknown)),
        _ => None,
    }
}

/// Input to output of the same pole: the changeover. Within input or output: its filter.
fn inverter(vehicle: &Vehicle, a: TerminalId, b: TerminalId) -> Option<(Passage, DoubtKind)> {
    if side(vehicle, a) == side(vehicle, b) {
        return Some((Passage::Maybe, DoubtKind::ThroughElectronics));
    }
    let same_pole = vehicle.terminals[a].pole == vehicle.terminals[b].pole;
    same_pole.then_some((Passage::Maybe, DoubtKind::Changeover))
}

fn across_isolation(vehicle: &Vehicle, id: DeviceId, a: TerminalId, b: TerminalId) -> bool {
    let output = |t| side(vehicle, t) == Side::Output;
    is_isolated(vehicle, id) && output(a) != output(b)
}

fn side(vehicle: &Vehicle, terminal: TerminalId) -> Side {
    let name = &vehicle.terminals[terminal].name;
    if name.starts_with("in") {
        Side::Input
    } else if name.starts_with("out") {
        Side::Output
    } else {
        Side::Other
    }
}

fn is_isolated(vehicle: &Vehicle, id: DeviceId) -> bool {
    vehicle.terminal_of(id, "in-").is_some()
}

fn crosses(vehicle: &Vehicle, item: Item) -> bool {
    matches!(item, Item::Device(id)
        if vehicle.devices[id].role == Role::DcDcCharger && is_isolated(vehicle, id))
}

fn doubt_of(vehicle: &Vehicle, item: Item) -> Doubt {
    let kind = match item {
        Item::Device(id) => match vehicle.devices[id].role {
            Role::CombinerRelay | Role::Relay => DoubtKind::RelayMayClose,
            Role::DcDcCharger | Role::SolarController | Role::DirectController => {
                DoubtKind::ThroughConverter
            }
            _ => DoubtKind::InsideUnknown,
        },
        _ => DoubtKind::InsideUnknown,
    };
    Doubt { item, kind }
}
