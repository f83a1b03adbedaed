//! Check: `switch-without-label`.

use model::{Look, Place, Role, Signal};

use crate::context::Context;
use crate::looked::{DeviceLook, Looked, Wrong};
use crate::outcome::{Out, missing, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("switch-without-label", include_str!("../../spec/switch-without-label.md"), check);

const LOOK: DeviceLook = DeviceLook {
    look: Look::Labelled,
    signal: Signal::Notice,
    find_out: "look for a label that says what it is or switches",
    wrong,
};

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, device) in context.vehicle.devices.iter() {
        let asked = device.kind == "isolator"
            || matches!(device.role, Role::ShoreInlet | Role::FuseBox | Role::AcBreaker);
        let looked = LOOK.judge(context, id, out);
        if asked && looked == Looked::No {
            let place = Place::Device(id);
            let message = format!("whether {} carries a label is not known", device.name);
            out.cannot_tell(place, Signal::Notice, message, vec![missing(LOOK.find_out, place)]);
        }
    }
}

fn wrong(name: &str) -> Wrong {
    Wrong {
        message: format!("{name} carries no label"),
        limit: practice("isolators, inlets and fuses say what they are and what they switch"),
        remedy: format!("label {name} with what it is, what it switches and its rating"),
    }
}
