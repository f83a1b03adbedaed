//! Puts the map together: sources, how they stand, what each reaches, and the status that follows.

use std::collections::BTreeMap;
use std::sync::Arc;

use model::{DeviceId, State, TerminalId, Vehicle, WireEnd};
use network::{Network, Point};

use crate::reach::{Best, Found, walk};
use crate::rules::Rules;
use crate::sources::{self, Feed, Sources, Unfollowed};
use crate::stance::Set;
use crate::ways::Ways;
use crate::{Cuts, LiveMap, Reached, Status, Use};

/// Rounds of asking what feeds what. A vehicle settles in three or four; after this many whatever
/// is switched on counts as fed.
const MAX_ROUNDS: usize = 16;

/// The live map of a state.
///
/// `network` must have been built for this vehicle in this state. The rules are in the head of this
/// crate. The same arguments give the same map.
pub fn map(vehicle: &Vehicle, state: &State, network: &Network) -> LiveMap {
    map_with(vehicle, state, network, &Cuts::default())
}

/// The live map of a state with more opened or taken away by hand: rule 23.
pub fn map_with(vehicle: &Vehicle, state: &State, network: &Network, cuts: &Cuts) -> LiveMap {
    let ways = Ways::new(vehicle, network, cuts);
    let unfollowed = Unfollowed::new(vehicle, network);
    let energy = |feeds: &[Feed]| {
        let mut sources = sources::list(vehicle, state, feeds);
        sources.without(&cuts.sources);
        Energy::new(vehicle, network, &ways, sources)
    };
    let mut feeds = vec![Feed::None; vehicle.devices.len()];
    for _ in 0..MAX_ROUNDS {
        let energy = energy(&feeds);
        let status = |terminal: TerminalId| energy.status(network.graph.stud(terminal));
        let told = sources::feeds(vehicle, state, &unfollowed, status);
        // A feed only ever rises, so that two devices that feed each other settle.
        let risen: Vec<Feed> = feeds.iter().zip(told).map(|(old, new)| new.max(*old)).collect();
        if risen == feeds {
            return with_stores(energy, state, &feeds, cuts).map();
        }
        feeds = risen;
    }
    energy(&sources::feeds(vehicle, state, &unfollowed, |_| Status::Live)).map()
}

/// Rule 22: with the stores that nothing else certainly energises.
fn with_stores<'a>(energy: Energy<'a>, state: &State, feeds: &[Feed], cuts: &Cuts) -> Energy<'a> {
    let graph = &energy.network.graph;
    let mut stores = sources::stores(energy.vehicle);
    stores.retain(|store| {
        energy.status(graph.stud(store.plus)) != Status::Live
            && !cuts.sources.contains(&store.device)
            && !cuts.emptied.contains(&store.device)
    });
    if stores.is_empty() {
        return energy;
    }
    let mut sources = sources::list(energy.vehicle, state, feeds);
    sources.without(&cuts.sources);
    sources.dc.extend(stores);
    Energy::new(energy.vehicle, energy.network, energy.ways, sources)
}

/// What all sources reach.
struct Energy<'a> {
    vehicle: &'a Vehicle,
    network: &'a Network,
    ways: &'a Ways,
    /// One walk for each pole that energises.
    walks: Vec<Arc<Found>>,
    returns: Set,
}

impl<'a> Energy<'a> {
    fn new(
        vehicle: &'a Vehicle,
        network: &'a Network,
        ways: &'a Ways,
        sources: Sources,
    ) -> Energy<'a> {
        let Rules { all, returns } = Rules::of(vehicle, network, ways, sources);
        let walks = all.iter().map(|rule| {
            let starts: Vec<Point> = rule.starts.iter().map(|t| network.graph.stud(*t)).collect();
            Arc::new(walk(network, ways, &starts, rule.doubt, |ahead| rule.allows(ahead)))
        });
        Energy { vehicle, network, ways, walks: walks.collect(), returns }
    }

    /// Rule 16.
    fn status(&self, point: Point) -> Status {
        let place = self.network.graph.index(point);
        let fewest = self.walks.iter().filter_map(|walk| walk.best(place)).map(|b| b.cost.0).min();
        match fewest {
            Some(0) => Status::Live,
            Some(_) => Status::MayBeLive,
            None if self.returns[place] => Status::Return,
            None => Status::NotReached,
        }
    }

    fn map(&self) -> LiveMap {
        let graph = &self.network.graph;
        let wires = self.vehicle.wires.ids();
        let ends = wires.map(|id| WireEnd::BOTH.map(|end| graph.wire_end(id, end)));
        let studs = self.vehicle.terminals.ids().map(|terminal| graph.stud(terminal));
        LiveMap {
            wires: ends.map(|ends| self.use_of(&ends)).collect(),
            terminals: studs.map(|stud| self.use_of(&[stud])).collect(),
            body: self.use_of(&[graph.body()]),
        }
    }

    /// What a thing of one or two points is; the way told for a source is the best to either.
    fn use_of(&self, points: &[Point]) -> Use {
        let status = points.iter().map(|point| self.status(*point)).min();
        let mut best_of: BTreeMap<DeviceId, (&Best, &Arc<Found>, usize)> = BTreeMap::new();
        for walk in &self.walks {
            let places = points.iter().map(|point| self.network.graph.index(*point));
            let ways = places.filter_map(|place| Some((walk.best(place)?, place)));
            let Some((best, place)) = ways.min_by_key(|(best, _)| best.cost) else { continue };
            let Some(start) = self.network.graph.terminal(best.root) else { continue };
            let source = self.vehicle.terminals[start].device;
            if best_of.get(&source).is_none_or(|known| best.cost < known.0.cost) {
                best_of.insert(source, (best, walk, place));
            }
        }
        let mut from: Vec<Reached> = best_of
            .into_iter()
            .filter_map(|(source, (best, walk, place))| {
                let terminal = self.network.graph.terminal(best.root)?;
                let tree = Arc::clone(walk);
                Some(Reached { source, terminal, doubt: best.doubt, tree, place })
            })
            .collect();
        from.sort_by_key(|reached| reached.doubt.is_some());
        Use { status: status.unwrap_or(Status::NotReached), from }
    }
}
