//! Check: `mains-core-unsheathed`.

use model::{Fact, Place, Pole, Signal, WireEnd, WireId};

use crate::context::Context;
use crate::looked::{ask, cable_name, cables, confidence};
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("mains-core-unsheathed", include_str!("../../spec/mains-core-unsheathed.md"), check);

const FIND_OUT: &str = "look along it: sheathed cable or conduit all the way, or single cores?";

fn check(context: &Context<'_>, out: &mut Out) {
    let vehicle = context.vehicle;
    let mut unseen = Vec::new();
    for (id, wire) in cables(vehicle).filter(|(id, _)| carries_mains(context, *id)) {
        let (place, name) = (Place::Wire(id), cable_name(wire));
        match &wire.sheathed {
            Fact::Known { value: true, origin } if origin.is_evidence() => out.holds(),
            Fact::Known { value: true, .. } => {
                let message = format!("{name}: that it is sheathed is only assumed");
                out.cannot_tell(place, Signal::Warning, message, vec![missing(FIND_OUT, place)]);
            }
            Fact::Known { value: false, origin } => out.fails(Failure {
                place,
                related: Vec::new(),
                signal: Signal::Warning,
                confidence: confidence(&wire.sheathed),
                message: format!("wire {name} carries mains without a sheath or conduit"),
                evidence: vec![format!("unsheathed: {}", origin.word())],
                limit: practice("mains cores run in sheathed cable or conduit all the way"),
                remedy: format!("keep the mains side of {name} off; have a licensed electrician put in sheathed flexible cable or conduit"),
            }),
            Fact::Unknown => unseen.push(place),
        }
    }
    let message = "whether mains cables are sheathed all the way is not recorded";
    ask(out, Signal::Caution, message, FIND_OUT, unseen);
}

/// On the mains side, and not a lone earth conductor.
fn carries_mains(context: &Context<'_>, id: WireId) -> bool {
    let wire = &context.vehicle.wires[id];
    WireEnd::BOTH.into_iter().filter_map(|end| wire.terminal(end)).any(|terminal| {
        matches!(context.vehicle.terminals[terminal].pole, Pole::Line | Pole::Neutral)
    })
}
