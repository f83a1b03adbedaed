//! The rules a second time, by brute force: every simple way from every source is walked, over
//! conductors worked out from the kinds in the record, not from the network. Answers are compared
//! wire by wire and terminal by terminal: status, and which sources reach it how certainly.

use std::collections::{BTreeMap, BTreeSet};

use live::Status;
use model::{Engine, Id, Shore, State, Vehicle, WireEnd};
use network::{Passage, Point};

use crate::Seen;
use crate::random::{Dice, vehicle};

/// How two nodes are joined. Nodes: the body, then terminals, then wires.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Join {
    Metal,
    Load,
    /// First node is the plus.
    Source,
    /// First node to second.
    Diode,
    Maybe,
    /// As `Maybe`, but the sides share no return.
    Apart,
}

type Nodes = BTreeSet<usize>;

/// Least number of doubts to each node reached.
type Doubts = BTreeMap<usize, u32>;

/// Ways walked before a vehicle is given up as too tangled.
const PATIENCE: usize = 40_000;

struct Oracle<'v> {
    vehicle: &'v Vehicle,
    state: &'v State,
    joins: Vec<(usize, usize, Join)>,
    steps: usize,
}

/// A source: device, plus or mains pole, minus on the direct-current side, doubtful.
type Source = (usize, usize, Option<usize>, bool);

struct Answer {
    /// Device, doubts to each node.
    reached: Vec<(usize, Doubts)>,
    returns: Nodes,
}

impl Answer {
    fn status(&self, node: usize) -> Status {
        let least = self.reached.iter().filter_map(|(_, doubts)| doubts.get(&node)).min();
        match least {
            Some(0) => Status::Live,
            Some(_) => Status::MayBeLive,
            None if self.returns.contains(&node) => Status::Return,
            None => Status::NotReached,
        }
    }

    fn sources(&self, node: usize) -> BTreeMap<usize, bool> {
        let mut sources = BTreeMap::new();
        for (device, doubts) in &self.reached {
            if let Some(count) = doubts.get(&node) {
                let doubtful = sources.entry(*device).or_insert(true);
                *doubtful &= *count > 0;
            }
        }
        sources
    }
}

