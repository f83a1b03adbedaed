//! Check: `service-needs-destruction`.

use model::{Confidence, Place, Signal};

use crate::context::{Context, Reachable};
use crate::outcome::{Failure, Out, limit_of, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "service-needs-destruction",
    include_str!("../../spec/service-needs-destruction.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, reachable) in context.reachable {
        let device = &context.vehicle.devices[*id];
        let Some(service) = &device.service else { continue };
        let place = Place::Device(*id);
        let (message, evidence) = match reachable {
            Reachable::Whole { .. } => {
                out.holds();
                continue;
            }
            Reachable::Unknown => {
                let message = format!("how to get to {} is not recorded", device.name);
                let facts = vec![missing("look what has to come out to touch it", place)];
                out.cannot_tell(place, Signal::Notice, message, facts);
                continue;
            }
            Reachable::ByDestroying(words) => {
                (format!("{} can only be reached by destroying something", device.name), words)
            }
        };
        let protective = device.role.protects() || device.role.isolates();
        out.fails(Failure {
            place,
            related: Vec::new(),
            signal: if protective { Signal::Caution } else { Signal::Notice },
            confidence: Confidence::Firm,
            message,
            evidence: vec![format!("wants: {}", service.what), evidence.clone()],
            limit: if protective {
                limit_of("protection accessible", "nec-552-10-e")
            } else {
                limit_of("what wants service can be reached without breaking anything", "practice")
            },
            remedy: format!(
                "make a hatch or move {}; while it is open anyway is the cheapest time",
                device.name
            ),
        });
    }
}
