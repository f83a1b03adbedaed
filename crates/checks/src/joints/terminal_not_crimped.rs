//! Check: `terminal-not-crimped`.

use model::{JointKind, Look, Signal};

use crate::context::Context;
use crate::looked::{Wrong, joints, judge_joint, worst_a};
use crate::outcome::{Out, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("terminal-not-crimped", include_str!("../../spec/terminal-not-crimped.md"), check);

/// From this current on a terminal that slips off burns at once, A; common practice, no source.
const HIGH_CURRENT_A: f64 = 50.0;

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, _) in joints(context.vehicle) {
        if context.vehicle.joints[id].kind.value() == Some(&JointKind::Solder) {
            continue;
        }
        let high = worst_a(context, id) >= HIGH_CURRENT_A;
        let signal = if high { Signal::Warning } else { Signal::Caution };
        let find_out = "look at the barrel: is it pressed by a tool, all round and deep enough?";
        let _ = judge_joint(context, id, Look::Crimped, signal, find_out, out, wrong);
    }
}

fn wrong(name: &str) -> Wrong {
    Wrong {
        message: format!("the terminal at {name} is not crimped"),
        limit: practice("terminals are crimped with the tool and die made for them"),
        remedy: format!("cut {name} back and crimp a new terminal with the right die; pull at it"),
    }
}
