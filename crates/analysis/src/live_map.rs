//! What is energised, and the netlist of a state.

use crate::case::Case;
use crate::view::LiveRow;

impl Case {
    /// Every conductor in every state.
    pub fn live_rows(&self) -> Vec<LiveRow> {
        Vec::new()
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
