//! Heavy things fixed to the structure.

use catalog::Catalog;
use model::{Attribute, Finding, Look, Place, Signal};
use restraint::Criterion;

use crate::bench::Bench;
use crate::draft::{Part, Sort};
use crate::rules::Proposed;
use crate::scene::Scene;

/// Strengths are asked for in steps of this, N.
const STEP_N: f64 = 500.0;

/// The level that is built to.
const CRITERION: &str = "crash-as-for-seats";

/// The strongest anchorage that is thought of, N.
const MOST_N: f64 = 100_000.0;

pub(super) fn to_structure(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let vehicle = scene.vehicle;
    let (section, name, mass_kg, mounting) = match finding.place {
        Place::Device(id) => {
            let device = &vehicle.devices[id];
            ("devices", &device.name, device.number(Attribute::Mass), &device.mounting)
        }
        Place::Part(id) => {
            let part = &vehicle.parts[id];
            ("parts", &part.name, part.mass.value().map(|mass| mass.si()), &part.mounting)
        }
        _ => return Proposed::None("it names nothing that has a mass".to_owned()),
    };
    let Some(mass_kg) = mass_kg else {
        return Proposed::None("its mass is not recorded".to_owned());
    };
    let Some(strength_n) = least_strength_n(mass_kg, scene.catalog) else {
        return Proposed::None("no anchorage is strong enough by the figures".to_owned());
    };
    let title = format!(
        "Bolt {name} to the structure with a tray or frame, the anchorage good for {strength_n:.0} N"
    );
    let mut bench = Bench::new(scene, "mount", name, title);
    let before = mounting.as_ref().map_or("not recorded", |held| held.words.as_str());
    let held = format!("tray, bolts through, into structure, rated {strength_n:.0} N");
    bench.patch.set(&[section, name, "held"], &held);
    if let Place::Device(id) = finding.place
        && vehicle.devices[id].looks.get(Look::Fixed).value() == Some(&false)
    {
        bench.patch.see_device(name, Look::Fixed);
    }
    bench.figure("held by", before, held);
    bench.because(format!(
        "the least strength, in steps of {STEP_N:.0} N, that its {} do not exceed forward, rearward and sideways at the crash figures",
        units::Kilogram::from_si(mass_kg)
    ));
    bench.work("mount", 1.0);
    bench.part(Part {
        sort: Sort::Mount,
        what: format!("tray or frame with through-bolts and large washers, anchorage good for {strength_n:.0} N"),
        quantity: 1.0,
        why: format!("holds {name} in a crash"),
        size_mm2: None,
        rated_a: None,
    });
    bench.caution(
        Signal::Warning,
        "a figure to build to, no certificate: what is acceptable is for local rules and a qualified engineer; look what lies under the floor before drilling",
    );
    bench.reach(name);
    Proposed::one(bench.finish())
}

/// The least strength, in steps, that the pull of a thing does not exceed in any direction of the crash
/// figures.
fn least_strength_n(mass_kg: f64, catalog: &Catalog) -> Option<f64> {
    let criterion = Criterion::named(catalog, CRITERION)?;
    let loads = criterion.levels.iter().map(|level| restraint::load_n(mass_kg, level.g_level));
    let most_n = loads.collect::<Result<Vec<f64>, _>>().ok()?.into_iter().fold(0.0, f64::max);
    let strength_n = (most_n / STEP_N).ceil() * STEP_N;
    (strength_n <= MOST_N).then_some(strength_n)
}

#[cfg(test)]
mod tests {
    use catalog::Catalog;

    use super::least_strength_n;

    /// By hand: 49 CFR 571.207 S4.2, 20 times the weight: 62 kg x 9.80665 m/s² x 20 = 12 160 N, in steps
    /// of 500 N up to 12 500 N.
    #[test]
    fn a_battery_of_62_kg_wants_12500_newton() {
        assert_eq!(least_strength_n(62.0, &Catalog::embedded()), Some(12_500.0));
    }
}
