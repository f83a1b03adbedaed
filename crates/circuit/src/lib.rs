//! A circuit as plain data: nodes, branches, and the guards that switch branches on and off.
//!
//! This crate is the only language in which the vehicle side (`network`) and the numeric side
//! (`solve`) speak to each other. It knows no vehicle, no record and no catalog, and it computes
//! nothing but the text of a SPICE netlist.
//!
//! Sign convention: the current of a branch flows from its first-named terminal, through the
//! branch, to its second-named terminal. A source that delivers therefore has a negative current.

mod alternating;
mod change;
mod element;
mod guard;
mod parameter;
mod spice;

pub use alternating::{AcBranch, AcCircuit, AcElement, ac_netlist};
pub use change::{BadChange, Change, Edits};
pub use element::{Element, SingleDiode};
pub use guard::{Guard, GuardId, Sense, Trip};
/// A phasor or an impedance.
pub use num_complex::Complex64 as Complex;
pub use parameter::Parameter;
pub use spice::{deck_node, netlist};

/// A node: a stud, a wire end, a pin. Node 0 is the reference.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NodeId(pub u32);

/// The reference node every voltage is counted from (in a vehicle: the chassis).
pub const REFERENCE: NodeId = NodeId(0);

/// A branch of a circuit, by its place in [`Circuit::branches`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct BranchId(pub u32);

/// One branch: an element between nodes, perhaps only present while a guard is on.
#[derive(Clone, Debug, PartialEq)]
pub struct Branch {
    /// A name unique in the circuit, used in messages and netlists.
    pub name: String,
    /// What the branch does and between which nodes.
    pub element: Element,
    /// The branch conducts only while this guard is on. `None`: always.
    pub while_on: Option<GuardId>,
}

/// Nodes, branches and guards. Invariant: every node named by a branch or guard is below
/// [`Circuit::node_count`], and every guard named by a branch exists.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Circuit {
    node_names: Vec<String>,
    branches: Vec<Branch>,
    guards: Vec<Guard>,
}

impl Circuit {
    /// A circuit that holds the reference node only, under the given name.
    pub fn new(reference_name: &str) -> Circuit {
        Circuit { node_names: vec![reference_name.to_owned()], ..Circuit::default() }
    }

    /// Adds a node and returns its id.
    pub fn add_node(&mut self, name: impl Into<String>) -> NodeId {
        self.node_names.push(name.into());
        NodeId(u32::try_from(self.node_names.len() - 1).expect("fewer than 2^32 nodes"))
    }

    /// Adds a branch that is always present.
    pub fn add(&mut self, name: impl Into<String>, element: Element) -> BranchId {
        self.add_while(name, element, None)
    }

    /// Adds a branch that is present only while `guard` is on.
    ///
    /// # Panics
    /// If the element names a node, or `guard` a guard, that the circuit does not hold: that is a
    /// bug of the builder, never a consequence of a record.
    pub fn add_while(
        &mut self,
        name: impl Into<String>,
        element: Element,
        guard: Option<GuardId>,
    ) -> BranchId {
        for node in element.nodes() {
            assert!((node.0 as usize) < self.node_names.len(), "branch names an unknown node");
        }
        assert!(guard.is_none_or(|g| (g.0 as usize) < self.guards.len()), "unknown guard");
        self.branches.push(Branch { name: name.into(), element, while_on: guard });
        BranchId(u32::try_from(self.branches.len() - 1).expect("fewer than 2^32 branches"))
    }

    /// Adds a guard and returns its id.
    pub fn add_guard(&mut self, guard: Guard) -> GuardId {
        match guard.sense {
            Sense::Between(a, b) => {
                let known = |node: NodeId| (node.0 as usize) < self.node_names.len();
                assert!(known(a) && known(b), "guard senses an unknown node");
            }
            Sense::Into(branch) | Sense::OutOf(branch) => {
                assert!(
                    (branch.0 as usize) < self.branches.len(),
                    "guard senses an unknown branch"
                );
            }
        }
        self.guards.push(guard);
        GuardId(u32::try_from(self.guards.len() - 1).expect("fewer than 2^32 guards"))
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
    pub fn branches(&self) -> impl Iterator<Item = (BranchId, &Branch)> {
        self.branches.iter().enumerate().map(|(i, b)| (BranchId(i as u32), b))
    }

    /// One branch.
    pub fn branch(&self, id: BranchId) -> &Branch {
        &self.branches[id.0 as usize]
    }

    /// One branch, to be changed (a fault put in, a value swept).
    pub fn branch_mut(&mut self, id: BranchId) -> &mut Branch {
        &mut self.branches[id.0 as usize]
    }

    /// How many branches there are.
    pub fn branch_count(&self) -> usize {
        self.branches.len()
    }

    /// All guards, indexed by [`GuardId`].
    pub fn guards(&self) -> &[Guard] {
        &self.guards
    }
}
