//! Check: `solar-module-straight-on-battery`.

use model::{Confidence, DeviceId, Place, Role, Signal};
use network::Network;

use crate::context::Context;
use crate::metal::{closable, reaches, unseen};
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "solar-module-straight-on-battery",
    include_str!("../../spec/solar-module-straight-on-battery.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    let Some(solved) = context.first() else { return };
    for (id, device) in context.vehicle.devices.iter() {
        if device.role == Role::SolarModule {
            judge(context, solved.network, id, out);
        }
    }
}

fn judge(context: &Context<'_>, network: &Network, id: DeviceId, out: &mut Out) {
    let vehicle = context.vehicle;
    let Some(plus) = vehicle.terminal_of(id, "+") else { return };
    let walk = closable(network, plus);
    let (name, place) = (&vehicle.devices[id].name, Place::Device(id));
    let met = |role: Role, terminal: &str| {
        vehicle.devices.iter().find(|(other, device)| {
            device.role == role && reaches(vehicle, network, &walk, (*other, terminal))
        })
    };
    if let Some((battery, device)) = met(Role::Battery, "+") {
        let battery_name = &device.name;
        out.fails(Failure {
            place,
            related: vec![Place::Device(battery)],
            signal: Signal::Warning,
            confidence: Confidence::Firm,
            message: format!("{name} charges {battery_name} without a controller"),
            evidence: vec![format!("metal joins the plus of {name} to that of {battery_name}")],
            limit: practice("a controller between module and battery"),
            remedy: format!("cover {name}, take it off {battery_name}, and fit a controller and a fuse between them"),
        });
        return;
    }
    let controlled = met(Role::SolarController, "pv+").or(met(Role::DirectController, "pv+"));
    match unseen(vehicle, network, &walk) {
        Some(wire) if controlled.is_none() => {
            let message =
                format!("whether a controller stands between {name} and a battery is not known");
            let facts = vec![missing("follow it to its end", Place::Wire(wire))];
            out.cannot_tell(place, Signal::Caution, message, facts);
        }
        _ if controlled.is_some() => out.holds(),
        _ => {}
    }
}
