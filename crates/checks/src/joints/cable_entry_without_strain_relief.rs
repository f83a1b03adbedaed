//! Check: `cable-entry-without-strain-relief`. The cores of a cable enter together: one outcome for
//! each cable and device.

use std::collections::BTreeMap;

use model::{Confidence, DeviceId, Fact, JointId, Place, Pole, Signal};

use crate::context::Context;
use crate::outcome::{Failure, Out, limit_of, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "cable-entry-without-strain-relief",
    include_str!("../../spec/cable-entry-without-strain-relief.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    let vehicle = context.vehicle;
    let mut entries: BTreeMap<(DeviceId, &str), Vec<JointId>> = BTreeMap::new();
    for (id, joint) in vehicle.joints.iter() {
        let wire = &vehicle.wires[joint.wire];
        let Some(terminal) = wire.terminal(joint.end) else { continue };
        let terminal = &vehicle.terminals[terminal];
        if vehicle.devices[terminal.device].has_cable_entries && terminal.pole != Pole::Signal {
            let cable = wire.name.split('/').next().unwrap_or_default();
            entries.entry((terminal.device, cable)).or_default().push(id);
        }
    }
    let mut entries: Vec<_> = entries.into_iter().collect();
    entries.sort_by(|(_, a), (_, b)| a.first().cmp(&b.first()));
    for ((device, cable), joints) in &entries {
        entry(context, *device, cable, joints, out);
    }
}

/// A core said to be without relief decides; else one known to be held stands for the cable.
fn entry(context: &Context<'_>, device: DeviceId, cable: &str, joints: &[JointId], out: &mut Out) {
    let relief = |id: &JointId| &context.vehicle.joints[*id].strain_relief;
    let name = &context.vehicle.devices[device].name;
    let bare = joints.iter().find(|id| relief(id).value() == Some(&false));
    if let Some(id) = bare {
        without(context, device, cable, *id, out);
        return;
    }
    let held = joints.iter().any(|id| relief(id).evidence() == Some(&true));
    match joints.first() {
        Some(first) if !held => {
            let message =
                format!("whether wire {cable} is held where it enters {name} is not known");
            let place = Place::Joint(*first);
            let facts = vec![missing("pull gently on the cable where it enters", place)];
            out.cannot_tell(place, Signal::Notice, message, facts);
        }
        _ => out.holds(),
    }
}

fn without(context: &Context<'_>, device: DeviceId, cable: &str, id: JointId, out: &mut Out) {
    let vehicle = context.vehicle;
    let joint = &vehicle.joints[id];
    let Fact::Known { origin, .. } = &joint.strain_relief else { return };
    let on_mains = vehicle.is_ac(joint.wire);
    let name = &vehicle.devices[device].name;
    out.fails(Failure {
        place: Place::Joint(id),
        related: vec![Place::Device(device)],
        signal: if on_mains { Signal::Warning } else { Signal::Caution },
        confidence: if origin.is_evidence() { Confidence::Firm } else { Confidence::Likely },
        message: format!("wire {cable} enters {name} without a clamp or gland of its own"),
        evidence: vec![format!("no strain relief: {}", origin.word())],
        limit: limit_of("no tension on joints or terminals", "nec-400-14"),
        remedy: format!("fit a gland or clamp where {cable} enters {name}; one for each cable"),
    });
}
