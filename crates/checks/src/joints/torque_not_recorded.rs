//! Check: `torque-not-recorded`.

use model::{JointKind, Look, Place, Signal};

use crate::context::Context;
use crate::looked::{Looked, Wrong, ask, joints, judge_joint, worst_a};
use crate::outcome::{Out, limit_of};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("torque-not-recorded", include_str!("../../spec/torque-not-recorded.md"), check);

/// From this current on a stud is tightened with a tool that shows the torque, A; common practice,
/// no source.
const HIGH_CURRENT_A: f64 = 50.0;

const FIND_OUT: &str =
    "tighten to the maker's torque with a torque wrench, mark it, and note the torque";

fn check(context: &Context<'_>, out: &mut Out) {
    let mut unseen = Vec::new();
    for (id, _) in joints(context.vehicle) {
        let by_thread = matches!(
            context.vehicle.joints[id].kind.value(),
            None | Some(JointKind::Lug | JointKind::Screw)
        );
        if !by_thread || worst_a(context, id) < HIGH_CURRENT_A {
            continue;
        }
        let looked = judge_joint(context, id, Look::Torqued, Signal::Caution, FIND_OUT, out, wrong);
        if looked == Looked::No {
            unseen.push(Place::Joint(id));
        }
    }
    let message =
        "whether the studs that carry 50 A or more were tightened to a torque is not recorded";
    ask(out, Signal::Notice, message, FIND_OUT, unseen);
}

fn wrong(name: &str) -> Wrong {
    Wrong {
        message: format!("{name} carries much and was never tightened to a torque"),
        limit: limit_of(
            "terminals tightened to the torque marked by their maker, with an approved means",
            "nec-110-14",
        ),
        remedy: format!(
            "tighten {name} to the maker's torque with a torque wrench, mark it, and look again after a few hundred kilometres"
        ),
    }
}
