//! Check: `solid-conductor`.

use model::{Confidence, Core, Fact, Place, Signal};

use crate::context::Context;
use crate::outcome::{Failure, Out, limit_of, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("solid-conductor", include_str!("../../spec/solid-conductor.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, wire) in context.vehicle.wires.iter() {
        if context.vehicle.is_ac(id) {
            continue;
        }
        let place = Place::Wire(id);
        match &wire.core {
            Fact::Known { value: Core::Solid, origin } => out.fails(Failure {
                place,
                related: Vec::new(),
                signal: Signal::Caution,
                confidence: if origin.is_evidence() {
                    Confidence::Firm
                } else {
                    Confidence::Likely
                },
                message: format!("wire {} is solid; in a vehicle it must be stranded", wire.name),
                evidence: vec![format!("solid core: {}", origin.word())],
                limit: limit_of(
                    "low-voltage single conductors stranded, of copper",
                    "nec-552-10-b2",
                ),
                remedy: format!(
                    "replace {} by stranded wire; cut back and crimp, no twist-on joints",
                    wire.name
                ),
            }),
            Fact::Known { origin, .. } if origin.is_evidence() => out.holds(),
            _ => {
                let message =
                    format!("whether wire {} is solid or stranded is not known", wire.name);
                let facts = vec![missing("look at a cut end: solid or stranded?", place)];
                out.cannot_tell(place, Signal::Caution, message, facts);
            }
        }
    }
}
