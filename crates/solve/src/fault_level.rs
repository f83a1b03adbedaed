//! Bolted faults: what flows when two nodes of a circuit are joined by next to nothing.
//!
//! Knows nodes and branches; which of them is a wire, a fuse or a battery it does not know.

use circuit::{BranchId, Circuit, Element, NodeId};

use crate::{OperatingPoint, Options, Trouble, operating_point};

/// Resistance of a bolted fault, ohm: far below any cable, far above rounding.
pub const BOLTED_OHM: f64 = 1e-6;

/// A circuit made ready for faults, its guards held where they are: a fault is quicker than a relay.
#[derive(Clone, Debug)]
pub struct FaultStudy {
    circuit: Circuit,
    options: Options,
    fault: BranchId,
}

/// What flows in a fault.
#[derive(Clone, Debug)]
pub struct FaultPoint {
    /// Current through the fault from its first node to its second, A.
    pub ampere: f64,
    point: OperatingPoint,
}

impl FaultStudy {
    /// A study of a circuit with its guards in the given positions.
    pub fn new(circuit: &Circuit, guards: Vec<bool>) -> FaultStudy {
        let mut circuit = circuit.clone();
        let nowhere = circuit::REFERENCE;
        let fault = circuit.add("fault", fault_between(nowhere, nowhere, BOLTED_OHM));
        FaultStudy { circuit, options: Options { guards: Some(guards) }, fault }
    }

    /// The currents with a fault of `ohm` (bolted: [`BOLTED_OHM`]) from one node to another.
    ///
    /// The circuit with one more resistance between the two nodes, solved like any
    /// other ([`operating_point`], with its check of residual and power): batteries deliver
    /// `(U0 - v)/R`, regulated sources and converters what they can at most, modules their current at
    /// next to no voltage. Steady values: neither the first surge of capacitors nor the rise by the
    /// inductance of the cables is in them. Source: Kirchhoff's laws; checked by
    /// `tests/it/fault_level.rs` against ngspice and closed forms.
    ///
    /// # Errors
    /// As [`operating_point`]. Two nodes that nothing joins give no error: no current flows.
    pub fn at(&mut self, node: NodeId, to: NodeId, ohm: f64) -> Result<FaultPoint, Trouble> {
        self.circuit.branch_mut(self.fault).element = fault_between(node, to, ohm);
        let point = operating_point(&self.circuit, &self.options)?;
        Ok(FaultPoint { ampere: point.current(self.fault), point })
    }
}

impl FaultStudy {
    /// The circuit with the fault asked for last, to be exported and checked elsewhere.
    pub fn circuit(&self) -> &Circuit {
        &self.circuit
    }
}

impl FaultPoint {
    /// The operating point with the fault in place.
    pub fn point(&self) -> &OperatingPoint {
        &self.point
    }

    /// Current of a branch during the fault, as [`OperatingPoint::current`].
    pub fn current(&self, branch: BranchId) -> f64 {
        self.point.current(branch)
    }

    /// What a source puts out during the fault, A; negative while it takes charge. Of a converter,
    /// its output.
    pub fn delivered(&self, branch: BranchId) -> f64 {
        self.point.output_current(branch).unwrap_or(-self.point.current(branch))
    }
}

fn fault_between(a: NodeId, b: NodeId, ohm: f64) -> Element {
    Element::Resistor { a, b, ohm }
}
