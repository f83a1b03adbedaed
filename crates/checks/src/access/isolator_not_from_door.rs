//! Check: `isolator-not-from-door`.

use model::{Confidence, Device, DeviceId, Look, Place, Signal};

use crate::context::Context;
use crate::looked::{DeviceLook, Looked, Wrong};
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "isolator-not-from-door",
    include_str!("../../spec/isolator-not-from-door.md"),
    check,
);

const LOOK: DeviceLook = DeviceLook {
    look: Look::FromDoor,
    signal: Signal::Caution,
    find_out: "stand outside at the door: can a hand switch it off, without a tool?",
    wrong,
};

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, device) in context.vehicle.devices.iter() {
        if device.kind != "isolator" || device.base_vehicle {
            continue;
        }
        if hidden(device) {
            behind(id, device, out);
        } else if LOOK.judge(context, id, out) == Looked::No {
            let place = Place::Device(id);
            let message =
                format!("whether {} can be switched off from a door is not known", device.name);
            out.cannot_tell(place, Signal::Caution, message, vec![missing(LOOK.find_out, place)]);
        }
    }
}

/// Something has to come out first, whichever way one goes.
fn hidden(device: &Device) -> bool {
    device.reach.evidence().is_some_and(|ways| ways.iter().all(|parts| !parts.is_empty()))
}

fn behind(id: DeviceId, device: &Device, out: &mut Out) {
    let name = &device.name;
    let wrong = wrong(name);
    out.fails(Failure {
        place: Place::Device(id),
        related: Vec::new(),
        signal: Signal::Caution,
        confidence: Confidence::Firm,
        message: wrong.message,
        evidence: vec!["something has to come out before a hand reaches it".to_owned()],
        limit: wrong.limit,
        remedy: wrong.remedy,
    });
}

fn wrong(name: &str) -> Wrong {
    Wrong {
        message: format!("{name} cannot be switched off from a door"),
        limit: practice(
            "an isolator is reached standing at a door, without tools, within ten seconds",
        ),
        remedy: format!(
            "bring {name}, or a second isolator before it, to where a hand reaches it from a door; label it"
        ),
    }
}
