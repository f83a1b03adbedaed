//! Check: `inverter-joined-to-inlet`.

use model::{
    Confidence, DeviceId, Landing, Place, Pole, Role, Shore, Signal, TerminalId, WireEnd, WireId,
};
use network::Network;

use crate::circuits::wires_of;
use crate::context::{Context, Solved};
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "inverter-joined-to-inlet",
    include_str!("../../spec/inverter-joined-to-inlet.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    let vehicle = context.vehicle;
    for (id, device) in vehicle.devices.iter() {
        let line = vehicle.terminal_of(id, "out.L").filter(|_| device.role == Role::Inverter);
        if let Some(line) = line {
            judge(context, id, line, out);
        }
    }
}

fn judge(context: &Context<'_>, id: DeviceId, line: TerminalId, out: &mut Out) {
    let (name, place) = (&context.vehicle.devices[id].name, Place::Device(id));
    let (on, off): (Vec<&Solved<'_>>, Vec<&Solved<'_>>) =
        context.states.iter().partition(|solved| solved.state.on.contains(&id));
    let joined = |states: &[&Solved<'_>]| {
        states.iter().any(|solved| join(context, solved.network, line).is_some())
    };
    let mut ask = |message: String, what: &str| {
        out.cannot_tell(place, Signal::Warning, message, vec![missing(what, place)]);
    };
    if let Some(failure) = on.iter().find_map(|solved| failure(context, id, line, solved)) {
        out.fails(failure);
    } else if on.is_empty() && joined(&off) {
        ask(
            format!(
                "{name} is joined to the inlet while it is off; whether it can run so is not known"
            ),
            "find out what keeps the two apart, and write a state in which the inverter is on",
        );
    } else if on.iter().chain(&off).any(|solved| is_open_question(context, solved.network, line)) {
        ask(
            format!("whether the output of {name} is joined to the inlet is not known"),
            "with every source off and the lead out, follow its output and the wires of the inlet",
        );
    } else if !on.is_empty() {
        out.holds();
    }
}

/// The inlet that metal joins to a line terminal, and the wires between.
fn join(
    context: &Context<'_>,
    network: &Network,
    line: TerminalId,
) -> Option<(DeviceId, Vec<WireId>)> {
    let graph = &network.graph;
    let walk = graph.metal([graph.stud(line)]);
    let (inlet, pin) = inlets(context).find(|(_, pin)| walk.reaches(graph.stud(*pin)))?;
    Some((inlet, wires_of(network, &walk.path(graph.stud(pin)))))
}

/// There is an inlet, and what hangs on the output is not recorded, or a wire on either goes on
/// where nobody has looked.
fn is_open_question(context: &Context<'_>, network: &Network, line: TerminalId) -> bool {
    let mut inlets = inlets(context).peekable();
    inlets.peek().is_some()
        && (context.vehicle.wires_at(line).next().is_none()
            || goes_on_unseen(context, network, line)
            || inlets.any(|(_, pin)| goes_on_unseen(context, network, pin)))
}

/// Every line pin of every inlet.
fn inlets<'c>(context: &Context<'c>) -> impl Iterator<Item = (DeviceId, TerminalId)> + 'c {
    let vehicle = context.vehicle;
    let inlets = vehicle.devices.iter().filter(|(_, device)| device.role == Role::ShoreInlet);
    inlets.flat_map(move |(id, device)| {
        let lines = device.terminals.iter().copied();
        lines.filter(|pin| vehicle.terminals[*pin].pole == Pole::Line).map(move |pin| (id, pin))
    })
}

fn goes_on_unseen(context: &Context<'_>, network: &Network, from: TerminalId) -> bool {
    let graph = &network.graph;
    let walk = graph.metal([graph.stud(from)]);
    context.vehicle.wires.iter().any(|(wire, facts)| {
        WireEnd::BOTH.iter().any(|end| walk.reaches(graph.wire_end(wire, *end)))
            && facts.ends.iter().any(|end| !matches!(end.landing, Landing::At(_)))
    })
}

fn failure(
    context: &Context<'_>,
    id: DeviceId,
    line: TerminalId,
    solved: &Solved<'_>,
) -> Option<Failure> {
    let vehicle = context.vehicle;
    let (inlet, wires) = join(context, solved.network, line)?;
    let (name, inlet_name) = (&vehicle.devices[id].name, &vehicle.devices[inlet].name);
    let names: Vec<&str> = wires.iter().map(|wire| vehicle.wires[*wire].name.as_str()).collect();
    let what = match solved.state.shore {
        Shore::Plugged => "both sources feed the same wires: they fight, and one is destroyed",
        Shore::Unplugged => "the pins of the inlet are live while the lead is out",
    };
    Some(Failure {
        place: Place::Device(id),
        related: vec![Place::Device(inlet)],
        signal: Signal::Danger,
        confidence: Confidence::Firm,
        message: format!("the output of {name} is joined to {inlet_name}"),
        evidence: vec![format!("state {}, by {}: {what}", solved.state.name, names.join(", "))],
        limit: practice(
            "a changeover that breaks before it makes, in line and neutral, between shore and inverter",
        ),
        remedy: "keep the inverter off and lock it off; a changeover is to be fitted by a licensed electrician".to_owned(),
    })
}
