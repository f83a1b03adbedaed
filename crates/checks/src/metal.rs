//! What metal joins: short questions that several checks ask of a network.

use model::{DeviceId, Role, TerminalId, Vehicle, WireEnd, WireId};
use network::{Item, LinkId, Network, Passage, Walk};

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
    let converts = |id: DeviceId| {
        matches!(
            vehicle.devices[id].role,
            Role::DcDcCharger | Role::SolarController | Role::DirectController
        )
    };
    network.graph.walk([network.graph.stud(from)], |link, _| match link.item {
        Item::Device(id) if converts(id) => false,
        Item::Device(id) if link.passage == Passage::Maybe => vehicle.devices[id].role.is_relay(),
        _ => matches!(link.passage, Passage::Metal | Passage::OneWay | Passage::Open),
    })
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
    vehicle.wires.ids().find(|id| {
        WireEnd::BOTH.into_iter().any(|end| {
            vehicle.wires[*id].terminal(end).is_none()
                && walk.reaches(network.graph.wire_end(*id, end))
        })
    })
}

/// The wires of a path, by name.
pub(crate) fn named(vehicle: &Vehicle, network: &Network, path: &[LinkId]) -> String {
    let wires = wires_of(network, path);
    let names: Vec<&str> = wires.iter().map(|wire| vehicle.wires[*wire].name.as_str()).collect();
    names.join(", ")
}
