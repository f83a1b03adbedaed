//! Check: `shunt-reversed`.

use model::{Confidence, DeviceId, Place, Role, Signal};
use network::{Item, Network, Passage};

use crate::context::Context;
use crate::metal::reaches;
use crate::outcome::{Failure, Out, limit_of, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("shunt-reversed", include_str!("../../spec/shunt-reversed.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    let Some(solved) = context.first() else { return };
    let vehicle = context.vehicle;
    for (id, device) in vehicle.devices.iter() {
        if device.role != Role::Shunt {
            continue;
        }
        let on_battery = |side| comes_to_battery(context, solved.network, id, side);
        let (name, place) = (&device.name, Place::Device(id));
        match (on_battery("battery"), on_battery("system")) {
            (true, false) => out.holds(),
            (true, true) => {}
            (false, false) => {
                let message = format!("which side of {name} is on the battery is not known");
                let facts = vec![missing("follow both its sides", place)];
                out.cannot_tell(place, Signal::Notice, message, facts);
            }
            (false, true) => out.fails(Failure {
                place,
                related: Vec::new(),
                signal: Signal::Caution,
                confidence: Confidence::Firm,
                message: format!("{name} is the wrong way round"),
                evidence: vec![format!("the system side of {name} is on the minus of the battery")],
                limit: limit_of(
                    "the side for the battery on the minus of the battery",
                    "shunt-manual",
                ),
                remedy: format!("isolate the battery, then change over the two cables on {name}"),
            }),
        }
    }
}

fn comes_to_battery(context: &Context<'_>, network: &Network, id: DeviceId, side: &str) -> bool {
    let vehicle = context.vehicle;
    let Some(terminal) = vehicle.terminal_of(id, side) else { return false };
    let walk = network.graph.walk([network.graph.stud(terminal)], |link, _| {
        link.passage == Passage::Metal && link.item != Item::Device(id) && link.item != Item::Body
    });
    vehicle.devices.iter().any(|(battery, device)| {
        device.role == Role::Battery
            && !device.base_vehicle
            && reaches(vehicle, network, &walk, (battery, "-"))
    })
}
