//! Faults of a vehicle in plain words, turned into changes of its circuit.
//!
//! | words | what is wrong |
//! |---|---|
//! | `w3 open` | a wire, a joint (`w3 at box.1 open`) or a device's contact carries nothing |
//! | `box.1 blown`, `F1 blown` | the fuse of a way, or a fuse |
//! | `w3 adds 0.2 Ohm` | resistance in a wire, joint, fuse, switch or device |
//! | `w3 touches body` | short; also `touches w5`, `touches box.2`, `... through 50 mOhm` |
//! | `w3 lands on box.2 instead of box.1` | an end on the wrong terminal |
//! | `fridge reversed` | plus and minus of a device swapped |
//! | `fridge power is 90 W` | a number of a device is another |
//!
//! Solves nothing, and knows no likelihoods.

use catalog::Catalog;
use circuit::{BranchId, Change, Circuit, NodeId, REFERENCE};
use model::{
    Attribute, DeviceId, Fact, JointId, Must, Origin, State, TerminalId, Vehicle, WireEnd, WireId,
};
use units::Dimension;

use crate::Network;

/// Metal on metal, where nothing else is said, ohm (common practice, no source).
const TOUCH_OHM: f64 = 1e-3;

/// A fault and what it does to the circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// In words, with what was taken for granted.
    pub words: String,
    /// To the circuit of the state; none where the fault does not show in it.
    pub changes: Vec<Change>,
}

/// A fault that was not understood, or that the vehicle cannot have.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoFault {
    /// What is wrong.
    pub what: String,
    /// What to write instead.
    pub help: Option<String>,
}

impl std::fmt::Display for NoFault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.what)?;
        self.help.as_ref().map_or(Ok(()), |help| write!(f, "; {help}"))
    }
}

impl std::error::Error for NoFault {}

/// What a fault is about.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Thing {
    Body,
    Wire(WireId),
    Joint(JointId),
    Terminal(TerminalId),
    Device(DeviceId),
}

/// Reads a fault of a vehicle whose network was built for a state.
///
/// # Errors
/// [`NoFault`] names what is not understood, and what was perhaps meant.
pub fn read_fault(
    text: &str,
    vehicle: &Vehicle,
    state: &State,
    catalog: &Catalog,
    network: &Network,
) -> Result<Fault, NoFault> {
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    Reader { vehicle, state, catalog, network }.read(&text)
}

struct Reader<'a> {
    vehicle: &'a Vehicle,
    state: &'a State,
    catalog: &'a Catalog,
    network: &'a Network,
}

const FORMS: &str = "write for example `w3 open`, `box.1 blown`, `w3 adds 0.2 Ohm`, `w3 touches \
                     body`, `w3 lands on box.2 instead of box.1`, `fridge reversed` or `fridge \
                     power is 90 W`";

