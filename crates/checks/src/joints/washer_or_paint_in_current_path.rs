//! Check: `washer-or-paint-in-current-path`.

use model::{Confidence, Layer, Place, Role, Signal, Surface, TerminalId};

use crate::context::Context;
use crate::outcome::{Failure, Out, limit_of, missing};
use crate::registry::Check;

/// Currents below this are not worth a number, A.
const NOTHING_A: f64 = 1e-3;

pub(crate) const CHECK: Check = Check::new(
    "washer-or-paint-in-current-path",
    include_str!("../../spec/washer-or-paint-in-current-path.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    for stack in &context.vehicle.stacks {
        judge(context, stack.terminal, &stack.layers, out);
    }
    for (id, device) in context.vehicle.devices.iter() {
        if !matches!(device.role, Role::Battery | Role::Inverter) || device.base_vehicle {
            continue;
        }
        for terminal in &device.terminals {
            let known = context.vehicle.stacks.iter().any(|stack| stack.terminal == *terminal);
            let wired = context.vehicle.wires_at(*terminal).next().is_some();
            if !known && wired && !context.vehicle.terminals[*terminal].pole.is_ac() {
                let place = Place::Terminal(*terminal);
                let name = context.vehicle.terminal_name(*terminal);
                let message = format!("the order of lugs and washers on {name} is not recorded");
                let facts =
                    vec![missing("look at the order of lugs, washers and nut", Place::Device(id))];
                out.cannot_tell(place, Signal::Caution, message, facts);
            }
        }
    }
}

fn judge(context: &Context<'_>, terminal: TerminalId, layers: &[Layer], out: &mut Out) {
    let vehicle = context.vehicle;
    let is_chassis = vehicle.devices[vehicle.terminals[terminal].device].is_chassis;
    let mut between: Option<String> = None;
    let mut spoiled = Vec::new();
    for layer in layers {
        match layer {
            Layer::Surface(Surface::Painted) => between = Some("paint".to_owned()),
            Layer::Surface(Surface::Rusty) => between = Some("rust".to_owned()),
            Layer::Washer(words) if is_chassis && is_toothed(words) => {}
            Layer::Washer(words) => between = Some(words.clone()),
            Layer::Lug(wire) => {
                if let Some(what) = &between {
                    spoiled.push((*wire, what.clone()));
                }
            }
            Layer::Surface(Surface::Bare) | Layer::Nut => {}
        }
    }
    let name = vehicle.terminal_name(terminal);
    let Some((first, what)) = spoiled.first() else {
        if layers.iter().any(|layer| matches!(layer, Layer::Surface(_))) {
            out.holds();
        } else {
            let message = format!("what the lowest lug on {name} sits on is not recorded");
            let facts = vec![missing(
                "look at the metal under the lowest lug: bare, painted, rusty?",
                Place::Terminal(terminal),
            )];
            out.cannot_tell(Place::Terminal(terminal), Signal::Caution, message, facts);
        }
        return;
    };
    let wires: Vec<&str> =
        spoiled.iter().map(|(wire, _)| vehicle.wires[*wire].name.as_str()).collect();
    let worst_a = spoiled
        .iter()
        .filter_map(|(wire, _)| context.worst_in_wire(*wire))
        .map(|worst| worst.ampere)
        .fold(0.0, f64::max);
    let current = if worst_a < NOTHING_A {
        "next to no current".to_owned()
    } else {
        format!("up to {}", units::Ampere::from_si(worst_a))
    };
    out.fails(Failure {
        place: Place::Terminal(terminal),
        related: spoiled.iter().map(|(wire, _)| Place::Wire(*wire)).collect(),
        signal: Signal::Warning,
        confidence: Confidence::Firm,
        message: format!("on {name} the current of wire {} passes {what}", vehicle.wires[*first].name),
        evidence: vec![format!("lugs above it: {}; {current} by the sums", wires.join(", "))],
        limit: if is_chassis {
            limit_of("lug on bare metal or on a plated toothed washer", "nec-552-10-c4")
        } else {
            limit_of("lug on bare metal, washers only under the nut", "abyc-e10-stack")
        },
        remedy: "bare metal first, then the lugs, largest next to the metal, then washers and nut; tighten to the maker's torque".to_owned(),
    });
}

/// On the chassis a plated toothed washer may lie under the lug; it does not help through paint.
fn is_toothed(words: &str) -> bool {
    let has = |wanted: &str| words.split_whitespace().any(|word| word == wanted);
    has("toothed") && has("plated")
}
