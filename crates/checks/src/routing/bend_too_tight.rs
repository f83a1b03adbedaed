//! Check: `bend-too-tight`.

use model::{Confidence, Place, Signal};
use units::Metre;

use crate::context::Context;
use crate::looked::{cable_name, cables};
use crate::outcome::{Failure, Out, limit, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("bend-too-tight", include_str!("../../spec/bend-too-tight.md"), check);

/// Room for rounding, as a part of the limit.
const SLACK: f64 = 1e-9;

fn check(context: &Context<'_>, out: &mut Out) {
    let least = context.limit("bend-diameters");
    for (id, wire) in cables(context.vehicle) {
        let (place, name, course) = (Place::Wire(id), cable_name(wire), &wire.course);
        let Some(bend) = course.bend.value() else { continue };
        let Some(outside) = course.outside.value() else {
            let message = format!("whether the bend of wire {name} is too tight is not known");
            let facts = vec![missing("measure the outside diameter of the cable", place)];
            out.cannot_tell(place, Signal::Caution, message, facts);
            continue;
        };
        let wanted = Metre::from_si(least.value * outside.si());
        let firm = !course.bend.is_assumed() && !course.outside.is_assumed();
        if bend.si() >= wanted.si() * (1.0 - SLACK) {
            if firm {
                out.holds();
            } else {
                let message = format!("{name}: its bend is only assumed to be wide enough");
                let facts = vec![missing(
                    "measure the inside radius of the bend and the outside diameter of the cable",
                    place,
                )];
                out.cannot_tell(place, Signal::Caution, message, facts);
            }
            continue;
        }
        out.fails(Failure {
            place,
            related: Vec::new(),
            signal: Signal::Caution,
            confidence: if firm { Confidence::Firm } else { Confidence::Likely },
            message: format!("wire {name} is bent to {bend} inside, {wanted} is the least"),
            evidence: vec![format!(
                "outside diameter {outside}: {} x {outside} = {wanted}",
                least.value
            )],
            limit: limit(least),
            remedy: format!(
                "give {name} a wider way round, and look at its insulation in the bend"
            ),
        });
    }
}
