//! Check: `heavy-item-held-by-lining`.

use model::{Confidence, FixingSort, Mounting, Place, Signal};
use restraint::{Criterion, Footing, Verdict};

use crate::context::Context;
use crate::outcome::{Failure, Out, limit, missing};
use crate::registry::Check;
use crate::restraint::Thing;

/// From this mass on, how a thing is held matters, kg. Common practice, no source.
pub const HEAVY_KG: f64 = 5.0;

/// The level that is held against.
const CRITERION: &str = "crash-as-for-seats";

pub(crate) const CHECK: Check = Check::new(
    "heavy-item-held-by-lining",
    include_str!("../../spec/heavy-item-held-by-lining.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    let mut unheld: Vec<Place> = Vec::new();
    for thing in Thing::all(context.vehicle) {
        let Some(mass_kg) = thing.mass.value().copied() else {
            if thing.is_battery {
                let message =
                    format!("the mass of {} and what holds it are not recorded", thing.name);
                let facts = vec![missing(
                    "read its mass off the label, and look what holds it",
                    thing.place,
                )];
                out.cannot_tell(thing.place, Signal::Warning, message, facts);
            }
            continue;
        };
        // What nothing holds is for the check next door.
        match thing.mounting {
            _ if !thing.is_heavy() || thing.is_loose() => {}
            Some(mounting) => judge(context, &thing, mounting, mass_kg, out),
            None if matches!(thing.place, Place::Part(_)) => unheld.push(thing.place),
            None => {
                let message = format!(
                    "what holds {} ({}) is not recorded",
                    thing.name,
                    units::Kilogram::from_si(mass_kg)
                );
                let facts =
                    vec![missing("look what holds it, and what the screws bite into", thing.place)];
                out.cannot_tell(thing.place, Signal::Warning, message, facts);
            }
        }
    }
    // Furniture is weighed for who lifts it: one question for all of it.
    if !unheld.is_empty() {
        let facts = unheld.into_iter().map(|place| {
            missing("look what holds it when the vehicle brakes or is hit, and note the screws, bolts or straps", place)
        });
        let message = "what holds the heavy furniture in a crash is not recorded";
        out.cannot_tell(Place::Vehicle, Signal::Warning, message, facts.collect());
    }
}

fn judge(
    context: &Context<'_>,
    thing: &Thing<'_>,
    mounting: &Mounting,
    mass_kg: f64,
    out: &mut Out,
) {
    let (place, name) = (thing.place, thing.name);
    let held = restraint::held(mass_kg, Some(mounting), &context.catalog.restraint);
    let criterion = Criterion::named(context.catalog, CRITERION);
    let compared = criterion.map(|criterion| restraint::compare(&held, &criterion));
    let Some(Ok(results)) = compared else {
        let message = format!("the figures of what holds {name} contradict each other");
        out.cannot_tell(
            place,
            Signal::Warning,
            message,
            vec![missing("measure screws and lining again", place)],
        );
        return;
    };
    let short = results
        .iter()
        .filter(|r| r.verdict == Verdict::FallsShort)
        .max_by(|a, b| a.load_n.total_cmp(&b.load_n));
    if let Some(short) = short {
        let at_most = short.at_most_n.unwrap_or(0.0);
        let basis = short.governs.as_ref().map(|figure| match figure.footing {
            Footing::Recalled => format!("{}; an upper estimate", figure.basis),
            Footing::Firm => figure.basis.clone(),
        });
        out.fails(Failure {
            place,
            related: Vec::new(),
            signal: Signal::Danger,
            confidence: if is_counted(mounting) { Confidence::Firm } else { Confidence::Likely },
            message: format!("{name}, {}, is held by the vehicle's lining only", units::Kilogram::from_si(mass_kg)),
            evidence: [
                format!("held by: {}", mounting.words),
                format!(
                    "at most {at_most:.0} N on the figures most in its favour, against {:.0} N at {:.0} times its weight",
                    short.load_n, short.g_level
                ),
            ]
            .into_iter()
            .chain(basis)
            .collect(),
            limit: limit(context.limit("crash-load")),
            remedy: format!("fix {name} to the structure with through-bolts and a tray or frame; what is acceptable is for local rules and a qualified engineer"),
        });
    } else if results.iter().all(|r| r.verdict == Verdict::WithinRating) {
        out.holds();
    } else {
        let message = format!("whether what holds {name} is strong enough cannot be told");
        let facts =
            vec![missing("find the rating of the anchorage, or what the fixings bite into", place)];
        out.cannot_tell(place, Signal::Warning, message, facts);
    }
}

/// The numbers a shortfall rests on were told, seen or measured.
fn is_counted(mounting: &Mounting) -> bool {
    mounting.ways.iter().all(|way| {
        let screws = way.fixings.iter().filter(|held| held.sort != FixingSort::Strap);
        let thick = way.into.as_ref().is_none_or(|into| into.thick_mm.evidence().is_some());
        screws.map(|held| &held.count).all(|count| count.evidence().is_some()) && thick
    })
}
