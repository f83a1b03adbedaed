//! Puts the map together: sources, how they stand, what each reaches, and the status that follows.

use model::{DeviceId, Pole, State, TerminalId, Vehicle, WireEnd};
use network::{Item, Network, Passage, Point};

use crate::reach::{Ahead, Found, walk};
use crate::sources::{self, Feed, MainsSource, Sources};
use crate::stance::{Set, Stance, body_return};
use crate::ways::Ways;
use crate::{Doubt, LiveMap, Reached, Status, Use};

/// The live map of a state.
///
/// `network` must have been built for this vehicle in this state. The rules are in the head of this
/// crate. The same arguments give the same map.
pub fn map(vehicle: &Vehicle, state: &State, network: &Network) -> LiveMap {
    let ways = Ways::new(vehicle, network);
    let mut feeds = vec![Feed::None; vehicle.devices.len()];
    // Feeds only ever rise, two steps at most for each device, so this ends.
    loop {
        let sources = sources::list(vehicle, state, &feeds);
        let energy = Energy::new(vehicle, network, &ways, &sources);
        let status = |terminal: TerminalId| energy.status(network.graph.stud(terminal));
        let told = sources::feeds(vehicle, state, network, status);
        let risen: Vec<Feed> = feeds.iter().zip(told).map(|(old, new)| new.max(*old)).collect();
        if risen == feeds {
            return energy.map();
        }
        feeds = risen;
    }
}

/// A walk from one pole of a source.
struct Run {
    source: DeviceId,
    terminal: TerminalId,
    found: Found,
}

/// What all sources reach.
struct Energy<'a> {
    vehicle: &'a Vehicle,
    network: &'a Network,
    ways: &'a Ways,
    runs: Vec<Run>,
    returns: Set,
}

impl<'a> Energy<'a> {
    fn new(
        vehicle: &'a Vehicle,
        network: &'a Network,
        ways: &'a Ways,
        sources: &Sources,
    ) -> Energy<'a> {
        let returns = vec![false; network.graph.point_count()];
        let mut energy = Energy { vehicle, network, ways, runs: Vec::new(), returns };
        energy.direct(sources);
        energy.mains(&sources.mains);
        energy
    }

    /// The direct-current side.
    fn direct(&mut self, sources: &Sources) {
        let graph = &self.network.graph;
        let minuses = sources::battery_minuses(self.vehicle);
        let body = body_return(self.network, &minuses);
        let stances: Vec<Stance> = sources
            .dc
            .iter()
            .map(|s| {
                let (plus, minus) = (graph.stud(s.plus), graph.stud(s.minus));
                Stance::of(self.network, self.ways, plus, minus, body.as_ref())
            })
            .collect();
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
                self.run(source.device, source.minus, doubt, |ahead| {
                    ahead.way.passage != Passage::Open && ahead.is_outside(&never, &held)
                });
            }
            if stance.from_plus {
                join(&mut never, &stance.returns);
                self.run(source.device, source.plus, source.doubt, |ahead| {
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
            self.run(source.device, source.terminal, source.doubt, |ahead| {
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

    fn run(
        &mut self,
        source: DeviceId,
        terminal: TerminalId,
        doubt: Option<Doubt>,
        may: impl Fn(&Ahead<'_>) -> bool,
    ) {
        let start = self.network.graph.stud(terminal);
        let found = walk(self.network, self.ways, start, doubt, may);
        self.runs.push(Run { source, terminal, found });
    }

    /// Rule 16.
    fn status(&self, point: Point) -> Status {
        let place = self.network.graph.index(point);
        let fewest = self.runs.iter().filter_map(|run| run.found.cost(place)).min();
        match fewest {
            Some((0, _)) => Status::Live,
            Some(_) => Status::MayBeLive,
            None if self.returns[place] => Status::Return,
            None => Status::NotReached,
        }
    }

    fn map(&self) -> LiveMap {
        let graph = &self.network.graph;
        let wires = self.vehicle.wires.ids();
        LiveMap {
            wires: wires
                .map(|id| self.use_of(&WireEnd::BOTH.map(|end| graph.wire_end(id, end))))
                .collect(),
            terminals: self
                .vehicle
                .terminals
                .ids()
                .map(|t| self.use_of(&[graph.stud(t)]))
                .collect(),
            body: self.use_of(&[graph.body()]),
        }
    }

    /// What a thing of one or two points is: the nearer one counts.
    fn use_of(&self, points: &[Point]) -> Use {
        let status = points.iter().map(|point| self.status(*point)).min();
        let mut from: Vec<(u32, DeviceId, (u32, u32), Reached)> = Vec::new();
        for run in &self.runs {
            let nearest = points
                .iter()
                .filter_map(|p| Some((run.found.cost(self.network.graph.index(*p))?, *p)))
                .min();
            let Some((cost, point)) = nearest else { continue };
            let known = from.iter().position(|(_, source, ..)| *source == run.source);
            if known.is_some_and(|index| from[index].2 <= cost) {
                continue;
            }
            let row = (cost.0.min(1), run.source, cost, self.reached(run, point));
            match known {
                Some(index) => from[index] = row,
                None => from.push(row),
            }
        }
        from.sort_by_key(|(doubtful, source, ..)| (*doubtful, *source));
        Use {
            status: status.unwrap_or(Status::NotReached),
            from: from.into_iter().map(|(.., reached)| reached).collect(),
        }
    }

    fn reached(&self, run: &Run, point: Point) -> Reached {
        Reached {
            source: run.source,
            terminal: run.terminal,
            path: run.found.path(self.network, self.ways, point),
            doubt: run.found.doubt(self.network, self.ways, point),
        }
    }
}

fn join(set: &mut Set, with: &Set) {
    for (known, new) in set.iter_mut().zip(with) {
        *known |= *new;
    }
}

impl Reached {
    /// The loads the way leads through, in order.
    pub fn loads(&self) -> impl Iterator<Item = DeviceId> + '_ {
        self.path.iter().filter_map(|step| match (step.item, step.passage) {
            (Item::Device(id), Passage::Load) => Some(id),
            _ => None,
        })
    }
}
