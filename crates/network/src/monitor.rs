//! What a shunt monitor displays beside what its battery really takes or gives. It sees only what
//! flows through its shunt, by the resistance it is set for.

use model::{Attribute, DeviceId, Pole, Role, TerminalId, Vehicle};
use solve::{OperatingPoint, Reading};

use crate::Network;
use crate::graph::{Item, Passage, Walk};
use crate::reading::Shown;

/// Below this a display that stands apart from the truth is rounding, A.
const NOTHING_A: f64 = 1e-6;

/// What one shunt's monitor shows in an operating point. Currents are positive while charging.
#[derive(Clone, Debug, PartialEq)]
pub struct Displayed {
    /// The shunt.
    pub shunt: DeviceId,
    /// The display that is joined to it, if one is recorded.
    pub monitor: Option<DeviceId>,
    /// The batteries it stands for.
    pub batteries: Vec<DeviceId>,
    /// What it displays, A.
    pub display_a: f64,
    /// What its batteries take together, A.
    pub truth_a: f64,
    /// Resistance of the shunt over the one the display is set for; one where nothing else is known.
    pub scale: f64,
    /// Capacity the display is set for, Ah.
    pub set_for_ah: Option<f64>,
}

impl Displayed {
    /// Charge by which the display runs ahead of the battery in an hour, Ah (`(I shown - I) 1 h`).
    pub fn drift_ah_per_hour(&self) -> f64 {
        let drift = self.display_a - self.truth_a;
        if drift.abs() < NOTHING_A { 0.0 } else { drift }
    }

    /// The same as a part of the capacity it is set for.
    pub fn drift_share_per_hour(&self) -> Option<f64> {
        Some(self.drift_ah_per_hour() / self.set_for_ah?)
    }
}

/// Every shunt that has a battery on one side.
///
/// `display = I R / R_set + offset`, `I` the shunt's current from its battery side to its system
/// side, `R` its resistance, `R_set` what the monitor is set for; a shunt the wrong way round
/// therefore shows the wrong sign. `truth` is the sum over the house batteries whose minus is joined
/// to it. Source: Ohm's law. Checked by: `tests::monitors`.
pub fn displays(vehicle: &Vehicle, network: &Network, point: &OperatingPoint) -> Vec<Displayed> {
    let shunts = vehicle.devices.iter().filter(|(_, device)| device.role == Role::Shunt);
    shunts.filter_map(|(id, _)| display(vehicle, network, point, id)).collect()
}

/// What the display of a monitor shows, as a reading of its shunt's current; `None` where it is not
/// known which shunt is its own.
pub(crate) fn shown_on(vehicle: &Vehicle, network: &Network, device: DeviceId) -> Option<Shown> {
    let (shunt, branch) = vehicle.devices.iter().find_map(|(id, of)| {
        let is_shunt = of.role == Role::Shunt;
        let sides = [vehicle.terminal_of(id, "battery")?, vehicle.terminal_of(id, "system")?];
        let is_own = is_shunt && monitor(vehicle, sides) == Some(device);
        let contact = network.contacts_of(id).first()?;
        is_own.then_some((id, contact.2))
    })?;
    let scale = scale(vehicle, shunt, Some(device));
    let offset_a = vehicle.devices[device].number(Attribute::Offset).unwrap_or(0.0);
    Some(Shown { reading: Reading::Current(branch), times: scale, plus: offset_a })
}

/// Resistance of a shunt over the one its display is set for; one where nothing else is known.
fn scale(vehicle: &Vehicle, shunt: DeviceId, monitor: Option<DeviceId>) -> f64 {
    let of = |id: DeviceId| vehicle.devices[id].number(Attribute::Resistance);
    match (of(shunt), monitor.and_then(of)) {
        (Some(ohm), Some(set_for)) if set_for > 0.0 => ohm / set_for,
        _ => 1.0,
    }
}

fn display(
    vehicle: &Vehicle,
    network: &Network,
    point: &OperatingPoint,
    shunt: DeviceId,
) -> Option<Displayed> {
    let (battery_side, system_side) =
        (vehicle.terminal_of(shunt, "battery")?, vehicle.terminal_of(shunt, "system")?);
    let branch = network.contacts_of(shunt).first()?.2;
    let mut batteries = batteries_from(vehicle, network, shunt, battery_side, system_side);
    if batteries.is_empty() {
        // The wrong way round: its battery is on the other side, and the sign comes out wrong.
        batteries = batteries_from(vehicle, network, shunt, system_side, battery_side);
    }
    if batteries.is_empty() {
        return None;
    }
    let monitor = monitor(vehicle, [battery_side, system_side]);
    let of_monitor = |attribute| monitor.and_then(|id| vehicle.devices[id].number(attribute));
    let scale = scale(vehicle, shunt, monitor);
    let offset_a = of_monitor(Attribute::Offset).unwrap_or(0.0);
    let truth_a = network
        .ports
        .iter()
        .filter(|port| batteries.contains(&port.device))
        .map(|port| point.current(port.branch))
        .sum();
    let display_a = point.current(branch) * scale + offset_a;
    let set_for_ah = of_monitor(Attribute::Holds);
    Some(Displayed { shunt, monitor, batteries, display_a, truth_a, scale, set_for_ah })
}

/// House batteries whose minus wires and busbars join to a side of a shunt: not through the shunt,
/// not past its other side, not over the body.
fn batteries_from(
    vehicle: &Vehicle,
    network: &Network,
    shunt: DeviceId,
    side: TerminalId,
    other: TerminalId,
) -> Vec<DeviceId> {
    let stop = network.graph.stud(other);
    let walk = network.graph.walk([network.graph.stud(side)], |link, at| {
        link.passage == Passage::Metal
            && link.item != Item::Device(shunt)
            && link.item != Item::Body
            && at != stop
    });
    let is_on_it = |id: DeviceId| minus_reached(vehicle, network, &walk, id);
    vehicle
        .devices
        .iter()
        .filter(|(id, device)| {
            device.role == Role::Battery && !device.base_vehicle && is_on_it(*id)
        })
        .map(|(id, _)| id)
        .collect()
}

fn minus_reached(vehicle: &Vehicle, network: &Network, walk: &Walk, id: DeviceId) -> bool {
    let mut terminals = vehicle.devices[id].terminals.iter();
    terminals.any(|terminal| {
        vehicle.terminals[*terminal].pole == Pole::Minus
            && walk.reaches(network.graph.stud(*terminal))
    })
}

/// The display whose sense lead ends on one side of the shunt; the only one of the vehicle where no
/// lead is recorded.
fn monitor(vehicle: &Vehicle, sides: [TerminalId; 2]) -> Option<DeviceId> {
    let all: Vec<DeviceId> = vehicle
        .devices
        .iter()
        .filter(|(_, device)| device.role == Role::Monitor)
        .map(|(id, _)| id)
        .collect();
    let sense = |id: &DeviceId| vehicle.terminal_of(*id, "shunt");
    let lands = |id: &DeviceId| {
        let Some(sense) = sense(id) else { return false };
        vehicle.wires_at(sense).any(|(wire, _)| {
            model::WireEnd::BOTH
                .into_iter()
                .any(|end| vehicle.wires[wire].terminal(end).is_some_and(|t| sides.contains(&t)))
        })
    };
    if let Some(wired) = all.iter().copied().find(lands) {
        return Some(wired);
    }
    match all.as_slice() {
        [only] if sense(only).is_some_and(|t| vehicle.wires_at(t).next().is_none()) => Some(*only),
        _ => None,
    }
}
