//! A fault of the vehicle as changes to the circuit of a state. Knows no odds and no readings.

use circuit::{BranchId, Change, Element, NodeId, Parameter, REFERENCE};
use model::{Attribute, DeviceId, JointId, Pole, TerminalId, Vehicle, WireEnd, WireId};
use network::Network;

/// Resistance of a wire that touches the body, ohm (own choice: it only has to be next to nothing).
const TOUCH_OHM: f64 = 1e-3;

/// What is wrong with something.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// It carries nothing.
    Open(Thing),
    /// An unwanted resistance is in series with it.
    Series(Thing),
    /// A joint or wire touches the body.
    ToBody(Thing),
    /// An end of a wire lies on another terminal.
    LandsOn {
        /// The joint that was written down.
        joint: JointId,
        /// Where it lies.
        terminal: TerminalId,
    },
    /// The poles of equipment are swapped.
    Reversed(DeviceId),
    /// A number of a device is a multiple of what is written.
    Factor {
        /// The device.
        device: DeviceId,
        /// Which number; `None`: what it draws.
        number: Option<Attribute>,
    },
    /// Nothing is broken.
    AsBuilt,
}

/// What a fault befalls.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Thing {
    /// A joint.
    Joint(JointId),
    /// A wire.
    Wire(WireId),
    /// The contact of a fuse, switch, breaker or shunt that leads to this terminal.
    Contact(DeviceId, TerminalId),
    /// Equipment at its port.
    Port(DeviceId),
    /// Where a chassis point meets the body, or a relay's contact: the branch named after the device.
    Inner(DeviceId),
}

impl Fault {
    /// What the fault does in a state; empty where what it befalls takes no part. `size`: ohm of an
    /// unwanted resistance, or the multiple of a number.
    pub fn changes(&self, vehicle: &Vehicle, network: &Network, size: f64) -> Vec<Change> {
        match self {
            Fault::AsBuilt => Vec::new(),
            Fault::Open(thing) => {
                branches(vehicle, network, *thing).into_iter().map(Change::Open).collect()
            }
            // A resistance without end carries nothing.
            Fault::Series(thing) if size == f64::INFINITY => {
                Fault::Open(*thing).changes(vehicle, network, size)
            }
            Fault::Series(thing) => branches(vehicle, network, *thing)
                .into_iter()
                .map(|branch| Change::Series { branch, ohm: size })
                .collect(),
            Fault::ToBody(thing) => touching(network, *thing)
                .into_iter()
                .map(|a| Change::Join { a, b: REFERENCE, ohm: TOUCH_OHM })
                .collect(),
            Fault::LandsOn { joint, terminal } => {
                let on = network.stud_node(*terminal);
                let branch = network.joint_branch(*joint);
                branch
                    .zip(on)
                    .map(|(branch, on)| Change::Land { branch, terminal: 1, on })
                    .into_iter()
                    .collect()
            }
            Fault::Reversed(device) => ports(network, *device).map(Change::Reverse).collect(),
            Fault::Factor { device, number } => {
                ports(network, *device).filter_map(|b| factor(network, b, *number, size)).collect()
            }
        }
    }
}

fn ports(network: &Network, device: DeviceId) -> impl Iterator<Item = BranchId> + '_ {
    network.ports.iter().filter(move |port| port.device == device).map(|port| port.branch)
}

/// The branches of a thing in a state.
fn branches(vehicle: &Vehicle, network: &Network, thing: Thing) -> Vec<BranchId> {
    match thing {
        Thing::Joint(joint) => network.joint_branch(joint).into_iter().collect(),
        Thing::Wire(wire) => network.wire_branch(wire).into_iter().collect(),
        Thing::Contact(device, terminal) => network
            .contacts()
            .iter()
            .filter(|contact| contact.0 == device && contact.1 == terminal)
            .map(|contact| contact.2)
            .collect(),
        Thing::Port(device) => ports(network, device).collect(),
        Thing::Inner(device) => {
            let name = &vehicle.devices[device].name;
            let to_body = format!("{name} to body");
            network
                .circuit
                .branches()
                .filter(|(_, branch)| branch.name == *name || branch.name == to_body)
                .map(|(id, _)| id)
                .collect()
        }
    }
}

fn touching(network: &Network, thing: Thing) -> Option<NodeId> {
    let branch = match thing {
        Thing::Joint(joint) => network.joint_branch(joint)?,
        Thing::Wire(wire) => network.wire_branch(wire)?,
        Thing::Contact(..) | Thing::Port(_) | Thing::Inner(_) => return None,
    };
    network.circuit.branch(branch).element.nodes().first().copied()
}

/// A changed number of an element. A resistance that draws more is a smaller one.
fn factor(
    network: &Network,
    branch: BranchId,
    number: Option<Attribute>,
    factor: f64,
) -> Option<Change> {
    let element = &network.circuit.branch(branch).element;
    let (parameter, value) = match (number, element) {
        (None, Element::ConstantPower { watt, .. }) => (Parameter::Watt, watt * factor),
        (None, Element::Lamp { rated_a, .. }) => (Parameter::RatedAmpere, rated_a * factor),
        (None, Element::Resistor { ohm, .. }) => (Parameter::Ohm, ohm / factor),
        (None, Element::Motor { back_emf_v, .. }) => (Parameter::BackEmfVolt, back_emf_v / factor),
        (Some(number), element) => {
            let parameter = match number {
                Attribute::Resistance => Parameter::DischargeOhm,
                Attribute::Rest => Parameter::RestVolt,
                Attribute::Regulates => Parameter::SetVolt,
                Attribute::Limit => Parameter::LimitAmpere,
                Attribute::CutOut => Parameter::CutOutVolt,
                _ => return None,
            };
            (parameter, element.value(parameter)? * factor)
        }
        _ => return None,
    };
    Some(Change::Set { branch, parameter, value })
}

/// Whether a joint lies on the return side: on a minus terminal, or on the body.
pub(crate) fn is_return(vehicle: &Vehicle, terminal: TerminalId) -> bool {
    let terminal = &vehicle.terminals[terminal];
    terminal.pole == Pole::Minus || vehicle.devices[terminal.device].is_chassis
}

/// Both ends of every wire of the direct-current side with the terminals they were written down for.
pub(crate) fn landings(vehicle: &Vehicle) -> Vec<(JointId, WireId, WireEnd, TerminalId)> {
    let mut landings = Vec::new();
    for (id, wire) in vehicle.wires.iter().filter(|(id, _)| !vehicle.is_ac(*id)) {
        for end in WireEnd::BOTH {
            if let Some(terminal) = wire.terminal(end) {
                landings.push((wire.end(end).joint, id, end, terminal));
            }
        }
    }
    landings
}
