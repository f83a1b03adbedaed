//! Check: `protection-bypassed`.

use std::collections::BTreeSet;

use model::{Confidence, DeviceId, Place, Signal, TerminalId};
use network::{Item, Network, Passage, Walk};

use crate::context::Context;
use crate::metal::{named, unseen};
use crate::outcome::{Failure, Out, missing, practice};
use crate::protection::contacts::{Contact, contacts};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("protection-bypassed", include_str!("../../spec/protection-bypassed.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    for contact in contacts(context.vehicle) {
        let around = context.states.iter().find_map(|solved| {
            let walk = past(context, solved.network, contact.side_in);
            let to = solved.network.graph.stud(contact.side_out);
            walk.reaches(to).then(|| named(context.vehicle, solved.network, &walk.path(to)))
        });
        match around {
            Some(wires) => fails(contact, &wires, out),
            None => open_ended(context, contact, out),
        }
    }
}

/// Metal from a side of a device, through nothing that protects.
fn past(context: &Context<'_>, network: &Network, from: TerminalId) -> Walk {
    network.graph.walk([network.graph.stud(from)], |link, _| {
        link.passage == Passage::Metal && !protects(context, link.item)
    })
}

fn protects(context: &Context<'_>, item: Item) -> bool {
    matches!(item, Item::Device(id) if context.vehicle.devices[id].role.protects())
}

/// A bridge can hide only where a wire on each side goes on unseen.
fn open_ended(context: &Context<'_>, contact: Contact, out: &mut Out) {
    let Some(solved) = context.first() else { return };
    let ends = [contact.side_in, contact.side_out]
        .map(|side| unseen(context.vehicle, solved.network, &past(context, solved.network, side)));
    let [Some(a), Some(b)] = ends else {
        out.holds();
        return;
    };
    let device: DeviceId = contact.device;
    let name = &contact.label;
    let message = format!("whether something leads around {name} is not known");
    let facts = BTreeSet::from([a, b])
        .into_iter()
        .map(|wire| missing("follow it to its end", Place::Wire(wire)))
        .collect();
    out.cannot_tell(Place::Device(device), Signal::Caution, message, facts);
}

fn fails(contact: Contact, wires: &str, out: &mut Out) {
    let name = &contact.label;
    out.fails(Failure {
        place: Place::Device(contact.device),
        related: Vec::new(),
        signal: Signal::Danger,
        confidence: Confidence::Firm,
        message: format!("metal leads around {name}"),
        evidence: vec![format!(
            "its two sides are joined by {wires}, without a fuse or breaker on the way"
        )],
        limit: practice("all current of a circuit passes its protection"),
        remedy: format!(
            "take out the path around {name}, or give it a fuse of its own at the source"
        ),
    });
}
