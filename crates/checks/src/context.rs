//! What a check may look at: the vehicle, the catalog, the solved states, and what can be reached.

use std::collections::BTreeMap;

use catalog::{Catalog, LimitRow};
use circuit::BranchId;
use model::{DeviceId, State, StateId, Vehicle, WireId};
use network::Network;
use solve::OperatingPoint;

use crate::shorts::Short;

/// A state with its network and what the sums gave.
#[derive(Clone, Copy, Debug)]
pub struct Solved<'a> {
    /// The state's id.
    pub id: StateId,
    /// The state.
    pub state: &'a State,
    /// Its network.
    pub network: &'a Network,
    /// Its operating points: one when it settles, several when it hunts, none without an answer.
    pub points: &'a [OperatingPoint],
    /// The same with everything off whose current is only assumed.
    pub sure: Sure<'a>,
}

/// A state without what is only assumed: what flows in it flows in any case.
#[derive(Clone, Copy, Debug)]
pub struct Sure<'a> {
    /// Its network.
    pub network: &'a Network,
    /// Its operating points.
    pub points: &'a [OperatingPoint],
    /// Loads and chargers that are off in it.
    pub left_out: &'a [DeviceId],
}

/// Whether a thing that wants service can be reached without destroying anything.
#[derive(Clone, Debug, PartialEq)]
pub enum Reachable {
    /// It can, in so many minutes, those of putting back left out.
    Whole {
        /// Minutes out, likely.
        minutes: f64,
    },
    /// Only by destroying these, in words.
    ByDestroying(String),
    /// Not known.
    Unknown,
}

/// Everything a check may look at.
#[derive(Clone, Copy, Debug)]
pub struct Context<'a> {
    /// The vehicle.
    pub vehicle: &'a Vehicle,
    /// Reference data.
    pub catalog: &'a Catalog,
    /// Every state, solved.
    pub states: &'a [Solved<'a>],
    /// What can be reached.
    pub reachable: &'a BTreeMap<DeviceId, Reachable>,
    /// What short circuits do.
    pub shorts: &'a [Short],
}

/// A current in a state.
#[derive(Clone, Copy, Debug)]
pub struct Worst<'a> {
    /// Its size, A.
    pub ampere: f64,
    /// In which state.
    pub state: &'a str,
    /// That state hunts: the current flows only while the thing that hunts is on.
    pub hunts: bool,
}

impl Worst<'_> {
    /// The state in words.
    pub(crate) fn words(&self) -> String {
        let while_on = if self.hunts { ", which hunts, while on" } else { "" };
        format!("state {}{while_on}", self.state)
    }
}

impl<'a> Context<'a> {
    /// A limit under the vehicle's rules.
    pub fn limit(&self, key: &str) -> &'a LimitRow {
        self.catalog.limits.get(key, self.vehicle.region)
    }

    /// The network of the first state: topology without what is switched differs little, and
    /// checks that need a state say so.
    pub fn first(&self) -> Option<&'a Solved<'a>> {
        self.states.first()
    }

    /// The largest current a branch carries over all states.
    pub fn worst(&self, mut branch: impl FnMut(&Network) -> Option<BranchId>) -> Option<Worst<'a>> {
        let mut worst: Option<Worst<'a>> = None;
        for solved in self.states {
            let Some(branch) = branch(solved.network) else { continue };
            for point in solved.points {
                let ampere = point.current(branch).abs();
                if ampere.is_finite() && worst.is_none_or(|so_far| ampere > so_far.ampere) {
                    let hunts = solved.points.len() > 1;
                    worst = Some(Worst { ampere, state: &solved.state.name, hunts });
                }
            }
        }
        worst
    }

    /// The largest current in a wire over all states.
    pub fn worst_in_wire(&self, wire: WireId) -> Option<Worst<'a>> {
        self.worst(|network| network.wire_branch(wire))
    }

    /// The nominal voltage, V, and whether it is only a stand-in.
    pub fn nominal_v(&self) -> f64 {
        self.vehicle.nominal.value().copied().unwrap_or(self.catalog.stand_ins.nominal).si()
    }
}
