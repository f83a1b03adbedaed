//! What an instrument shows once it is put in: it is part of the circuit it measures. A voltmeter
//! lets a little current pass, enough to show a ghost on a wire that is joined to nothing but damp;
//! a test lamp draws so much that a ghost collapses; an ammeter adds its own resistance.

use catalog::Machines;
use circuit::{BranchId, Circuit, Element, NodeId};
use model::WireId;
use solve::{OperatingPoint, Options, Outcome, Trouble, operating_point};

use crate::Network;
use crate::graph::Point;

/// Current used to feel how stiff a pair of points is, A.
const FEELER_A: f64 = 1.0;

/// An instrument and where it is put.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Probe {
    /// A voltmeter, red probe first.
    Volts(Point, Point),
    /// A test lamp, red probe first; it shows the voltage left across it.
    Lamp(Point, Point),
    /// An ammeter put into a wire; positive from its first end to its second.
    Amps(WireId),
    /// A clamp around a wire; it changes nothing.
    Clamp(WireId),
}

/// What is shown in one operating point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shown {
    /// Reading, V or A.
    pub value: f64,
    /// What is there without the instrument; `None` where nothing fixes it: the points float
    /// against each other.
    pub without: Option<f64>,
}

/// What an instrument shows: one reading, or one for each side while the circuit hunts. Empty where
/// the points are not in the direct-current circuit.
///
/// The instrument is added to the circuit (voltmeter: its input resistance; lamp: the filament law
/// at the nominal voltage; ammeter: its burden in series with the wire) and the circuit settled
/// again. What is there without it comes from `before`, the outcome of the circuit as it stands.
/// Checked by: `tests::instruments`.
///
/// # Errors
/// The circuit with the instrument in it has no answer.
pub fn shown(
    network: &Network,
    before: &Outcome,
    probe: Probe,
    machines: &Machines,
    nominal_v: f64,
) -> Result<Vec<Shown>, Trouble> {
    let Some(put_in) = PutIn::of(network, probe, machines, nominal_v) else {
        return Ok(Vec::new());
    };
    // The side of a hunting circuit on which the guards stand as they do with the instrument in it.
    let without = |after: &OperatingPoint| {
        let same = points(before).iter().find(|point| point.guards == after.guards);
        same.or(points(before).first()).and_then(|point| put_in.reading(point))
    };
    let shown = |point: &OperatingPoint| {
        Some(Shown { value: put_in.reading(point)?, without: without(point) })
    };
    match solve::settle(&put_in.circuit) {
        Outcome::Trouble(trouble) => Err(trouble),
        after => Ok(points(&after).iter().filter_map(shown).collect()),
    }
}

/// How stiff a pair of points is in an operating point: the fall of voltage for one ampere more,
/// ohm; `None` where the points float or an ampere more has no answer.
pub fn source_ohm(
    network: &Network,
    point: &OperatingPoint,
    plus: NodeId,
    minus: NodeId,
) -> Option<f64> {
    let mut circuit = network.circuit.clone();
    circuit.add("feeler", Element::Current { from: plus, to: minus, ampere: FEELER_A });
    let options = Options { guards: Some(point.guards.clone()) };
    let loaded = operating_point(&circuit, &options).ok()?;
    let fall_v = point.between(plus, minus)? - loaded.between(plus, minus)?;
    Some(fall_v / FEELER_A)
}

/// A circuit with an instrument in it, and where to read it.
struct PutIn {
    circuit: Circuit,
    at: ReadAt,
}

#[derive(Clone, Copy)]
enum ReadAt {
    Between(NodeId, NodeId),
    Through(BranchId),
}

impl PutIn {
    fn of(network: &Network, probe: Probe, machines: &Machines, nominal_v: f64) -> Option<PutIn> {
        let mut circuit = network.circuit.clone();
        let at = match probe {
            Probe::Volts(red, black) => {
                let (a, b) = (network.node(red)?, network.node(black)?);
                circuit.add("voltmeter", Element::Resistor { a, b, ohm: machines.voltmeter_ohm });
                ReadAt::Between(a, b)
            }
            Probe::Lamp(red, black) => {
                let (a, b) = (network.node(red)?, network.node(black)?);
                let (rated_a, rated_v) = (machines.test_lamp_w / nominal_v, nominal_v);
                let exponent = machines.lamp_exponent;
                let lamp = Element::Lamp { a, b, rated_a, rated_v, exponent };
                circuit.add("test lamp", lamp);
                ReadAt::Between(a, b)
            }
            Probe::Amps(wire) => {
                let branch = network.wire_branch(wire)?;
                if let Element::Resistor { ohm, .. } = &mut circuit.branch_mut(branch).element {
                    *ohm += machines.ammeter_ohm;
                }
                ReadAt::Through(branch)
            }
            Probe::Clamp(wire) => ReadAt::Through(network.wire_branch(wire)?),
        };
        Some(PutIn { circuit, at })
    }

    fn reading(&self, point: &OperatingPoint) -> Option<f64> {
        match self.at {
            ReadAt::Between(a, b) => point.between(a, b),
            ReadAt::Through(branch) => Some(point.current(branch)),
        }
    }
}

fn points(outcome: &Outcome) -> &[OperatingPoint] {
    match outcome {
        Outcome::Settled(point) => std::slice::from_ref(point),
        Outcome::Hunts { between, .. } => between,
        Outcome::Trouble(_) => &[],
    }
}
