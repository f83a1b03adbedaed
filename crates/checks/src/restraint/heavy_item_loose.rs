//! Check: `heavy-item-loose`.

use model::{Confidence, Signal};

use crate::context::Context;
use crate::outcome::{Failure, Out, limit, missing};
use crate::registry::Check;
use crate::restraint::Thing;

pub(crate) const CHECK: Check =
    Check::new("heavy-item-loose", include_str!("../../spec/heavy-item-loose.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    Thing::all(context.vehicle)
        .filter(Thing::is_heavy)
        .for_each(|thing| judge(context, &thing, out));
}

fn judge(context: &Context<'_>, thing: &Thing<'_>, out: &mut Out) {
    let Thing { place, name, mass, fixed, .. } = thing;
    let kilograms = units::Kilogram::from_si(mass.value().copied().unwrap_or_default());
    if thing.is_loose() {
        let likely = mass.is_assumed() || fixed.is_assumed();
        out.fails(Failure {
            place: *place,
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
    } else if fixed.is_assumed() && thing.mounting.is_none() {
        let message = format!("that {name} is fixed is only assumed");
        let facts = vec![missing("pull at it: what holds it?", *place)];
        out.cannot_tell(*place, Signal::Danger, message, facts);
    } else if fixed.evidence().is_some() || thing.mounting.is_some() {
        out.holds();
    }
}
