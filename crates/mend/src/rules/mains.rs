//! The mains side: what a licensed electrician is asked to change.

use model::{Bond, Finding, Place};

use crate::bench::Bench;
use crate::draft::Draft;
use crate::rules::Proposed;
use crate::scene::Scene;

/// Of several joins of neutral and earth one is taken out; which one is tried for each.
pub(super) fn one_bond(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let devices = finding.related.iter().filter_map(|place| match place {
        Place::Device(id) => Some(*id),
        _ => None,
    });
    let bonded =
        devices.filter(|id| matches!(scene.vehicle.devices[*id].bond.value(), Some(Bond::Always)));
    let tries: Vec<Result<Draft, String>> = bonded
        .map(|id| {
            let name = &scene.vehicle.devices[id].name;
            let title = format!("Have the neutral-earth link in {name} taken out");
            let mut bench = Bench::new(scene, "unlink", name, title);
            bench.patch.set(&["devices", name, "bond"], "never");
            bench.figure(&format!("link in {name}"), "always", "none");
            bench.because("one link for each source, at one point, while it feeds");
            bench.work("bond", 1.0);
            bench.reach(name);
            bench.licensed();
            bench.finish()
        })
        .collect();
    if tries.is_empty() {
        return Proposed::None("no link that is always closed is recorded: the bond of a source is for a licensed electrician to set".to_owned());
    }
    Proposed::Choices(tries)
}
