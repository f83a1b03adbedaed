//! Where a reading of the record sits in a circuit: between which nodes, in which branch, and what
//! the display of a monitor makes of it.

use model::{ReadingPoints, Vehicle};
use solve::Reading;

use crate::{Network, monitor};

/// What is read in a circuit, and how it is shown: `shown = times * value + plus`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shown {
    /// What is read.
    pub reading: Reading,
    /// Factor of the display; one for a meter.
    pub times: f64,
    /// Offset of the display; zero for a meter.
    pub plus: f64,
}

impl Shown {
    fn straight(reading: Reading) -> Shown {
        Shown { reading, times: 1.0, plus: 0.0 }
    }

    /// What is shown where `value` is there.
    pub fn of(self, value: f64) -> f64 {
        self.times * value + self.plus
    }
}

/// The place of a reading in the circuit of a state; `None` where it has none: the mains side, a
/// wire without a branch, a monitor whose shunt is not known.
pub fn shown(vehicle: &Vehicle, network: &Network, points: ReadingPoints) -> Option<Shown> {
    match points {
        ReadingPoints::Between(a, b) => {
            let (a, b) = (network.stud_node(a)?, network.stud_node(b)?);
            Some(Shown::straight(Reading::Between(a, b)))
        }
        ReadingPoints::In(wire) => {
            Some(Shown::straight(Reading::Current(network.wire_branch(wire)?)))
        }
        ReadingPoints::Over(joint) => {
            let branch = network.joint_branch(joint)?;
            let nodes = network.circuit.branch(branch).element.nodes();
            Some(Shown::straight(Reading::Between(nodes[0], nodes[1])))
        }
        ReadingPoints::On(device) => monitor::shown_on(vehicle, network, device),
    }
}
