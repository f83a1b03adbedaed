//! Check: `largest-current-not-nearest`.

use model::{Confidence, Layer, Place, Signal, Stack, WireId};
use units::Ampere;

use crate::context::Context;
use crate::outcome::{Failure, Out, limit_of, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "largest-current-not-nearest",
    include_str!("../../spec/largest-current-not-nearest.md"),
    check,
);

/// From this current on its place in the stack matters, A; common practice, no source.
const MATTERS_A: f64 = 20.0;

/// It must carry this much more than the lug nearest the metal; the sums do not tell currents apart
/// more finely. Own choice.
const MORE_BY: f64 = 1.5;

fn check(context: &Context<'_>, out: &mut Out) {
    for stack in &context.vehicle.stacks {
        let lugs: Vec<(WireId, f64)> = lugs(context, stack);
        if lugs.len() < 2 {
            continue;
        }
        let most_a = lugs.iter().map(|(_, ampere)| *ampere).fold(0.0, f64::max);
        if most_a == 0.0 {
            let place = Place::Terminal(stack.terminal);
            let name = context.vehicle.terminal_name(stack.terminal);
            let message =
                format!("which lug on {name} carries most is not known: no state loads any");
            let facts = vec![missing("write a state in which what they feed is on", place)];
            out.cannot_tell(place, Signal::Notice, message, facts);
            continue;
        }
        let nearest = lugs[0];
        let most = lugs.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1));
        match most {
            Some(most) if most_a >= MATTERS_A && most_a > MORE_BY * nearest.1 => {
                fails(context, stack, nearest, most, out);
            }
            _ => out.holds(),
        }
    }
}

/// The lugs of a stack from the metal outwards, with the largest current of each.
fn lugs(context: &Context<'_>, stack: &Stack) -> Vec<(WireId, f64)> {
    let wires = stack.layers.iter().filter_map(|layer| match layer {
        Layer::Lug(wire) => Some(*wire),
        _ => None,
    });
    let worst = |wire| context.worst_in_wire(wire).map_or(0.0, |worst| worst.ampere);
    wires.map(|wire| (wire, worst(wire))).collect()
}

fn fails(
    context: &Context<'_>,
    stack: &Stack,
    (first, first_a): (WireId, f64),
    (above, above_a): (WireId, f64),
    out: &mut Out,
) {
    let vehicle = context.vehicle;
    let name = vehicle.terminal_name(stack.terminal);
    let wire = |id: WireId| vehicle.wires[id].name.as_str();
    let (first_i, above_i) = (Ampere::from_si(first_a), Ampere::from_si(above_a));
    out.fails(Failure {
        place: Place::Terminal(stack.terminal),
        related: vec![Place::Wire(above)],
        signal: Signal::Notice,
        confidence: Confidence::Likely,
        message: format!("on {name} wire {} carries most and does not lie nearest the metal", wire(above)),
        evidence: vec![format!(
            "nearest: wire {}, up to {first_i}; above it wire {}, up to {above_i} by the sums",
            wire(first),
            wire(above)
        )],
        limit: limit_of("largest lug nearest the metal", "abyc-e10-lugs"),
        remedy: format!("when the stack on {name} is apart anyway, put the lug that carries most next to the metal"),
    });
}
