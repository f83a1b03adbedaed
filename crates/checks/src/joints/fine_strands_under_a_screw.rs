//! Check: `fine-strands-under-a-screw`.

use model::{Core, JointKind, Look, Place, Signal};

use crate::context::Context;
use crate::looked::{Looked, Wrong, ask, joints, judge_joint};
use crate::outcome::{Out, limit_of};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "fine-strands-under-a-screw",
    include_str!("../../spec/fine-strands-under-a-screw.md"),
    check,
);

const FIND_OUT: &str = "look under the screw: a ferrule, or bare fine strands?";

fn check(context: &Context<'_>, out: &mut Out) {
    let mut unseen = Vec::new();
    for (id, _) in joints(context.vehicle) {
        let joint = &context.vehicle.joints[id];
        let fine = context.vehicle.wires[joint.wire].core.value() == Some(&Core::Fine);
        if joint.kind.value() != Some(&JointKind::Screw) || !fine {
            continue;
        }
        let looked = judge_joint(context, id, Look::Ferrule, Signal::Caution, FIND_OUT, out, wrong);
        if looked == Looked::No {
            unseen.push(Place::Joint(id));
        }
    }
    let message = "whether fine strands under screws have ferrules is not recorded";
    ask(out, Signal::Caution, message, FIND_OUT, unseen);
}

fn wrong(name: &str) -> Wrong {
    Wrong {
        message: format!("at {name} fine strands are clamped without a ferrule"),
        limit: limit_of(
            "strands finer than class B or C only in terminals made for them",
            "nec-110-14",
        ),
        remedy: format!(
            "cut {name} back and crimp a ferrule on it, or use a terminal made for fine strands"
        ),
    }
}
