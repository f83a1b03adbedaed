//! Check: `mains-joint-without-enclosure`.

use model::{Look, Place, Role, Signal};

use crate::context::Context;
use crate::looked::{DeviceLook, Looked, Wrong};
use crate::outcome::{Out, missing, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "mains-joint-without-enclosure",
    include_str!("../../spec/mains-joint-without-enclosure.md"),
    check,
);

const LOOK: DeviceLook = DeviceLook {
    look: Look::Boxed,
    signal: Signal::Warning,
    find_out: "with every source off, look whether the joint is in a closed box with clamped cables",
    wrong,
};

fn check(context: &Context<'_>, out: &mut Out) {
    let vehicle = context.vehicle;
    for (id, device) in vehicle.devices.iter() {
        let on_mains = device
            .terminals
            .iter()
            .flat_map(|terminal| vehicle.wires_at(*terminal))
            .any(|(wire, _)| vehicle.is_ac(wire));
        let joins =
            device.role == Role::Junction && device.kind != "earth stud" && !device.is_chassis;
        if joins && on_mains && LOOK.judge(context, id, out) == Looked::No {
            let place = Place::Device(id);
            let message =
                format!("whether the mains joint {} is in a box is not known", device.name);
            out.cannot_tell(place, Signal::Warning, message, vec![missing(LOOK.find_out, place)]);
        }
    }
}

fn wrong(name: &str) -> Wrong {
    Wrong {
        message: format!("the mains joint {name} is not in a box"),
        limit: practice(
            "mains joints are in closed boxes that can be reached, with every cable clamped",
        ),
        remedy: format!(
            "keep the mains side off; have a licensed electrician put {name} into a closed box"
        ),
    }
}
