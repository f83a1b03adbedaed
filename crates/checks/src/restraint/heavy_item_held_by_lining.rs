//! Check: `heavy-item-held-by-lining`.

use model::{Attribute, Confidence, Device, DeviceId, FixingSort, Mounting, Place, Role, Signal};
use restraint::{Criterion, Verdict};

use crate::context::Context;
use crate::outcome::{Failure, Out, limit, missing};
use crate::registry::Check;
use crate::restraint::heavy_item_loose::is_loose;

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
    for (id, device) in context.vehicle.devices.iter() {
        let Some(mass_kg) = device.number(Attribute::Mass) else {
            if device.role == Role::Battery && !device.base_vehicle {
                let message =
                    format!("the mass of {} and what holds it are not recorded", device.name);
                let facts = vec![missing(
                    "read its mass off the label, and look what holds it",
                    Place::Device(id),
                )];
                out.cannot_tell(Place::Device(id), Signal::Warning, message, facts);
            }
            continue;
        };
        // What nothing holds is for the check next door.
        if mass_kg >= HEAVY_KG && !device.base_vehicle && !is_loose(device) {
            judge(context, id, device, mass_kg, out);
        }
    }
}

fn judge(context: &Context<'_>, id: DeviceId, device: &Device, mass_kg: f64, out: &mut Out) {
    let place = Place::Device(id);
    let name = &device.name;
    let Some(mounting) = &device.mounting else {
        let message =
            format!("what holds {name} ({}) is not recorded", units::Kilogram::from_si(mass_kg));
        let facts = vec![missing("look what holds it, and what the screws bite into", place)];
        out.cannot_tell(place, Signal::Warning, message, facts);
        return;
    };
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
        out.fails(Failure {
            place,
            related: Vec::new(),
            signal: Signal::Danger,
            confidence: if is_counted(mounting) { Confidence::Firm } else { Confidence::Likely },
            message: format!("{name}, {}, is held by the vehicle's lining only", units::Kilogram::from_si(mass_kg)),
            evidence: vec![
                format!("held by: {}", mounting.words),
                format!(
                    "at most {at_most:.0} N on the figures most in its favour, against {:.0} N at {:.0} times its weight",
                    short.load_n, short.g_level
                ),
                "withdrawal law 108.25 G² D L (N, mm), G 0.7; an upper estimate".to_owned(),
            ],
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
