//! Which side of the circuit a point is on, and where sources deliver. Shared by everything that
//! asks what feeds a wire; judges nothing.

use std::collections::BTreeSet;

use model::{DeviceId, Pole, Role, TerminalId, Vehicle, WireEnd, WireId};

use crate::build::Network;
use crate::graph::Point;

/// Feed-side terminals a source delivers from.
pub fn source_terminals(vehicle: &Vehicle, id: DeviceId, role: Role) -> Vec<TerminalId> {
    let name = match role {
        Role::Battery
        | Role::Alternator
        | Role::SolarModule
        | Role::SolarController
        | Role::DirectController
        | Role::MainsCharger => "+",
        Role::DcDcCharger => "out+",
        _ => return Vec::new(),
    };
    vehicle.terminal_of(id, name).into_iter().collect()
}

/// Points joined by metal to the return of a source. The minus of a block whose metal also carries
/// a battery plus (the middle of a series bank) is not a return.
pub fn return_points(vehicle: &Vehicle, network: &Network) -> BTreeSet<Point> {
    let pluses: Vec<Point> = vehicle
        .devices
        .iter()
        .filter(|(_, device)| device.role == Role::Battery)
        .filter_map(|(id, _)| vehicle.terminal_of(id, "+"))
        .map(|terminal| network.graph.stud(terminal))
        .collect();
    let mut starts = vec![network.graph.body()];
    for (id, device) in vehicle.devices.iter() {
        if device.role.is_dc_source() {
            starts.extend(
                vehicle.devices[id]
                    .terminals
                    .iter()
                    .filter(|t| vehicle.terminals[**t].pole == Pole::Minus)
                    .map(|t| network.graph.stud(*t)),
            );
        }
    }
    let (mut points, mut walked) = (BTreeSet::new(), BTreeSet::new());
    for start in starts {
        // Metal that was walked already is the same piece.
        if walked.contains(&start) {
            continue;
        }
        let walk = network.graph.metal([start]);
        walked.extend(walk.reached().iter().copied());
        if !pluses.iter().any(|plus| walk.reaches(*plus)) {
            points.extend(walk.reached().iter().copied());
        }
    }
    points
}

/// A wire of the base vehicle as its maker laid it: both ends on base-vehicle devices.
pub fn is_base_vehicle(vehicle: &Vehicle, wire: WireId) -> bool {
    let mut ends = WireEnd::BOTH.into_iter().map(|end| vehicle.wires[wire].terminal(end));
    ends.all(|terminal| {
        terminal.is_some_and(|t| {
            let device = &vehicle.devices[vehicle.terminals[t].device];
            device.base_vehicle || device.is_chassis
        })
    })
}
