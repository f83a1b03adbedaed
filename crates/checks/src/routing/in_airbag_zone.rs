//! Check: `in-airbag-zone`.

use model::{Look, Place, Signal};

use crate::context::Context;
use crate::looked::{DeviceLook, Looked, WireLook, Wrong, ask, cables};
use crate::outcome::{Out, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("in-airbag-zone", include_str!("../../spec/in-airbag-zone.md"), check);

const FIND_OUT: &str =
    "ask the maker's manual where airbags and belt tensioners are, and look what was put there";

const WIRES: WireLook =
    WireLook { look: Look::AirbagsClear, signal: Signal::Warning, find_out: FIND_OUT, wrong: wire };

const DEVICES: DeviceLook = DeviceLook {
    look: Look::AirbagsClear,
    signal: Signal::Warning,
    find_out: FIND_OUT,
    wrong: device,
};

fn check(context: &Context<'_>, out: &mut Out) {
    let vehicle = context.vehicle;
    let mut looked_at = cables(vehicle).count() > WIRES.judge(context, out).len();
    for id in vehicle.devices.ids() {
        let added = !vehicle.devices[id].base_vehicle;
        looked_at |= DEVICES.judge(context, id, out) == Looked::Judged && added;
    }
    let units = vehicle.devices.iter().filter(|(_, device)| device.restraint_system);
    let at: Vec<Place> = units.map(|(id, _)| Place::Device(id)).collect();
    if !looked_at {
        let message =
            "whether anything was put where airbags and belt tensioners work is not recorded";
        ask(out, Signal::Caution, message, FIND_OUT, at);
    }
}

fn wire(name: &str) -> Wrong {
    wrong(&format!("wire {name}"))
}

fn device(name: &str) -> Wrong {
    wrong(name)
}

fn wrong(what: &str) -> Wrong {
    Wrong {
        message: format!("{what} is where an airbag or belt tensioner works"),
        limit: practice(
            "nothing is added where airbags and belt tensioners work, or to their wiring",
        ),
        remedy: format!(
            "have {what} moved; airbags and belt tensioners are for people trained by the maker, and no meter goes on yellow wiring"
        ),
    }
}
