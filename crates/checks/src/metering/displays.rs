//! Shunts with a display and the batteries they count for.

use std::collections::BTreeMap;

use model::DeviceId;

use crate::context::Context;

/// Shunt, monitor, batteries; the first state that shows them.
pub(crate) fn displays(context: &Context<'_>) -> Vec<(DeviceId, DeviceId, Vec<DeviceId>)> {
    let mut found = BTreeMap::new();
    for solved in context.states {
        let Some(point) = solved.points.first() else { continue };
        for shown in network::monitor::displays(context.vehicle, solved.network, point) {
            if let Some(monitor) = shown.monitor {
                found.entry(shown.shunt).or_insert((monitor, shown.batteries));
            }
        }
    }
    found.into_iter().map(|(shunt, (monitor, batteries))| (shunt, monitor, batteries)).collect()
}
