//! Check: `no-air-around`.

use model::{Look, Signal};

use crate::context::Context;
use crate::looked::{DeviceLook, Wrong};
use crate::outcome::{Out, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("no-air-around", include_str!("../../spec/no-air-around.md"), check);

const LOOK: DeviceLook = DeviceLook {
    look: Look::Air,
    signal: Signal::Caution,
    find_out: "look whether its fan and ribs have the room its maker asks for",
    wrong,
};

fn check(context: &Context<'_>, out: &mut Out) {
    for id in context.vehicle.devices.ids() {
        let _ = LOOK.judge(context, id, out);
    }
}

fn wrong(name: &str) -> Wrong {
    Wrong {
        message: format!("{name} has no air around it"),
        limit: practice("the room around it that its maker asks for"),
        remedy: format!(
            "give {name} the room and the air its maker asks for, and feel it after half an hour at full load"
        ),
    }
}
