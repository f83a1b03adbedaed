//! Check: `cable-entry-without-strain-relief`.

use std::collections::BTreeSet;

use model::{Confidence, Fact, Place, Pole, Signal};

use crate::context::Context;
use crate::outcome::{Failure, Out, limit_of, missing};

pub(crate) fn check(context: &Context<'_>, out: &mut Out) {
    let vehicle = context.vehicle;
    let mut cables = BTreeSet::new();
    for (id, joint) in vehicle.joints.iter() {
        let Some(terminal) = vehicle.wires[joint.wire].terminal(joint.end) else { continue };
        let terminal = &vehicle.terminals[terminal];
        let device = &vehicle.devices[terminal.device];
        if !device.has_cable_entries || terminal.pole == Pole::Signal {
            continue;
        }
        let place = Place::Joint(id);
        // The cores of one cable enter together.
        let wire = vehicle.wires[joint.wire].name.split('/').next().unwrap_or_default();
        if !cables.insert((wire, terminal.device)) {
            continue;
        }
        match &joint.strain_relief {
            Fact::Known { value: false, origin } => out.fails(Failure {
                place,
                related: vec![Place::Device(terminal.device)],
                signal: if terminal.pole.is_ac() { Signal::Warning } else { Signal::Caution },
                confidence: if origin.is_evidence() {
                    Confidence::Firm
                } else {
                    Confidence::Likely
                },
                message: format!(
                    "wire {wire} enters {} without a clamp or gland of its own",
                    device.name
                ),
                evidence: vec![format!("no strain relief: {}", origin.word())],
                limit: limit_of("no tension on joints or terminals", "nec-400-14"),
                remedy: format!(
                    "fit a gland or clamp where {wire} enters {}; one for each cable",
                    device.name
                ),
            }),
            Fact::Known { value: true, origin } if origin.is_evidence() => out.holds(),
            _ => {
                let message = format!(
                    "whether wire {wire} is held where it enters {} is not known",
                    device.name
                );
                let facts = vec![missing("pull gently on the cable where it enters", place)];
                out.cannot_tell(place, Signal::Notice, message, facts);
            }
        }
    }
}
