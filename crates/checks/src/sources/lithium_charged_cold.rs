//! Check: `lithium-charged-cold`.

use model::{Attribute, Chemistry, Confidence, Place, Role, Signal};
use units::Celsius;

use crate::context::Context;
use crate::outcome::{Failure, Out, limit, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("lithium-charged-cold", include_str!("../../spec/lithium-charged-cold.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    let least = context.limit("charge-from");
    for (id, device) in context.vehicle.devices.iter() {
        if device.role != Role::Battery || device.chemistry.value() != Some(&Chemistry::Lfp) {
            continue;
        }
        let place = Place::Device(id);
        let name = &device.name;
        let cold = device.fact(Attribute::ColdLimit);
        let Some(stop_c) = cold.evidence().copied() else {
            let message = format!("whether {name} lets charge in below freezing is not known");
            let what = "read in its papers below which temperature its board stops charging";
            out.cannot_tell(place, Signal::Warning, message, vec![missing(what, place)]);
            continue;
        };
        if stop_c >= least.value {
            out.holds();
            continue;
        }
        let stop = Celsius::from_si(stop_c);
        let word = cold.origin().map_or("seen", model::Origin::word);
        out.fails(Failure {
            place,
            related: Vec::new(),
            signal: Signal::Warning,
            confidence: Confidence::Firm,
            message: format!("{name} lets charge in down to {stop}"),
            evidence: vec![format!("cold limit of its board: {stop}, {word}")],
            limit: limit(least),
            remedy: format!(
                "let the chargers of {name} stop below freezing by a probe on it, or heat it"
            ),
        });
    }
}
