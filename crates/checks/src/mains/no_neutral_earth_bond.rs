//! Check: `no-neutral-earth-bond`.

use model::{Attribute, Bond, Confidence, DeviceId, Place, Pole, Role, Shore, Signal};
use network::Walk;

use crate::context::{Context, Solved};
use crate::metal::metal;
use crate::outcome::{Failure, Out, limit_of, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("no-neutral-earth-bond", include_str!("../../spec/no-neutral-earth-bond.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    for solved in context.states {
        for (id, device) in context.vehicle.devices.iter() {
            let passes_shore = context.vehicle.terminal_of(id, "in.N").is_some()
                && solved.state.shore == Shore::Plugged;
            let inverts = device.role == Role::Inverter && solved.state.on.contains(&id);
            if inverts && !passes_shore {
                judge(context, solved, id, out);
            }
        }
    }
}

fn judge(context: &Context<'_>, solved: &Solved<'_>, id: DeviceId, out: &mut Out) {
    let vehicle = context.vehicle;
    let (Some(line), Some(neutral)) =
        (vehicle.terminal_of(id, "out.L"), vehicle.terminal_of(id, "out.N"))
    else {
        return;
    };
    let [line, neutral] = [line, neutral].map(|terminal| metal(solved.network, terminal));
    let (true, Some(device)) =
        (!shore_joined(context, solved, &neutral), guard(context, solved, &line))
    else {
        return;
    };
    let (mut bonded, mut asked) = (wired_to_earth(context, solved, &neutral), Vec::new());
    for (other, item) in vehicle.devices.iter() {
        if !has_neutral(context, solved, &neutral, other) {
            continue;
        }
        let applies = match item.role {
            Role::Inverter => other == id,
            Role::AcBreaker => true,
            _ => false,
        };
        match item.bond.evidence() {
            _ if !applies => {}
            Some(Bond::Never) => {}
            Some(Bond::WhileInverting) if item.role != Role::Inverter => {}
            Some(_) => bonded = true,
            None => asked.push(other),
        }
    }
    let (name, guard, state) =
        (&vehicle.devices[id].name, &vehicle.devices[device].name, &solved.state.name);
    let place = Place::State(solved.id);
    if bonded {
        out.holds();
    } else if asked.is_empty() {
        out.fails(Failure {
            place,
            related: vec![Place::Device(device), Place::Device(id)],
            signal: Signal::Warning,
            confidence: Confidence::Firm,
            message: format!(
                "in state {state} {guard} cannot see a fault: {name} has no neutral-earth bond"
            ),
            evidence: vec![format!("nothing joins the neutral of {name} to earth")],
            limit: limit_of("one bond for each source, at one point", "nec-250-30-a1"),
            remedy: format!(
                "a licensed electrician enables the bond of {name} while it is the source"
            ),
        });
    } else {
        let message = format!("whether {guard} can see a fault in state {state} is not known");
        let what = "with every source off and locked off, measure neutral to earth for continuity";
        let facts = asked.into_iter().map(|other| missing(what, Place::Device(other))).collect();
        out.cannot_tell(place, Signal::Caution, message, facts);
    }
}

/// A residual-current device on the inverter's output.
fn guard(context: &Context<'_>, solved: &Solved<'_>, line: &Walk) -> Option<DeviceId> {
    let vehicle = context.vehicle;
    let has = |id: DeviceId| {
        vehicle.devices[id].fact(Attribute::Residual).evidence().is_some_and(|ampere| *ampere > 0.0)
    };
    let met = |id: DeviceId| {
        let terminals = &vehicle.devices[id].terminals;
        terminals.iter().any(|t| line.reaches(solved.network.graph.stud(*t)))
    };
    vehicle
        .devices
        .ids()
        .find(|id| vehicle.devices[*id].role == Role::AcBreaker && has(*id) && met(*id))
}

/// Metal also leads to a plugged inlet: the supply's own bond counts.
fn shore_joined(context: &Context<'_>, solved: &Solved<'_>, neutral: &Walk) -> bool {
    solved.state.shore == Shore::Plugged
        && context.vehicle.devices.iter().any(|(id, device)| {
            device.role == Role::ShoreInlet && has_neutral(context, solved, neutral, id)
        })
}

fn has_neutral(context: &Context<'_>, solved: &Solved<'_>, neutral: &Walk, id: DeviceId) -> bool {
    context.vehicle.devices[id].terminals.iter().any(|terminal| {
        context.vehicle.terminals[*terminal].pole == Pole::Neutral
            && neutral.reaches(solved.network.graph.stud(*terminal))
    })
}

fn wired_to_earth(context: &Context<'_>, solved: &Solved<'_>, neutral: &Walk) -> bool {
    context.vehicle.terminals.iter().any(|(id, terminal)| {
        terminal.pole == Pole::Earth && neutral.reaches(solved.network.graph.stud(id))
    })
}
