//! Check: `inverter-joined-to-inlet`.

use model::{Confidence, Place, Role, Shore, Signal};

use crate::circuits::wires_of;
use crate::context::{Context, Solved};
use crate::outcome::{Failure, Out, practice};

pub(crate) fn check(context: &Context<'_>, out: &mut Out) {
    let vehicle = context.vehicle;
    for (id, device) in vehicle.devices.iter() {
        let Some(line) = vehicle.terminal_of(id, "out.L").filter(|_| device.role == Role::Inverter)
        else {
            continue;
        };
        let on: Vec<&Solved<'_>> =
            context.states.iter().filter(|solved| solved.state.on.contains(&id)).collect();
        let joined = on.iter().find_map(|solved| {
            let graph = &solved.network.graph;
            let walk = graph.metal([graph.stud(line)]);
            let (inlet, pin) = vehicle.devices.iter().find_map(|(inlet, other)| {
                let pin = vehicle.terminal_of(inlet, "L")?;
                let reached = other.role == Role::ShoreInlet && walk.reaches(graph.stud(pin));
                reached.then_some((inlet, pin))
            })?;
            Some((*solved, inlet, wires_of(solved.network, &walk.path(graph.stud(pin)))))
        });
        let Some((solved, inlet, wires)) = joined else {
            if !on.is_empty() {
                out.holds();
            }
            continue;
        };
        let (name, inlet_name) = (&device.name, &vehicle.devices[inlet].name);
        let names: Vec<&str> =
            wires.iter().map(|wire| vehicle.wires[*wire].name.as_str()).collect();
        let what = match solved.state.shore {
            Shore::Plugged => "both sources feed the same wires: they fight, and one is destroyed",
            Shore::Unplugged => "the pins of the inlet are live while the lead is out",
        };
        out.fails(Failure {
            place: Place::Device(id),
            related: vec![Place::Device(inlet)],
            signal: Signal::Danger,
            confidence: Confidence::Firm,
            message: format!("the output of {name} is joined to {inlet_name}"),
            evidence: vec![format!("state {}, by {}: {what}", solved.state.name, names.join(", "))],
            limit: practice("a changeover that breaks before it makes, in line and neutral, between shore and inverter"),
            remedy: "keep the inverter off and lock it off; a changeover is to be fitted by a licensed electrician".to_owned(),
        });
    }
}
