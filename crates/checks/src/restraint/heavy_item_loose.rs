//! Check: `heavy-item-loose`.

use model::{Attribute, Confidence, Device, DeviceId, Fact, Look, Place, Signal};

use crate::context::Context;
use crate::outcome::{Failure, Out, limit, missing};
use crate::registry::Check;
use crate::restraint::HEAVY_KG;

pub(crate) const CHECK: Check =
    Check::new("heavy-item-loose", include_str!("../../spec/heavy-item-loose.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, device) in context.vehicle.devices.iter() {
        let mass = device.fact(Attribute::Mass);
        let heavy = mass.value().is_some_and(|kg| *kg >= HEAVY_KG);
        if heavy && !device.base_vehicle {
            judge(context, id, device, &mass, out);
        }
    }
}

fn judge(context: &Context<'_>, id: DeviceId, device: &Device, mass: &Fact<f64>, out: &mut Out) {
    let (place, name) = (Place::Device(id), &device.name);
    let kilograms = units::Kilogram::from_si(mass.value().copied().unwrap_or_default());
    let fixed = device.looks.get(Look::Fixed);
    if is_loose(device) {
        let likely = mass.is_assumed() || fixed.is_assumed();
        out.fails(Failure {
            place,
            related: Vec::new(),
            signal: Signal::Danger,
            confidence: if likely { Confidence::Likely } else { Confidence::Firm },
            message: format!("nothing holds {name}, {kilograms}"),
            evidence: vec![format!("{kilograms}, and nothing that holds it")],
            limit: limit(context.limit("driving-load")),
            remedy: format!(
                "take {name} out before the vehicle is driven, or fix it to the structure"
            ),
        });
    } else if fixed.is_assumed() && device.mounting.is_none() {
        let message = format!("that {name} is fixed is only assumed");
        let facts = vec![missing("pull at it: what holds it?", place)];
        out.cannot_tell(place, Signal::Danger, message, facts);
    } else if fixed.evidence().is_some() || device.mounting.is_some() {
        out.holds();
    }
}

/// The record says that nothing holds it.
pub(crate) fn is_loose(device: &Device) -> bool {
    let nothing = device.mounting.as_ref().is_some_and(|held| {
        matches!(held.words.trim(), "nothing" | "loose" | "seen nothing" | "seen loose")
    });
    nothing || device.looks.get(Look::Fixed).value() == Some(&false)
}
