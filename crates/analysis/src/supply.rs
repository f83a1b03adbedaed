//! Which loads have a supply: a repair may take none away.

use std::collections::BTreeSet;

use network::Group;
use solve::OperatingPoint;

use crate::case::{Case, points};

/// A load with less than this part of the nominal voltage has no supply. Own choice: below half, so that
/// a 12 V load of a 24 V vehicle counts, and far above what leaks through an open switch.
const LEAST_SHARE: f64 = 0.4;

/// Loads that have a supply in some state, by name.
pub(crate) struct Supplied(BTreeSet<String>);

impl Supplied {
    /// A load that has a supply here and none in another record. One that only loses it in a state in
    /// which a switch is open was fed past that switch.
    pub(crate) fn lost_in(&self, after: &Supplied) -> Option<String> {
        self.0.difference(&after.0).next().cloned()
    }
}

impl Case {
    /// Loads with a supply in some state.
    pub(crate) fn supplied(&self) -> Supplied {
        let vehicle = self.vehicle();
        let nominal = vehicle.nominal.value().copied().unwrap_or(self.catalog.stand_ins.nominal);
        let least_v = LEAST_SHARE * nominal.si();
        let mut supplied = BTreeSet::new();
        for (_, _, network, outcome) in self.states() {
            for port in network.ports.iter().filter(|port| port.group == Group::Load) {
                let node = |terminal| network.node(network.graph.stud(terminal));
                let (Some(plus), Some(minus)) = (node(port.plus), node(port.minus)) else {
                    continue;
                };
                let volt = |point: &OperatingPoint| point.between(plus, minus).unwrap_or(0.0).abs();
                if points(outcome).iter().any(|point| volt(point) >= least_v) {
                    supplied.insert(vehicle.devices[port.device].name.clone());
                }
            }
        }
        Supplied(supplied)
    }
}
