//! What metal joins: short questions that several checks ask of a network.

use std::collections::BTreeMap;

use model::{DeviceId, Role, TerminalId, Vehicle, WireId};
use network::{Item, Link, LinkId, Network, Passage, Point, Walk};

use crate::circuits::wires_of;

/// Everything metal joins to a terminal, as switches and fuses stand.
pub(crate) fn metal(network: &Network, from: TerminalId) -> Walk {
    network.graph.metal([network.graph.stud(from)])
}

/// Everything that is joined to a terminal once every switch and fuse is closed, diodes included.
pub(crate) fn closable(network: &Network, from: TerminalId) -> Walk {
    network.graph.walk([network.graph.stud(from)], |link, _| {
        matches!(link.passage, Passage::Metal | Passage::OneWay | Passage::Open)
    })
}

/// The same through the contacts of relays, but not through chargers and controllers, which limit what
/// they pass on.
pub(crate) fn unlimited(vehicle: &Vehicle, network: &Network, from: TerminalId) -> Walk {
    network.graph.walk([network.graph.stud(from)], |link, _| is_unlimited(vehicle, link))
}

/// A link of [`unlimited`].
pub(crate) fn is_unlimited(vehicle: &Vehicle, link: &Link) -> bool {
    let converts = |id: DeviceId| {
        matches!(
            vehicle.devices[id].role,
            Role::DcDcCharger | Role::SolarController | Role::DirectController
        )
    };
    match link.item {
        Item::Device(id) if converts(id) => false,
        Item::Device(id) if link.passage == Passage::Maybe => vehicle.devices[id].role.is_relay(),
        _ => matches!(link.passage, Passage::Metal | Passage::OneWay | Passage::Open),
    }
}

/// Metal between protective contacts.
pub(crate) fn is_bare_metal(vehicle: &Vehicle, link: &Link) -> bool {
    let protects = matches!(link.item, Item::Device(id) if vehicle.devices[id].role.protects());
    link.passage == Passage::Metal && !protects
}

/// All points of a network by the piece they are in: what a walk from any point of a piece comes to, told
/// for all of them at once.
pub(crate) struct Pieces {
    of: Vec<u32>,
    /// The first wire of a piece with an end of it that nobody has seen.
    unseen: BTreeMap<u32, WireId>,
}

impl Pieces {
    /// Joined by links that let pass both ways alike.
    pub(crate) fn of(
        vehicle: &Vehicle,
        network: &Network,
        joins: impl Fn(&Link) -> bool,
    ) -> Pieces {
        const NONE: u32 = u32::MAX;
        let graph = &network.graph;
        let mut pieces = Pieces { of: vec![NONE; graph.point_count()], unseen: BTreeMap::new() };
        for (number, start) in graph.points().enumerate() {
            if pieces.of[graph.index(start)] != NONE {
                continue;
            }
            let walk = graph.walk([start], |link, _| joins(link));
            for point in walk.reached() {
                pieces.of[graph.index(*point)] = number as u32;
            }
            if let Some(wire) = unseen(vehicle, network, &walk) {
                pieces.unseen.insert(number as u32, wire);
            }
        }
        pieces
    }

    /// The piece a stud is in.
    pub(crate) fn at(&self, network: &Network, terminal: TerminalId) -> u32 {
        self.of[network.graph.index(network.graph.stud(terminal))]
    }

    /// A wire of a piece that goes on where nobody has seen.
    pub(crate) fn unseen(&self, piece: u32) -> Option<WireId> {
        self.unseen.get(&piece).copied()
    }

    /// The pieces of the plus posts of batteries.
    pub(crate) fn of_batteries(&self, vehicle: &Vehicle, network: &Network) -> Vec<u32> {
        let batteries = vehicle.devices.iter().filter(|(_, row)| row.role == Role::Battery);
        let pluses = batteries.filter_map(|(id, _)| vehicle.terminal_of(id, "+"));
        pluses.map(|plus| self.at(network, plus)).collect()
    }
}

/// True when a walk came to a terminal of a device.
pub(crate) fn reaches(
    vehicle: &Vehicle,
    network: &Network,
    walk: &Walk,
    (device, terminal): (DeviceId, &str),
) -> bool {
    let terminal = vehicle.terminal_of(device, terminal);
    terminal.is_some_and(|terminal| walk.reaches(network.graph.stud(terminal)))
}

/// A wire the walk came to whose other end nobody has seen.
pub(crate) fn unseen(vehicle: &Vehicle, network: &Network, walk: &Walk) -> Option<WireId> {
    let ends = walk.reached().iter().filter_map(|point: &Point| network.graph.wire_at(*point));
    let lost = ends.filter(|(id, end)| vehicle.wires[*id].terminal(*end).is_none());
    lost.map(|(id, _)| id).min()
}

/// The wires of a path, by name.
pub(crate) fn named(vehicle: &Vehicle, network: &Network, path: &[LinkId]) -> String {
    let wires = wires_of(network, path);
    let names: Vec<&str> = wires.iter().map(|wire| vehicle.wires[*wire].name.as_str()).collect();
    names.join(", ")
}
