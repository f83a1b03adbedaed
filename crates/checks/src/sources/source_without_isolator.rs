//! Check: `source-without-isolator`.

use model::{Attribute, Confidence, Device, DeviceId, Place, Role, Signal, WireEnd, WireId};
use network::{Item, Network, Passage, Walk};

use crate::context::Context;
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

/// Loads below this may stay on for good (detectors, memory), W. Common practice, no source.
const ALWAYS_ON_W: f64 = 5.0;

pub(crate) const CHECK: Check = Check::new(
    "source-without-isolator",
    include_str!("../../spec/source-without-isolator.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
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
        // A fuse that is out in this state goes back in.
        _ => matches!(link.passage, Passage::Metal | Passage::OneWay | Passage::Open),
    });
    let mut fed = Vec::new();
    for (other, device) in vehicle.devices.iter() {
        let reached = device.terminals.iter().any(|t| walk.reaches(network.graph.stud(*t)));
        if other != id && reached && is_fed(vehicle.devices[id].role, device) {
            fed.push(other);
        }
    }
    let name = &device.name;
    let Some(first) = fed.first() else {
        if let Some(wire) = unseen(context, network, &walk) {
            let message = format!(
                "whether anything can switch {name} off is not known: wire {} goes on unseen",
                vehicle.wires[wire].name
            );
            let end = vec![missing(
                "follow it to its end: is there a switch or breaker on it?",
                Place::Wire(wire),
            )];
            out.cannot_tell(Place::Device(id), Signal::Caution, message, end);
        } else if meets_something(context, network, &walk) {
            out.holds();
        } else {
            let message = format!("whether anything can switch {name} off is not known");
            let facts =
                vec![missing("follow its plus: is there a switch or breaker?", Place::Device(id))];
            out.cannot_tell(Place::Device(id), Signal::Caution, message, facts);
        }
        return;
    };
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

/// The walk came up against a switch, isolator or breaker, or a load small enough to stay on.
fn meets_something(context: &Context<'_>, network: &Network, walk: &Walk) -> bool {
    context.vehicle.devices.iter().any(|(_, device)| {
        (device.role.isolates() || device.role.is_dc_load())
            && device.terminals.iter().any(|t| walk.reaches(network.graph.stud(*t)))
    })
}

/// A wire the walk came to whose end nobody has seen.
fn unseen(context: &Context<'_>, network: &Network, walk: &Walk) -> Option<WireId> {
    context.vehicle.wires.ids().find(|id| {
        WireEnd::BOTH.into_iter().any(|end| {
            context.vehicle.wires[*id].terminal(end).is_none()
                && walk.reaches(network.graph.wire_end(*id, end))
        })
    })
}

/// What shows that a source feeds on without having passed an isolator.
fn is_fed(source: Role, device: &Device) -> bool {
    match source {
        Role::SolarModule => {
            matches!(
                device.role,
                Role::SolarController | Role::DirectController | Role::Battery | Role::FuseBox
            )
        }
        _ => {
            device.role == Role::FuseBox
                || device.role.is_dc_load()
                    && device.number(Attribute::Power).is_none_or(|watt| watt >= ALWAYS_ON_W)
        }
    }
}
