//! Check: `protection-larger-than-conductor`.

use model::{Attribute, Confidence, Limit, Place, Role, Signal, WireEnd, WireId};
use units::Ampere;

use crate::circuits::{Border, Regions, is_base_vehicle};
use crate::conductor::{Allowable, allowable};
use crate::context::Context;
use crate::outcome::{Failure, Out, missing};
use crate::registry::Check;

/// Above this multiple of the allowable current the hazard is graded up
/// (33 CFR 183.455(c)(1): at most 150 % of the table under 50 V).
const GROSS: f64 = 1.5;

pub(crate) const CHECK: Check = Check::new(
    "protection-larger-than-conductor",
    include_str!("../../spec/protection-larger-than-conductor.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    let Some(solved) = context.first() else { return };
    let regions = Regions::of(context.vehicle, solved.network);
    for (index, region) in regions.list.iter().enumerate() {
        let feeds = regions.feeds(context.vehicle, index);
        if feeds.is_empty() {
            continue;
        }
        for wire in &region.wires {
            if !is_base_vehicle(context.vehicle, *wire) && !is_stub(context, *wire) {
                judge(context, *wire, &feeds, out);
            }
        }
    }
}

/// A short wire to a fuse or breaker that its own rating protects against overload: what flows in it
/// has to pass the device at its end. A short circuit before the device is what the rules allow so
/// short a wire for.
fn is_stub(context: &Context<'_>, wire: WireId) -> bool {
    let vehicle = context.vehicle;
    let most_m = context.limit("unprotected-length").value;
    let short = vehicle.wires[wire].length.evidence().is_some_and(|m| m.si() <= most_m + 1e-9);
    let own = WireEnd::BOTH.into_iter().find_map(|end| {
        let terminal = vehicle.wires[wire].terminal(end)?;
        let device = &vehicle.devices[vehicle.terminals[terminal].device];
        let alone = vehicle.wires_at(terminal).count() == 1;
        let is_device = matches!(device.role, Role::Fuse | Role::Breaker);
        // Where its source stands does not matter: the same current passes both.
        let rated = device.fact(Attribute::Rated);
        (is_device && alone).then(|| rated.evidence().copied())?
    });
    let (true, Some(rated_a)) = (short, own) else { return false };
    match allowable(context, wire) {
        Allowable::Known { allowed, firm, .. } => firm && rated_a <= allowed.si(),
        Allowable::Between { low, .. } => rated_a <= low.si() && !size_assumed(context, wire),
        Allowable::Unknown(_) => false,
    }
}

fn judge(context: &Context<'_>, wire: WireId, feeds: &[Border], out: &mut Out) {
    let place = Place::Wire(wire);
    let name = &context.vehicle.wires[wire].name;
    let largest = feeds
        .iter()
        .filter_map(|border| Some((border, *border.rated.value()?)))
        .max_by(|a, b| a.1.si().total_cmp(&b.1.si()));
    // An assumed rating shows that a wire fails, never that it holds.
    let unrated = feeds.iter().find(|border| border.rated.evidence().is_none());
    let allowed = allowable(context, wire);
    if let Some((border, rated)) = largest
        && fails(context, wire, border, rated, &allowed, out)
    {
        return;
    }
    if let Some(border) = unrated {
        let message = format!("what protects wire {name} has no known rating");
        let what = format!("read the rating of the fuse or breaker {}", border.label);
        out.cannot_tell(
            place,
            Signal::Warning,
            message,
            vec![missing(what, Place::Device(border.device))],
        );
        return;
    }
    let Some((_, rated)) = largest else { return };
    match allowed {
        Allowable::Known { firm: true, .. } => out.holds(),
        Allowable::Between { low, .. }
            if rated.si() <= low.si() && !size_assumed(context, wire) =>
        {
            out.holds()
        }
        Allowable::Known { .. } | Allowable::Between { .. } => {
            let message =
                format!("whether {rated} is too much for wire {name} rests on what is not known");
            let what = if size_assumed(context, wire) {
                "read the size off the wire, or measure it"
            } else {
                "read the temperature rating off the insulation"
            };
            out.cannot_tell(place, Signal::Warning, message, vec![missing(what, place)]);
        }
        Allowable::Unknown(facts) => {
            let message = format!("whether {rated} is too much for wire {name} is not known");
            out.cannot_tell(place, Signal::Warning, message, facts);
        }
    }
}

fn size_assumed(context: &Context<'_>, wire: WireId) -> bool {
    context.vehicle.wires[wire].area.is_assumed()
}

/// Reports a failure if there is one.
fn fails(
    context: &Context<'_>,
    wire: WireId,
    border: &Border,
    rated: Ampere,
    allowed: &Allowable,
    out: &mut Out,
) -> bool {
    let name = &context.vehicle.wires[wire].name;
    let (most, firm, words) = match allowed {
        Allowable::Known { allowed, firm, words } => (*allowed, *firm, words.clone()),
        Allowable::Between { high, .. } => {
            let words = format!("even with the best insulation it may carry {high} at most");
            (*high, !size_assumed(context, wire), words)
        }
        Allowable::Unknown(_) => return false,
    };
    if rated.si() <= most.si() * (1.0 + 1e-9) {
        return false;
    }
    let gross = rated.si() > GROSS * most.si();
    let firm = firm && !border.rated.is_assumed();
    out.fails(Failure {
        place: Place::Wire(wire),
        related: vec![Place::Device(border.device)],
        signal: if gross { Signal::Danger } else { Signal::Warning },
        confidence: if firm { Confidence::Firm } else { Confidence::Likely },
        message: format!("{} ({rated}) protects wire {name}, which may carry {most}", border.label),
        evidence: vec![words],
        limit: Some(Limit {
            words: format!("protection at most {most}, what the conductor may carry"),
            source: context.catalog.ampacity.source.clone(),
        }),
        remedy: remedy(context, name, border, most),
    });
    true
}

/// A smaller fuse, unless the device carries more for everything behind it.
fn remedy(context: &Context<'_>, name: &str, border: &Border, most: Ampere) -> String {
    let carried = context.worst(|network| match network.contacts_of(border.device) {
        [(_, _, only)] => Some(*only),
        _ => None,
    });
    match carried.filter(|worst| worst.ampere > most.si()) {
        Some(worst) => format!(
            "give wire {name} a fuse of its own of at most {most} where it leaves, or lay a larger wire; \
             {} carries up to {} for all that is behind it",
            border.label,
            Ampere::from_si(worst.ampere)
        ),
        None => format!("fit a fuse of at most {most} in {}, or a larger wire", border.label),
    }
}
