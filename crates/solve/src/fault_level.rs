//! Bolted faults: what flows when two nodes of a circuit are joined by next to nothing.
//!
//! Knows nodes and branches; which of them is a wire, a fuse or a battery it does not know.

use circuit::{BranchId, Change, Circuit, NodeId};

use crate::variants::{Answer, VariantTrouble, Variants};
use crate::{NodeVoltage, Trouble};

/// Resistance of a bolted fault, ohm: far below any cable, far above rounding.
pub const BOLTED_OHM: f64 = 1e-6;

/// A circuit made ready for faults, its guards held where they are: a fault is quicker than a relay.
/// It is factored once; each fault is an update ([`Variants`]).
pub struct FaultStudy {
    variants: Result<Variants, Trouble>,
    guards: Vec<bool>,
}

/// What flows in a fault.
pub struct FaultPoint {
    /// Current through the fault from its first node to its second, A.
    pub ampere: f64,
    answer: Answer,
}

impl FaultStudy {
    /// A study of a circuit with its guards in the given positions.
    pub fn new(circuit: &Circuit, guards: Vec<bool>) -> FaultStudy {
        FaultStudy { variants: Variants::new(circuit.clone()), guards }
    }

    /// The currents with a fault of `ohm` (bolted: [`BOLTED_OHM`]) from one node to another.
    ///
    /// The circuit with one more resistance between the two nodes, `I = (v_a - v_b)/R`: batteries
    /// deliver `(U0 - v)/R`, regulated sources and converters what they can at most, modules their
    /// current at next to no voltage. Steady values: neither the first surge of capacitors nor the
    /// rise by the inductance of the cables is in them. Source: Kirchhoff's laws; checked by
    /// `tests/it/fault_level.rs` against ngspice and closed forms.
    ///
    /// # Errors
    /// As [`crate::operating_point`]. Two nodes that nothing joins give no error: no current flows.
    pub fn at(&mut self, node: NodeId, to: NodeId, ohm: f64) -> Result<FaultPoint, Trouble> {
        let variants = self.variants.as_mut().map_err(|trouble| trouble.clone())?;
        let answer = variants.solve_at(&[FaultStudy::change(node, to, ohm)], &self.guards);
        let answer = answer.map_err(|trouble| match trouble {
            VariantTrouble::Trouble(trouble) => trouble,
            VariantTrouble::BadChange(bad) => Trouble::FailedCheck { what: bad.to_string() },
        })?;
        let ampere = answer.between(node, to).map_or(0.0, |volt| volt / ohm);
        Ok(FaultPoint { ampere, answer })
    }

    /// A fault as a change of the circuit, for whoever exports it to check it elsewhere.
    pub fn change(node: NodeId, to: NodeId, ohm: f64) -> Change {
        Change::Join { a: node, b: to, ohm }
    }
}

impl FaultPoint {
    /// Current of a branch during the fault, as [`crate::OperatingPoint::current`].
    pub fn current(&self, branch: BranchId) -> f64 {
        self.answer.current(branch)
    }

    /// What a source puts out during the fault, A; negative while it takes charge. Of a converter,
    /// its output.
    pub fn delivered(&self, branch: BranchId) -> f64 {
        self.answer.output_current(branch).unwrap_or(-self.answer.current(branch))
    }

    /// Voltage of a node during the fault.
    pub fn voltage(&self, node: NodeId) -> NodeVoltage {
        self.answer.voltage(node)
    }
}
