//! Check: `device-loose`.

use model::{Attribute, Look, Signal};

use crate::context::Context;
use crate::looked::{DeviceLook, Wrong};
use crate::outcome::{Out, practice};
use crate::registry::Check;
use crate::restraint::HEAVY_KG;

pub(crate) const CHECK: Check =
    Check::new("device-loose", include_str!("../../spec/device-loose.md"), check);

const FIND_OUT: &str = "pull at it: what holds it?";

fn check(context: &Context<'_>, out: &mut Out) {
    let vehicle = context.vehicle;
    for (id, device) in vehicle.devices.iter() {
        let heavy = device.number(Attribute::Mass).is_some_and(|kg| kg >= HEAVY_KG);
        let on_mains = device.terminals.iter().any(|t| vehicle.terminals[*t].pole.is_ac());
        let signal = if on_mains { Signal::Warning } else { Signal::Caution };
        if !heavy {
            let look = DeviceLook { look: Look::Fixed, signal, find_out: FIND_OUT, wrong };
            let _ = look.judge(context, id, out);
        }
    }
}

fn wrong(name: &str) -> Wrong {
    Wrong {
        message: format!("{name} hangs loose"),
        limit: practice("equipment is fixed, so that its wires carry no weight"),
        remedy: format!(
            "fix {name} where it cannot fall or pull at its wires; look at its terminals first"
        ),
    }
}
