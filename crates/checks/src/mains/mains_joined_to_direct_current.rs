//! Check: `mains-joined-to-direct-current`.

use model::{Confidence, Place, Pole, Signal, TerminalId};
use network::{Network, Walk};

use crate::context::Context;
use crate::mains::sources::{MainsSource, sources};
use crate::metal::{metal, named, unseen};
use crate::outcome::{Failure, Out, limit_of, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "mains-joined-to-direct-current",
    include_str!("../../spec/mains-joined-to-direct-current.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    for source in sources(context.vehicle) {
        judge(context, &source, out);
    }
}

fn judge(context: &Context<'_>, source: &MainsSource, out: &mut Out) {
    let vehicle = context.vehicle;
    let (name, place) = (&vehicle.devices[source.device].name, Place::Device(source.device));
    let mut open = None;
    for solved in context.states {
        let walk = metal(solved.network, source.line);
        open = open.or(unseen(vehicle, solved.network, &walk));
        if let Some(terminal) = direct(context, solved.network, &walk) {
            let at = vehicle.terminal_name(terminal);
            let to = solved.network.graph.stud(terminal);
            out.fails(Failure {
                place,
                related: vec![Place::Terminal(terminal)],
                signal: Signal::Danger,
                confidence: Confidence::Firm,
                message: format!("the line of {name} is joined to {at}"),
                evidence: vec![format!("by {}", named(vehicle, solved.network, &walk.path(to)))],
                limit: limit_of("mains and low voltage kept apart", "nec-552-10-c"),
                remedy: format!("everything off, {name} unplugged and locked off, batteries isolated; a licensed electrician takes the two apart"),
            });
            return;
        }
    }
    match open {
        Some(wire) => {
            let message =
                format!("whether the line of {name} meets the direct-current side is not known");
            let facts = vec![missing("follow it to its end", Place::Wire(wire))];
            out.cannot_tell(place, Signal::Warning, message, facts);
        }
        None => out.holds(),
    }
}

/// A terminal of the direct-current side that a walk came to.
fn direct(context: &Context<'_>, network: &Network, walk: &Walk) -> Option<TerminalId> {
    let is_direct = |pole| matches!(pole, Pole::Plus | Pole::Minus);
    let terminals = &context.vehicle.terminals;
    terminals
        .iter()
        .find(|(id, terminal)| is_direct(terminal.pole) && walk.reaches(network.graph.stud(*id)))
        .map(|(id, _)| id)
}
