//! Check: `service-too-slow`.

use model::{Confidence, Place, Service, Signal};

use crate::context::{Context, Reachable};
use crate::outcome::{Failure, Out, limit, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("service-too-slow", include_str!("../../spec/service-too-slow.md"), check);

/// Serviced at least this often in a year, the shorter limits apply.
const MONTHLY: f64 = 12.0;
const YEARLY: f64 = 1.0;

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, reachable) in context.reachable {
        let device = &context.vehicle.devices[*id];
        let Some(service) = &device.service else { continue };
        let minutes = match reachable {
            Reachable::Whole { minutes } => *minutes,
            Reachable::Unknown if service.per_year.evidence().is_none() => continue,
            Reachable::Unknown => {
                let place = Place::Device(*id);
                let message = format!("how long it takes to get to {} is not known", device.name);
                let facts = vec![missing("look what has to come out to touch it", place)];
                out.cannot_tell(place, Signal::Notice, message, facts);
                continue;
            }
            Reachable::ByDestroying(_) => continue,
        };
        let most = context.limit(limit_key(service));
        if minutes <= most.value {
            out.holds();
            continue;
        }
        let name = &device.name;
        out.fails(Failure {
            place: Place::Device(*id),
            related: Vec::new(),
            signal: Signal::Notice,
            confidence: Confidence::Likely,
            message: format!("it takes {minutes:.0} min to get to {name}"),
            evidence: vec![format!("wants: {}", service.what)],
            limit: limit(most),
            remedy: format!(
                "make a hatch to {name}, or move it nearer to an opening when it is out anyway"
            ),
        });
    }
}

/// How often it is serviced decides how long it may take; a usual frequency decides nothing.
fn limit_key(service: &Service) -> &'static str {
    match service.per_year.evidence() {
        Some(times) if *times >= MONTHLY => "reach-monthly",
        Some(times) if *times >= YEARLY => "reach-yearly",
        _ => "reach-repair",
    }
}
