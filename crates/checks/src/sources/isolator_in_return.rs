//! Check: `isolator-in-return`.

use model::{Confidence, Place, Role, Signal};
use network::return_points;

use crate::context::Context;
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("isolator-in-return", include_str!("../../spec/isolator-in-return.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    let Some(solved) = context.first() else { return };
    let vehicle = context.vehicle;
    let returns = return_points(vehicle, solved.network);
    for (id, device) in vehicle.devices.iter() {
        let [a, b] = device.terminals.as_slice() else { continue };
        if device.role != Role::Switch || device.base_vehicle {
            continue;
        }
        let place = Place::Device(id);
        let name = &device.name;
        let wired = [a, b].map(|side| vehicle.wires_at(*side).next().is_some());
        let on_return = [a, b].map(|side| returns.contains(&solved.network.graph.stud(*side)));
        match (on_return, wired) {
            ([false, false], [true, true]) => out.holds(),
            ([false, false], _) => {}
            (_, [true, true]) => out.fails(Failure {
                place,
                related: Vec::new(),
                signal: Signal::Caution,
                confidence: Confidence::Firm,
                message: format!("{name} switches the return, not the feed"),
                evidence: vec![format!("{name} is joined to the minus of a source or to the body")],
                limit: practice("the isolator takes the plus off"),
                remedy: format!(
                    "move {name} to the plus, close to the source; join the return without it"
                ),
            }),
            _ => {
                let message = format!("what {name} in the return switches is not known");
                let facts = vec![missing("follow both its sides", place)];
                out.cannot_tell(place, Signal::Caution, message, facts);
            }
        }
    }
}
