//! A network of alternating current in steady state: complex impedances and sources of one
//! frequency, root-mean-square values, and its text as a SPICE deck.
//!
//! It knows no vehicle and computes nothing but the deck. Sign convention as in the crate's page.

use std::f64::consts::TAU;
use std::fmt::Write as _;

use crate::{BranchId, Complex, NodeId, REFERENCE};

/// What a branch of an alternating-current network does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum AcElement {
    /// `i = (v_a - v_b) / ohm`; the imaginary part is reactance, positive for a coil.
    Impedance {
        /// First terminal.
        a: NodeId,
        /// Second terminal.
        b: NodeId,
        /// Impedance, ohm.
        ohm: Complex,
    },
    /// Ideal source: `v_plus - v_minus = volt`; its current is an unknown of its own.
    Source {
        /// Terminal the voltage is counted at.
        plus: NodeId,
        /// Terminal it is counted against.
        minus: NodeId,
        /// Voltage with its phase, V.
        volt: Complex,
    },
}

impl AcElement {
    /// First and second terminal.
    pub fn ends(&self) -> (NodeId, NodeId) {
        match *self {
            AcElement::Impedance { a, b, .. } => (a, b),
            AcElement::Source { plus, minus, .. } => (plus, minus),
        }
    }
}

/// One branch.
#[derive(Clone, Debug, PartialEq)]
pub struct AcBranch {
    /// A name for messages and decks.
    pub name: String,
    /// What it does and between which nodes.
    pub element: AcElement,
}

/// Nodes and branches. Invariant: every node named by a branch exists, and no impedance is zero.
#[derive(Clone, Debug, PartialEq)]
pub struct AcCircuit {
    hertz: f64,
    node_names: Vec<String>,
    branches: Vec<AcBranch>,
}

impl AcCircuit {
    /// A network of one frequency, with the reference node only.
    pub fn new(reference_name: &str, hertz: f64) -> AcCircuit {
        AcCircuit { hertz, node_names: vec![reference_name.to_owned()], branches: Vec::new() }
    }

    /// Its frequency, Hz.
    pub fn hertz(&self) -> f64 {
        self.hertz
    }

    /// Adds a node and returns its id.
    pub fn add_node(&mut self, name: impl Into<String>) -> NodeId {
        self.node_names.push(name.into());
        NodeId(u32::try_from(self.node_names.len() - 1).expect("fewer than 2^32 nodes"))
    }

    /// Adds a branch.
    ///
    /// # Panics
    /// If the element names a node the network does not hold, or is an impedance of zero: a bug of
    /// the builder, never a consequence of a record.
    pub fn add(&mut self, name: impl Into<String>, element: AcElement) -> BranchId {
        let (a, b) = element.ends();
        for node in [a, b] {
            assert!((node.0 as usize) < self.node_names.len(), "branch names an unknown node");
        }
        if let AcElement::Impedance { ohm, .. } = element {
            assert!(ohm.norm() > 0.0, "an impedance must not be zero");
        }
        self.branches.push(AcBranch { name: name.into(), element });
        BranchId(u32::try_from(self.branches.len() - 1).expect("fewer than 2^32 branches"))
    }

    /// Adds a plain resistance.
    pub fn add_resistance(
        &mut self,
        name: impl Into<String>,
        a: NodeId,
        b: NodeId,
        ohm: f64,
    ) -> BranchId {
        self.add(name, AcElement::Impedance { a, b, ohm: Complex::new(ohm, 0.0) })
    }

    /// How many nodes there are, the reference included.
    pub fn node_count(&self) -> usize {
        self.node_names.len()
    }

    /// The name of a node.
    pub fn node_name(&self, node: NodeId) -> &str {
        &self.node_names[node.0 as usize]
    }

    /// All branches with their ids, in the order they were added.
    pub fn branches(&self) -> impl ExactSizeIterator<Item = (BranchId, &AcBranch)> {
        self.branches.iter().enumerate().map(|(i, b)| (BranchId(i as u32), b))
    }

    /// The island of each node, numbered by its first node; that of the reference is 0.
    pub fn islands(&self) -> Vec<usize> {
        let mut island: Vec<usize> = (0..self.node_count()).collect();
        let mut changed = true;
        while changed {
            changed = false;
            for branch in &self.branches {
                let (a, b) = branch.element.ends();
                let (a, b) = (a.0 as usize, b.0 as usize);
                let least = island[a].min(island[b]);
                changed |= island[a] != island[b];
                (island[a], island[b]) = (least, least);
            }
        }
        island
    }

    /// One branch.
    pub fn branch(&self, id: BranchId) -> &AcBranch {
        &self.branches[id.0 as usize]
    }
}

/// The network as a deck for ngspice: one analysis at its frequency, every node voltage printed as
/// real and imaginary part in volts, root mean square. Node `n7` of the deck is the seventh node.
/// A part without any path to the reference has no voltage against it: where there is one, the deck ties
/// every node by 1e13 ohm so that it can be solved, and only differences inside such a part mean something.
pub fn ac_netlist(circuit: &AcCircuit, title: &str) -> String {
    let mut text = format!("* {}\n", title.replace(['\n', '\r'], " "));
    for node in 0..circuit.node_count() {
        let name = circuit.node_names[node].replace(['\n', '\r'], " ");
        let _ = writeln!(text, "*   {} = {name}", node_text(NodeId(node as u32)));
    }
    let omega = TAU * circuit.hertz;
    for (id, branch) in circuit.branches() {
        branch_text(&mut text, id, branch.element, omega);
    }
    let f = circuit.hertz;
    if circuit.islands().iter().any(|island| *island != 0) {
        let _ = writeln!(text, "{SHUNT}");
    }
    let _ = writeln!(text, ".control\nset numdgt=15\nac lin 1 {f:e} {f:e}");
    for node in (1..circuit.node_count() as u32).map(NodeId) {
        let name = node_text(node);
        let _ = writeln!(text, "let re_{name} = real(v({name}))\nprint re_{name}");
        let _ = writeln!(text, "let im_{name} = imag(v({name}))\nprint im_{name}");
    }
    text.push_str("quit\n.endc\n.end\n");
    text
}

/// From every node to the reference: at 230 V it carries 23 pA.
const SHUNT: &str = ".options rshunt=1e13";

fn node_text(node: NodeId) -> String {
    if node == REFERENCE { "0".to_owned() } else { format!("n{}", node.0) }
}

fn branch_text(text: &mut String, id: BranchId, element: AcElement, omega: f64) {
    let (a, b) = element.ends();
    let (from, to, id) = (node_text(a), node_text(b), id.0);
    let _ = match element {
        AcElement::Source { volt, .. } => {
            let (size, angle) = volt.to_polar();
            writeln!(text, "V{id} {from} {to} DC 0 AC {size:e} {:.12}", angle.to_degrees())
        }
        AcElement::Impedance { ohm, .. } if ohm.im.abs() > 0.0 => {
            let middle = if ohm.re > 0.0 { format!("m{id}") } else { from.clone() };
            if ohm.re > 0.0 {
                let _ = writeln!(text, "R{id} {from} {middle} {:e}", ohm.re);
            }
            if ohm.im > 0.0 {
                writeln!(text, "L{id} {middle} {to} {:e}", ohm.im / omega)
            } else {
                writeln!(text, "C{id} {middle} {to} {:e}", -1.0 / (omega * ohm.im))
            }
        }
        AcElement::Impedance { ohm, .. } => writeln!(text, "R{id} {from} {to} {:e}", ohm.re),
    };
}