impl<'v> Oracle<'v> {
    fn new(vehicle: &'v Vehicle, state: &'v State) -> Oracle<'v> {
        let mut oracle = Oracle { vehicle, state, joins: Vec::new(), steps: 0 };
        for (wire, row) in vehicle.wires.iter() {
            for end in WireEnd::BOTH {
                if let Some(terminal) = row.terminal(end) {
                    let node = oracle.wire(wire.index());
                    oracle.joins.push((node, 1 + terminal.index(), Join::Metal));
                }
            }
        }
        for device in 0..vehicle.devices.len() {
            oracle.device(device);
        }
        oracle.unseen();
        oracle
    }

    /// Ends nobody has seen may all be joined, mains and direct current apart. (The random
    /// vehicles have no parts for wires to vanish behind.)
    fn unseen(&mut self) {
        for mains in [false, true] {
            let open = self.vehicle.wires.iter().filter(|(wire, row)| {
                self.vehicle.is_ac(*wire) == mains
                    && WireEnd::BOTH.into_iter().any(|end| row.terminal(end).is_none())
            });
            let open: Vec<usize> = open.map(|(wire, _)| self.wire(wire.index())).collect();
            for (index, a) in open.iter().enumerate() {
                let others = open[index + 1..].iter();
                self.joins.extend(others.map(|b| (*a, *b, Join::Maybe)));
            }
        }
    }

    fn wire(&self, wire: usize) -> usize {
        1 + self.vehicle.terminals.len() + wire
    }

    fn kind(&self, device: usize) -> &'v str {
        &self.vehicle.devices[Id::from_index(device)].kind
    }

    fn terminals(&self, device: usize) -> Vec<(&'v str, usize)> {
        let terminals = &self.vehicle.devices[Id::from_index(device)].terminals;
        terminals
            .iter()
            .map(|t| (self.vehicle.terminals[*t].name.as_str(), 1 + t.index()))
            .collect()
    }

    fn named(&self, device: usize, name: &str) -> usize {
        self.terminals(device).iter().find(|(n, _)| *n == name).expect("the kind has it").1
    }

    fn is_open(&self, device: usize) -> bool {
        self.state.open.iter().any(|id| id.index() == device)
    }

    fn is_on(&self, device: usize) -> bool {
        self.state.on.iter().any(|id| id.index() == device)
    }

    fn has_wire(&self, node: usize) -> bool {
        let first = 1 + self.vehicle.terminals.len();
        self.joins.iter().any(|(a, b, _)| *a >= first && *b == node)
    }

    fn join(&mut self, device: usize, a: &str, b: &str, join: Join) {
        let ends = (self.named(device, a), self.named(device, b));
        self.joins.push((ends.0, ends.1, join));
    }

    fn pairs(&mut self, device: usize, pairs: &[(&str, &str)], join: Join) {
        for (a, b) in pairs {
            self.join(device, a, b, join);
        }
    }

    /// What each kind joins inside.
    fn device(&mut self, d: usize) {
        let running = self.state.engine == Engine::Running;
        match self.kind(d) {
            "lfp battery" | "agm battery" => self.join(d, "+", "-", Join::Source),
            "starter battery" => {
                self.join(d, "+", "-", Join::Source);
                self.case(d);
            }
            "alternator" => {
                self.join(d, "+", "-", if running { Join::Source } else { Join::Maybe });
                self.case(d);
            }
            "isolator" | "strip fuse" if !self.is_open(d) => self.join(d, "in", "out", Join::Metal),
            "shunt" if !self.is_open(d) => self.join(d, "battery", "system", Join::Metal),
            "chassis point" => {
                let stud = self.named(d, "");
                self.joins.push((stud, 0, Join::Metal));
            }
            "diode" => self.join(d, "in", "out", Join::Diode),
            "compressor fridge" | "filament lamp" | "motor" => self.join(d, "+", "-", Join::Load),
            "combiner relay" => {
                self.pairs(d, &[("a", "b"), ("a", "-"), ("b", "-")], Join::Maybe);
            }
            "dc-dc charger" => {
                let pairs = [
                    ("in+", "out+"),
                    ("in+", "-"),
                    ("out+", "-"),
                    ("run", "-"),
                    ("run", "in+"),
                    ("run", "out+"),
                ];
                self.pairs(d, &pairs, Join::Maybe);
            }
            "isolated dc-dc charger" => {
                let pairs = [("in+", "in-"), ("out+", "out-"), ("run", "in+"), ("run", "in-")];
                self.pairs(d, &pairs, Join::Maybe);
                self.join(d, "in+", "out+", Join::Apart);
            }
            _ => self.charger_or_mains(d),
        }
    }

    /// The rest of the kinds.
    fn charger_or_mains(&mut self, d: usize) {
        let plugged = self.state.shore == Shore::Plugged;
        let lit = self.state.sun.si() > 0.0;
        match self.kind(d) {
            "solar module" => {
                self.join(d, "+", "-", if lit { Join::Source } else { Join::Load });
            }
            "solar controller" => {
                self.join(d, "pv-", "-", Join::Metal);
                let pairs = [("pv+", "+"), ("pv+", "pv-"), ("+", "-"), ("pv+", "-"), ("pv-", "+")];
                self.pairs(d, &pairs, Join::Maybe);
            }
            "mains charger" => {
                self.join(d, "+", "-", if plugged { Join::Source } else { Join::Maybe });
                self.join(d, "ac.L", "ac.N", Join::Load);
            }
            "other" => self.join(d, "+", "-", Join::Maybe),
            "monitor" => self.join(d, "+", "shunt", Join::Maybe),
            "inverter" => {
                self.join(d, "+", "-", Join::Load);
                self.join(d, "out.L", "out.N", Join::Maybe);
            }
            "inverter charger" => {
                self.join(d, "+", "-", Join::Load);
                let pairs =
                    [("out.L", "out.N"), ("in.L", "in.N"), ("in.L", "out.L"), ("in.N", "out.N")];
                self.pairs(d, &pairs, Join::Maybe);
            }
            "consumer unit" => {
                self.join(d, "in.PE", "out.PE", Join::Metal);
                if !self.is_open(d) {
                    self.pairs(d, &[("in.L", "out.L"), ("in.N", "out.N")], Join::Metal);
                }
            }
            "mains socket" => self.join(d, "L", "N", Join::Load),
            _ => {}
        }
    }

    /// A base-vehicle source with nothing on its minus stands on the body.
    fn case(&mut self, device: usize) {
        let minus = self.named(device, "-");
        if !self.has_wire(minus) {
            self.joins.push((minus, 0, Join::Metal));
        }
    }

    /// Closure over metal, and from plus to minus of sources if `down`.
    fn closure(&self, start: usize, down: Option<()>) -> Nodes {
        let mut nodes = Nodes::from([start]);
        loop {
            let before = nodes.len();
            for (a, b, join) in &self.joins {
                if *join == Join::Metal && (nodes.contains(a) || nodes.contains(b)) {
                    nodes.extend([*a, *b]);
                }
                if *join == Join::Source && down.is_some() && nodes.contains(a) {
                    nodes.insert(*b);
                }
            }
            if nodes.len() == before {
                return nodes;
            }
        }
    }

    /// Every simple way from `start`; the least doubts at each node.
    fn enumerate(
        &mut self,
        start: (usize, u32),
        both: Option<()>,
        allowed: &dyn Fn(usize, u32, Join) -> bool,
    ) -> Doubts {
        let mut least = Doubts::new();
        let mut on_way = vec![start.0];
        self.go_on(start.1, both, allowed, &mut on_way, &mut least);
        least
    }

    fn go_on(
        &mut self,
        doubts: u32,
        both: Option<()>,
        allowed: &dyn Fn(usize, u32, Join) -> bool,
        on_way: &mut Vec<usize>,
        least: &mut Doubts,
    ) {
        self.steps += 1;
        if self.steps > PATIENCE {
            return;
        }
        let here = on_way[on_way.len() - 1];
        let known = least.entry(here).or_insert(doubts);
        *known = doubts.min(*known);
        for index in 0..self.joins.len() {
            let (a, b, join) = self.joins[index];
            let next = match here {
                at if at == a => b,
                at if at == b && (join != Join::Diode || both.is_some()) => a,
                _ => continue,
            };
            let more = u32::from(matches!(join, Join::Maybe | Join::Apart));
            if !on_way.contains(&next) && allowed(next, doubts + more, join) {
                on_way.push(next);
                self.go_on(doubts + more, both, allowed, on_way, least);
                on_way.pop();
            }
        }
    }

    fn sources(&self, before: &Answer) -> Vec<Source> {
        let plugged = self.state.shore == Shore::Plugged;
        let live = |node| before.status(node);
        let mut sources = Vec::new();
        for d in 0..self.vehicle.devices.len() {
            let at = |name: &str| self.named(d, name);
            let doubtful = |node| live(node) != Status::Live;
            match self.kind(d) {
                "lfp battery" | "agm battery" | "starter battery" => {
                    sources.push((d, at("+"), Some(at("-")), false));
                }
                "alternator" if self.state.engine == Engine::Running => {
                    sources.push((d, at("+"), Some(at("-")), false));
                }
                "solar module" if self.state.sun.si() > 0.0 => {
                    sources.push((d, at("+"), Some(at("-")), false));
                }
                "dc-dc charger" if self.state.engine == Engine::Running => {
                    sources.push((d, at("out+"), Some(at("-")), doubtful(at("in+"))));
                }
                "isolated dc-dc charger" if self.state.engine == Engine::Running => {
                    sources.push((d, at("out+"), Some(at("out-")), doubtful(at("in+"))));
                }
                "mains charger" if plugged => {
                    let feeds = ["ac.L", "ac.N"].map(at);
                    let certain = feeds.iter().any(|f| live(*f) == Status::Live);
                    let possible = feeds
                        .iter()
                        .any(|f| live(*f) == Status::MayBeLive || self.is_unfollowed(*f));
                    if certain || possible {
                        sources.push((d, at("+"), Some(at("-")), !certain));
                    }
                }
                "shore inlet" if plugged => {
                    sources.push((d, at("L"), None, false));
                    sources.push((d, at("N"), None, false));
                }
                _ => {}
            }
            if self.kind(d).starts_with("inverter") && self.is_on(d) {
                sources.push((d, at("out.L"), None, doubtful(at("+"))));
                sources.push((d, at("out.N"), None, doubtful(at("+"))));
            }
            if self.kind(d) == "inverter charger" && plugged {
                sources.push((d, at("+"), Some(at("-")), true));
            }
        }
        sources
    }

    fn stores(&self, settled: &Answer) -> Vec<Source> {
        let inverters =
            (0..self.vehicle.devices.len()).filter(|d| self.kind(*d).starts_with("inverter"));
        inverters
            .map(|d| (d, self.named(d, "+"), Some(self.named(d, "-")), true))
            .filter(|(_, plus, ..)| settled.status(*plus) != Status::Live)
            .collect()
    }

    fn is_unfollowed(&self, node: usize) -> bool {
        let metal = self.closure(node, None);
        let loose = self.vehicle.wires.iter().any(|(id, wire)| {
            metal.contains(&self.wire(id.index()))
                && WireEnd::BOTH.into_iter().any(|end| wire.terminal(end).is_none())
        });
        loose || !self.has_wire(node)
    }

    /// The body's return, if a battery's minus is on it.
    fn body(&self) -> Option<Nodes> {
        let metal = self.closure(0, None);
        let batteries =
            (0..self.vehicle.devices.len()).filter(|d| self.kind(*d).ends_with("battery"));
        let mut minuses = batteries.map(|d| self.named(d, "-"));
        minuses.any(|minus| metal.contains(&minus)).then_some(metal)
    }

    /// The return of a direct-current source, then doubts with which its plus and its minus
    /// energise, each none if not; rules 7 to 10 read from their text.
    fn stance(&mut self, plus: usize, minus: usize) -> (Nodes, Option<u32>, Option<u32>) {
        let metal = self.closure(minus, None);
        if metal.contains(&plus) {
            return (Nodes::new(), Some(0), None);
        }
        let down = self.closure(minus, Some(()));
        let own = if down.contains(&plus) { metal } else { down };
        let Some(body) = self.body() else { return (own, Some(0), None) };
        if !own.is_disjoint(&body) {
            return (own, Some(0), None);
        }
        if body.contains(&plus) {
            return (Nodes::new(), None, Some(0));
        }
        let found = self.enumerate((plus, 0), None, &|next, _, join| {
            !own.contains(&next) && join != Join::Apart
        });
        match body.iter().filter_map(|node| found.get(node)).min() {
            None => (own, Some(0), None),
            Some(0) => (Nodes::new(), Some(0), Some(0)),
            Some(_) => (own, Some(0), Some(1)),
        }
    }

    fn answer(&mut self, sources: &[Source]) -> Answer {
        let mut answer = Answer { reached: Vec::new(), returns: Nodes::new() };
        let body = self.body();
        answer.returns.extend(body.iter().flatten());
        let stances: Vec<_> = sources
            .iter()
            .map(|(_, plus, minus, _)| minus.map(|minus| self.stance(*plus, minus)))
            .collect();
        for (index, (device, plus, minus, doubtful)) in sources.iter().enumerate() {
            let start = u32::from(*doubtful);
            let Some((own, from_plus, from_minus)) = &stances[index] else {
                self.mains(*device, (*plus, start), &mut answer);
                continue;
            };
            answer.returns.extend(own);
            let is_short = from_minus.is_none() && own.is_empty();
            let spared = body.clone().filter(|_| !is_short).unwrap_or_default();
            let others: Nodes = sources
                .iter()
                .zip(&stances)
                .enumerate()
                .filter(|(other, (source, _))| *other != index && !own.contains(&source.1))
                .filter_map(|(_, (_, stance))| stance.as_ref())
                .flat_map(|(nodes, ..)| nodes.iter().copied())
                .collect();
            let outside = |next: usize, doubts: u32| {
                !spared.contains(&next) && (doubts == 0 || !others.contains(&next))
            };
            if from_plus.is_some() {
                let doubts = self.enumerate((*plus, start), None, &|next, doubts, _| {
                    outside(next, doubts) && !own.contains(&next)
                });
                answer.reached.push((*device, doubts));
            }
            if let (Some(more), Some(minus)) = (from_minus, minus) {
                let start = (*minus, start.max(*more));
                let doubts =
                    self.enumerate(start, Some(()), &|next, doubts, _| outside(next, doubts));
                answer.reached.push((*device, doubts));
            }
        }
        answer
    }

    fn mains(&mut self, device: usize, start: (usize, u32), answer: &mut Answer) {
        let mut earth = Nodes::from([0]);
        for d in 0..self.vehicle.devices.len() {
            let all = matches!(self.kind(d), "earth stud" | "chassis point");
            let studs = self.terminals(d);
            earth.extend(studs.iter().filter(|(n, _)| all || n.ends_with("PE")).map(|(_, t)| *t));
        }
        let doubts = self.enumerate(start, Some(()), &|next, _, _| !earth.contains(&next));
        answer.reached.push((device, doubts));
        for (name, node) in self.terminals(device) {
            if name.ends_with("PE") {
                answer.returns.extend(self.closure(node, None));
            }
        }
    }

    /// Sources that need feeding are settled by starting from none fed and looking again.
    fn settle(&mut self) -> Option<Answer> {
        let mut answer = Answer { reached: Vec::new(), returns: Nodes::new() };
        let mut sources = Vec::new();
        for _ in 0..20 {
            let next = self.sources(&answer);
            if next == sources {
                // Last the charge in inverters, where nothing else certainly is (rule 22).
                let stores = self.stores(&answer);
                if !stores.is_empty() {
                    answer = self.answer(&[sources, stores].concat());
                }
                return (self.steps <= PATIENCE).then_some(answer);
            }
            sources = next;
            answer = self.answer(&sources);
            if self.steps > PATIENCE {
                return None;
            }
        }
        panic!("the sources do not settle");
    }
}

