//! Check: `wire-unsupported`.

use model::{Confidence, Fact, Look, Origin, Place, Signal, Wire};
use units::Metre;

use crate::context::Context;
use crate::looked::{Looked, Seen, Wrong, ask, cable_name, cables, heavy};
use crate::outcome::{Failure, Out, limit};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("wire-unsupported", include_str!("../../spec/wire-unsupported.md"), check);

const FIND_OUT: &str =
    "measure the longest stretch between two clips, or write that it is supported";

/// Room for rounding, as a part of the limit.
const SLACK: f64 = 1e-9;

fn check(context: &Context<'_>, out: &mut Out) {
    let mut unseen = Vec::new();
    for (id, wire) in cables(context.vehicle) {
        if let Fact::Known { value, origin } = &wire.course.held_every {
            judge(context, Place::Wire(id), wire, *value, origin, out);
            continue;
        }
        let (place, name, look) = (Place::Wire(id), cable_name(wire), Look::Supported);
        let seen = Seen { place, name, look, fact: wire.course.looks.get(look) };
        let wrong = || Wrong {
            message: format!("wire {name} hangs unsupported"),
            limit: limit(context.limit("support-spacing")),
            remedy: remedy(name),
        };
        if seen.judge(out, Signal::Caution, FIND_OUT, wrong) == Looked::No {
            unseen.push(id);
        }
    }
    let message = "whether thick cables are held on their way is not recorded";
    ask(out, Signal::Notice, message, FIND_OUT, heavy(context, unseen));
}

fn judge(
    context: &Context<'_>,
    place: Place,
    wire: &Wire,
    span: Metre,
    origin: &Origin,
    out: &mut Out,
) {
    let (name, most) = (cable_name(wire), context.limit("support-spacing"));
    if span.si() > most.value * (1.0 + SLACK) {
        out.fails(Failure {
            place,
            related: Vec::new(),
            signal: Signal::Caution,
            confidence: if origin.is_evidence() { Confidence::Firm } else { Confidence::Likely },
            message: format!("wire {name} runs {span} without a support"),
            evidence: vec![format!("held every {span}: {}", origin.word())],
            limit: limit(most),
            remedy: remedy(name),
        });
    } else if origin.is_evidence() {
        out.holds();
    } else {
        let message = format!("{name}: how it is held is only assumed");
        let facts = vec![crate::outcome::missing(FIND_OUT, place)];
        out.cannot_tell(place, Signal::Caution, message, facts);
    }
}

fn remedy(name: &str) -> String {
    format!("clip {name} along its way and close to both ends, with clips that do not cut")
}
