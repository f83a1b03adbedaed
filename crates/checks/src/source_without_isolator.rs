//! Check: `source-without-isolator`.

use model::{Attribute, Confidence, Device, DeviceId, Place, Role, Signal};
use network::{Item, Network, Passage};

use crate::context::Context;
use crate::outcome::{Failure, Out, practice};

/// Loads below this may stay on for good (detectors, memory), W. Common practice, no source.
const ALWAYS_ON_W: f64 = 5.0;

pub(crate) fn check(context: &Context<'_>, out: &mut Out) {
    let Some(solved) = context.first() else { return };
    for (id, device) in context.vehicle.devices.iter() {
        let counts = match device.role {
            Role::Battery => !device.base_vehicle,
            Role::SolarModule => true,
            _ => false,
        };
        if counts {
            source(context, solved.network, id, device, out);
        }
    }
}

fn source(context: &Context<'_>, network: &Network, id: DeviceId, device: &Device, out: &mut Out) {
    let vehicle = context.vehicle;
    let Some(plus) = vehicle.terminal_of(id, "+") else { return };
    let walk = network.graph.walk([network.graph.stud(plus)], |link, _| match link.item {
        Item::Device(other) if vehicle.devices[other].role.isolates() => false,
        _ => matches!(link.passage, Passage::Metal | Passage::OneWay),
    });
    let mut fed = Vec::new();
    for (other, device) in vehicle.devices.iter() {
        let reached = device.terminals.iter().any(|t| walk.reaches(network.graph.stud(*t)));
        if other != id && reached && is_fed(vehicle.devices[id].role, device) {
            fed.push(other);
        }
    }
    let Some(first) = fed.first() else {
        out.holds();
        return;
    };
    let name = &device.name;
    let what: Vec<&str> = fed.iter().take(4).map(|id| vehicle.devices[*id].name.as_str()).collect();
    let solar = device.role == Role::SolarModule;
    out.fails(Failure {
        place: Place::Device(id),
        related: vec![Place::Device(*first)],
        signal: Signal::Caution,
        confidence: Confidence::Firm,
        message: format!("nothing can switch {name} off"),
        evidence: vec![format!("its plus reaches {} without a switch, isolator or breaker", what.join(", "))],
        limit: practice("every source of energy can be switched off within reach, without tools"),
        remedy: if solar {
            format!("fit a switch rated for direct current between {name} and its controller; until then cover {name} before working on it")
        } else {
            format!("fit an isolator rated for the current close to {name}, within reach of a door")
        },
    });
}

/// What shows that a source feeds on without having passed an isolator.
fn is_fed(source: Role, device: &Device) -> bool {
    match source {
        Role::SolarModule => device.role == Role::SolarController,
        _ => {
            device.role == Role::FuseBox
                || device.role.is_dc_load()
                    && device.number(Attribute::Power).is_none_or(|watt| watt >= ALWAYS_ON_W)
        }
    }
}
