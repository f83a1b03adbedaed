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
    /// Faults that gave no answer, in words.
    pub(crate) troubles: Vec<String>,
}

impl Faults {
    pub(crate) fn new(runs: Vec<Run>) -> Faults {
        let runs = runs.into_iter().map(|run| Solved { run, faults: BTreeMap::new() }).collect();
        Faults { runs, troubles: Vec::new() }
    }

    /// The network of the first run: what conducts at most.
    pub(crate) fn network(&self) -> &Network {
        &self.runs[0].run.network
    }

    /// Solves the faults at points, each to its return.
    pub(crate) fn solve(&mut self, wanted: impl IntoIterator<Item = (Point, NodeId)>) {
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
        let one = |solved: &Solved| {
            let node = solved.run.network.node(point)?;
            let fault = solved.faults.get(&(node, to))?.as_ref()?;
            Some((solved.run.corner, read(&solved.run.network, fault)?))
        };
        self.runs.iter().filter_map(one).collect()
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
