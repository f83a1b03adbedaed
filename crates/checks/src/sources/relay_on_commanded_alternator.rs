//! Check: `relay-on-commanded-alternator`.

use model::{Confidence, DeviceId, Place, Role, Signal};
use network::Network;

use crate::context::Context;
use crate::metal::{closable, reaches, unlimited};
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "relay-on-commanded-alternator",
    include_str!("../../spec/relay-on-commanded-alternator.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    let Some(solved) = context.first() else { return };
    for (id, device) in context.vehicle.devices.iter() {
        let kind = context.catalog.kinds.get(&device.kind);
        if kind.is_some_and(|kind| kind.commanded) {
            judge(context, solved.network, id, out);
        }
    }
}

fn judge(context: &Context<'_>, network: &Network, id: DeviceId, out: &mut Out) {
    let vehicle = context.vehicle;
    let Some(plus) = vehicle.terminal_of(id, "+") else { return };
    let near = closable(network, plus);
    let far = unlimited(vehicle, network, plus);
    let relay = vehicle.devices.iter().find(|(relay, device)| {
        device.role == Role::CombinerRelay
            && ["a", "b"].iter().any(|side| reaches(vehicle, network, &near, (*relay, side)))
    });
    let Some((relay, device)) = relay else {
        out.holds();
        return;
    };
    let (name, alternator, place) = (&device.name, &vehicle.devices[id].name, Place::Device(relay));
    let house = vehicle.devices.iter().find(|(battery, device)| {
        device.role == Role::Battery
            && !device.base_vehicle
            && reaches(vehicle, network, &far, (*battery, "+"))
    });
    let Some((battery, house)) = house else {
        let message = format!("what {name} joins to the alternator is not known");
        out.cannot_tell(
            place,
            Signal::Notice,
            message,
            vec![missing("follow both its sides", place)],
        );
        return;
    };
    out.fails(Failure {
        place,
        related: vec![Place::Device(battery), Place::Device(id)],
        signal: Signal::Notice,
        confidence: Confidence::Firm,
        message: format!(
            "{name} charges {} only while the engine lets {alternator} give more than usual",
            house.name
        ),
        evidence: vec![format!(
            "{alternator} is commanded by the engine, and {name} closes by voltage"
        )],
        limit: practice("a DC-DC charger where the engine commands the alternator"),
        remedy: format!("fit a DC-DC charger with a run signal in place of {name}"),
    });
}
