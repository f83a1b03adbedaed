//! Check: `strands-damaged`.

use catalog::LimitRow;
use model::{Confidence, Fact, Place, Signal, Strands};

use crate::context::Context;
use crate::looked::joints;
use crate::outcome::{Failure, Out, limit, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("strands-damaged", include_str!("../../spec/strands-damaged.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, _) in joints(context.vehicle) {
        let Fact::Known { value: strands, origin } = &context.vehicle.joints[id].strands else {
            continue;
        };
        let (place, name) = (Place::Joint(id), context.vehicle.joint_name(id));
        let row = allowed(context, *strands);
        let within = f64::from(strands.harmed) <= row.value;
        let how = if strands.broken { "broken" } else { "nicked" };
        match (within, origin.is_evidence()) {
            (true, true) => out.holds(),
            (true, false) => {
                let message = format!("{name}: how many strands are harmed is only assumed");
                let what =
                    "count the strands where it was stripped: how many are nicked or broken?";
                out.cannot_tell(place, Signal::Caution, message, vec![missing(what, place)]);
            }
            (false, evidence) => out.fails(Failure {
                place,
                related: Vec::new(),
                signal: Signal::Caution,
                confidence: if evidence { Confidence::Firm } else { Confidence::Likely },
                message: format!(
                    "at {name} {} of {} strands are {how}",
                    strands.harmed, strands.of
                ),
                evidence: vec![format!("{} allowed; {}", row.value, origin.word())],
                limit: limit(row),
                remedy: format!("cut {name} back to whole strands and end it anew"),
            }),
        }
    }
}

/// How many strands of a conductor of so many may be harmed; a count between two rows goes with the
/// smaller.
fn allowed<'a>(context: &Context<'a>, strands: Strands) -> &'a LimitRow {
    context.limit(match (strands.of, strands.broken) {
        (133.., _) => "strands-harmed-133",
        (_, true) => "strands-broken-few",
        (37.., false) => "strands-nicked-37",
        (19.., false) => "strands-nicked-19",
        (_, false) => "strands-broken-few",
    })
}
