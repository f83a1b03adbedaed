//! Check: `line-and-neutral-swapped`.

use model::{Confidence, DeviceId, Place, Pole, Role, Signal, TerminalId};
use network::{Network, Walk};

use crate::context::Context;
use crate::mains::sources::{MainsSource, sources};
use crate::metal::{metal, unseen};
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "line-and-neutral-swapped",
    include_str!("../../spec/line-and-neutral-swapped.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    let Some(solved) = context.first() else { return };
    let walks: Vec<(MainsSource, Walk, Walk)> = sources(context.vehicle)
        .into_iter()
        .map(|source| {
            let [line, neutral] = [source.line, source.neutral].map(|t| metal(solved.network, t));
            (source, line, neutral)
        })
        .collect();
    for (id, device) in context.vehicle.devices.iter() {
        let line = device.terminals.iter().copied().find(|t| {
            let terminal = &context.vehicle.terminals[*t];
            terminal.pole == Pole::Line && !terminal.name.starts_with("out.")
        });
        let counts = matches!(device.role, Role::AcLoad | Role::MainsCharger | Role::AcBreaker);
        if let (true, Some(line)) = (counts, line) {
            judge(context, solved.network, &walks, (id, line), out);
        }
    }
}

fn judge(
    context: &Context<'_>,
    network: &Network,
    walks: &[(MainsSource, Walk, Walk)],
    (id, line): (DeviceId, TerminalId),
    out: &mut Out,
) {
    let vehicle = context.vehicle;
    let at = network.graph.stud(line);
    let (name, place) = (&vehicle.devices[id].name, Place::Device(id));
    let on_line = walks.iter().any(|(_, line, _)| line.reaches(at));
    let on_neutral = walks.iter().find(|(.., neutral)| neutral.reaches(at));
    match on_neutral {
        Some((source, ..)) if !on_line => {
            let from = &vehicle.devices[source.device].name;
            out.fails(Failure {
                place,
                related: vec![Place::Device(source.device)],
                signal: Signal::Warning,
                confidence: Confidence::Firm,
                message: format!("line and neutral of {name} are swapped"),
                evidence: vec![format!("metal joins its line terminal to the neutral of {from}")],
                limit: practice("line on line, neutral on neutral"),
                remedy: format!("find where the pair to {name} crosses; mains work is for a licensed electrician"),
            });
        }
        Some(_) => {}
        None if on_line => out.holds(),
        None => {
            if let Some(wire) = unseen(vehicle, network, &metal(network, line)) {
                let message =
                    format!("whether line and neutral of {name} are swapped is not known");
                let facts = vec![missing("follow it to its end", Place::Wire(wire))];
                out.cannot_tell(place, Signal::Caution, message, facts);
            }
        }
    }
}
