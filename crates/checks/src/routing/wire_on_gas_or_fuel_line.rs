//! Check: `wire-on-gas-or-fuel-line`.

use model::{Look, Place, Signal};

use crate::context::Context;
use crate::looked::{Looked, Seen, Wrong, ask, cable_name, cables};
use crate::outcome::{Out, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "wire-on-gas-or-fuel-line",
    include_str!("../../spec/wire-on-gas-or-fuel-line.md"),
    check,
);

const FIND_OUT: &str = "look whether cables are tied to gas or fuel lines, or touch them";

fn check(context: &Context<'_>, out: &mut Out) {
    let mut looked_at = false;
    for (id, wire) in cables(context.vehicle) {
        for look in [Look::GasClear, Look::FuelClear] {
            let (place, name) = (Place::Wire(id), cable_name(wire));
            let seen = Seen { place, name, look, fact: wire.course.looks.get(look) };
            let what = if look == Look::GasClear { "gas" } else { "fuel" };
            let looked = seen.judge(out, Signal::Warning, FIND_OUT, || wrong(name, what));
            looked_at |= looked == Looked::Judged;
        }
    }
    let devices = context.vehicle.devices.iter();
    let burners = devices.filter(|(_, device)| device.gas);
    let at: Vec<Place> = burners.map(|(id, _)| Place::Device(id)).collect();
    if !looked_at {
        let message = "whether wires keep clear of gas and fuel lines is not recorded";
        ask(out, Signal::Caution, message, FIND_OUT, at);
    }
}

fn wrong(name: &str, what: &str) -> Wrong {
    Wrong {
        message: format!("wire {name} runs along a {what} line"),
        limit: practice("wires are never tied to gas or fuel lines and cannot touch them"),
        remedy: format!(
            "lead {name} away and fix both on their own; leave the line itself to people licensed for it"
        ),
    }
}
