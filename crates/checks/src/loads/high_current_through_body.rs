//! Check: `high-current-through-body`.

use std::collections::BTreeSet;

use model::{Confidence, Place, Signal, WireEnd, WireId};
use units::Ampere;

use crate::circuits::is_base_vehicle;
use crate::context::Context;
use crate::outcome::{Failure, Out, practice};
use crate::registry::Check;
use crate::weigh::{Weighed, weigh};

/// From here on a current wants a cable of its own, A. Common practice, no source.
const LARGE_A: f64 = 50.0;

/// Less than this is no current, A.
const NOTHING_A: f64 = 1e-3;

/// Room for rounding, as a part of the limit.
const SLACK: f64 = 1e-9;

pub(crate) const CHECK: Check = Check::new(
    "high-current-through-body",
    include_str!("../../spec/high-current-through-body.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    let vehicle = context.vehicle;
    let on_body = vehicle
        .terminals
        .iter()
        .filter(|(_, terminal)| vehicle.devices[terminal.device].is_chassis);
    let wires: BTreeSet<WireId> = on_body
        .flat_map(|(terminal, _)| {
            vehicle.wires_at(terminal).map(|(wire, _)| wire).collect::<Vec<_>>()
        })
        .filter(|wire| !is_base_vehicle(vehicle, *wire) && !between_points(context, *wire))
        .collect();
    for wire in wires {
        judge(context, wire, out);
    }
}

/// A strap from one point of the body to another takes current off the sheet.
fn between_points(context: &Context<'_>, wire: WireId) -> bool {
    let vehicle = context.vehicle;
    WireEnd::BOTH.into_iter().all(|end| {
        let terminal = vehicle.wires[wire].terminal(end);
        terminal.is_some_and(|t| vehicle.devices[vehicle.terminals[t].device].is_chassis)
    })
}

fn judge(context: &Context<'_>, wire: WireId, out: &mut Out) {
    let Some(worst) = context.worst_in_wire(wire).filter(|worst| worst.ampere > NOTHING_A) else {
        return;
    };
    let name = &context.vehicle.wires[wire].name;
    let (place, current) = (Place::Wire(wire), Ampere::from_si(worst.ampere));
    let amounts = context.amounts(|network| network.wire_branch(wire));
    match weigh(context.vehicle, &amounts, |ampere| ampere > LARGE_A * (1.0 + SLACK)) {
        Weighed::Holds => out.holds(),
        Weighed::Uncounted => {}
        Weighed::Depends(facts) => {
            let message =
                format!("that {name} puts {current} on the body rests on a power nobody read");
            out.cannot_tell(place, Signal::Caution, message, facts);
        }
        Weighed::Fails => out.fails(Failure {
            place,
            related: Vec::new(),
            signal: Signal::Warning,
            confidence: Confidence::Firm,
            message: format!("wire {name} puts {current} on the body"),
            evidence: vec![format!("{current} in {} by the sums", worst.words())],
            limit: practice("more than 50 A return by a cable of their own"),
            remedy: format!(
                "lay a return cable from where {name} starts to the minus of the battery"
            ),
        }),
    }
}
