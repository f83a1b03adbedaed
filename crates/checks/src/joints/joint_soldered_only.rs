//! Check: `joint-soldered-only`.

use model::{JointKind, Look, Place, Signal};

use crate::context::Context;
use crate::looked::{Looked, Wrong, joints, judge_joint};
use crate::outcome::{Out, limit_of, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("joint-soldered-only", include_str!("../../spec/joint-soldered-only.md"), check);

const FIND_OUT: &str = "look whether it is crimped or hooked besides the solder";

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, _) in joints(context.vehicle) {
        let kind = &context.vehicle.joints[id].kind;
        if kind.value() != Some(&JointKind::Solder) {
            continue;
        }
        let looked = judge_joint(context, id, Look::Crimped, Signal::Caution, FIND_OUT, out, wrong);
        if looked == Looked::No {
            let (place, name) = (Place::Joint(id), context.vehicle.joint_name(id));
            let message = format!("whether anything but solder holds {name} is not known");
            out.cannot_tell(place, Signal::Caution, message, vec![missing(FIND_OUT, place)]);
        }
    }
}

fn wrong(name: &str) -> Wrong {
    Wrong {
        message: format!("nothing but solder holds {name}"),
        limit: limit_of("mechanically secure before it is soldered", "nec-552-10-c2"),
        remedy: format!("cut {name} back behind the solder and crimp it, with support close to it"),
    }
}
