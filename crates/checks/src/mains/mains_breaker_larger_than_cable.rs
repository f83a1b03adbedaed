//! Check: `mains-breaker-larger-than-cable`.

use catalog::VoltageBand;
use model::{Attribute, Confidence, DeviceId, Limit, Place, Pole, Role, Signal, WireId};
use network::{Item, Network, Passage};
use units::Ampere;

use crate::circuits::wires_of;
use crate::conductor::{Allowable, allowable_in};
use crate::context::Context;
use crate::outcome::{Failure, Out, missing};
use crate::registry::Check;

/// Room for rounding, as a part of the limit.
const SLACK: f64 = 1e-9;

pub(crate) const CHECK: Check = Check::new(
    "mains-breaker-larger-than-cable",
    include_str!("../../spec/mains-breaker-larger-than-cable.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    let Some(solved) = context.first() else { return };
    for (id, device) in context.vehicle.devices.iter() {
        if device.role == Role::AcBreaker {
            for wire in behind(context, solved.network, id) {
                judge(context, id, wire, out);
            }
        }
    }
}

/// The line cores a breaker feeds, up to the next.
fn behind(context: &Context<'_>, network: &Network, id: DeviceId) -> Vec<WireId> {
    let vehicle = context.vehicle;
    let outputs = vehicle.devices[id].terminals.iter().filter(|t| {
        let terminal = &vehicle.terminals[**t];
        terminal.pole == Pole::Line && terminal.name.starts_with("out.")
    });
    let walk = network.graph.walk(outputs.map(|t| network.graph.stud(*t)), |link, _| {
        link.passage == Passage::Metal
            && !matches!(link.item, Item::Device(other)
                if vehicle.devices[other].role == Role::AcBreaker)
    });
    let mut wires: Vec<WireId> =
        walk.reached().iter().flat_map(|point| wires_of(network, &walk.path(*point))).collect();
    wires.sort_unstable();
    wires.dedup();
    wires
}

fn judge(context: &Context<'_>, id: DeviceId, wire: WireId, out: &mut Out) {
    let (name, breaker) = (&context.vehicle.wires[wire].name, &context.vehicle.devices[id].name);
    let place = Place::Wire(wire);
    let rated = context.vehicle.devices[id].fact(Attribute::Rated);
    let cannot_tell = |facts, out: &mut Out| {
        let message = format!("whether {breaker} is too large for the cable {name} is not known");
        out.cannot_tell(place, Signal::Caution, message, facts);
    };
    let Some(rated_a) = rated.value().copied() else {
        cannot_tell(vec![missing(format!("read the rating of {breaker}"), Place::Device(id))], out);
        return;
    };
    let size_assumed = context.vehicle.wires[wire].area.is_assumed();
    let (low, high, firm) = match allowable_in(context, wire, VoltageBand::FiftyAndOver) {
        Allowable::Known { allowed, firm, .. } => (allowed, allowed, firm),
        Allowable::Between { low, high } => (low, high, !size_assumed),
        Allowable::Unknown(facts) => return cannot_tell(facts, out),
    };
    let over = |most: Ampere| rated_a > most.si() * (1.0 + SLACK);
    if over(high) {
        let (rated_words, firm) = (Ampere::from_si(rated_a), firm && !rated.is_assumed());
        out.fails(Failure {
            place,
            related: vec![Place::Device(id)],
            signal: Signal::Warning,
            confidence: if firm { Confidence::Firm } else { Confidence::Likely },
            message: format!("{breaker} ({rated_words}) protects the cable {name}, which may carry {high}"),
            evidence: vec![format!("{name} may carry {high} by the table for 50 V and over")],
            limit: Some(Limit {
                words: format!("protection at most {high}, what the conductor may carry"),
                source: context.catalog.ampacity.source.clone(),
            }),
            remedy: format!("a licensed electrician fits a breaker of at most {high} in {breaker}, or a larger cable"),
        });
    } else if rated.is_assumed() {
        cannot_tell(vec![missing(format!("read the rating of {breaker}"), Place::Device(id))], out);
    } else if firm && !over(low) {
        out.holds();
    } else if size_assumed {
        cannot_tell(vec![missing("read the size off the wire, or measure it", place)], out);
    } else {
        cannot_tell(vec![missing("read the temperature rating off the insulation", place)], out);
    }
}
