//! Every fault of a vehicle, solved once for each circuit: currents by place and by end.

use std::collections::BTreeMap;

use circuit::{BranchId, NodeId, REFERENCE};
use model::{DeviceId, WireEnd, WireId};
use network::{Group, Network, Point};
use solve::{BOLTED_OHM, FaultPoint};
use units::Interval;

use crate::stand::{Corner, Run};

/// Below this nothing flows, A.
pub(crate) const NOTHING_A: f64 = 1e-3;

/// A run with the faults asked of it so far.
pub(crate) struct Solved {
    run: Run,
    faults: BTreeMap<(NodeId, NodeId), Option<FaultPoint>>,
}

/// All runs; the first holds every source that can feed, at its most.
pub(crate) struct Faults {
    runs: Vec<Solved>,
    /// Studs of sources' minuses that the body's metal reaches. A fault to the body may just as well
    /// touch the minus core or bar beside it, and no minus is nearer than such a stud: a fault to the
    /// body counts as one to each of them too, for the most that flows.
    minuses: Vec<NodeId>,
    /// Faults that gave no answer, in words.
    pub(crate) troubles: Vec<String>,
}

impl Faults {
    pub(crate) fn new(runs: Vec<Run>) -> Faults {
        let runs: Vec<Solved> =
            runs.into_iter().map(|run| Solved { run, faults: BTreeMap::new() }).collect();
        let minuses = runs.first().map_or_else(Vec::new, |solved| minuses(&solved.run.network));
        Faults { runs, minuses, troubles: Vec::new() }
    }

    /// Where a fault to this return may end.
    fn ends(&self, to: NodeId) -> Vec<NodeId> {
        let also = self.minuses.iter().filter(|_| to == REFERENCE);
        [to].into_iter().chain(also.copied()).collect()
    }

    /// The network of the first run: what conducts at most.
    pub(crate) fn network(&self) -> &Network {
        &self.runs[0].run.network
    }

    /// Solves the faults at points, each to its return.
    pub(crate) fn solve(&mut self, wanted: impl IntoIterator<Item = (Point, NodeId)>) {
        let ends = |faults: &Self, (point, to): (Point, NodeId)| {
            faults.ends(to).into_iter().map(move |end| (point, end)).collect::<Vec<_>>()
        };
        let wanted: Vec<(Point, NodeId)> =
            wanted.into_iter().flat_map(|fault| ends(self, fault)).collect();
        for (point, to) in wanted {
            for solved in &mut self.runs {
                let Some(node) = solved.run.network.node(point) else { continue };
                if node == to || solved.faults.contains_key(&(node, to)) {
                    continue;
                }
                let answer = solved.run.study.at(node, to, BOLTED_OHM);
                if let Err(trouble) = &answer {
                    let name = solved.run.network.circuit.node_name(node);
                    self.troubles.push(format!("fault at {name}: {trouble}"));
                }
                solved.faults.insert((node, to), answer.ok());
            }
        }
        self.troubles.dedup();
    }

    /// A value of the fault at a point in each run that has an answer.
    fn each<T>(
        &self,
        point: Point,
        to: NodeId,
        read: impl Fn(&Network, &FaultPoint) -> Option<T>,
    ) -> Vec<(Corner, T)> {
        let ends = self.ends(to);
        let one = |solved: &Solved, to: NodeId| {
            let node = solved.run.network.node(point)?;
            let fault = solved.faults.get(&(node, to))?.as_ref()?;
            Some((solved.run.corner, read(&solved.run.network, fault)?))
        };
        let of_run = |solved| ends.iter().filter_map(move |to| one(solved, *to));
        self.runs.iter().flat_map(of_run).collect()
    }

    /// Least and most of a current over the runs in which anything flows.
    fn range(
        &self,
        point: Point,
        to: NodeId,
        read: impl Fn(&Network, &FaultPoint) -> Option<f64>,
    ) -> Option<Interval> {
        let flowing = self.each(point, to, read).into_iter().filter(|(_, a)| *a > NOTHING_A);
        let mut ends: Option<(f64, f64)> = None;
        for (_, ampere) in flowing {
            let (low, high) = ends.unwrap_or((ampere, ampere));
            ends = Some((low.min(ampere), high.max(ampere)));
        }
        ends.and_then(|(low, high)| Interval::new(low, high))
    }

