//! Check: `joint-buried`.

use model::{Confidence, Place, Signal};

use crate::context::{Context, Reachable};
use crate::outcome::{Failure, Out, limit_of, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("joint-buried", include_str!("../../spec/joint-buried.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, reachable) in context.reachable {
        let device = &context.vehicle.devices[*id];
        if !(device.kind == "splice" || device.is_chassis) || device.base_vehicle {
            continue;
        }
        let (place, name) = (Place::Device(*id), &device.name);
        match reachable {
            Reachable::Whole { .. } => out.holds(),
            Reachable::Unknown => {
                let message = format!("how to get to the joint {name} is not recorded");
                let facts = vec![missing("look what has to come out to touch it", place)];
                out.cannot_tell(place, Signal::Notice, message, facts);
            }
            Reachable::ByDestroying(words) => out.fails(Failure {
                place,
                related: Vec::new(),
                signal: Signal::Caution,
                confidence: Confidence::Firm,
                message: format!("the joint {name} can only be reached by destroying something"),
                evidence: vec![words.clone()],
                limit: if device.is_chassis {
                    limit_of("ground connections accessible", "nec-552-10-c4")
                } else {
                    limit_of("joints can be reached without breaking anything", "practice")
                },
                remedy: format!("bring the joint {name} to where it can be reached when the way is open anyway, or make a hatch"),
            }),
        }
    }
}
