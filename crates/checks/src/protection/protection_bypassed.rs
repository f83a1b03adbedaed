//! Check: `protection-bypassed`.

use std::collections::BTreeSet;

use model::{Confidence, DeviceId, Place, Signal};
use network::Network;

use crate::context::Context;
use crate::metal::{Pieces, is_bare_metal, named};
use crate::outcome::{Failure, Out, missing, practice};
use crate::protection::contacts::{Contact, contacts};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("protection-bypassed", include_str!("../../spec/protection-bypassed.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    let vehicle = context.vehicle;
    let bare = |network| Pieces::of(vehicle, network, |link| is_bare_metal(vehicle, link));
    let states: Vec<(&Network, Pieces)> =
        context.states.iter().map(|solved| (solved.network, bare(solved.network))).collect();
    for contact in contacts(vehicle) {
        let is_around = |(network, pieces): &&(&Network, Pieces)| {
            pieces.at(network, contact.side_in) == pieces.at(network, contact.side_out)
        };
        match (states.iter().find(is_around), states.first()) {
            (Some((network, _)), _) => fails(&contact, &around(context, network, &contact), out),
            (None, Some(first)) => open_ended(contact, first, out),
            (None, None) => {}
        }
    }
}

/// The wires that lead around a contact, by name.
fn around(context: &Context<'_>, network: &Network, contact: &Contact) -> String {
    let (vehicle, graph) = (context.vehicle, &network.graph);
    let walk = graph.walk([graph.stud(contact.side_in)], |link, _| is_bare_metal(vehicle, link));
    named(vehicle, network, &walk.path(graph.stud(contact.side_out)))
}

fn open_ended(contact: Contact, (network, pieces): &(&Network, Pieces), out: &mut Out) {
    let ends =
        [contact.side_in, contact.side_out].map(|side| pieces.unseen(pieces.at(network, side)));
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

fn fails(contact: &Contact, wires: &str, out: &mut Out) {
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
