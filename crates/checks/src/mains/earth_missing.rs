//! Check: `earth-missing`.

use model::{Confidence, DeviceId, Place, Pole, Role, Signal, TerminalId};
use network::Network;

use crate::context::Context;
use crate::mains::sources::{MainsSource, sources};
use crate::metal::{metal, unseen};
use crate::outcome::{Failure, Out, limit_of, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("earth-missing", include_str!("../../spec/earth-missing.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    let Some(solved) = context.first() else { return };
    let vehicle = context.vehicle;
    for source in sources(vehicle) {
        let line = metal(solved.network, source.line);
        for (id, device) in vehicle.devices.iter() {
            let wants = device.has_cable_entries
                && matches!(device.role, Role::AcLoad | Role::MainsCharger | Role::AcBreaker);
            let of = |pole| pole_in(context, id, pole);
            let (Some(line_in), Some(neutral), Some(earth)) =
                (of(Pole::Line), of(Pole::Neutral), of(Pole::Earth))
            else {
                continue;
            };
            if wants && line.reaches(solved.network.graph.stud(line_in)) {
                judge(context, solved.network, &source, (id, neutral, earth), out);
            }
        }
    }
}

/// The terminal of a pole by which a device is fed.
fn pole_in(context: &Context<'_>, id: DeviceId, pole: Pole) -> Option<TerminalId> {
    let terminals = &context.vehicle.devices[id].terminals;
    let is_input = |t: &&TerminalId| {
        let terminal = &context.vehicle.terminals[**t];
        terminal.pole == pole && !terminal.name.starts_with("out.")
    };
    terminals.iter().find(is_input).copied()
}

fn judge(
    context: &Context<'_>,
    network: &Network,
    source: &MainsSource,
    (id, neutral, earth): (DeviceId, TerminalId, TerminalId),
    out: &mut Out,
) {
    let vehicle = context.vehicle;
    let walk = metal(network, earth);
    if walk.reaches(network.graph.stud(source.earth)) {
        out.holds();
        return;
    }
    let (name, from) = (&vehicle.devices[id].name, &vehicle.devices[source.device].name);
    let place = Place::Device(id);
    let wired = |terminal| vehicle.wires_at(terminal).next().is_some();
    if let Some(wire) = unseen(vehicle, network, &walk) {
        let message = format!("whether {name} is joined to the earth of {from} is not known");
        let facts = vec![missing("follow it to its end", Place::Wire(wire))];
        out.cannot_tell(place, Signal::Danger, message, facts);
    } else if !wired(earth) && !wired(neutral) {
        let message = format!("whether {name} is joined to the earth of {from} is not known");
        let what = "with everything off and unplugged, measure its earth to that of the inlet";
        out.cannot_tell(place, Signal::Danger, message, vec![missing(what, place)]);
    } else {
        out.fails(Failure {
            place,
            related: vec![Place::Device(source.device)],
            signal: Signal::Danger,
            confidence: if wired(earth) { Confidence::Firm } else { Confidence::Likely },
            message: format!("{name} is fed by {from} without its protective earth"),
            evidence: vec![format!("line and neutral of {name} are wired, no way of metal joins the earths")],
            limit: limit_of("a protective earth with every circuit", "iec-60364-7-721"),
            remedy: format!("do not use {name}; a licensed electrician lays the protective earth and measures it"),
        });
    }
}