impl Reader<'_> {
    fn read(&self, text: &str) -> Result<Fault, NoFault> {
        let fault = |changes: Vec<Change>| Fault { words: text.to_owned(), changes };
        if let Some(name) = text.strip_suffix(" open").or_else(|| text.strip_suffix(" blown")) {
            let branches = self.branches(self.thing(name)?, name)?;
            return Ok(fault(branches.into_iter().map(Change::Open).collect()));
        }
        if let Some(name) = text.strip_suffix(" reversed") {
            return self.reversed(name).map(fault);
        }
        if let Some((name, ohm)) = text.split_once(" adds ") {
            let ohm = self.ohm(ohm)?;
            let branches = self.branches(self.thing(name)?, name)?;
            let series = |branch| Change::Series { branch, ohm };
            return Ok(fault(branches.into_iter().map(series).collect()));
        }
        if let Some((name, other)) = text.split_once(" touches ") {
            return self.touches(text, name, other);
        }
        if let Some((name, places)) = text.split_once(" lands on ") {
            return self.lands(name, places).map(fault);
        }
        if let Some((number, value)) = text.split_once(" is ") {
            return self.number(number, value).map(fault);
        }
        Err(NoFault {
            what: format!("`{text}` is no fault that is understood"),
            help: Some(FORMS.to_owned()),
        })
    }

    fn thing(&self, name: &str) -> Result<Thing, NoFault> {
        let (vehicle, name) = (self.vehicle, name.strip_prefix("wire ").unwrap_or(name));
        let name = name.strip_prefix("joint ").unwrap_or(name);
        if name == "body" {
            return Ok(Thing::Body);
        }
        let wire = vehicle.wires.find(|wire| wire.name == name).map(|(id, _)| Thing::Wire(id));
        let device =
            || vehicle.devices.find(|device| device.name == name).map(|(id, _)| Thing::Device(id));
        let terminals = || vehicle.terminals.ids().find(|id| vehicle.terminal_name(*id) == name);
        let joint = || vehicle.joints.ids().find(|id| vehicle.joint_name(*id) == name);
        wire.or_else(device)
            .or_else(|| terminals().map(Thing::Terminal))
            .or_else(|| joint().map(Thing::Joint))
            .ok_or_else(|| self.no_thing(name))
    }

    fn no_thing(&self, name: &str) -> NoFault {
        let vehicle = self.vehicle;
        let wires = vehicle.wires.iter().map(|(_, wire)| wire.name.clone());
        let devices = vehicle.devices.iter().map(|(_, device)| device.name.clone());
        let terminals = vehicle.terminals.ids().map(|id| vehicle.terminal_name(id));
        let joints = vehicle.joints.ids().map(|id| vehicle.joint_name(id));
        let names = wires.chain(devices).chain(terminals).chain(joints);
        NoFault {
            what: format!("there is no wire, joint, terminal or device `{name}` in the record"),
            help: nearest(name, names),
        }
    }

    /// The branches through which a thing carries current in this state.
    fn branches(&self, thing: Thing, name: &str) -> Result<Vec<BranchId>, NoFault> {
        let network = self.network;
        let found: Vec<BranchId> = match thing {
            Thing::Body => Vec::new(),
            Thing::Wire(id) => network.wire_branch(id).into_iter().collect(),
            Thing::Joint(id) => network.joint_branch(id).into_iter().collect(),
            Thing::Terminal(id) => {
                let behind = |contact: &&(DeviceId, TerminalId, BranchId)| contact.1 == id;
                network.contacts().iter().filter(behind).map(|contact| contact.2).collect()
            }
            Thing::Device(id) => {
                let contacts = network.contacts().iter().filter(|contact| contact.0 == id);
                let ports = network.ports.iter().filter(|port| port.device == id);
                let all = contacts.map(|c| c.2).chain(ports.map(|port| port.branch));
                let mut all: Vec<BranchId> = all.collect();
                all.sort();
                all.dedup();
                all
            }
        };
        let is_at_rest = match thing {
            // Switched off, pulled or not fed in this state: the fault does not show.
            Thing::Device(_) | Thing::Terminal(_) => true,
            Thing::Body | Thing::Wire(_) | Thing::Joint(_) => false,
        };
        if found.is_empty() && !is_at_rest {
            let what = format!(
                "`{name}` has no branch in the direct-current circuit (is it on the mains side?)"
            );
            return Err(NoFault { what, help: None });
        }
        Ok(found)
    }

    fn reversed(&self, name: &str) -> Result<Vec<Change>, NoFault> {
        let Thing::Device(id) = self.thing(name)? else {
            let what = format!("`{name}` is no device; only a device can be reversed");
            return Err(NoFault { what, help: None });
        };
        Ok(self.branches(Thing::Device(id), name)?.into_iter().map(Change::Reverse).collect())
    }

    fn touches(&self, text: &str, name: &str, other: &str) -> Result<Fault, NoFault> {
        let (other, through) = match other.split_once(" through ") {
            Some((other, ohm)) => (other, Some(self.ohm(ohm)?)),
            None => (other, None),
        };
        let (a, b) = (self.node(name)?, self.node(other)?);
        if a == b {
            let what = format!("`{name}` and `{other}` are one point of the circuit already");
            return Err(NoFault { what, help: None });
        }
        let usual = units::format(TOUCH_OHM, Dimension::Resistance, units::System::Metric);
        let words = match through {
            Some(_) => text.to_owned(),
            None => format!("{text} through {usual} (assumed)"),
        };
        let change = Change::Join { a, b, ohm: through.unwrap_or(TOUCH_OHM) };
        Ok(Fault { words, changes: vec![change] })
    }

    /// A point of a thing: of a wire its first end, of a joint the wire's end in it.
    fn node(&self, name: &str) -> Result<NodeId, NoFault> {
        let (graph, network) = (&self.network.graph, self.network);
        let found = match self.thing(name)? {
            Thing::Body => Some(REFERENCE),
            Thing::Wire(id) => network.node(graph.wire_end(id, WireEnd::From)),
            Thing::Joint(id) => {
                let joint = &self.vehicle.joints[id];
                network.node(graph.wire_end(joint.wire, joint.end))
            }
            Thing::Terminal(id) => network.stud_node(id),
            Thing::Device(id) => match self.vehicle.devices[id].terminals[..] {
                [only] => network.stud_node(only),
                _ => {
                    let what = format!("`{name}` has several terminals");
                    let help = format!("name one, such as `{name}.+`");
                    return Err(NoFault { what, help: Some(help) });
                }
            },
        };
        found.ok_or_else(|| NoFault {
            what: format!("`{name}` is on the mains side, which this circuit does not hold"),
            help: None,
        })
    }

    fn lands(&self, name: &str, places: &str) -> Result<Vec<Change>, NoFault> {
        let Some((onto, from)) = places.split_once(" instead of ") else {
            let help = format!("write `{name} lands on {places} instead of ...`");
            let what = format!("which end of `{name}` lands elsewhere is not said");
            return Err(NoFault { what, help: Some(help) });
        };
        let Thing::Wire(wire) = self.thing(name)? else {
            let what = format!("`{name}` is no wire; only an end of a wire lands elsewhere");
            return Err(NoFault { what, help: None });
        };
        let (onto_node, from) = (self.node(onto)?, self.terminal(from)?);
        let mut ends = WireEnd::BOTH.into_iter();
        let end = ends.find(|end| self.vehicle.wires[wire].terminal(*end) == Some(from));
        let Some(end) = end else {
            let what = format!("`{name}` does not land on `{}`", self.vehicle.terminal_name(from));
            return Err(NoFault { what, help: None });
        };
        let joint = self.vehicle.wires[wire].end(end).joint;
        let branches = self.branches(Thing::Joint(joint), name)?;
        let land = |branch| Change::Land { branch, terminal: 1, on: onto_node };
        Ok(branches.into_iter().map(land).collect())
    }

    fn terminal(&self, name: &str) -> Result<TerminalId, NoFault> {
        match self.thing(name)? {
            Thing::Terminal(id) => Ok(id),
            Thing::Device(id) if self.vehicle.devices[id].terminals.len() == 1 => {
                Ok(self.vehicle.devices[id].terminals[0])
            }
            _ => {
                let what = format!("`{name}` is no terminal");
                Err(NoFault { what, help: None })
            }
        }
    }

    /// Another number of a device: the network is laid out again with it, and compared.
    fn number(&self, number: &str, value: &str) -> Result<Vec<Change>, NoFault> {
        let Some((name, key)) = number.rsplit_once(' ') else {
            let what = format!("which number of `{number}` is not said");
            let help = format!("write for example `{number} power is {value}`");
            return Err(NoFault { what, help: Some(help) });
        };
        let Thing::Device(id) = self.thing(name)? else {
            let what = format!("`{name}` is no device");
            return Err(NoFault { what, help: None });
        };
        let Some(attribute) = Attribute::of_key(key) else {
            let keys = Attribute::ALL.iter().map(|row| row.1.to_owned());
            let what = format!("devices have no number `{key}`");
            return Err(NoFault { what, help: nearest(key, keys) });
        };
        let value = parsed(value, attribute.dimension())?;
        let must = Must::of(attribute, self.vehicle.devices[id].role);
        if !must.allows(value) {
            return Err(NoFault {
                what: format!("the {key} of `{name}` {}", must.words()),
                help: None,
            });
        }
        let mut vehicle = self.vehicle.clone();
        let told = Origin::Told { by: None, on: None };
        vehicle.devices[id].attributes.insert(attribute, Fact::known(value, told));
        let other = crate::build(&vehicle, self.state, self.catalog);
        differences(&self.network.circuit, &other.circuit).ok_or_else(|| NoFault {
            what: format!("another {key} of `{name}` would lay the circuit out anew"),
            help: Some("change it in the record".to_owned()),
        })
    }

    fn ohm(&self, text: &str) -> Result<f64, NoFault> {
        let ohm = parsed(text, Dimension::Resistance)?;
        if ohm > 0.0 {
            return Ok(ohm);
        }
        let what = format!("a fault of `{text}` is none; it must be above zero");
        Err(NoFault { what, help: None })
    }
}

