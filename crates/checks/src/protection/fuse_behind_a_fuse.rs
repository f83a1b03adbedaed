//! Check: `fuse-behind-a-fuse`.

use std::collections::{BTreeMap, BTreeSet};

use model::{Confidence, Place, Role, Signal, TerminalId};
use network::{Item, Network, Passage, Walk};

use crate::circuits::source_terminals;
use crate::context::Context;
use crate::metal::unseen;
use crate::outcome::{Failure, Out, missing, practice};
use crate::protection::contacts::{Contact, contacts};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("fuse-behind-a-fuse", include_str!("../../spec/fuse-behind-a-fuse.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    let Some(solved) = context.first() else { return };
    let all = contacts(context.vehicle);
    let mut at: BTreeMap<TerminalId, Vec<usize>> = BTreeMap::new();
    for (k, contact) in all.iter().enumerate() {
        at.entry(contact.side_in).or_default().push(k);
        at.entry(contact.side_out).or_default().push(k);
    }
    let hung = Hung { all: &all, at };
    let of_box = |contact: &&Contact| {
        context.vehicle.devices[contact.device].role == Role::FuseBox
            && context.vehicle.wires_at(contact.side_out).next().is_some()
    };
    for way in all.iter().filter(of_box) {
        judge(context, solved.network, way, &hung, out);
    }
}

/// All contacts that protect, and which of them stand at a terminal.
struct Hung<'a> {
    all: &'a [Contact],
    at: BTreeMap<TerminalId, Vec<usize>>,
}

impl Hung<'_> {
    /// The contacts that a walk came to.
    fn on(&self, network: &Network, walk: &Walk) -> impl Iterator<Item = &Contact> {
        let terminals = walk.reached().iter().filter_map(|point| network.graph.terminal(*point));
        let met: BTreeSet<usize> =
            terminals.filter_map(|terminal| self.at.get(&terminal)).flatten().copied().collect();
        met.into_iter().map(|k| &self.all[k])
    }
}

fn walk(context: &Context<'_>, network: &Network, contact: &Contact) -> Walk {
    network.graph.walk([network.graph.stud(contact.side_out)], |link, _| {
        let protects = matches!(link.item, Item::Device(id)
            if context.vehicle.devices[id].role.protects());
        matches!(link.passage, Passage::Metal | Passage::Open) && !protects
    })
}

fn judge(context: &Context<'_>, network: &Network, way: &Contact, hung: &Hung<'_>, out: &mut Out) {
    let vehicle = context.vehicle;
    let reached = walk(context, network, way);
    let met = |side| reached.reaches(network.graph.stud(side));
    let others: Vec<&Contact> =
        hung.on(network, &reached).filter(|other| other.side_out != way.side_out).collect();
    if let Some(wire) = unseen(vehicle, network, &reached) {
        if others.iter().any(|other| vehicle.devices[other.device].role != Role::FuseBox) {
            let message =
                format!("what else hangs between {} and its next fuse is not known", way.label);
            let facts = vec![missing("follow it to its end", Place::Wire(wire))];
            out.cannot_tell(Place::Device(way.device), Signal::Notice, message, facts);
        }
        return;
    }
    match others.as_slice() {
        [next]
            if vehicle.devices[next.device].role != Role::FuseBox
                && !feeds_anything(context, network, &reached)
                && !is_fed(context, network, next, met(next.side_in)) =>
        {
            fails(way, next, out);
        }
        _ => out.holds(),
    }
}

/// Something between the two uses the current.
fn feeds_anything(context: &Context<'_>, network: &Network, reached: &Walk) -> bool {
    let vehicle = context.vehicle;
    reached.reached().iter().filter_map(|point| network.graph.terminal(*point)).any(|terminal| {
        let role = vehicle.devices[vehicle.terminals[terminal].device].role;
        !role.protects() && !matches!(role, Role::Junction | Role::Switch | Role::Relay)
    })
}

/// A source stands behind the second fuse: it protects the wire from that side.
fn is_fed(context: &Context<'_>, network: &Network, next: &Contact, forwards: bool) -> bool {
    let vehicle = context.vehicle;
    let side = if forwards { next.side_out } else { next.side_in };
    let behind = network.graph.walk([network.graph.stud(side)], |link, _| {
        link.item != Item::Device(next.device)
            && matches!(
                link.passage,
                Passage::Metal | Passage::Open | Passage::OneWay | Passage::Maybe
            )
    });
    vehicle.devices.iter().any(|(id, device)| {
        let plus = source_terminals(vehicle, id, device.role);
        plus.iter().any(|t| behind.reaches(network.graph.stud(*t)))
    })
}

fn fails(way: &Contact, next: &Contact, out: &mut Out) {
    let (way, label) = (&way.label, &next.label);
    out.fails(Failure {
        place: Place::Device(next.device),
        related: Vec::new(),
        signal: Signal::Notice,
        confidence: Confidence::Firm,
        message: format!("{label} is a second fuse behind {way}"),
        evidence: vec![format!("nothing else is fed between {way} and {label}")],
        limit: practice("one fuse for a circuit, where it can be reached"),
        remedy: format!("note where {label} is, or take it out if {way} is rated for the wire"),
    });
}
