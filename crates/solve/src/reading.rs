//! What a meter or a clamp would show: a voltage between two nodes, a current in a branch.

use circuit::{BranchId, NodeId};

use crate::OperatingPoint;
use crate::variants::Answer;

/// Something that can be read in a circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Reading {
    /// Voltage of the first node against the second.
    Between(NodeId, NodeId),
    /// Current of a branch from its first terminal to its second (a converter: its input).
    Current(BranchId),
}

impl OperatingPoint {
    /// The value of a reading, V or A; `None` if nothing joins the two nodes.
    pub fn read(&self, reading: Reading) -> Option<f64> {
        match reading {
            Reading::Between(a, b) => self.between(a, b),
            Reading::Current(branch) => Some(self.current(branch)),
        }
    }
}

impl Answer {
    /// The value of a reading, V or A; `None` if nothing joins the two nodes.
    pub fn read(&self, reading: Reading) -> Option<f64> {
        match reading {
            Reading::Between(a, b) => self.between(a, b),
            Reading::Current(branch) => Some(self.current(branch)),
        }
    }
}
