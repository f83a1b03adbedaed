//! Check: `no-wiring-document`.

use model::{Fact, Place, Signal};

use crate::context::Context;
use crate::looked::confidence;
use crate::outcome::{Failure, Out, limit_of, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("no-wiring-document", include_str!("../../spec/no-wiring-document.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    let (place, documents) = (Place::Vehicle, &context.vehicle.documents);
    let find_out = "ask for a wiring diagram, and look in the glove box and the fuse box lid";
    match documents {
        Fact::Unknown => {
            let message = "whether a wiring diagram goes with the vehicle is not recorded";
            out.cannot_tell(place, Signal::Notice, message, vec![missing(find_out, place)]);
        }
        Fact::Known { value, origin } if value.iter().any(|paper| paper.contains("diagram")) => {
            if origin.is_evidence() {
                out.holds();
            } else {
                let message = "that a wiring diagram goes with the vehicle is only assumed";
                out.cannot_tell(place, Signal::Notice, message, vec![missing(find_out, place)]);
            }
        }
        Fact::Known { value, .. } => out.fails(Failure {
            place,
            related: Vec::new(),
            signal: Signal::Notice,
            confidence: confidence(documents),
            message: "no wiring diagram goes with the vehicle".to_owned(),
            evidence: vec![if value.is_empty() {
                "papers that go with it: none".to_owned()
            } else {
                format!("papers that go with it: {}", value.join(", "))
            }],
            limit: limit_of(
                "instructions for the user that go with the vehicle",
                "asnzs-3001-2-users",
            ),
            remedy: "print the wiring drawing of this record and leave it in the vehicle"
                .to_owned(),
        }),
    }
}
