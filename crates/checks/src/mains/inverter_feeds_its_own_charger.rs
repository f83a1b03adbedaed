//! Check: `inverter-feeds-its-own-charger`.

use model::{Confidence, DeviceId, Place, Role, Shore, Signal};

use crate::context::{Context, Solved};
use crate::metal::{closable, metal, reaches, unseen};
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "inverter-feeds-its-own-charger",
    include_str!("../../spec/inverter-feeds-its-own-charger.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, device) in context.vehicle.devices.iter() {
        if device.role == Role::Inverter {
            judge(context, id, out);
        }
    }
}

/// States that show what the inverter feeds: those in which it makes the voltage itself.
fn states<'a>(context: &Context<'a>, id: DeviceId) -> Vec<&'a Solved<'a>> {
    let passes_shore = context.vehicle.terminal_of(id, "in.L").is_some();
    let inverts = |solved: &&Solved<'_>| {
        solved.state.on.contains(&id) && !(passes_shore && solved.state.shore == Shore::Plugged)
    };
    let on: Vec<&Solved<'_>> = context.states.iter().filter(inverts).collect();
    if on.is_empty() { context.states.iter().collect() } else { on }
}

fn judge(context: &Context<'_>, id: DeviceId, out: &mut Out) {
    let vehicle = context.vehicle;
    let Some(line) = vehicle.terminal_of(id, "out.L") else { return };
    let name = &vehicle.devices[id].name;
    let mut open = None;
    for solved in states(context, id) {
        let output = metal(solved.network, line);
        open = open.or(unseen(vehicle, solved.network, &output));
        let looped = vehicle.devices.iter().find(|(charger, device)| {
            device.role == Role::MainsCharger
                && reaches(vehicle, solved.network, &output, (*charger, "ac.L"))
                && vehicle.terminal_of(*charger, "+").is_some_and(|plus| {
                    reaches(vehicle, solved.network, &closable(solved.network, plus), (id, "+"))
                })
        });
        if let Some((charger, device)) = looped {
            let charger_name = &device.name;
            out.fails(Failure {
                place: Place::Device(charger),
                related: vec![Place::Device(id)],
                signal: Signal::Notice,
                confidence: Confidence::Firm,
                message: format!("{charger_name} charges the battery that feeds it through {name}"),
                evidence: vec![format!(
                    "state {}: the output of {name} feeds {charger_name}",
                    solved.state.name
                )],
                limit: practice("the charger hangs on shore power only"),
                remedy: format!("put {charger_name} on shore power, where {name} does not feed it"),
            });
            return;
        }
    }
    let is_charger = |role| role == Role::MainsCharger;
    match open {
        Some(wire) if vehicle.devices.iter().any(|(_, device)| is_charger(device.role)) => {
            let message = format!("whether {name} feeds a charger of its own battery is not known");
            let facts = vec![missing("follow it to its end", Place::Wire(wire))];
            out.cannot_tell(Place::Device(id), Signal::Notice, message, facts);
        }
        _ => out.holds(),
    }
}
