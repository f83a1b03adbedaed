//! The one list of checks.

use crate::context::Context;
use crate::outcome::{Out, Outcome};

/// A check.
#[derive(Clone, Copy, Debug)]
pub struct Check {
    /// Its name: the defect, in kebab case.
    pub slug: &'static str,
    /// The defect in plain words.
    pub title: &'static str,
    /// What can happen.
    pub hazard: &'static str,
    /// Its page: what, why, how it decides, what to do, sources, examples.
    pub page: &'static str,
    run: fn(&Context<'_>, &mut Out),
}

macro_rules! check {
    ($module:ident, $slug:literal, $title:literal, $hazard:literal) => {
        Check {
            slug: $slug,
            title: $title,
            hazard: $hazard,
            page: include_str!(concat!("../spec/", $slug, ".md")),
            run: crate::$module::check,
        }
    };
}

/// The list itself.
const CHECKS: &[Check] = &[
    check!(
        source_shorted,
        "source-shorted",
        "plus and minus of a battery joined by metal",
        "Thousands of amperes flow at once: burns, fire, a bursting battery."
    ),
    check!(
        source_end_without_protection,
        "source-end-without-protection",
        "source end of a wire without protection",
        "If this wire chafes to metal, nothing opens: it burns along its whole length."
    ),
    check!(
        protection_larger_than_conductor,
        "protection-larger-than-conductor",
        "protection larger than the conductor",
        "The wire can overheat inside the wall for hours while the fuse holds."
    ),
    check!(
        joint_too_hot,
        "joint-too-hot",
        "joint too hot at its current",
        "A hot joint chars what is around it and gets worse by itself; it can start a fire."
    ),
    check!(
        inverter_joined_to_inlet,
        "inverter-joined-to-inlet",
        "inverter output joined to the shore inlet",
        "Bare pins of the inlet carry mains voltage with the lead out; touching them can kill."
    ),
    check!(
        two_neutral_earth_bonds,
        "two-neutral-earth-bonds",
        "more than one neutral-earth bond at once",
        "Working current runs in the protective earth; a residual-current device may trip at random or not protect."
    ),
    check!(
        heavy_item_held_by_lining,
        "heavy-item-held-by-lining",
        "heavy item held by the lining only",
        "In a crash it becomes a projectile inside the vehicle; a battery also shorts and burns."
    ),
    check!(
        conductor_overloaded,
        "conductor-overloaded",
        "conductor carries more than it may",
        "The wire overheats where it is bundled or insulated; insulation ages and fails."
    ),
    check!(
        equipment_starved,
        "equipment-starved",
        "equipment that switches itself off for want of volts",
        "It fails when it is needed; the volts that are missing turn into heat on the way."
    ),
    check!(
        protection_overloaded,
        "protection-overloaded",
        "fuse or breaker has to carry more than its rating",
        "It opens when the load is needed, or runs hot and fails in its holder."
    ),
    check!(
        load_reversed,
        "load-reversed",
        "load connected the wrong way round",
        "Electronics are destroyed at switch-on; a motor runs backwards."
    ),
    check!(
        washer_or_paint_in_current_path,
        "washer-or-paint-in-current-path",
        "washer or paint in the current path of a lug",
        "Current squeezes through a poor contact; the stack heats and loosens."
    ),
    check!(
        solid_conductor,
        "solid-conductor",
        "solid conductor on low-voltage wiring in a vehicle",
        "Solid wire works loose and breaks with vibration; the joint heats or the circuit fails."
    ),
    check!(
        source_without_isolator,
        "source-without-isolator",
        "source without an isolator",
        "It cannot be switched off for work or in an emergency."
    ),
    check!(
        monitor_bypassed,
        "monitor-bypassed",
        "return or source that bypasses the monitor's shunt",
        "The display miscounts: batteries are run flat, or never filled, and nobody sees it."
    ),
    check!(
        conductor_too_small_for_drop,
        "conductor-too-small-for-drop",
        "conductor too small for its drop",
        "Equipment starves, cuts out or draws more current; the wire warms."
    ),
    check!(
        cable_entry_without_strain_relief,
        "cable-entry-without-strain-relief",
        "cable entering a device without its own strain relief",
        "A pull on the cable loads the terminal; the joint loosens, heats or comes off live."
    ),
    check!(
        service_needs_destruction,
        "service-needs-destruction",
        "service item that cannot be reached without destroying something",
        "What cannot be reached is not checked or changed in time."
    ),
];

/// All checks, in the order they are listed.
pub fn all() -> &'static [Check] {
    CHECKS
}

/// The check of a name.
pub fn find(slug: &str) -> Option<&'static Check> {
    all().iter().find(|check| check.slug == slug)
}

/// Runs every check.
pub fn run(context: &Context<'_>) -> Vec<(&'static Check, Outcome)> {
    all()
        .iter()
        .map(|check| {
            let mut out = Out::new(check.slug);
            (check.run)(context, &mut out);
            (check, out.finish())
        })
        .collect()
}
