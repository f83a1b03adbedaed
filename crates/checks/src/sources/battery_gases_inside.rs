//! Check: `battery-gases-inside`.

use model::{Chemistry, Device, DeviceId, Look, Place, Role, Signal};

use crate::context::Context;
use crate::looked::confidence;
use crate::outcome::{Failure, Out, limit_of, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("battery-gases-inside", include_str!("../../spec/battery-gases-inside.md"), check);

const FIND_OUT: &str = "look for a closed box and a hose or openings to the outside";

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, device) in context.vehicle.devices.iter() {
        if device.role == Role::Battery && !device.base_vehicle {
            battery(id, device, out);
        }
    }
}

fn battery(id: DeviceId, device: &Device, out: &mut Out) {
    let (place, name) = (Place::Device(id), &device.name);
    let signal = match device.chemistry.value() {
        Some(Chemistry::Lfp) => return,
        Some(Chemistry::Flooded) => Signal::Warning,
        Some(Chemistry::Agm | Chemistry::Gel) => Signal::Caution,
        None => {
            let message = format!("whether {name} gives off gas is not known");
            let facts = vec![missing("read its chemistry off the label", place)];
            out.cannot_tell(place, Signal::Warning, message, facts);
            return;
        }
    };
    let (vented, outside) = (device.looks.get(Look::Vented), device.looks.get(Look::OutsideLiving));
    let seen = |fact: &model::Fact<bool>| fact.evidence() == Some(&true);
    if seen(vented) || seen(outside) {
        out.holds();
    } else if vented.value() == Some(&false) {
        out.fails(Failure {
            place,
            related: Vec::new(),
            signal,
            confidence: confidence(vented),
            message: format!("{name} gives off gas where people are"),
            evidence: vec![match signal {
                Signal::Warning => "flooded cells give off hydrogen whenever they are charged".to_owned(),
                _ => "valve-regulated cells give off hydrogen when they are overcharged".to_owned(),
            }],
            limit: limit_of("battery space sealed from the inside and vented to the outside", "nec-552-10-d"),
            remedy: format!("put {name} into a box that is closed to the inside, with a hose or openings to the outside, low and high"),
        });
    } else {
        let message = format!("where the gases of {name} go is not known");
        out.cannot_tell(place, signal, message, vec![missing(FIND_OUT, place)]);
    }
}