fn parsed(text: &str, dimension: Dimension) -> Result<f64, NoFault> {
    units::parse(text, dimension)
        .map_err(|error| NoFault { what: format!("`{text}`: {error}"), help: None })
}

/// The numbers in which two circuits of the same layout differ; `None` if their layout does.
fn differences(circuit: &Circuit, other: &Circuit) -> Option<Vec<Change>> {
    let same = circuit.node_count() == other.node_count()
        && circuit.branch_count() == other.branch_count()
        && circuit.guards() == other.guards();
    same.then_some(())?;
    let mut changes = Vec::new();
    for ((branch, ours), (_, theirs)) in circuit.branches().zip(other.branches()) {
        let (now, then) = (ours.element.parameters(), theirs.element.parameters());
        let alike = now.iter().map(|p| p.0).eq(then.iter().map(|p| p.0))
            && ours.element.nodes() == theirs.element.nodes()
            && ours.while_on == theirs.while_on;
        alike.then_some(())?;
        for ((parameter, was), (_, value)) in now.into_iter().zip(then) {
            if was.to_bits() != value.to_bits() {
                changes.push(Change::Set { branch, parameter, value });
            }
        }
    }
    Some(changes)
}

/// What was perhaps meant.
fn nearest(name: &str, known: impl Iterator<Item = String>) -> Option<String> {
    let most = (name.chars().count() / 3).max(1);
    known
        .map(|known| (strsim::osa_distance(name, &known), known))
        .filter(|(distance, _)| *distance <= most)
        .min()
        .map(|(_, known)| format!("did you mean `{known}`?"))
}
