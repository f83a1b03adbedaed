//! Check: `return-not-protected`.

use model::{Confidence, DeviceId, Limit, Place, Pole, Signal, WireId};
use units::Ampere;

use crate::circuits::{Border, Regions};
use crate::conductor::{Allowable, allowable};
use crate::context::Context;
use crate::outcome::{Failure, Out, missing};
use crate::registry::Check;

/// Room for rounding, as a part of the limit.
const SLACK: f64 = 1e-9;

pub(crate) const CHECK: Check =
    Check::new("return-not-protected", include_str!("../../spec/return-not-protected.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    let Some(solved) = context.first() else { return };
    let vehicle = context.vehicle;
    let regions = Regions::of(vehicle, solved.network);
    for (id, device) in vehicle.devices.iter() {
        let of =
            |pole| device.terminals.iter().copied().find(|t| vehicle.terminals[*t].pole == pole);
        let (true, Some(plus), Some(minus)) =
            (device.role.is_dc_load(), of(Pole::Plus), of(Pole::Minus))
        else {
            continue;
        };
        let mut returns = vehicle.wires_at(minus);
        let (Some((wire, _)), None) = (returns.next(), returns.next()) else { continue };
        let stud = solved.network.graph.stud(plus);
        let Some(region) = regions.at(stud) else { continue };
        let feeds = regions.feeds(vehicle, region);
        // A wire that is itself fed through a fuse is judged as such.
        let ends = model::WireEnd::BOTH.map(|end| solved.network.graph.wire_end(wire, end));
        if !feeds.is_empty() && ends.iter().all(|end| regions.at(*end).is_none()) {
            judge(context, id, wire, &feeds, out);
        }
    }
}

fn judge(context: &Context<'_>, id: DeviceId, wire: WireId, feeds: &[Border], out: &mut Out) {
    let place = Place::Wire(wire);
    let (name, load) = (&context.vehicle.wires[wire].name, &context.vehicle.devices[id].name);
    let rated = feeds
        .iter()
        .filter_map(|border| Some((border, *border.rated.value()?)))
        .max_by(|a, b| a.1.si().total_cmp(&b.1.si()));
    let unrated = feeds.iter().find(|border| border.rated.evidence().is_none());
    let Some((border, rated)) = rated else {
        if let Some(border) = unrated {
            cannot_tell(
                context,
                wire,
                id,
                missing(rating_of(border), Place::Device(border.device)),
                out,
            );
        }
        return;
    };
    let allowed = allowable(context, wire);
    let over = |ampere: Ampere| rated.si() > ampere.si() * (1.0 + SLACK);
    let size_assumed = context.vehicle.wires[wire].area.is_assumed();
    let (most, firm) = match &allowed {
        Allowable::Known { allowed, firm, .. } => (*allowed, *firm),
        Allowable::Between { high, .. } => (*high, !size_assumed),
        Allowable::Unknown(facts) => {
            let message = format!(
                "whether the return {name} of {load} carries what its fuse lets through is not known"
            );
            out.cannot_tell(place, Signal::Caution, message, facts.clone());
            return;
        }
    };
    if over(most) {
        let firm = firm && !border.rated.is_assumed();
        fails(context, (wire, name, load), (border, rated, most), firm, out);
        return;
    }
    if let Some(border) = unrated {
        cannot_tell(
            context,
            wire,
            id,
            missing(rating_of(border), Place::Device(border.device)),
            out,
        );
        return;
    }
    match allowed {
        Allowable::Known { firm: true, .. } => out.holds(),
        Allowable::Between { low, .. } if !over(low) && !size_assumed => out.holds(),
        Allowable::Between { .. } if !size_assumed => {
            cannot_tell(
                context,
                wire,
                id,
                missing("read the temperature rating off the insulation", place),
                out,
            );
        }
        _ => cannot_tell(
            context,
            wire,
            id,
            missing("read the size off the wire, or measure it", place),
            out,
        ),
    }
}

fn rating_of(border: &Border) -> String {
    format!("read the rating of the fuse or breaker {}", border.label)
}

fn cannot_tell(
    context: &Context<'_>,
    wire: WireId,
    id: DeviceId,
    fact: model::Missing,
    out: &mut Out,
) {
    let (name, load) = (&context.vehicle.wires[wire].name, &context.vehicle.devices[id].name);
    let message = format!(
        "whether the return {name} of {load} carries what its fuse lets through is not known"
    );
    out.cannot_tell(Place::Wire(wire), Signal::Caution, message, vec![fact]);
}

fn fails(
    context: &Context<'_>,
    (wire, name, load): (WireId, &str, &str),
    (border, rated, most): (&Border, Ampere, Ampere),
    firm: bool,
    out: &mut Out,
) {
    out.fails(Failure {
        place: Place::Wire(wire),
        related: vec![Place::Device(border.device)],
        signal: Signal::Warning,
        confidence: if firm { Confidence::Firm } else { Confidence::Likely },
        message: format!(
            "the return {name} of {load} may carry {most}; {} lets through {rated}",
            border.label
        ),
        evidence: vec![format!("the current of {load} flows back through {name} alone")],
        limit: Some(Limit {
            words: format!("protection at most {most}, what the conductor may carry"),
            source: context.catalog.ampacity.source.clone(),
        }),
        remedy: format!(
            "lay {name} in the size of its feed, or fit a fuse of at most {most} in {}",
            border.label
        ),
    });
}