#[test]
fn every_way_walked_by_hand_gives_the_same_map() {
    let (mut compared, mut counts) = (0, BTreeMap::new());
    for seed in 0..600 {
        let (devices, wires, state) = vehicle(&mut Dice::new(seed));
        let seen = crate::see(&devices, &wires, &state);
        let (_, its_state) = seen.vehicle.states.find(|state| state.name == "s").unwrap();
        let mut oracle = Oracle::new(&seen.vehicle, its_state);
        let told = format!("seed {seed}\n{devices}{wires}{state}");
        check_ways(&seen, its_state, &told);
        let Some(answer) = oracle.settle() else { continue };
        compared += 1;
        for (id, wire) in seen.vehicle.wires.iter() {
            let node = oracle.wire(id.index());
            let found = seen.map.wire(id);
            compare(found, &answer, node, &format!("{told}\n{}", wire.name));
            *counts.entry(found.status).or_insert(0) += 1;
        }
        for id in seen.vehicle.terminals.ids() {
            let name = seen.vehicle.terminal_name(id);
            compare(seen.map.terminal(id), &answer, 1 + id.index(), &format!("{told}\n{name}"));
        }
        compare(&seen.map.body, &answer, 0, &format!("{told}\nbody"));
    }
    assert!(compared >= 300, "only {compared} vehicles were compared");
    // Each status must have had its share, or the comparison says little.
    for status in [Status::Live, Status::MayBeLive, Status::Return, Status::NotReached] {
        assert!(counts.get(&status).copied().unwrap_or(0) >= 100, "{counts:?}");
    }
}

