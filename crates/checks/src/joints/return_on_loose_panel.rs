//! Check: `return-on-loose-panel`.

use model::{Place, Signal};

use crate::context::Context;
use crate::looked::confidence;
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("return-on-loose-panel", include_str!("../../spec/return-on-loose-panel.md"), check);

const FIND_OUT: &str =
    "look whether the metal is welded or bolted to the body, or glued, hinged or hung";

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, device) in context.vehicle.devices.iter() {
        let (place, name, on) = (Place::Device(id), &device.name, &device.on);
        let says_nothing =
            on.metal.is_unknown() && on.thickness.is_unknown() && on.joined.is_unknown();
        if !device.is_chassis || device.base_vehicle || says_nothing {
            continue;
        }
        match (on.joined.value(), on.joined.is_assumed()) {
            (Some(true), false) => out.holds(),
            (Some(false), _) => out.fails(Failure {
                place,
                related: Vec::new(),
                signal: Signal::Caution,
                confidence: confidence(&on.joined),
                message: format!("{name} is on metal that is not joined to the body"),
                evidence: vec![format!(
                    "glued or hinged: {}",
                    on.joined.origin().map_or("", |origin| origin.word())
                )],
                limit: practice("body points on metal welded or bolted to the rest of the body"),
                remedy: format!(
                    "lead the return of {name} to a welded stud of the structure, or by wire to the minus bar"
                ),
            }),
            _ => {
                let message = format!("how the metal under {name} is joined to the body is not known");
                out.cannot_tell(place, Signal::Caution, message, vec![missing(FIND_OUT, place)]);
            }
        }
    }
}
