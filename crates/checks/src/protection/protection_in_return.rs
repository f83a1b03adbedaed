//! Check: `protection-in-return`.

use model::{Confidence, DeviceId, Place, Role, Signal};
use network::return_points;

use crate::context::Context;
use crate::outcome::{Failure, Out, limit_of, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("protection-in-return", include_str!("../../spec/protection-in-return.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    let Some(solved) = context.first() else { return };
    let vehicle = context.vehicle;
    let returns = return_points(vehicle, solved.network);
    for (id, device) in vehicle.devices.iter() {
        let [a, b] = device.terminals.as_slice() else { continue };
        if !matches!(device.role, Role::Fuse | Role::Breaker) {
            continue;
        }
        let wired = [a, b].map(|side| vehicle.wires_at(*side).next().is_some());
        let on_return = [a, b].map(|side| returns.contains(&solved.network.graph.stud(*side)));
        match (on_return, wired) {
            ([true, true], [true, true]) => fails(context, id, out),
            ([false, false], [true, true]) => out.holds(),
            ([true, true], [true, false] | [false, true]) => {
                let message = format!("what {} in the return serves is not known", device.name);
                let place = Place::Device(id);
                let facts = vec![missing("follow both its sides", place)];
                out.cannot_tell(place, Signal::Caution, message, facts);
            }
            _ => {}
        }
    }
}

fn fails(context: &Context<'_>, id: DeviceId, out: &mut Out) {
    let name = &context.vehicle.devices[id].name;
    out.fails(Failure {
        place: Place::Device(id),
        related: Vec::new(),
        signal: Signal::Warning,
        confidence: Confidence::Firm,
        message: format!("{name} is in the return"),
        evidence: vec![format!(
            "both sides of {name} are joined to the minus of a source or to the body"
        )],
        limit: limit_of("protection where the feed leaves its source", "nec-552-10-e"),
        remedy: format!("move {name} to the plus, close to the source; join the return without it"),
    });
}
