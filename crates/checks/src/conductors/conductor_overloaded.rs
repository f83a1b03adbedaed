//! Check: `conductor-overloaded`.

use model::{Confidence, Limit, Place, Signal};
use units::Ampere;

use crate::circuits::is_base_vehicle;
use crate::conductor::{Allowable, allowable};
use crate::context::Context;
use crate::outcome::{Failure, Out, missing};
use crate::registry::Check;
use crate::weigh::{Weighed, weigh};

/// Room for rounding, as a part of the limit.
const SLACK: f64 = 1e-9;

/// The smallest figure of the table, A (18 AWG at 60 °C): a wire of which nothing is known is asked
/// for here when it carries more; below that, where its protection and its drop are judged.
const ANY_A: f64 = 10.0;

/// A wire without current in every state has shown nothing, A.
const NOTHING_A: f64 = 1e-3;

pub(crate) const CHECK: Check =
    Check::new("conductor-overloaded", include_str!("../../spec/conductor-overloaded.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, wire) in context.vehicle.wires.iter() {
        if context.vehicle.is_ac(id) || is_base_vehicle(context.vehicle, id) {
            continue;
        }
        let Some(worst) = context.worst_in_wire(id).filter(|worst| worst.ampere > NOTHING_A) else {
            continue;
        };
        let (most, firm) = match allowable(context, id) {
            Allowable::Known { allowed, firm, .. } => (allowed, firm),
            Allowable::Between { low, high } => {
                let over = |limit: Ampere| worst.ampere > limit.si() * (1.0 + SLACK);
                if over(low) && !over(high) {
                    let message =
                        format!("whether wire {} carries too much is not known", wire.name);
                    let what = "read the temperature rating off the insulation";
                    let facts = vec![missing(what, Place::Wire(id))];
                    out.cannot_tell(Place::Wire(id), Signal::Caution, message, facts);
                    continue;
                }
                (high, !wire.area.is_assumed())
            }
            Allowable::Unknown(facts) => {
                if worst.ampere > ANY_A {
                    let current = Ampere::from_si(worst.ampere);
                    let message =
                        format!("whether wire {} may carry {current} is not known", wire.name);
                    out.cannot_tell(Place::Wire(id), Signal::Caution, message, facts);
                }
                continue;
            }
        };
        let amounts = context.amounts(|network| network.wire_branch(id));
        let over = |ampere: f64| ampere > most.si() * (1.0 + SLACK);
        let current = Ampere::from_si(worst.ampere);
        match weigh(context.vehicle, &amounts, over) {
            Weighed::Holds if firm => {
                out.holds();
                continue;
            }
            Weighed::Holds | Weighed::Uncounted => continue,
            Weighed::Depends(facts) => {
                let message = format!(
                    "wire {} may carry {most}; that it carries {current} rests on a power nobody read",
                    wire.name
                );
                out.cannot_tell(Place::Wire(id), Signal::Caution, message, facts);
                continue;
            }
            Weighed::Fails => {}
        }
        out.fails(Failure {
            place: Place::Wire(id),
            related: Vec::new(),
            signal: Signal::Warning,
            confidence: if firm { Confidence::Firm } else { Confidence::Likely },
            message: format!("wire {} carries {current}, but may carry {most}", wire.name),
            evidence: vec![format!("{current} in {} by the sums", worst.words())],
            limit: Some(Limit {
                words: format!("at most {most} in this conductor"),
                source: context.catalog.ampacity.source.clone(),
            }),
            remedy: format!("lay a larger wire for {}, or put less on it", wire.name),
        });
    }
}
