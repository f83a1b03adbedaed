//! Check: `return-on-thin-metal`.

use model::{Device, DeviceId, Fact, Place, Signal};

use crate::context::Context;
use crate::looked::{ask, confidence, worst_on};
use crate::outcome::{Failure, Out, limit, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("return-on-thin-metal", include_str!("../../spec/return-on-thin-metal.md"), check);

const FIND_OUT: &str = "look what the body point is on: which metal, how thick, welded or glued?";

/// From this current on what a body point is on is worth a look, A; common practice, no source.
const MUCH_A: f64 = 10.0;

/// Room for rounding, as a part of the limit.
const SLACK: f64 = 1e-9;

fn check(context: &Context<'_>, out: &mut Out) {
    let mut unseen = Vec::new();
    for (id, device) in context.vehicle.devices.iter() {
        if !device.is_chassis || device.base_vehicle {
            continue;
        }
        let carries = device.terminals.iter().any(|t| worst_on(context, *t) >= MUCH_A);
        match &device.on.thickness {
            Fact::Known { .. } => judge(context, id, device, out),
            Fact::Unknown if carries => unseen.push(Place::Device(id)),
            Fact::Unknown => {}
        }
    }
    let message = "what the body points that carry much are on is not recorded";
    ask(out, Signal::Caution, message, FIND_OUT, unseen);
}

fn judge(context: &Context<'_>, id: DeviceId, device: &Device, out: &mut Out) {
    let fact = &device.on.thickness;
    let (Some(thickness), Some(origin)) = (fact.value(), fact.origin()) else { return };
    let (place, name, least) = (Place::Device(id), &device.name, context.limit("body-metal"));
    if thickness.si() < least.value * (1.0 - SLACK) {
        out.fails(Failure {
            place,
            related: Vec::new(),
            signal: Signal::Caution,
            confidence: confidence(fact),
            message: format!("{name} is on metal of {thickness}"),
            evidence: vec![format!("{thickness} thick: {}", origin.word())],
            limit: limit(least),
            remedy: format!(
                "lead the return of {name} to a welded stud of the structure, or by wire to the minus bar"
            ),
        });
    } else if fact.is_assumed() {
        let message = format!("{name}: how thick the metal is, is only assumed");
        out.cannot_tell(place, Signal::Caution, message, vec![missing(FIND_OUT, place)]);
    } else {
        out.holds();
    }
}
