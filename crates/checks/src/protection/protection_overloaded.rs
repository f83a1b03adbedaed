//! Check: `protection-overloaded`.

use circuit::BranchId;
use model::{Attribute, Confidence, DeviceId, Fact, Place, Signal, TerminalId};
use network::Network;
use units::Ampere;

use crate::context::Context;
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;
use crate::weigh::{Weighed, weigh};

/// Room for rounding, as a part of the limit.
const SLACK: f64 = 1e-9;

/// Less than this is no current, A.
const NOTHING_A: f64 = 1e-3;

pub(crate) const CHECK: Check =
    Check::new("protection-overloaded", include_str!("../../spec/protection-overloaded.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    let vehicle = context.vehicle;
    for (id, device) in vehicle.devices.iter() {
        if !device.role.protects() {
            continue;
        }
        for (index, way) in device.ways.iter().enumerate() {
            let label = format!("{} way {}", device.name, index + 1);
            judge(context, id, way.terminal, &label, &way.rated, out);
        }
        if let (true, [_, outgoing]) = (device.ways.is_empty(), device.terminals.as_slice()) {
            let rated = device.fact(Attribute::Rated).map(|a| Ampere::from_si(*a));
            judge(context, id, *outgoing, &device.name, &rated, out);
        }
    }
}

fn judge(
    context: &Context<'_>,
    id: DeviceId,
    outgoing: TerminalId,
    label: &str,
    rated: &Fact<Ampere>,
    out: &mut Out,
) {
    let branch = |network: &Network| -> Option<BranchId> {
        let mut contacts = network.contacts_of(id).iter();
        Some(contacts.find(|(_, terminal, _)| *terminal == outgoing)?.2)
    };
    let Some(worst) = context.worst(branch) else { return };
    let current = Ampere::from_si(worst.ampere);
    let place = Place::Device(id);
    let Fact::Known { value: rating, origin } = rated else {
        // Where nothing flows nothing is too much; the wire behind it asks for the rating.
        if worst.ampere < NOTHING_A {
            return;
        }
        let message = format!("whether {label} can carry {current} is not known");
        let facts = vec![missing(format!("read the rating of {label}"), place)];
        out.cannot_tell(place, Signal::Notice, message, facts);
        return;
    };
    let over = |ampere: f64| ampere > rating.si() * (1.0 + SLACK);
    match weigh(context.vehicle, &context.amounts(branch), over) {
        Weighed::Holds if origin.is_evidence() => {
            out.holds();
            return;
        }
        Weighed::Holds | Weighed::Uncounted => return,
        Weighed::Depends(facts) => {
            let message = format!(
                "{label} is rated {rating}; that it carries {current} rests on a power nobody read"
            );
            out.cannot_tell(place, Signal::Notice, message, facts);
            return;
        }
        Weighed::Fails => {}
    }
    out.fails(Failure {
        place,
        related: Vec::new(),
        signal: Signal::Caution,
        confidence: if origin.is_evidence() { Confidence::Firm } else { Confidence::Likely },
        message: format!("{label} ({rating}) would have to carry {current}"),
        evidence: vec![format!("{current} in {} by the sums; it opens sooner or later", worst.words())],
        limit: practice("a fuse or breaker carries at most its rating for good"),
        remedy: format!(
            "find out whether the load, the fuse or the record is wrong; a larger fuse only if every wire behind {label} may carry it"
        ),
    });
}
