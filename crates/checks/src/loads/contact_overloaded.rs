//! Check: `contact-overloaded`.

use circuit::BranchId;
use model::{Attribute, Confidence, DeviceId, Fact, Place, Role, Signal};
use network::Network;
use units::Ampere;

use crate::context::{Context, Worst};
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;
use crate::weigh::{Weighed, weigh};

/// From here on a contact's rating is worth a look, A. Common practice, no source.
const ASKS_FROM_A: f64 = 20.0;

/// Less than this is no current, A.
const NOTHING_A: f64 = 1e-3;

/// Room for rounding, as a part of the limit.
const SLACK: f64 = 1e-9;

pub(crate) const CHECK: Check =
    Check::new("contact-overloaded", include_str!("../../spec/contact-overloaded.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, device) in context.vehicle.devices.iter() {
        let counts = matches!(device.role, Role::Switch | Role::Relay | Role::CombinerRelay);
        let branch = |network: &Network| -> Option<BranchId> {
            network.contacts_of(id).first().map(|(.., branch)| *branch)
        };
        if let Some(worst) =
            context.worst(branch).filter(|worst| counts && worst.ampere > NOTHING_A)
        {
            judge(context, id, worst, out);
        }
    }
}

fn judge(context: &Context<'_>, id: DeviceId, worst: Worst<'_>, out: &mut Out) {
    let branch = |network: &Network| -> Option<BranchId> {
        network.contacts_of(id).first().map(|(.., branch)| *branch)
    };
    let device = &context.vehicle.devices[id];
    let (name, place, current) = (&device.name, Place::Device(id), Ampere::from_si(worst.ampere));
    let Fact::Known { value: rated_a, origin } = device.fact(Attribute::Rated) else {
        if worst.ampere >= ASKS_FROM_A {
            let message = format!("whether {name} can carry {current} is not known");
            let facts = vec![missing(format!("read the rating of {name}"), place)];
            out.cannot_tell(place, Signal::Notice, message, facts);
        }
        return;
    };
    let rated = Ampere::from_si(rated_a);
    match weigh(context.vehicle, &context.amounts(branch), |ampere| {
        ampere > rated_a * (1.0 + SLACK)
    }) {
        Weighed::Holds if origin.is_evidence() => out.holds(),
        Weighed::Holds | Weighed::Uncounted => {}
        Weighed::Depends(facts) => {
            let message = format!(
                "{name} is rated {rated}; that it carries {current} rests on a power nobody read"
            );
            out.cannot_tell(place, Signal::Caution, message, facts);
        }
        Weighed::Fails => out.fails(Failure {
            place,
            related: Vec::new(),
            signal: Signal::Warning,
            confidence: if origin.is_evidence() { Confidence::Firm } else { Confidence::Likely },
            message: format!("{name} ({rated}) has to carry {current}"),
            evidence: vec![format!("{current} in {} by the sums", worst.words())],
            limit: practice("a contact carries at most its rating for good"),
            remedy: format!(
                "fit one in place of {name} that is rated for direct current at what flows"
            ),
        }),
    }
}
