//! Check: `modules-without-string-protection`.

use model::{Confidence, DeviceId, Place, Role, Signal};

use crate::circuits::{Region, Regions};
use crate::context::Context;
use crate::metal::unseen;
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

/// Rows that may hang together without a fuse each.
const ROWS: usize = 2;

pub(crate) const CHECK: Check = Check::new(
    "modules-without-string-protection",
    include_str!("../../spec/modules-without-string-protection.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    let Some(solved) = context.first() else { return };
    let regions = Regions::of(context.vehicle, solved.network);
    for region in &regions.list {
        let modules = modules(context, region);
        let Some(first) = modules.first() else { continue };
        let names: Vec<&str> =
            modules.iter().map(|id| context.vehicle.devices[*id].name.as_str()).collect();
        let place = Place::Device(*first);
        if modules.len() > ROWS {
            fails(place, &modules, &names, out);
            continue;
        }
        let walk = solved.network.graph.walk(region.points.iter().copied(), |_, _| false);
        match unseen(context.vehicle, solved.network, &walk) {
            Some(wire) if modules.len() == ROWS => {
                let message =
                    format!("whether more modules hang beside {} is not known", names.join(", "));
                let facts = vec![missing("follow it to its end", Place::Wire(wire))];
                out.cannot_tell(place, Signal::Caution, message, facts);
            }
            _ => out.holds(),
        }
    }
}

fn modules(context: &Context<'_>, region: &Region) -> Vec<DeviceId> {
    let is_module = |id: &DeviceId| context.vehicle.devices[*id].role == Role::SolarModule;
    region.sources.iter().copied().filter(is_module).collect()
}

fn fails(place: Place, modules: &[DeviceId], names: &[&str], out: &mut Out) {
    let (count, others) = (modules.len(), modules.len() - 1);
    out.fails(Failure {
        place,
        related: modules.iter().skip(1).map(|id| Place::Device(*id)).collect(),
        signal: Signal::Warning,
        confidence: Confidence::Firm,
        message: format!("{count} modules side by side have no fuse each"),
        evidence: vec![format!("{} are joined at their plus: {others} of them feed one that fails", names.join(", "))],
        limit: practice("a fuse for each row from three rows on"),
        remedy: "cover the modules, then fit a fuse for direct current into the plus of each row, rated as the module's label says".to_owned(),
    });
}
