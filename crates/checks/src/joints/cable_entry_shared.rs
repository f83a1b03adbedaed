//! Check: `cable-entry-shared`.

use std::collections::BTreeSet;

use model::{Look, Signal};

use crate::context::Context;
use crate::looked::{Wrong, cable_name, joints, judge_joint};
use crate::outcome::{Out, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("cable-entry-shared", include_str!("../../spec/cable-entry-shared.md"), check);

const FIND_OUT: &str = "look at the opening: does each cable have a gland or clamp of its own?";

fn check(context: &Context<'_>, out: &mut Out) {
    let vehicle = context.vehicle;
    let mut seen = BTreeSet::new();
    for (id, terminal) in joints(vehicle) {
        let joint = &vehicle.joints[id];
        let device = vehicle.terminals[terminal].device;
        let cable = cable_name(&vehicle.wires[joint.wire]);
        if joint.looks.get(Look::OwnEntry).is_unknown() || !seen.insert((device, cable)) {
            continue;
        }
        let on_mains = vehicle.is_ac(joint.wire);
        let signal = if on_mains { Signal::Warning } else { Signal::Caution };
        let name = &vehicle.devices[device].name;
        let wrong = |_: &str| Wrong {
            message: format!("wire {cable} shares its way into {name} with other cables"),
            limit: practice("one cable in one entry, with a grip of its own"),
            remedy: format!(
                "give {cable} an entry of its own into {name}, with a gland or clamp; close what stays open"
            ),
        };
        let _ = judge_joint(context, id, Look::OwnEntry, signal, FIND_OUT, out, wrong);
    }
}
