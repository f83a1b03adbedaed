//! Check: `too-many-lugs-on-a-stud`.

use model::{Confidence, Layer, Place, Role, Signal, TerminalId};

use crate::circuits::is_base_vehicle;
use crate::context::Context;
use crate::outcome::{Failure, Out, limit, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "too-many-lugs-on-a-stud",
    include_str!("../../spec/too-many-lugs-on-a-stud.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    let vehicle = context.vehicle;
    let most = context.limit("lugs-most");
    for (id, terminal) in vehicle.terminals.iter() {
        let device = &vehicle.devices[terminal.device];
        if device.kind == "busbar" || device.base_vehicle {
            continue;
        }
        let stack = vehicle.stacks.iter().find(|stack| stack.terminal == id);
        let count = match stack {
            Some(stack) => {
                stack.layers.iter().filter(|layer| matches!(layer, Layer::Lug(_))).count()
            }
            None => landed(context, id),
        };
        let over = count as f64 > most.value;
        match (over, stack.is_some()) {
            (true, true) => fails(context, id, count, out),
            (true, false) if one_stud(context, id) => {
                let place = Place::Terminal(id);
                let name = vehicle.terminal_name(id);
                let message = format!(
                    "{count} wires land on {name}; how many lugs share its stud is not known"
                );
                let facts =
                    vec![missing("count the lugs on the stud, and write their order", place)];
                out.cannot_tell(place, Signal::Caution, message, facts);
            }
            (false, true) => out.holds(),
            _ => {}
        }
    }
}

/// Wires of the conversion on a terminal.
fn landed(context: &Context<'_>, id: TerminalId) -> usize {
    let wires = context.vehicle.wires_at(id);
    wires.filter(|(wire, _)| !is_base_vehicle(context.vehicle, *wire)).count()
}

/// A terminal that is one stud or post, as far as its device tells.
fn one_stud(context: &Context<'_>, id: TerminalId) -> bool {
    let device = &context.vehicle.devices[context.vehicle.terminals[id].device];
    let sort = matches!(
        device.role,
        Role::Battery | Role::Inverter | Role::Fuse | Role::Switch | Role::Breaker | Role::Shunt
    );
    (sort || device.is_chassis || device.kind == "stud")
        && !context.vehicle.terminals[id].pole.is_ac()
}

fn fails(context: &Context<'_>, id: TerminalId, count: usize, out: &mut Out) {
    let most = context.limit("lugs-most");
    let name = context.vehicle.terminal_name(id);
    out.fails(Failure {
        place: Place::Terminal(id),
        related: Vec::new(),
        signal: Signal::Caution,
        confidence: Confidence::Firm,
        message: format!("{count} lugs share the stud {name}"),
        evidence: vec![format!("{count} in its stack, {} at most", most.value)],
        limit: limit(most),
        remedy: format!("take some of the lugs of {name} to a busbar, joined by one cable as thick as all of them need"),
    });
}
