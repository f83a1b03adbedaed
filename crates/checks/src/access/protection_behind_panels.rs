//! Check: `protection-behind-panels`.

use model::{Confidence, DeviceId, Place, Signal};

use crate::context::{Context, Reachable};
use crate::outcome::{Failure, Out, limit_of, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "protection-behind-panels",
    include_str!("../../spec/protection-behind-panels.md"),
    check,
);

/// Longer than this and nobody opens the way to change a fuse or to switch off, min; common
/// practice, no source. The cheapest way is not always the quickest, so only clear cases fail.
const MOST_MIN: f64 = 30.0;

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, reachable) in context.reachable {
        let device = &context.vehicle.devices[*id];
        if !(device.role.protects() || device.role.isolates()) || device.base_vehicle {
            continue;
        }
        match reachable {
            Reachable::Whole { minutes } if *minutes <= MOST_MIN => out.holds(),
            Reachable::Whole { minutes } => fails(context, *id, *minutes, out),
            // What can only be destroyed, or asks for the way there, is for the check on service.
            _ if device.service.is_some() => {}
            Reachable::ByDestroying(_) => {}
            Reachable::Unknown => {
                let place = Place::Device(*id);
                let message = format!("how to get to {} is not recorded", device.name);
                let facts = vec![missing("look what has to come out to touch it", place)];
                out.cannot_tell(place, Signal::Notice, message, facts);
            }
        }
    }
}

fn fails(context: &Context<'_>, id: DeviceId, minutes: f64, out: &mut Out) {
    let name = &context.vehicle.devices[id].name;
    out.fails(Failure {
        place: Place::Device(id),
        related: Vec::new(),
        signal: Signal::Caution,
        confidence: Confidence::Likely,
        message: format!("{name} is {minutes:.0} min away behind panels"),
        evidence: vec![format!(
            "{minutes:.0} min by the cheapest way; {MOST_MIN:.0} min is the most"
        )],
        limit: limit_of("protection accessible", "nec-552-10-e"),
        remedy: format!("bring {name} to where a hand gets at it, or make a lid in front of it"),
    });
}
