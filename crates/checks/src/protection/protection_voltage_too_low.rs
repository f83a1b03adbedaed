//! Check: `protection-voltage-too-low`.

use model::{Attribute, Confidence, DeviceId, Place, Role, Signal};
use units::Volt;

use crate::context::Context;
use crate::metal::{Pieces, is_unlimited};
use crate::outcome::{Failure, Out, limit_of, missing};
use crate::registry::Check;

/// Room for rounding, as a part of the limit.
const SLACK: f64 = 1e-9;

pub(crate) const CHECK: Check = Check::new(
    "protection-voltage-too-low",
    include_str!("../../spec/protection-voltage-too-low.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    let vehicle = context.vehicle;
    let (Some(nominal), Some(solved)) = (vehicle.nominal.evidence(), context.first()) else {
        return;
    };
    // Whether the plus of a battery comes to it by metal.
    let pieces = Pieces::of(vehicle, solved.network, |link| is_unlimited(vehicle, link));
    let fed = pieces.of_batteries(vehicle, solved.network);
    for (id, device) in vehicle.devices.iter() {
        let opens = device.role.protects() || device.role == Role::Switch;
        let side = device.terminals.first().filter(|_| opens && !device.base_vehicle);
        if side.is_some_and(|side| fed.contains(&pieces.at(solved.network, *side))) {
            judge(context, id, *nominal, out);
        }
    }
}

fn judge(context: &Context<'_>, id: DeviceId, nominal: Volt, out: &mut Out) {
    let device = &context.vehicle.devices[id];
    let (name, place) = (&device.name, Place::Device(id));
    let asks_from_v = context.limit("fuse-voltage-asked").value;
    match device.fact(Attribute::MadeFor).evidence() {
        Some(made_for) if *made_for >= nominal.si() * (1.0 - SLACK) => out.holds(),
        Some(made_for) => out.fails(Failure {
            place,
            related: Vec::new(),
            signal: Signal::Warning,
            confidence: Confidence::Firm,
            message: match *made_for > 0.0 {
                true => format!(
                    "{name} is made for {} of direct current, the circuit has {nominal}",
                    Volt::from_si(*made_for)
                ),
                false => format!("{name} is made for no direct current, the circuit has {nominal}"),
            },
            evidence: vec![format!("{} printed on {name}", Volt::from_si(*made_for))],
            limit: limit_of(
                "made for no less direct voltage than its circuit has",
                "cfr33-183-455-d",
            ),
            remedy: format!(
                "fit one in place of {name} that is made for direct current at {nominal} or more"
            ),
        }),
        // Fuses for vehicles are made for 32 V; of breakers many are made for mains alone.
        None if device.role == Role::Breaker || nominal.si() > asks_from_v * (1.0 + SLACK) => {
            let message =
                format!("whether {name} may break direct current at {nominal} is not known");
            let facts = vec![missing(
                format!("read off {name} up to what direct voltage it is made"),
                place,
            )];
            out.cannot_tell(place, Signal::Warning, message, facts);
        }
        None => {}
    }
}
