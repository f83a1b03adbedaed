//! Check: `joint-twisted-or-taped`.

use model::{JointId, JointKind, Place, Signal};

use crate::context::Context;
use crate::looked::{ask, confidence, joints};
use crate::outcome::{Failure, Out, limit_of};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "joint-twisted-or-taped",
    include_str!("../../spec/joint-twisted-or-taped.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    let mut unseen = Vec::new();
    for (id, terminal) in joints(context.vehicle) {
        let vehicle = context.vehicle;
        let kind = &vehicle.joints[id].kind;
        let at_splice = vehicle.devices[vehicle.terminals[terminal].device].kind == "splice";
        match kind.value() {
            Some(JointKind::Twisted | JointKind::Taped | JointKind::TwistOn) => {
                fails(context, id, out);
            }
            Some(_) if !kind.is_assumed() => out.holds(),
            _ if at_splice => unseen.push(Place::Joint(id)),
            _ => {}
        }
    }
    let message = "how the wires of splices are joined is not recorded";
    let find_out = "look inside: crimped, soldered, twisted, taped?";
    ask(out, Signal::Caution, message, find_out, unseen);
}

fn fails(context: &Context<'_>, id: JointId, out: &mut Out) {
    let joint = &context.vehicle.joints[id];
    let name = context.vehicle.joint_name(id);
    let on_mains = context.vehicle.is_ac(joint.wire);
    let word = joint.kind.value().map_or("", |kind| kind.word());
    let origin = joint.kind.origin().map_or("", |origin| origin.word());
    out.fails(Failure {
        place: Place::Joint(id),
        related: Vec::new(),
        signal: if on_mains { Signal::Warning } else { Signal::Caution },
        confidence: confidence(&joint.kind),
        message: format!("the joint {name} is only twisted or taped"),
        evidence: vec![format!("{word}: {origin}")],
        limit: limit_of("splices mechanically and electrically secure", "nec-552-10-c2"),
        remedy: if on_mains {
            format!("switch off, lock off, and leave {name} to a licensed electrician")
        } else {
            format!("cut {name} back to bright copper and crimp it, in a place that can be reached")
        },
    });
}
