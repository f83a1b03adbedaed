//! Check: `fixing-out-of-reach`.

use std::collections::BTreeSet;

use model::{Confidence, Damage, Fixing, HeadAccess, PartId, Place, Signal};

use crate::context::Context;
use crate::outcome::{Failure, Out, limit_of, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("fixing-out-of-reach", include_str!("../../spec/fixing-out-of-reach.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    for id in hiding(context) {
        part(context, id, out);
    }
}

/// Parts that lie in front of something that wants service or protects.
fn hiding(context: &Context<'_>) -> BTreeSet<PartId> {
    let devices = context.vehicle.devices.iter().map(|(_, device)| device);
    let wanted = devices.filter(|device| {
        device.service.is_some() || device.role.protects() || device.role.isolates()
    });
    wanted.filter_map(|device| device.reach.value()).flatten().flatten().copied().collect()
}

fn part(context: &Context<'_>, id: PartId, out: &mut Out) {
    let vehicle = context.vehicle;
    let part = &vehicle.parts[id];
    if part.is_out || part.moved.is_some() {
        return;
    }
    let ways = part.removals.iter().map(|way| &vehicle.removals[*way]);
    let ways: Vec<&[Fixing]> = ways
        .filter(|way| way.damage != Damage::Destroys)
        .map(|way| way.fixings.as_slice())
        .collect();
    let place = Place::Part(id);
    let name = &part.name;
    if part.removals.is_empty() {
        let message = format!("what holds {name} is not recorded");
        let facts =
            vec![missing("look what holds it: which fixings, and where their heads are", place)];
        out.cannot_tell(place, Signal::Notice, message, facts);
        return;
    }
    let Some(stuck) = ways.iter().map(|fixings| unreachable(fixings)).collect::<Option<Vec<_>>>()
    else {
        out.holds();
        return;
    };
    // Nothing but destruction is left: what is behind it is judged by the check on service.
    let Some(first) = stuck.first() else { return };
    out.fails(Failure {
        place,
        related: Vec::new(),
        signal: Signal::Notice,
        confidence: if first.head.is_assumed() { Confidence::Likely } else { Confidence::Firm },
        message: format!("no tool reaches what holds {name}"),
        evidence: vec![format!("{} on every way it comes out whole", first.words())],
        limit: limit_of("heads of fixings on surfaces that are readily reached", "mil-std-1472e-heads"),
        remedy: format!("find out what was built in front of {name}; put back with fixings whose heads can be reached"),
    });
}

/// A fixing of a way that no tool reaches.
fn unreachable(fixings: &[Fixing]) -> Option<&Fixing> {
    fixings.iter().find(|fixing| fixing.head.value() == Some(&HeadAccess::Unreachable))
}
