//! Settings of equipment.

use model::{Attribute, Finding, Place};
use units::AmpereHour;

use crate::bench::Bench;
use crate::rules::Proposed;
use crate::scene::Scene;

/// A monitor counts with what its batteries hold.
pub(super) fn capacity(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Device(id) = finding.place else {
        return Proposed::None("it names no monitor".to_owned());
    };
    let batteries = finding.related.iter().filter_map(|place| match place {
        Place::Device(id) => Some(*id),
        _ => None,
    });
    let holds = batteries.map(|id| scene.vehicle.devices[id].number(Attribute::Holds));
    let Some(whole) = holds.sum::<Option<f64>>().filter(|whole| *whole > 0.0) else {
        return Proposed::None("what its batteries hold is not recorded".to_owned());
    };
    let device = &scene.vehicle.devices[id];
    let charge = AmpereHour::from_si(whole);
    let title = format!("Set {} for {charge}, and let the batteries fill once", device.name);
    let mut bench = Bench::new(scene, "set", &device.name, title);
    bench.patch.set(&["devices", &device.name, "holds"], &format!("{whole} Ah"));
    let before = device.number(Attribute::Holds).map(AmpereHour::from_si);
    bench.figure("counts with", before.map_or_else(String::new, |set| set.to_string()), charge);
    bench.because("the sum of what the labels of its batteries say; less what age has taken, if that was measured");
    bench.work("setting", 1.0);
    bench.reach(&device.name);
    Proposed::one(bench.finish())
}
