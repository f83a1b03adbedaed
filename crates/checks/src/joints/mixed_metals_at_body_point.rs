//! Check: `mixed-metals-at-body-point`.

use model::{Layer, Look, Metal, Place, Signal, WireEnd};

use crate::context::Context;
use crate::looked::{Looked, Wrong, judge_joint};
use crate::outcome::{Out, missing, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "mixed-metals-at-body-point",
    include_str!("../../spec/mixed-metals-at-body-point.md"),
    check,
);

const FIND_OUT: &str = "look at the lug: tinned, or bare copper?";

fn check(context: &Context<'_>, out: &mut Out) {
    let vehicle = context.vehicle;
    for (id, device) in vehicle.devices.iter() {
        if !device.is_chassis || device.base_vehicle {
            continue;
        }
        let on = &device.on;
        let says_something = !(on.thickness.is_unknown() && on.joined.is_unknown());
        match on.metal.value() {
            None if says_something => {
                let place = Place::Device(id);
                let message = format!("which metal {} is on is not recorded", device.name);
                let facts = vec![missing("hold a magnet to it: steel, or aluminium?", place)];
                out.cannot_tell(place, Signal::Caution, message, facts);
            }
            Some(Metal::Aluminium) => device.terminals.iter().for_each(|t| lugs(context, *t, out)),
            Some(_) if !on.metal.is_assumed() => out.holds(),
            _ => {}
        }
    }
}

/// Lugs on aluminium: tinned, or on a plated washer, or nobody looked.
fn lugs(context: &Context<'_>, terminal: model::TerminalId, out: &mut Out) {
    let vehicle = context.vehicle;
    let stack = vehicle.stacks.iter().find(|stack| stack.terminal == terminal);
    let plated = stack.is_some_and(|stack| {
        let washer =
            |layer: &Layer| matches!(layer, Layer::Washer(words) if words.contains("plated"));
        stack.layers.iter().any(washer)
    });
    if plated {
        out.holds();
        return;
    }
    let landed: Vec<_> = vehicle.wires_at(terminal).collect();
    for (wire, end) in landed {
        let end: WireEnd = end;
        let joint = vehicle.wires[wire].end(end).joint;
        let looked =
            judge_joint(context, joint, Look::Tinned, Signal::Caution, FIND_OUT, out, wrong);
        if looked == Looked::No {
            let (place, name) = (Place::Joint(joint), vehicle.joint_name(joint));
            let message = format!("whether copper touches aluminium at {name} is not known");
            out.cannot_tell(place, Signal::Caution, message, vec![missing(FIND_OUT, place)]);
        }
    }
}

fn wrong(name: &str) -> Wrong {
    Wrong {
        message: format!("at {name} bare copper lies on aluminium"),
        limit: practice("on aluminium only tinned lugs or plated washers, sealed against damp"),
        remedy: format!(
            "clean {name} to bright metal, use a tinned lug on a plated toothed washer, and seal the finished joint"
        ),
    }
}
