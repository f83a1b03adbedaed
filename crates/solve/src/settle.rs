//! Guards flipped between solves until none wants to move, or until they are seen to hunt.
//! Knows thresholds and voltages; what a guard is in a vehicle it does not know.

use circuit::{Circuit, GuardId};

use crate::{OperatingPoint, Options, Trouble, operating_point};

/// Most flips tried before giving up; every flip leads to positions not seen before.
pub const FLIP_LIMIT: usize = 200;

/// How a circuit with guards comes to rest, or does not.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// No guard wants to move any more.
    Settled(OperatingPoint),
    /// The guards go round in a circle: relays chatter, equipment starts and stops.
    Hunts {
        /// The operating points of the circle, in the order they follow each other.
        between: Vec<OperatingPoint>,
        /// The guards that flip on the way round, ascending.
        guards: Vec<GuardId>,
    },
    /// No answer, and why.
    Trouble(Trouble),
}

/// Solves, flips the guard that is furthest past its threshold, and repeats.
///
/// Of several guards past their thresholds only one moves at a time, the one with the greatest
/// overrun in volts (the lowest number if equal), as the quickest of several relays would. A
/// guard that senses a floating pair reads nothing and stays where it is. Positions seen before
/// mean hunting.
pub fn settle(circuit: &Circuit) -> Outcome {
    let mut positions: Vec<bool> = circuit.guards().iter().map(|g| g.starts_on).collect();
    let mut visited: Vec<OperatingPoint> = Vec::new();
    while visited.len() <= FLIP_LIMIT {
        let options = Options { guards: Some(positions.clone()) };
        let point = match operating_point(circuit, &options) {
            Ok(point) => point,
            Err(trouble) => return Outcome::Trouble(trouble),
        };
        let Some(guard) = most_overrun(circuit, &point) else { return Outcome::Settled(point) };
        visited.push(point);
        positions[guard] = !positions[guard];
        if let Some(first) = visited.iter().position(|p| p.guards == positions) {
            return hunts(visited.split_off(first));
        }
    }
    Outcome::Trouble(Trouble::TooManyFlips { limit: FLIP_LIMIT })
}

/// The guard that wants most to move, if any does.
fn most_overrun(circuit: &Circuit, point: &OperatingPoint) -> Option<usize> {
    let mut most: Option<(usize, f64)> = None;
    for (k, guard) in circuit.guards().iter().enumerate() {
        let Some(sensed_v) = point.between(guard.sense.0, guard.sense.1) else { continue };
        let overrun_v = guard.trip.overrun_v(point.guards[k], sensed_v);
        if overrun_v > 0.0 && most.is_none_or(|(_, v)| overrun_v > v) {
            most = Some((k, overrun_v));
        }
    }
    most.map(|(k, _)| k)
}

fn hunts(between: Vec<OperatingPoint>) -> Outcome {
    let count = between.first().map_or(0, |p| p.guards.len());
    let flips = |k: &usize| between.iter().any(|p| p.guards[*k] != between[0].guards[*k]);
    let guards = (0..count).filter(flips).map(|k| GuardId(k as u32)).collect();
    Outcome::Hunts { between, guards }
}