    /// The whole current of a fault.
    pub(crate) fn level(&self, point: Point, to: NodeId) -> Option<Interval> {
        self.range(point, to, |_, fault| Some(fault.ampere))
    }

    /// What a source brings to a fault at most, A.
    pub(crate) fn by_source(&self, point: Point, to: NodeId, source: DeviceId) -> f64 {
        let delivered = |network: &Network, fault: &FaultPoint| {
            let feeds = |group| matches!(group, Group::Source | Group::Converter);
            let ports = network.ports.iter().filter(|p| p.device == source && feeds(p.group));
            ports.map(|port| fault.delivered(port.branch)).reduce(f64::max)
        };
        self.range(point, to, delivered).map_or(0.0, Interval::high)
    }

    /// Current that enters a wire at one end while the fault is at its other end.
    pub(crate) fn far(&self, wire: WireId, end: WireEnd, at: (Point, NodeId)) -> Option<Interval> {
        self.range(at.0, at.1, |network, fault| inflow(network, fault, wire, end))
    }

    /// Current at an end of a wire, the fault being right there, that does not come through the wire.
    pub(crate) fn near(&self, wire: WireId, end: WireEnd, at: (Point, NodeId)) -> Option<Interval> {
        self.range(at.0, at.1, |network, fault| {
            let through_wire = -inflow(network, fault, wire, end)?;
            Some(fault.ampere - through_wire)
        })
    }

    /// Current through a contact in the fault at a point, without its sign.
    pub(crate) fn through(
        &self,
        contact: impl Fn(&Network) -> Option<BranchId>,
        at: (Point, NodeId),
    ) -> Option<Interval> {
        self.range(at.0, at.1, |network, fault| Some(fault.current(contact(network)?).abs()))
    }

    /// The least share of what enters the wire that also passes a contact, over the runs.
    pub(crate) fn share(
        &self,
        contact: impl Fn(&Network) -> Option<BranchId>,
        wire: (WireId, WireEnd),
        far: (Point, NodeId),
    ) -> Option<f64> {
        let shares = self.each(far.0, far.1, |network, fault| {
            let whole_a = inflow(network, fault, wire.0, wire.1)?;
            let part_a = fault.current(contact(network)?).abs();
            (whole_a > NOTHING_A).then(|| (part_a / whole_a).min(1.0))
        });
        shares.into_iter().map(|(_, share)| share).reduce(f64::min)
    }
}

/// Minus studs of sources that metal joins to the body.
fn minuses(network: &Network) -> Vec<NodeId> {
    let body = network.graph.metal([network.graph.body()]);
    let mut nodes: Vec<NodeId> = network
        .ports
        .iter()
        .filter(|port| port.group == Group::Source)
        .map(|port| network.graph.stud(port.minus))
        .filter(|stud| body.reaches(*stud))
        .filter_map(|stud| network.node(stud))
        .collect();
    nodes.sort_unstable();
    nodes.dedup();
    nodes
}

fn inflow(network: &Network, fault: &FaultPoint, wire: WireId, end: WireEnd) -> Option<f64> {
    let ampere = fault.current(network.wire_branch(wire)?);
    Some(match end {
        WireEnd::From => ampere,
        WireEnd::To => -ampere,
    })
}

/// The node to which the metal around a source returns: the body where its minus is joined to it,
/// else that minus. Through the middle of a series bank it goes on to the last block's minus.
pub(crate) fn return_node(
    vehicle: &model::Vehicle,
    network: &Network,
    source: DeviceId,
) -> Option<NodeId> {
    let mut source = source;
    for _ in 0..vehicle.devices.len() {
        let port = network.ports.iter().find(|port| port.device == source)?;
        let minus = network.graph.stud(port.minus);
        let walk = network.graph.metal([minus]);
        if walk.reaches(network.graph.body()) {
            return Some(REFERENCE);
        }
        let next = network.ports.iter().find(|port| {
            port.group == Group::Source
                && port.device != source
                && walk.reaches(network.graph.stud(port.plus))
        });
        match next {
            Some(port) => source = port.device,
            None => return network.node(minus),
        }
    }
    None
}
