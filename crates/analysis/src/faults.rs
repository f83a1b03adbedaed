//! The states of a vehicle with faults put in: what would be seen if it were so.

use network::{Network, NoFault, read_fault};
use solve::Outcome;

use crate::case::{Case, points};
use crate::states::state_view;
use crate::view::StateView;

/// A fault that was not understood.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FaultNotRead {
    /// The words given.
    pub words: String,
    /// What is wrong with them, and what to write instead.
    pub why: String,
}

impl Case {
    /// Every state as it would be with faults, each in the words of `docs/faults.md`.
    ///
    /// # Errors
    /// The first fault that is not understood.
    pub fn state_views_with(&self, faults: &[String]) -> Result<Vec<StateView>, FaultNotRead> {
        let mut views = Vec::new();
        for (id, state, network, _) in self.states() {
            let (network, words) = self.faulted(faults, state, network)?;
            let outcome = solve::settle(&network.circuit);
            let mut view = state_view(self.vehicle(), id, state, &network, &outcome);
            view.words = format!("{}; with {}", view.words, words.join(" and "));
            views.push(view);
        }
        Ok(views)
    }

    /// The circuit of a state with faults as a SPICE deck; `None` if there is no such state.
    ///
    /// # Errors
    /// The first fault that is not understood.
    pub fn netlist_with(
        &self,
        state: &str,
        faults: &[String],
    ) -> Result<Option<String>, FaultNotRead> {
        let Some((_, state, network, _)) = self.states().find(|(_, s, ..)| s.name == state) else {
            return Ok(None);
        };
        let (network, words) = self.faulted(faults, state, network)?;
        let outcome: Outcome = solve::settle(&network.circuit);
        let positions = points(&outcome).first().map_or_else(
            || network.circuit.guards().iter().map(|guard| guard.starts_on).collect(),
            |point| point.guards.clone(),
        );
        let title =
            format!("{}, state {}, with {}", self.vehicle().name, state.name, words.join(" and "));
        Ok(Some(circuit::netlist(&network.circuit, &title, &positions)))
    }

    fn faulted(
        &self,
        faults: &[String],
        state: &model::State,
        network: &Network,
    ) -> Result<(Network, Vec<String>), FaultNotRead> {
        let not_read = |words: &str, why: String| FaultNotRead { words: words.to_owned(), why };
        let (mut changes, mut words) = (Vec::new(), Vec::new());
        for text in faults {
            let read = read_fault(text, self.vehicle(), state, &self.catalog, network);
            let fault = read.map_err(|no: NoFault| not_read(text, no.to_string()))?;
            words.push(if fault.changes.is_empty() {
                format!("{} (does not show in this state)", fault.words)
            } else {
                fault.words
            });
            changes.extend(fault.changes);
        }
        let mut network = network.clone();
        network.circuit = network
            .circuit
            .changed(&changes)
            .map_err(|bad| not_read(&faults.join("; "), bad.to_string()))?;
        Ok((network, words))
    }
}
