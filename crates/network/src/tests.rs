//! Tests of the network, by subject: small records written by hand, and what follows from them on
//! paper.

mod assumed;
mod batteries;
mod charging;
mod conversion;
mod engine;
mod grounding;
mod instruments;
mod layout;
mod monitors;
mod reference;
mod solar;
mod sums;
mod switching;

use circuit::{Circuit, Element, NodeId};
use model::{DeviceId, JointId, TerminalId, Vehicle, WireId};
use solve::{NodeVoltage, OperatingPoint, Outcome};

use crate::{Network, build};

/// A vehicle read from a record that must have no fault, in its only state or `rest`.
struct Bench {
    vehicle: Vehicle,
    catalog: catalog::Catalog,
}

impl Bench {
    #[track_caller]
    fn new(text: &str) -> Bench {
        let catalog = catalog::Catalog::embedded();
        let record = record::read(text, &catalog);
        assert!(record.diagnostics.is_empty(), "{:#?}", record.diagnostics);
        Bench { vehicle: record.vehicle, catalog }
    }

    #[track_caller]
    fn network(&self, state: &str) -> Network {
        let (_, state) = self.vehicle.states.find(|s| s.name == state).expect("a state");
        build(&self.vehicle, state, &self.catalog)
    }

    #[track_caller]
    fn device(&self, name: &str) -> DeviceId {
        self.vehicle.devices.find(|d| d.name == name).expect("a device").0
    }

    #[track_caller]
    fn terminal(&self, name: &str) -> TerminalId {
        let found = self.vehicle.terminals.ids().find(|id| self.vehicle.terminal_name(*id) == name);
        found.unwrap_or_else(|| panic!("no terminal {name}"))
    }

    #[track_caller]
    fn wire(&self, name: &str) -> WireId {
        self.vehicle.wires.find(|w| w.name == name).expect("a wire").0
    }

    #[track_caller]
    fn joint(&self, name: &str) -> JointId {
        let found = self.vehicle.joints.ids().find(|id| self.vehicle.joint_name(*id) == name);
        found.unwrap_or_else(|| panic!("no joint {name}"))
    }

    #[track_caller]
    fn stud(&self, network: &Network, name: &str) -> NodeId {
        network.stud_node(self.terminal(name)).expect("a node")
    }

    /// Voltage between two studs.
    #[track_caller]
    fn volt(&self, network: &Network, point: &OperatingPoint, red: &str, black: &str) -> f64 {
        let (red, black) = (self.stud(network, red), self.stud(network, black));
        point.between(red, black).expect("joined")
    }

    /// Current in a wire, from its first end to its second.
    #[track_caller]
    fn ampere(&self, network: &Network, point: &OperatingPoint, wire: &str) -> f64 {
        point.current(network.wire_branch(self.wire(wire)).expect("a branch"))
    }
}

#[track_caller]
fn settled(network: &Network) -> OperatingPoint {
    match solve::settle(&network.circuit) {
        Outcome::Settled(point) => point,
        other => panic!("does not settle: {other:?}"),
    }
}

#[track_caller]
fn near(ours: f64, expected: f64, part: f64) {
    let miss = (ours - expected).abs();
    assert!(miss <= part * expected.abs().max(1e-9), "{ours} not {expected}, off by {miss:e}");
}

fn known(point: &OperatingPoint, node: NodeId) -> Option<f64> {
    match point.voltage(node) {
        NodeVoltage::Known(volt) => Some(volt),
        NodeVoltage::Floating { .. } => None,
    }
}

/// The element of the branch of a name.
#[track_caller]
fn element<'c>(circuit: &'c Circuit, name: &str) -> &'c Element {
    let found = circuit.branches().find(|(_, branch)| branch.name == name);
    &found.unwrap_or_else(|| panic!("no branch {name}: {:?}", names(circuit))).1.element
}

fn names(circuit: &Circuit) -> Vec<&str> {
    circuit.branches().map(|(_, branch)| branch.name.as_str()).collect()
}
