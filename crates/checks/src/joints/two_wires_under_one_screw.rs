//! Check: `two-wires-under-one-screw`.

use model::{JointId, JointKind, Place, Role, Signal, TerminalId};

use crate::circuits::is_base_vehicle;
use crate::context::Context;
use crate::looked::confidence;
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "two-wires-under-one-screw",
    include_str!("../../spec/two-wires-under-one-screw.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    let vehicle = context.vehicle;
    for (id, terminal) in vehicle.terminals.iter() {
        let device = &vehicle.devices[terminal.device];
        // Ways of fuse boxes have a check of their own; consumer units and sockets are made for several.
        let bars = device.kind.starts_with("consumer unit") || device.role == Role::AcLoad;
        if matches!(device.role, Role::Junction | Role::FuseBox) || bars || device.base_vehicle {
            continue;
        }
        let own = vehicle.wires_at(id).filter(|(wire, _)| !is_base_vehicle(vehicle, *wire));
        let joints: Vec<JointId> =
            own.map(|(wire, end)| vehicle.wires[wire].end(end).joint).collect();
        if joints.len() >= 2 {
            judge(context, id, &joints, out);
        }
    }
}

fn judge(context: &Context<'_>, terminal: TerminalId, joints: &[JointId], out: &mut Out) {
    let vehicle = context.vehicle;
    let is = |id: &&JointId| vehicle.joints[**id].kind.value() == Some(&JointKind::Screw);
    let under: Vec<&JointId> = joints.iter().filter(is).collect();
    let on_mains = vehicle.terminals[terminal].pole.is_ac();
    let place = Place::Terminal(terminal);
    let name = vehicle.terminal_name(terminal);
    let signal = if on_mains { Signal::Warning } else { Signal::Caution };
    if let [first, second, ..] = under.as_slice() {
        let likely = [first, second].into_iter().any(|id| vehicle.joints[**id].kind.is_assumed());
        let fact = &vehicle.joints[**first].kind;
        out.fails(Failure {
            place,
            related: under.iter().map(|id| Place::Joint(**id)).collect(),
            signal,
            confidence: if likely { model::Confidence::Likely } else { confidence(fact) },
            message: format!("{} wires share one screw at {name}", under.len()),
            evidence: vec![format!("{} wires land there by screw", under.len())],
            limit: practice("one wire under one screw, unless the terminal is made for more"),
            remedy: if on_mains {
                format!(
                    "have a licensed electrician give each wire at {name} a terminal of its own"
                )
            } else {
                format!("give each wire at {name} a terminal of its own, or join them on a busbar")
            },
        });
    } else if on_mains && joints.iter().any(|id| vehicle.joints[*id].kind.is_unknown()) {
        let message = format!("how {} wires share {name} is not recorded", joints.len());
        let what = "with every source off and locked off, look how many wires are under one screw";
        out.cannot_tell(place, signal, message, vec![missing(what, place)]);
    } else if joints.iter().all(|id| vehicle.joints[*id].kind.evidence().is_some()) {
        out.holds();
    }
}
