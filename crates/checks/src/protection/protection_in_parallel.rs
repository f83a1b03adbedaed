//! Check: `protection-in-parallel`.

use model::{Confidence, Place, Signal};
use network::{Item, Network, Passage, Walk};

use crate::context::Context;
use crate::metal::unseen;
use crate::outcome::{Failure, Out, missing, practice};
use crate::protection::contacts::{Contact, contacts};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "protection-in-parallel",
    include_str!("../../spec/protection-in-parallel.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    let Some(solved) = context.first() else { return };
    let all: Vec<Sides> = contacts(context.vehicle)
        .into_iter()
        .map(|contact| Sides::of(context, solved.network, contact))
        .collect();
    for (index, one) in all.iter().enumerate() {
        let later =
            all.iter().skip(index + 1).filter(|other| one.shares_feed(solved.network, other));
        let later: Vec<&Sides> = later.collect();
        let joined = later
            .iter()
            .find(|other| one.outgoing.reaches(solved.network.graph.stud(other.contact.side_out)));
        let unsure = later.iter().find(|other| one.unseen.is_some() && other.unseen.is_some());
        match (joined, unsure) {
            (Some(other), _) => fails(one, other, out),
            (None, Some(other)) => cannot_tell(one, other, out),
            (None, None) => out.holds(),
        }
    }
}

/// What lies on both sides of a contact.
struct Sides {
    contact: Contact,
    incoming: Walk,
    outgoing: Walk,
    unseen: Option<model::WireId>,
}

impl Sides {
    fn of(context: &Context<'_>, network: &Network, contact: Contact) -> Sides {
        let past = |side| {
            network.graph.walk([network.graph.stud(side)], |link, _| {
                let protects = matches!(link.item, Item::Device(id)
                    if context.vehicle.devices[id].role.protects());
                link.passage == Passage::Metal && !protects
            })
        };
        let outgoing = past(contact.side_out);
        let unseen = unseen(context.vehicle, network, &outgoing);
        Sides { incoming: past(contact.side_in), outgoing, unseen, contact }
    }

    fn shares_feed(&self, network: &Network, other: &Sides) -> bool {
        self.incoming.reaches(network.graph.stud(other.contact.side_in))
    }
}

fn cannot_tell(one: &Sides, other: &Sides, out: &mut Out) {
    let (a, b) = (&one.contact.label, &other.contact.label);
    let message = format!("whether {a} and {b} feed the same wire is not known");
    let wires = one.unseen.into_iter().chain(other.unseen);
    let facts = wires.map(|wire| missing("follow it to its end", Place::Wire(wire))).collect();
    out.cannot_tell(Place::Device(one.contact.device), Signal::Notice, message, facts);
}

fn fails(one: &Sides, other: &Sides, out: &mut Out) {
    let (a, b) = (&one.contact.label, &other.contact.label);
    out.fails(Failure {
        place: Place::Device(one.contact.device),
        related: vec![Place::Device(other.contact.device)],
        signal: Signal::Warning,
        confidence: Confidence::Firm,
        message: format!("{a} and {b} feed the same wires side by side"),
        evidence: vec![format!("both sides of {a} are joined to those of {b}")],
        limit: practice("one protective device for each circuit"),
        remedy: format!("split what {a} and {b} feed, or fit one fuse that the wires may carry"),
    });
}
