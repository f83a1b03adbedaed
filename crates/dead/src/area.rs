//! Which conductors belong to a work area: what is named, and what is behind the parts that are named.

use std::collections::BTreeSet;

use model::{DeviceId, Id, Landing, PartId, TerminalId, Vehicle, WireEnd, WireId};
use network::Network;

/// The name that stands for the whole vehicle.
pub const EVERYTHING: &str = "everything";

/// Conductors of a work area.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Area {
    /// Studs.
    pub terminals: BTreeSet<TerminalId>,
    /// Wires, both ends.
    pub wires: BTreeSet<WireId>,
    /// Devices that are worked on.
    pub devices: BTreeSet<DeviceId>,
    /// Parts that come out for the work.
    pub parts: BTreeSet<PartId>,
}

/// The work area of some names: devices, wires, spots, parts, or `everything`.
///
/// A device counts with its studs and the ends of wires on them; a wire with both its ends; a part with
/// every device it may hide, every wire that runs or ends behind it; a spot with the devices recorded
/// to be there and everything behind the parts that hide it.
///
/// # Errors
/// The names that are nothing of the kind.
pub fn area(vehicle: &Vehicle, names: &[String]) -> Result<Area, Vec<String>> {
    let mut area = Area::default();
    let unknown: Vec<String> =
        names.iter().filter(|name| !area.add(vehicle, name)).cloned().collect();
    if unknown.is_empty() { Ok(area) } else { Err(unknown) }
}

impl Area {
    fn add(&mut self, vehicle: &Vehicle, name: &str) -> bool {
        if name == EVERYTHING {
            self.terminals.extend(vehicle.terminals.ids());
            self.wires.extend(vehicle.wires.ids());
            self.devices.extend(vehicle.devices.ids());
            return true;
        }
        if let Some((id, _)) = vehicle.devices.find(|device| device.name == name) {
            self.device(vehicle, id);
            return true;
        }
        if let Some((id, _)) = vehicle.wires.find(|wire| wire.name == name) {
            self.wires.insert(id);
            return true;
        }
        if let Some((id, _)) = vehicle.parts.find(|part| part.name == name) {
            self.parts.insert(id);
            self.behind(vehicle, id);
            return true;
        }
        let Some((_, spot)) = vehicle.spots.find(|spot| spot.name == name) else { return false };
        let there = |words: &str| words == spot.name || words == spot.label;
        let devices = vehicle.devices.iter().filter(|(_, device)| there(&device.place_words));
        devices.for_each(|(id, _)| self.device(vehicle, id));
        let hides: BTreeSet<PartId> =
            spot.reach.value().into_iter().flatten().flatten().copied().collect();
        hides.into_iter().for_each(|part| self.behind(vehicle, part));
        true
    }

    fn device(&mut self, vehicle: &Vehicle, id: DeviceId) {
        self.devices.insert(id);
        self.terminals.extend(&vehicle.devices[id].terminals);
    }

    /// Everything a part may hide.
    fn behind(&mut self, vehicle: &Vehicle, part: PartId) {
        for (id, device) in vehicle.devices.iter() {
            if device.reach.value().is_some_and(|reach| reach.iter().flatten().any(|p| *p == part))
            {
                self.device(vehicle, id);
            }
        }
        for (id, wire) in vehicle.wires.iter() {
            let ends =
                WireEnd::BOTH.iter().any(|end| wire.end(*end).landing == Landing::Behind(part));
            if ends || wire.runs_behind == Some(part) {
                self.wires.insert(id);
            }
        }
    }

    /// Nothing belongs to it.
    pub fn is_empty(&self) -> bool {
        self.terminals.is_empty() && self.wires.is_empty()
    }

    /// Its points, by their place in the graph: studs, ends of its wires, ends of wires on its studs.
    pub fn points(&self, vehicle: &Vehicle, network: &Network) -> Vec<usize> {
        let graph = &network.graph;
        let mut points: BTreeSet<usize> =
            self.terminals.iter().map(|t| graph.index(graph.stud(*t))).collect();
        for (id, wire) in vehicle.wires.iter() {
            let all = self.wires.contains(&id);
            for end in WireEnd::BOTH {
                let on_stud = wire.terminal(end).is_some_and(|t| self.terminals.contains(&t));
                if all || on_stud {
                    points.insert(graph.index(graph.wire_end(id, end)));
                }
            }
        }
        points.into_iter().collect()
    }

    /// What hides a part of the area: the parts themselves, as the planner numbers them.
    pub fn openings(&self) -> Vec<access::Target> {
        let target = |part: &PartId| access::Target {
            name: "the work area".to_owned(),
            ways: vec![vec![access::PartIdx(part.index())]],
        };
        self.parts.iter().map(target).collect()
    }
}
