//! Check: `live-terminal-uncovered`.

use model::{Look, Place, Pole, Role, Signal};

use crate::context::Context;
use crate::looked::{Looked, Wrong, ask, joints, judge_joint};
use crate::outcome::{Out, limit_of};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "live-terminal-uncovered",
    include_str!("../../spec/live-terminal-uncovered.md"),
    check,
);

const FIND_OUT: &str = "look whether the plus post is covered by a boot or lid";

fn check(context: &Context<'_>, out: &mut Out) {
    let mut unseen = Vec::new();
    for (id, terminal) in joints(context.vehicle) {
        let terminal = &context.vehicle.terminals[terminal];
        if terminal.pole == Pole::Minus {
            continue;
        }
        let looked = judge_joint(context, id, Look::Covered, Signal::Warning, FIND_OUT, out, wrong);
        let device = &context.vehicle.devices[terminal.device];
        let is_post = device.role == Role::Battery && terminal.pole == Pole::Plus;
        if looked == Looked::No && is_post {
            unseen.push(Place::Device(terminal.device));
        }
    }
    unseen.sort_unstable();
    unseen.dedup();
    let message = "whether the plus posts of batteries are covered is not recorded";
    ask(out, Signal::Caution, message, FIND_OUT, unseen);
}

fn wrong(name: &str) -> Wrong {
    Wrong {
        message: format!("the live terminal at {name} is bare"),
        limit: limit_of(
            "terminals that are always live protected, or under a boot or cover",
            "cfr33-183-445-b",
        ),
        remedy: format!("cover {name} with a boot or lid that cannot fall off"),
    }
}
