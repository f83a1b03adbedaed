//! Check: `protection-in-parallel`.

use std::collections::BTreeMap;

use model::{Confidence, Place, Signal};

use crate::context::{Context, Solved};
use crate::metal::{Pieces, is_bare_metal};
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
    let vehicle = context.vehicle;
    let pieces = Pieces::of(vehicle, solved.network, |link| is_bare_metal(vehicle, link));
    let sides = contacts(vehicle).into_iter().map(|contact| Sides::of(&pieces, solved, contact));
    let all: Vec<Sides> = sides.collect();
    // Those with the same feed that stand later in the list: by what they feed, and whose feed goes on
    // where nobody has seen.
    let (mut same, mut open) = (BTreeMap::new(), BTreeMap::new());
    let mut verdicts = Vec::new();
    for one in all.iter().rev() {
        let joined: Option<&Sides> = same.insert((one.incoming, one.outgoing), one);
        let unsure: Option<&Sides> = match one.unseen {
            Some(_) => open.insert(one.incoming, one),
            None => None,
        };
        verdicts.push((one, joined, unsure));
    }
    for verdict in verdicts.into_iter().rev() {
        match verdict {
            (one, Some(other), _) => fails(one, other, out),
            (one, None, Some(other)) => cannot_tell(one, other, out),
            (_, None, None) => out.holds(),
        }
    }
}

/// A contact, the pieces of metal on its two sides, and a wire beyond it that goes on unseen.
struct Sides {
    contact: Contact,
    incoming: u32,
    outgoing: u32,
    unseen: Option<model::WireId>,
}

impl Sides {
    fn of(pieces: &Pieces, solved: &Solved<'_>, contact: Contact) -> Sides {
        let [incoming, outgoing] =
            [contact.side_in, contact.side_out].map(|side| pieces.at(solved.network, side));
        Sides { incoming, outgoing, unseen: pieces.unseen(outgoing), contact }
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
