//! Check: `monitor-bypassed`.

use std::collections::{BTreeMap, BTreeSet};

use model::{Confidence, DeviceId, Place, Pole, Role, Signal, TerminalId, Vehicle, WireId};
use network::{Item, Network, Point, Walk};

use crate::circuits::wires_of;
use crate::context::Context;
use crate::metal::Pieces;
use crate::outcome::{Failure, Out, limit_of, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("monitor-bypassed", include_str!("../../spec/monitor-bypassed.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    let Some(solved) = context.first() else { return };
    for (id, device) in context.vehicle.devices.iter() {
        if device.role == Role::Shunt {
            shunt(context, solved.network, id, out);
        }
    }
}

fn shunt(context: &Context<'_>, network: &Network, id: DeviceId, out: &mut Out) {
    let vehicle = context.vehicle;
    let (Some(battery), Some(system)) =
        (vehicle.terminal_of(id, "battery"), vehicle.terminal_of(id, "system"))
    else {
        return;
    };
    let stop = network.graph.stud(system);
    // Metal on the battery's side, without going through the shunt or past its system side.
    let walk = network.graph.walk([network.graph.stud(battery)], |link, at| {
        link.passage == network::Passage::Metal && link.item != Item::Device(id) && at != stop
    });
    if !ends_at_battery(context, network, &walk) {
        let message = format!(
            "where {} sits between battery and loads is not known",
            vehicle.devices[id].name
        );
        let what = "follow the lead from its battery side to the battery";
        out.cannot_tell(
            Place::Device(id),
            Signal::Caution,
            message,
            vec![missing(what, Place::Device(id))],
        );
        return;
    }
    let mut straps: BTreeMap<WireId, Vec<Place>> = BTreeMap::new();
    if walk.reaches(stop)
        && let Some(first) = leaving_battery(context, network, &walk, stop)
    {
        straps.insert(first, Vec::new());
    }
    let pieces = Pieces::of(vehicle, network, |link| link.passage == network::Passage::Metal);
    let ends = ends(vehicle, network, &pieces);
    for (device, minus) in returns(context) {
        let point = network.graph.stud(minus);
        if !walk.reaches(point) {
            let here = ends.get(&pieces.at(network, minus));
            if here.is_some_and(|of| of.iter().any(|id| *id != device)) {
                out.holds();
            } else {
                let name = &vehicle.devices[device].name;
                let message = format!("by which way the return of {name} goes is not known");
                let place = Place::Device(device);
                let facts = vec![missing("follow its return to the battery", place)];
                out.cannot_tell(place, Signal::Notice, message, facts);
            }
            continue;
        }
        match leaving_battery(context, network, &walk, point) {
            Some(first) if straps.contains_key(&first) => {
                straps.entry(first).or_default().push(Place::Device(device));
            }
            _ => bypassing(context, network, id, device, &walk.path(point), out),
        }
    }
    for (wire, related) in straps {
        strap(context, id, wire, related, out);
    }
}

/// True when the metal on the battery's side ends at a battery's minus.
fn ends_at_battery(context: &Context<'_>, network: &Network, walk: &Walk) -> bool {
    context.vehicle.devices.iter().any(|(id, device)| {
        device.role == Role::Battery
            && context
                .vehicle
                .terminal_of(id, "-")
                .is_some_and(|minus| walk.reaches(network.graph.stud(minus)))
    })
}

/// By piece of metal, the batteries and converters whose minus is on it.
fn ends(
    vehicle: &Vehicle,
    network: &Network,
    pieces: &Pieces,
) -> BTreeMap<u32, BTreeSet<DeviceId>> {
    let mut ends: BTreeMap<u32, BTreeSet<DeviceId>> = BTreeMap::new();
    for (id, device) in vehicle.devices.iter() {
        if !matches!(device.role, Role::Battery | Role::DcDcCharger) {
            continue;
        }
        for terminal in &device.terminals {
            if vehicle.terminals[*terminal].pole == Pole::Minus {
                ends.entry(pieces.at(network, *terminal)).or_default().insert(id);
            }
        }
    }
    ends
}

/// Minus terminals of what draws or delivers, the base vehicle left out.
fn returns(context: &Context<'_>) -> Vec<(DeviceId, TerminalId)> {
    let vehicle = context.vehicle;
    let mut found = Vec::new();
    for (id, device) in vehicle.devices.iter() {
        let counts = device.role.is_dc_load()
            || matches!(
                device.role,
                Role::DcDcCharger
                    | Role::SolarController
                    | Role::DirectController
                    | Role::MainsCharger
            );
        if !counts || device.base_vehicle {
            continue;
        }
        found.extend(
            device
                .terminals
                .iter()
                .copied()
                .filter(|t| vehicle.terminals[*t].pole == Pole::Minus)
                .filter(|t| {
                    !vehicle.terminals[*t].name.starts_with("pv")
                        && vehicle.terminals[*t].name != "in-"
                })
                .map(|t| (id, t)),
        );
    }
    found
}

/// The wire by which a path leaves the battery's minus (links inside a bank passed over).
fn leaving_battery(
    context: &Context<'_>,
    network: &Network,
    walk: &Walk,
    to: Point,
) -> Option<WireId> {
    let vehicle = context.vehicle;
    let on_battery = |wire: WireId, end| {
        vehicle.wires[wire]
            .terminal(end)
            .is_some_and(|t| vehicle.devices[vehicle.terminals[t].device].role == Role::Battery)
    };
    let wires = wires_of(network, &walk.path(to));
    let last = wires
        .iter()
        .rposition(|wire| model::WireEnd::BOTH.into_iter().any(|end| on_battery(*wire, end)));
    last.map(|at| wires[at]).or(wires.first().copied())
}

fn bypassing(
    context: &Context<'_>,
    network: &Network,
    shunt: DeviceId,
    device: DeviceId,
    path: &[network::LinkId],
    out: &mut Out,
) {
    let vehicle = context.vehicle;
    let wires = wires_of(network, path);
    let names: Vec<&str> = wires.iter().map(|wire| vehicle.wires[*wire].name.as_str()).collect();
    let (name, shunt) = (&vehicle.devices[device].name, &vehicle.devices[shunt].name);
    out.fails(Failure {
        place: Place::Device(device),
        related: wires.iter().map(|wire| Place::Wire(*wire)).collect(),
        signal: Signal::Caution,
        confidence: Confidence::Firm,
        message: format!("the return of {name} reaches the battery without passing {shunt}"),
        evidence: vec![format!(
            "its minus is joined to the battery side of {shunt} by {}",
            names.join(", ")
        )],
        limit: limit_of("all current passes the shunt", "shunt-manual"),
        remedy: format!("move the minus of {name} to the system side of {shunt}"),
    });
}

fn strap(context: &Context<'_>, shunt: DeviceId, wire: WireId, related: Vec<Place>, out: &mut Out) {
    let vehicle = context.vehicle;
    let (name, shunt) = (&vehicle.wires[wire].name, &vehicle.devices[shunt].name);
    let others = match related.len() {
        0 => "current divides between it and the shunt".to_owned(),
        count => format!("the returns of {count} devices have a way past the shunt"),
    };
    out.fails(Failure {
        place: Place::Wire(wire),
        related,
        signal: Signal::Caution,
        confidence: Confidence::Firm,
        message: format!(
            "wire {name} joins the battery's minus to the system side, around {shunt}"
        ),
        evidence: vec![others],
        limit: limit_of("all current passes the shunt", "shunt-manual"),
        remedy: format!(
            "take {name} off the battery post and land it on the system side of {shunt}"
        ),
    });
}
