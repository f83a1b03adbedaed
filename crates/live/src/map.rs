//! Puts the map together: sources, how they stand, what each reaches, and the status that follows.

use std::collections::BTreeMap;
use std::sync::Arc;

use model::{DeviceId, Pole, State, TerminalId, Vehicle, WireEnd};
use network::{Network, Passage, Point};

use crate::reach::{Ahead, Best, Found, walk};
use crate::sources::{self, Feed, MainsSource, Sources, Unfollowed};
use crate::stance::{Set, Stance, body_return};
use crate::ways::Ways;
use crate::{Doubt, LiveMap, MAX_SOURCES, Reached, Status, Use};

/// Rounds of asking what feeds what. A vehicle settles in three or four; after this many whatever
/// is switched on counts as fed.
const MAX_ROUNDS: usize = 16;

/// The live map of a state.
///
/// `network` must have been built for this vehicle in this state. The rules are in the head of this
/// crate. The same arguments give the same map.
pub fn map(vehicle: &Vehicle, state: &State, network: &Network) -> LiveMap {
    let ways = Ways::new(vehicle, network);
    let unfollowed = Unfollowed::new(vehicle, network);
    let mut feeds = vec![Feed::None; vehicle.devices.len()];
    for _ in 0..MAX_ROUNDS {
        let energy = Energy::new(vehicle, network, &ways, sources::list(vehicle, state, &feeds));
        let status = |terminal: TerminalId| energy.status(network.graph.stud(terminal));
        let told = sources::feeds(vehicle, state, &unfollowed, status);
        // A feed only ever rises, so that two devices that feed each other settle.
        let risen: Vec<Feed> = feeds.iter().zip(told).map(|(old, new)| new.max(*old)).collect();
        if risen == feeds {
            return energy.map();
        }
        feeds = risen;
    }
    let feeds = sources::feeds(vehicle, state, &unfollowed, |_| Status::Live);
    Energy::new(vehicle, network, &ways, sources::list(vehicle, state, &feeds)).map()
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
        mut sources: Sources,
    ) -> Energy<'a> {
        let returns = vec![false; network.graph.point_count()];
        let mut energy = Energy { vehicle, network, ways, walks: Vec::new(), returns };
        let beyond = sources.split_off(MAX_SOURCES);
        if !beyond.is_empty() {
            energy.walk(&beyond, None, |ahead| ahead.way.passage != Passage::Open);
        }
        energy.direct(&sources);
        energy.mains(&sources.mains);
        energy
    }

    /// The direct-current side.
    fn direct(&mut self, sources: &Sources) {
        let graph = &self.network.graph;
        let minuses = sources::battery_minuses(self.vehicle);
        let body = body_return(self.network, &minuses);
        let stands = sources.dc.iter().map(|source| {
            let (plus, minus) = (graph.stud(source.plus), graph.stud(source.minus));
            Stance::of(self.network, self.ways, plus, minus, body.as_ref())
        });
        let stances: Vec<Stance> = stands.collect();
        if let Some(body) = &body {
            join(&mut self.returns, body);
        }
        for (index, (source, stance)) in sources.dc.iter().zip(&stances).enumerate() {
            join(&mut self.returns, &stance.returns);
            let mut never = vec![false; graph.point_count()];
            if let Some(body) = body.as_ref().filter(|_| stance.spares_body) {
                join(&mut never, body);
            }
            let held = self.held_by_others(sources, &stances, index);
            if let Some(doubt) = stance.from_minus {
                let doubt = source.doubt.or(doubt);
                self.walk(&[source.minus], doubt, |ahead| {
                    ahead.way.passage != Passage::Open && ahead.is_outside(&never, &held)
                });
            }
            if stance.from_plus {
                join(&mut never, &stance.returns);
                self.walk(&[source.plus], source.doubt, |ahead| {
                    !ahead.is_barred() && ahead.is_outside(&never, &held)
                });
            }
        }
    }

    /// Rule 15: the returns of other sources, but not of one whose plus is on this one's return.
    fn held_by_others(&self, sources: &Sources, stances: &[Stance], own: usize) -> Set {
        let graph = &self.network.graph;
        let mut held = vec![false; graph.point_count()];
        for (index, (source, stance)) in sources.dc.iter().zip(stances).enumerate() {
            let crossed = stances[own].returns[graph.index(graph.stud(source.plus))];
            if index != own && !crossed {
                join(&mut held, &stance.returns);
            }
        }
        held
    }

    /// The mains side: rule 11.
    fn mains(&mut self, sources: &[MainsSource]) {
        let network = self.network;
        let graph = &network.graph;
        let mut earth = vec![false; graph.point_count()];
        earth[graph.index(graph.body())] = true;
        for (id, terminal) in self.vehicle.terminals.iter() {
            let is_earth =
                terminal.pole == Pole::Earth || self.vehicle.devices[terminal.device].is_chassis;
            if is_earth {
                earth[graph.index(graph.stud(id))] = true;
            }
        }
        for source in sources {
            self.walk(&[source.terminal], source.doubt, |ahead| {
                ahead.way.passage != Passage::Open && !earth[ahead.next]
            });
            let terminals = self.vehicle.devices[source.device].terminals.iter().copied();
            let earths = terminals.filter(|t| self.vehicle.terminals[*t].pole == Pole::Earth);
            let metal = graph.metal(earths.map(|t| graph.stud(t)));
            for point in metal.reached() {
                self.returns[graph.index(*point)] = true;
            }
        }
    }

    fn walk(
        &mut self,
        terminals: &[TerminalId],
        doubt: Option<Doubt>,
        may: impl Fn(&Ahead<'_>) -> bool,
    ) {
        let starts: Vec<Point> = terminals.iter().map(|t| self.network.graph.stud(*t)).collect();
        let found = walk(self.network, self.ways, &starts, doubt, may);
        self.walks.push(Arc::new(found));
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

fn join(set: &mut Set, with: &Set) {
    for (known, new) in set.iter_mut().zip(with) {
        *known |= *new;
    }
}
