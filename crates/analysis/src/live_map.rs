//! What is energised, and the netlist of a state.

use live::{Reached, Status};
use model::Vehicle;

use crate::case::Case;
use crate::view::{LineUse, LivePath, LiveRow};

impl Case {
    /// Every conductor in every state.
    pub fn live_rows(&self) -> Vec<LiveRow> {
        let vehicle = self.vehicle();
        let mut rows = Vec::new();
        for (_, state, network, _) in self.states() {
            let map = live::map(vehicle, state, network);
            for (id, wire) in vehicle.wires.iter() {
                let found = map.wire(id);
                rows.push(LiveRow {
                    state: state.name.clone(),
                    wire: wire.name.clone(),
                    status: status(found.status),
                    from: found.from.iter().map(|reached| path(vehicle, reached)).collect(),
                });
            }
        }
        rows
    }

    /// Names of the states, in the order they were written.
    pub fn state_names(&self) -> Vec<String> {
        self.states().map(|(_, state, ..)| state.name.clone()).collect()
    }

    /// The circuit of a state as a SPICE deck, guards in the position the sums end in; `None` when
    /// there is no such state.
    pub fn netlist(&self, state: &str) -> Option<String> {
        let (_, state, network, outcome) = self.states().find(|(_, s, ..)| s.name == state)?;
        let positions = crate::case::points(outcome).first().map_or_else(
            || network.circuit.guards().iter().map(|guard| guard.starts_on).collect(),
            |point| point.guards.clone(),
        );
        let title = format!("{}, state {}", self.vehicle().name, state.name);
        Some(circuit::netlist(&network.circuit, &title, &positions))
    }
}

pub(crate) fn status(status: Status) -> LineUse {
    match status {
        Status::Live => LineUse::Live,
        Status::MayBeLive => LineUse::MayBeLive,
        Status::Return => LineUse::Return,
        Status::NotReached => LineUse::NotReached,
    }
}

pub(crate) fn path(vehicle: &Vehicle, reached: &Reached) -> LivePath {
    LivePath {
        source: vehicle.devices[reached.source].name.clone(),
        path: reached.names(vehicle),
        doubt: reached.doubt.map_or_else(String::new, |doubt| doubt.words(vehicle)),
    }
}