fn compare(found: &live::Use, answer: &Answer, node: usize, told: &str) {
    let sources: BTreeMap<usize, bool> =
        found.from.iter().map(|way| (way.source.index(), way.doubt.is_some())).collect();
    assert_eq!(found.status, answer.status(node), "{told}\nfound {sources:?}");
    assert_eq!(sources, answer.sources(node), "{told}");
}

/// Every way told starts at its source, hangs together, ends at what it energises, passes nothing
/// open, and is certain only without a place of doubt.
fn check_ways(seen: &Seen, state: &State, told: &str) {
    let network = network::build(&seen.vehicle, state, &catalog::Catalog::embedded());
    let graph = &network.graph;
    for (id, wire) in seen.vehicle.wires.iter() {
        let ends = WireEnd::BOTH.map(|end| graph.wire_end(id, end));
        for way in &seen.map.wire(id).from {
            let told = format!("{told}\n{}: {}", wire.name, way.line(&seen.vehicle));
            let mut at: Point = graph.stud(way.terminal);
            for step in &way.path() {
                let linked = graph.links_at(at).any(|(_, link)| {
                    link.item == step.item
                        && link.passage == step.passage
                        && (link.a == step.to || link.b == step.to)
                });
                let inside = matches!(step.passage, Passage::Maybe | Passage::Load);
                assert!(linked || inside, "{told}");
                assert!(step.passage != Passage::Open, "{told}");
                at = step.to;
            }
            assert!(ends.contains(&at), "{told}");
            let doubtful = way.path().iter().any(|step| step.passage == Passage::Maybe);
            assert!(!doubtful || way.doubt.is_some(), "{told}");
        }
    }
}
