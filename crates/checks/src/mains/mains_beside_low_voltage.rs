//! Check: `mains-beside-low-voltage`.

use model::{Confidence, Fact, Look, Origin, Place, Signal};
use units::Metre;

use crate::context::Context;
use crate::looked::{Looked, Seen, Wrong, ask, cable_name, cables};
use crate::outcome::{Failure, Out, limit, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "mains-beside-low-voltage",
    include_str!("../../spec/mains-beside-low-voltage.md"),
    check,
);

const FIND_OUT: &str =
    "look whether low-voltage wires lie with mains cables, in runs and in boxes; measure the gap";

/// Room for rounding, as a part of the limit.
const SLACK: f64 = 1e-9;

fn check(context: &Context<'_>, out: &mut Out) {
    let (vehicle, mut looked_at, mut low_voltage) = (context.vehicle, false, false);
    for (id, wire) in cables(vehicle) {
        let (place, name) = (Place::Wire(id), cable_name(wire));
        low_voltage |= !vehicle.is_ac(id);
        if let Fact::Known { value, origin } = &wire.course.from_mains {
            judge(context, place, name, *value, origin, out);
            looked_at = true;
            continue;
        }
        let look = Look::MainsApart;
        let seen = Seen { place, name, look, fact: wire.course.looks.get(look) };
        let wrong = || wrong(context, name);
        looked_at |= seen.judge(out, Signal::Warning, FIND_OUT, wrong) == Looked::Judged;
    }
    if low_voltage && !looked_at {
        let mains = cables(vehicle).filter(|(id, _)| vehicle.is_ac(*id));
        let at = mains.map(|(id, _)| Place::Wire(id)).collect();
        let message = "whether low-voltage wiring keeps apart from mains wiring is not recorded";
        ask(out, Signal::Caution, message, FIND_OUT, at);
    }
}

fn judge(
    context: &Context<'_>,
    place: Place,
    name: &str,
    gap: Metre,
    origin: &Origin,
    out: &mut Out,
) {
    let least = context.limit("mains-gap");
    if gap.si() < least.value * (1.0 - SLACK) {
        out.fails(Failure {
            place,
            related: Vec::new(),
            signal: Signal::Warning,
            confidence: if origin.is_evidence() { Confidence::Firm } else { Confidence::Likely },
            message: format!("wire {name} lies {gap} from wiring of the other voltage"),
            evidence: vec![format!("gap {gap}: {}", origin.word())],
            limit: limit(least),
            remedy: remedy(name),
        });
    } else if origin.is_evidence() {
        out.holds();
    } else {
        let message = format!("{name}: its gap to the other voltage is only assumed");
        out.cannot_tell(place, Signal::Warning, message, vec![missing(FIND_OUT, place)]);
    }
}

fn wrong(context: &Context<'_>, name: &str) -> Wrong {
    Wrong {
        message: format!("wire {name} lies in one run with wiring of the other voltage"),
        limit: limit(context.limit("mains-gap")),
        remedy: remedy(name),
    }
}

fn remedy(name: &str) -> String {
    format!(
        "lead {name} on a way of its own, or in a conduit of its own; mains work is for a licensed electrician"
    )
}
