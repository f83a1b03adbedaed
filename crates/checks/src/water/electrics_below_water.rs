//! Check: `electrics-below-water`.

use model::{Look, Place, Signal};

use crate::context::Context;
use crate::looked::{Looked, Seen, Wrong, ask, is_electrics};
use crate::outcome::{Out, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("electrics-below-water", include_str!("../../spec/electrics-below-water.md"), check);

const FIND_OUT: &str = "look above it: water pipe, tank, hatch, drain?";

fn check(context: &Context<'_>, out: &mut Out) {
    let vehicle = context.vehicle;
    let mut unseen = Vec::new();
    for (id, device) in vehicle.devices.iter().filter(|(_, device)| !device.base_vehicle) {
        let on_mains = device.terminals.iter().any(|t| vehicle.terminals[*t].pole.is_ac());
        let (place, name, look) = (Place::Device(id), &device.name, Look::WaterClear);
        let seen = Seen { place, name, look, fact: device.looks.get(look) };
        let signal = if on_mains { Signal::Warning } else { Signal::Caution };
        let looked = seen.judge(out, signal, FIND_OUT, || wrong(name));
        if looked == Looked::No && is_electrics(device.role) {
            unseen.push(place);
        }
    }
    if vehicle.devices.iter().any(|(_, device)| device.kind == "water pump") {
        let message = "whether water pipes or tanks are above the electrics is not recorded";
        ask(out, Signal::Notice, message, FIND_OUT, unseen);
    }
}

fn wrong(name: &str) -> Wrong {
    Wrong {
        message: format!("{name} is below a water pipe, tank or hatch"),
        limit: practice("no water above electrics without a tray that drains away from them"),
        remedy: format!(
            "move {name}, or put a tray with a drain between it and the water; look inside for white or green marks"
        ),
    }
}
