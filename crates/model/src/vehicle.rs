//! The whole vehicle.

use units::{Fraction, Volt};

use crate::{
    Arena, Authorisation, Cuboid, Device, DeviceId, Fact, History, Joint, JointId, Mend, Part,
    PartId, Photo, Place, Rates, Reading, Region, Removal, RemovalId, Spot, SpotId, Stack, State,
    StateId, Symptom, Terminal, TerminalId, Took, Wire, WireEnd, WireId,
};

/// Everything that is written about one vehicle.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Vehicle {
    /// Its name.
    pub name: String,
    /// What it is.
    pub words: String,
    /// The rules it is judged by, if written.
    pub region: Option<Region>,
    /// Nominal voltage of the house side.
    pub nominal: Fact<Volt>,
    /// The complaint in the owner's words.
    pub complaint: String,
    /// Who looked at it and when: of whatever is written bare.
    pub seen: SeenBy,
    /// Devices.
    pub devices: Arena<DeviceId, Device>,
    /// Terminals.
    pub terminals: Arena<TerminalId, Terminal>,
    /// Wires.
    pub wires: Arena<WireId, Wire>,
    /// Joints, two for each wire.
    pub joints: Arena<JointId, Joint>,
    /// Orders of things on studs.
    pub stacks: Vec<Stack>,
    /// Papers that go with the vehicle: wiring diagram, fuse list; empty: there are none.
    pub documents: Fact<Vec<String>>,
    /// Moisture of its wood where it is known to be dry, by the same meter.
    pub dry: Fact<Fraction>,
    /// The inside of the vehicle as a box.
    pub inside: Fact<Cuboid>,
    /// Tools of the catalog that the workshop has; `None` when nobody said, so all of them.
    pub tools: Option<Vec<String>>,
    /// What the workshop charges.
    pub rates: Rates,
    /// What was agreed to, in order.
    pub authority: Vec<Authorisation>,
    /// Furniture, trim and body parts, and the positions they can be moved to.
    pub parts: Arena<PartId, Part>,
    /// Ways of taking parts out.
    pub removals: Arena<RemovalId, Removal>,
    /// Places of interest.
    pub spots: Arena<SpotId, Spot>,
    /// How it can stand.
    pub states: Arena<StateId, State>,
    /// What was noticed.
    pub symptoms: Vec<Symptom>,
    /// How it began.
    pub history: History,
    /// What was read.
    pub readings: Vec<Reading>,
    /// How long things really took.
    pub took: Vec<Took>,
    /// What is proposed.
    pub mends: Vec<Mend>,
    /// Photos beside the record.
    pub photos: Vec<Photo>,
}

/// Who looked at a vehicle, and when; empty where nobody said.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SeenBy {
    /// Who.
    pub by: String,
    /// When.
    pub on: String,
}

impl Vehicle {
    /// A terminal the way people say it: `fuse-box.3`, or the device alone if it has one terminal.
    pub fn terminal_name(&self, id: TerminalId) -> String {
        let terminal = &self.terminals[id];
        let device = &self.devices[terminal.device].name;
        if terminal.name.is_empty() {
            device.clone()
        } else {
            format!("{device}.{}", terminal.name)
        }
    }

    /// A joint the way people say it: `w12 at fridge.+`.
    pub fn joint_name(&self, id: JointId) -> String {
        let joint = &self.joints[id];
        let wire = &self.wires[joint.wire];
        match wire.terminal(joint.end) {
            Some(terminal) => format!("{} at {}", wire.name, self.terminal_name(terminal)),
            None => match joint.end {
                WireEnd::From => format!("{}, first end", wire.name),
                WireEnd::To => format!("{}, second end", wire.name),
            },
        }
    }

    /// A place the way people say it.
    pub fn place_name(&self, place: Place) -> String {
        match place {
            Place::Vehicle => "vehicle".to_owned(),
            Place::Device(id) => self.devices[id].name.clone(),
            Place::Terminal(id) => self.terminal_name(id),
            Place::Wire(id) => format!("wire {}", self.wires[id].name),
            Place::Joint(id) => self.joint_name(id),
            Place::Part(id) => self.parts[id].name.clone(),
            Place::Spot(id) => self.spots[id].name.clone(),
            Place::State(id) => format!("state {}", self.states[id].name),
        }
    }

    /// The wires that land on a terminal, with the end that does.
    pub fn wires_at(&self, terminal: TerminalId) -> impl Iterator<Item = (WireId, WireEnd)> + '_ {
        self.terminals[terminal].wires.iter().copied()
    }

    /// A terminal of a device by its name.
    pub fn terminal_of(&self, device: DeviceId, name: &str) -> Option<TerminalId> {
        self.devices[device].terminals.iter().copied().find(|t| self.terminals[*t].name == name)
    }

    /// The mains side: true when the terminal of either end is on it.
    pub fn is_ac(&self, wire: WireId) -> bool {
        WireEnd::BOTH
            .into_iter()
            .filter_map(|end| self.wires[wire].terminal(end))
            .any(|terminal| self.terminals[terminal].pole.is_ac())
    }
}
