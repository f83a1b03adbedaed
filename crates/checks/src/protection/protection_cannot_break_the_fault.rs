//! Check: `protection-cannot-break-the-fault`.

use std::collections::BTreeMap;

use model::{Breaking, Confidence, Place, Signal};
use units::Ampere;

use crate::context::Context;
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;
use crate::shorts::Short;

pub(crate) const CHECK: Check = Check::new(
    "protection-cannot-break-the-fault",
    include_str!("../../spec/protection-cannot-break-the-fault.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    // A device stands before several wires; the worst of what it meets counts.
    let mut by_device: BTreeMap<&str, &Short> = BTreeMap::new();
    for short in context.shorts {
        let worst = by_device.entry(&short.label).or_insert(short);
        if rank(short) > rank(worst) {
            *worst = short;
        }
    }
    for short in by_device.into_values() {
        judge(context, short, out);
    }
}

/// What fails first, then what is not known, then the most current.
fn rank(short: &Short) -> (u8, f64) {
    match short.breaking {
        Breaking::TooLittle { fault_a, .. } => (2, fault_a),
        Breaking::Unknown { fault_a, .. } => (1, fault_a),
        Breaking::Enough { fault_a, .. } => (0, fault_a),
    }
}

fn judge(context: &Context<'_>, short: &Short, out: &mut Out) {
    let (label, place) = (&short.label, Place::Device(short.device));
    match short.breaking {
        Breaking::Enough { .. } => out.holds(),
        Breaking::TooLittle { breaks_a, fault_a } => {
            let [breaks, fault] = [breaks_a, fault_a].map(Ampere::from_si);
            let wire = &context.vehicle.wires[short.wire].name;
            out.fails(Failure {
                place,
                related: vec![Place::Wire(short.wire)],
                signal: Signal::Warning,
                confidence: Confidence::Firm,
                message: format!("{label} can break {breaks}; a short circuit behind it draws {fault} at least"),
                evidence: vec![format!("{fault} at the start of wire {wire} by the sums, every source at its least")],
                limit: practice("a protective device can break the largest current that may flow through it"),
                remedy: format!("fit one in place of {label} that can break more, or put one that can ahead of it, next to the battery"),
            });
        }
        Breaking::Unknown { breaks_a, fault_a } => {
            let fault = Ampere::from_si(fault_a);
            let message = match breaks_a.map(Ampere::from_si) {
                Some(breaks) => format!(
                    "whether {label} can break {fault} is not known; {breaks} as far as known"
                ),
                None => format!("whether {label} can break {fault} is not known"),
            };
            let own = || {
                missing(format!("read off {label}, or its fuses, what current it can break"), place)
            };
            let facts = vec![short.to_break.clone().unwrap_or_else(own)];
            out.cannot_tell(place, Signal::Warning, message, facts);
        }
    }
}
