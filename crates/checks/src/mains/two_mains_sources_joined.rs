//! Check: `two-mains-sources-joined`.

use model::{Confidence, Place, Role, Signal, Vehicle};

use crate::context::Context;
use crate::mains::sources::{MainsSource, sources};
use crate::metal::{metal, named, unseen};
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "two-mains-sources-joined",
    include_str!("../../spec/two-mains-sources-joined.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    let all = sources(context.vehicle);
    for (index, one) in all.iter().enumerate() {
        for other in all.iter().skip(index + 1) {
            if one.device != other.device && !is_inverter_and_inlet(context.vehicle, one, other) {
                judge(context, one, other, out);
            }
        }
    }
}

fn is_inverter_and_inlet(vehicle: &Vehicle, one: &MainsSource, other: &MainsSource) -> bool {
    let roles = [one, other].map(|source| vehicle.devices[source.device].role);
    roles.contains(&Role::Inverter) && roles.contains(&Role::ShoreInlet)
}

fn judge(context: &Context<'_>, one: &MainsSource, other: &MainsSource, out: &mut Out) {
    let vehicle = context.vehicle;
    let [name, second] = [one, other].map(|source| vehicle.devices[source.device].name.as_str());
    let place = Place::Device(one.device);
    for solved in context.states {
        let walk = metal(solved.network, one.line);
        let to = solved.network.graph.stud(other.line);
        if walk.reaches(to) {
            let (state, wires) =
                (&solved.state.name, named(vehicle, solved.network, &walk.path(to)));
            out.fails(Failure {
                place,
                related: vec![Place::Device(other.device)],
                signal: Signal::Danger,
                confidence: Confidence::Firm,
                message: format!("{name} and {second} are joined"),
                evidence: vec![format!("state {state}: their lines are joined by {wires}")],
                limit: practice("sources are changed over, never joined"),
                remedy: format!("disconnect {name} or {second} and lock it off; a licensed electrician fits a changeover"),
            });
            return;
        }
    }
    let Some(solved) = context.first() else { return };
    let open =
        [one, other].map(|s| unseen(vehicle, solved.network, &metal(solved.network, s.line)));
    match open {
        [Some(a), Some(b)] => {
            let message = format!("whether {name} and {second} are joined is not known");
            let facts = [a, b].map(|wire| missing("follow it to its end", Place::Wire(wire)));
            out.cannot_tell(place, Signal::Warning, message, facts.to_vec());
        }
        _ => out.holds(),
    }
}
