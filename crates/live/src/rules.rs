//! Where the energy of each pole may go: rules 7 to 15 of the head of this crate, one row a pole.
//! Walks nothing.

use model::{DeviceId, Pole, TerminalId, Vehicle};
use network::{Network, Passage};

use crate::reach::Ahead;
use crate::sources::{self, DcSource, MainsSource, Sources};
use crate::stance::{Set, Stance, body_return};
use crate::ways::Ways;
use crate::{Doubt, MAX_SOURCES};

/// How the energy of one pole spreads.
pub(crate) struct Rule {
    /// The source; none for those beyond [`MAX_SOURCES`], which are walked together.
    pub(crate) source: Option<DeviceId>,
    pub(crate) starts: Vec<TerminalId>,
    pub(crate) doubt: Option<Doubt>,
    /// Diodes pass both ways.
    pub(crate) both_ways: bool,
    /// Never entered.
    pub(crate) never: Set,
    /// Not entered by doubt.
    pub(crate) held: Set,
}

impl Rule {
    /// Whether a step may be taken.
    pub(crate) fn allows(&self, ahead: &Ahead<'_>) -> bool {
        let barred =
            if self.both_ways { ahead.way.passage == Passage::Open } else { ahead.is_barred() };
        !barred && ahead.is_outside(&self.never, &self.held)
    }
}

/// All of them, and what is return of any source.
pub(crate) struct Rules {
    pub(crate) all: Vec<Rule>,
    pub(crate) returns: Set,
}

impl Rules {
    pub(crate) fn of(
        vehicle: &Vehicle,
        network: &Network,
        ways: &Ways,
        mut sources: Sources,
    ) -> Rules {
        let none = vec![false; network.graph.point_count()];
        let mut rules = Rules { all: Vec::new(), returns: none.clone() };
        let beyond = sources.split_off(MAX_SOURCES);
        if !beyond.is_empty() {
            rules.all.push(Rule {
                source: None,
                starts: beyond,
                doubt: None,
                both_ways: true,
                never: none.clone(),
                held: none,
            });
        }
        rules.direct(vehicle, network, ways, &sources.dc);
        rules.mains(vehicle, network, &sources.mains);
        rules
    }

    /// The direct-current side.
    fn direct(&mut self, vehicle: &Vehicle, network: &Network, ways: &Ways, sources: &[DcSource]) {
        let graph = &network.graph;
        let body = body_return(network, &sources::battery_minuses(vehicle));
        let stands = sources.iter().map(|source| {
            let (plus, minus) = (graph.stud(source.plus), graph.stud(source.minus));
            Stance::of(network, ways, plus, minus, body.as_ref())
        });
        let stances: Vec<Stance> = stands.collect();
        if let Some(body) = &body {
            join(&mut self.returns, body);
        }
        for (index, (source, stance)) in sources.iter().zip(&stances).enumerate() {
            join(&mut self.returns, &stance.returns);
            let mut never = vec![false; graph.point_count()];
            if let Some(body) = body.as_ref().filter(|_| stance.spares_body) {
                join(&mut never, body);
            }
            let held = held_by_others(network, sources, &stances, index);
            let rule = |start, doubt, both_ways, never: &Set| Rule {
                source: Some(source.device),
                starts: vec![start],
                doubt,
                both_ways,
                never: never.clone(),
                held: held.clone(),
            };
            if let Some(doubt) = stance.from_minus {
                self.all.push(rule(source.minus, source.doubt.or(doubt), true, &never));
            }
            if stance.from_plus {
                join(&mut never, &stance.returns);
                self.all.push(rule(source.plus, source.doubt, false, &never));
            }
        }
    }

    /// The mains side: rule 11.
    fn mains(&mut self, vehicle: &Vehicle, network: &Network, sources: &[MainsSource]) {
        let graph = &network.graph;
        let mut earth = vec![false; graph.point_count()];
        earth[graph.index(graph.body())] = true;
        for (id, terminal) in vehicle.terminals.iter() {
            let is_chassis = vehicle.devices[terminal.device].is_chassis;
            if terminal.pole == Pole::Earth || is_chassis {
                earth[graph.index(graph.stud(id))] = true;
            }
        }
        for source in sources {
            self.all.push(Rule {
                source: Some(source.device),
                starts: vec![source.terminal],
                doubt: source.doubt,
                both_ways: true,
                never: earth.clone(),
                held: vec![false; graph.point_count()],
            });
            let terminals = vehicle.devices[source.device].terminals.iter().copied();
            let earths = terminals.filter(|t| vehicle.terminals[*t].pole == Pole::Earth);
            let metal = graph.metal(earths.map(|t| graph.stud(t)));
            for point in metal.reached() {
                self.returns[graph.index(*point)] = true;
            }
        }
    }
}

/// Rule 15: the returns of other sources, but not of one whose plus is on this one's return.
fn held_by_others(network: &Network, sources: &[DcSource], stances: &[Stance], own: usize) -> Set {
    let graph = &network.graph;
    let mut held = vec![false; graph.point_count()];
    for (index, (source, stance)) in sources.iter().zip(stances).enumerate() {
        let crossed = stances[own].returns[graph.index(graph.stud(source.plus))];
        if index != own && !crossed {
            join(&mut held, &stance.returns);
        }
    }
    held
}

fn join(set: &mut Set, with: &Set) {
    for (known, new) in set.iter_mut().zip(with) {
        *known |= *new;
    }
}
