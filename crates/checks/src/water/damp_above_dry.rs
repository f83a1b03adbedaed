//! Check: `damp-above-dry`.

use model::{Confidence, Fact, Place, Signal};
use units::Fraction;

use crate::context::Context;
use crate::outcome::{Failure, Out, limit, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("damp-above-dry", include_str!("../../spec/damp-above-dry.md"), check);

/// Room for rounding.
const SLACK: f64 = 1e-9;

fn check(context: &Context<'_>, out: &mut Out) {
    let vehicle = context.vehicle;
    let parts = vehicle.parts.iter().map(|(id, part)| (Place::Part(id), &part.name, &part.damp));
    let spots = vehicle.spots.iter().map(|(id, spot)| (Place::Spot(id), &spot.name, &spot.damp));
    for (place, name, damp) in parts.chain(spots) {
        judge(context, place, name, damp, out);
    }
}

fn judge(context: &Context<'_>, place: Place, name: &str, damp: &Fact<Fraction>, out: &mut Out) {
    let Some(moist) = damp.value().map(|moist| moist.si()) else { return };
    let (dry_enough, most) = (context.limit("wood-dry"), context.limit("wood-damp"));
    let above = context.limit("wood-above-dry");
    let evidence = damp.evidence().is_some();
    if moist > most.value + SLACK {
        fails(place, name, damp, None, limit(most), out);
    } else if moist <= dry_enough.value + SLACK && evidence {
        out.holds();
    } else if moist > dry_enough.value + SLACK
        && let Some(dry) = context.vehicle.dry.evidence()
        && evidence
    {
        if moist - dry.si() > above.value + SLACK {
            fails(place, name, damp, Some(*dry), limit(above), out);
        } else {
            out.holds();
        }
    } else {
        let message = format!("whether {name} is damp is not known");
        let what = if evidence {
            "read the same wood, with the same meter, where it is known to be dry"
        } else {
            "read it with a pin meter"
        };
        out.cannot_tell(place, Signal::Notice, message, vec![missing(what, place)]);
    }
}

fn fails(
    place: Place,
    name: &str,
    damp: &Fact<Fraction>,
    dry: Option<Fraction>,
    limit: Option<model::Limit>,
    out: &mut Out,
) {
    let (Some(moist), Some(origin)) = (damp.value(), damp.origin()) else { return };
    let mut evidence = vec![format!("moisture {moist}: {}", origin.word())];
    evidence.extend(dry.map(|dry| format!("{dry} where it is dry, by the same meter")));
    out.fails(Failure {
        place,
        related: Vec::new(),
        signal: Signal::Notice,
        confidence: if origin.is_evidence() { Confidence::Firm } else { Confidence::Likely },
        message: format!("the wood of {name} is damp: {moist}"),
        evidence,
        limit,
        remedy: format!("find where the water comes in above {name}, seal it from outside, dry it open, and read again"),
    });
}
