//! Check: `conductor-burns-first`.

use std::collections::BTreeMap;

use model::{Confidence, DeviceId, Missing, Place, Signal};
use units::{Ampere, Second};

use crate::context::Context;
use crate::outcome::{Failure, Out, limit_of};
use crate::registry::Check;
use crate::shorts::{Short, Withstands};

pub(crate) const CHECK: Check =
    Check::new("conductor-burns-first", include_str!("../../spec/conductor-burns-first.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    // One question for each device, however many wires hang on it.
    let mut open: BTreeMap<(&str, DeviceId), Vec<&Short>> = BTreeMap::new();
    for short in context.shorts {
        match short.withstands {
            Withstands::Yes => out.holds(),
            Withstands::No { ampere, stands_s, opens_s } => {
                fails(context, short, (ampere, stands_s, opens_s), out);
            }
            Withstands::Elsewhere => {}
            Withstands::Unknown => {
                open.entry((&short.label, short.device)).or_default().push(short)
            }
        }
    }
    for ((label, device), shorts) in open {
        let mut facts: Vec<Missing> = Vec::new();
        for fact in shorts.iter().flat_map(|short| &short.missing) {
            if !facts.contains(fact) {
                facts.push(fact.clone());
            }
        }
        if !facts.is_empty() {
            let message =
                format!("whether {label} opens before the wires behind it burn is not known");
            out.cannot_tell(Place::Device(device), Signal::Warning, message, facts);
        }
    }
}

fn fails(
    context: &Context<'_>,
    short: &Short,
    (ampere, stands_s, opens_s): (f64, Option<f64>, Option<f64>),
    out: &mut Out,
) {
    let (wire, label) = (&context.vehicle.wires[short.wire].name, &short.label);
    let flows = Ampere::from_si(ampere);
    let stands = stands_s.map(|s| Second::from_si(s).to_string());
    let opens = opens_s.map(|s| Second::from_si(s).to_string());
    let message = match (stands, opens) {
        (Some(stands), Some(opens)) => format!(
            "shorted with {flows}, wire {wire} is ruined after {stands}; {label} opens after {opens} at the earliest"
        ),
        (Some(stands), None) => {
            format!(
                "shorted with {flows}, wire {wire} is ruined after {stands}; {label} does not open by then"
            )
        }
        _ => format!("shorted with {flows}, wire {wire} is ruined before {label} opens"),
    };
    out.fails(Failure {
        place: Place::Wire(short.wire),
        related: vec![Place::Device(short.device)],
        signal: Signal::Warning,
        confidence: Confidence::Firm,
        message,
        evidence: vec![format!("{flows} by the sums, in a short circuit where wire {wire} ends")],
        limit: limit_of(
            "the device opens before the wire is too hot for its insulation (adiabatic)",
            "iec-60364-4-43-k",
        ),
        remedy: format!(
            "a quicker or smaller device in place of {label}, or a thicker wire in place of {wire}"
        ),
    });
}
