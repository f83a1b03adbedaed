//! Check: `no-service-slack`.

use model::{Confidence, Fact, Place, Signal};

use crate::context::Context;
use crate::looked::joints;
use crate::outcome::{Failure, Out, limit, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("no-service-slack", include_str!("../../spec/no-service-slack.md"), check);

/// Room for rounding, as a part of the limit.
const SLACK: f64 = 1e-9;

fn check(context: &Context<'_>, out: &mut Out) {
    let least = context.limit("service-slack");
    for (id, _) in joints(context.vehicle) {
        let Fact::Known { value: slack, origin } = &context.vehicle.joints[id].slack else {
            continue;
        };
        let (place, name) = (Place::Joint(id), context.vehicle.joint_name(id));
        let enough = slack.si() >= least.value * (1.0 - SLACK);
        match (enough, origin.is_evidence()) {
            (true, true) => out.holds(),
            (true, false) => {
                let message = format!("{name}: that it has slack is only assumed");
                let facts = vec![missing("draw it out: by how much?", place)];
                out.cannot_tell(place, Signal::Notice, message, facts);
            }
            (false, evidence) => out.fails(Failure {
                place,
                related: Vec::new(),
                signal: Signal::Notice,
                confidence: if evidence { Confidence::Firm } else { Confidence::Likely },
                message: format!("{name} can be drawn out by {slack} only"),
                evidence: vec![format!("slack {slack}: {}", origin.word())],
                limit: limit(least),
                remedy: format!("when {name} is remade, leave a loop; lengthen it with a crimped joint in a box where there is none to be had"),
            }),
        }
    }
}
