//! Guards flipped between solves until none wants to move, or until they are seen to hunt.
//! Knows thresholds, voltages and currents; what a guard is in a vehicle it does not know.

use circuit::{BranchId, Circuit, GuardId, NodeId, Sense};

use crate::{OperatingPoint, Options, Trouble, operating_point};

/// Most flips tried before giving up; every flip leads to positions not seen before.
pub const FLIP_LIMIT: usize = 200;

/// How a circuit with guards comes to rest, or does not. `P`: what is known of a point.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome<P = OperatingPoint> {
    /// No guard wants to move any more.
    Settled(P),
    /// The guards go round in a circle: relays chatter, equipment starts and stops.
    Hunts {
        /// The operating points of the circle, in the order they follow each other.
        between: Vec<P>,
        /// The guards that flip on the way round, ascending.
        guards: Vec<GuardId>,
    },
    /// No answer, and why.
    Trouble(Trouble),
}

/// Solves, flips the guard that is furthest past its threshold, and repeats.
///
/// Of several guards past their thresholds only one moves at a time, the one with the greatest
/// overrun as a part of its threshold (the lowest number if equal), as the quickest of several
/// relays would. A guard that senses a floating pair reads nothing and stays where it is. Positions
/// seen before mean hunting.
pub fn settle(circuit: &Circuit) -> Outcome {
    settle_by(circuit, |positions| {
        operating_point(circuit, &Options { guards: Some(positions.to_vec()) })
    })
}

/// A point of a circuit, as far as guards look at it.
pub(crate) trait Sensed {
    /// Voltage of `a` against `b`, V; `None` if nothing joins them.
    fn sensed_v(&self, a: NodeId, b: NodeId) -> Option<f64>;
    /// Current of a branch from its first terminal to its second, A.
    fn sensed_a(&self, branch: BranchId) -> f64;
    /// What a guard reads: V or A; `None` if it senses a floating pair.
    fn sensed_by(&self, sense: Sense) -> Option<f64> {
        match sense {
            Sense::Between(a, b) => self.sensed_v(a, b),
            Sense::Into(branch) => Some(self.sensed_a(branch)),
            Sense::OutOf(branch) => Some(-self.sensed_a(branch)),
        }
    }
    /// Positions of the guards the point belongs to.
    fn positions(&self) -> &[bool];
}

impl Sensed for OperatingPoint {
    fn sensed_v(&self, a: NodeId, b: NodeId) -> Option<f64> {
        self.between(a, b)
    }

    fn sensed_a(&self, branch: BranchId) -> f64 {
        self.current(branch)
    }

    fn positions(&self) -> &[bool] {
        &self.guards
    }
}

/// The rule of [`settle`], whatever way the points are found.
pub(crate) fn settle_by<P: Sensed>(
    circuit: &Circuit,
    solve: impl FnMut(&[bool]) -> Result<P, Trouble>,
) -> Outcome<P> {
    settle_from(circuit, circuit.guards().iter().map(|g| g.starts_on).collect(), solve)
}

/// The same from other positions.
pub(crate) fn settle_from<P: Sensed>(
    circuit: &Circuit,
    mut positions: Vec<bool>,
    mut solve: impl FnMut(&[bool]) -> Result<P, Trouble>,
) -> Outcome<P> {
    let mut visited: Vec<P> = Vec::new();
    while visited.len() <= FLIP_LIMIT {
        let point = match solve(&positions) {
            Ok(point) => point,
            Err(trouble) => return Outcome::Trouble(trouble),
        };
        let Some(guard) = most_overrun(circuit, &point) else { return Outcome::Settled(point) };
        visited.push(point);
        positions[guard] = !positions[guard];
        if let Some(first) = visited.iter().position(|p| p.positions() == positions) {
            return hunts(visited.split_off(first));
        }
    }
    Outcome::Trouble(Trouble::TooManyFlips { limit: FLIP_LIMIT })
}

/// The guard that wants most to move, if any does.
fn most_overrun(circuit: &Circuit, point: &impl Sensed) -> Option<usize> {
    let mut most: Option<(usize, f64)> = None;
    for (k, guard) in circuit.guards().iter().enumerate() {
        let Some(sensed) = point.sensed_by(guard.sense) else { continue };
        let overrun = guard.trip.overrun(point.positions()[k], sensed);
        if overrun > 0.0 && most.is_none_or(|(_, so_far)| overrun > so_far) {
            most = Some((k, overrun));
        }
    }
    most.map(|(k, _)| k)
}

fn hunts<P: Sensed>(between: Vec<P>) -> Outcome<P> {
    let count = between.first().map_or(0, |p| p.positions().len());
    let flips = |k: &usize| between.iter().any(|p| p.positions()[*k] != between[0].positions()[*k]);
    let guards = (0..count).filter(flips).map(|k| GuardId(k as u32)).collect();
    Outcome::Hunts { between, guards }
}
