//! Walks a vehicle in a state and lays out points, wires and joints; devices have their own rules.

use std::collections::BTreeSet;

use catalog::Catalog;
use circuit::{BranchId, Circuit, Element, GuardId, NodeId, REFERENCE};
use model::{
    Attribute, Chemistry, Core, DeviceId, Fact, JointKind, Pole, Role, State, TerminalId, Vehicle,
    WireEnd, WireId,
};
use units::{Celsius, Conductor, Fraction, Volt};

use crate::graph::{Graph, Item, Passage, Point};

/// Resistance below which a piece of metal is not told from a perfect one, ohm.
const LEAST_OHM: f64 = 1e-7;

/// Why a stand-in is used.
const SILENT: &str = "not recorded; stand-in for the sums";

/// What a port is to the energy of the vehicle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Group {
    /// Battery, alternator, solar, charger from the mains.
    Source,
    /// DC-DC charger; its port here is the output.
    Converter,
    /// Shunt.
    Shunt,
    /// Load, inverter.
    Load,
}

/// Where a device meets the circuit, for tables and checks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Port {
    /// The device.
    pub device: DeviceId,
    /// What it is.
    pub group: Group,
    /// Its branch.
    pub branch: BranchId,
    /// Its plus terminal.
    pub plus: TerminalId,
    /// Its minus terminal.
    pub minus: TerminalId,
    /// The guard that switches it, if any.
    pub guard: Option<GuardId>,
}

/// A value the sums had to assume.
#[derive(Clone, Debug, PartialEq)]
pub struct Assumed {
    /// What, with its value.
    pub what: String,
    /// Why.
    pub why: String,
    /// For which item.
    pub item: Item,
}

/// Something a device does in a state that a table of numbers does not show.
#[derive(Clone, Debug, PartialEq)]
pub struct Remark {
    /// The device.
    pub device: DeviceId,
    /// What it does, in words.
    pub words: String,
    /// True only while this guard is off; `None`: in the whole state.
    pub while_off: Option<GuardId>,
}

/// A vehicle in a state as a circuit and as a graph.
#[derive(Clone, Debug)]
pub struct Network {
    /// The direct-current circuit.
    pub circuit: Circuit,
    /// What conducts, both sides.
    pub graph: Graph,
    /// Ports of devices.
    pub ports: Vec<Port>,
    /// What was assumed.
    pub assumptions: Vec<Assumed>,
    /// What devices do in this state.
    pub remarks: Vec<Remark>,
    nodes: Vec<Option<NodeId>>,
    wires: Vec<Option<BranchId>>,
    joints: Vec<Option<BranchId>>,
    contacts: Vec<(DeviceId, TerminalId, BranchId)>,
}

impl Network {
    /// The node of a point; none on the mains side.
    pub fn node(&self, point: Point) -> Option<NodeId> {
        self.nodes[self.graph.index(point)]
    }

    /// The node of a terminal's stud.
    pub fn stud_node(&self, terminal: TerminalId) -> Option<NodeId> {
        self.node(self.graph.stud(terminal))
    }

    /// The branch of a wire.
    pub fn wire_branch(&self, wire: WireId) -> Option<BranchId> {
        self.wires[model::Id::index(wire)]
    }

    /// The branch of a joint.
    pub fn joint_branch(&self, joint: model::JointId) -> Option<BranchId> {
        self.joints[model::Id::index(joint)]
    }

    /// Contacts of fuses, switches, breakers, shunts: device, outgoing terminal, branch.
    pub fn contacts(&self) -> &[(DeviceId, TerminalId, BranchId)] {
        &self.contacts
    }

    /// The contacts of one device.
    pub fn contacts_of(&self, device: DeviceId) -> &[(DeviceId, TerminalId, BranchId)] {
        let first = self.contacts.partition_point(|(owner, ..)| *owner < device);
        let behind = self.contacts.partition_point(|(owner, ..)| *owner <= device);
        &self.contacts[first..behind]
    }

    pub(crate) fn add_contact(&mut self, device: DeviceId, out: TerminalId, branch: BranchId) {
        self.contacts.push((device, out, branch));
    }
}

/// Builds the network of a vehicle in a state.
pub fn build(vehicle: &Vehicle, state: &State, catalog: &Catalog) -> Network {
    build_without(vehicle, state, catalog, &BTreeSet::new())
}

/// Builds the network as if some loads and chargers were switched off, so that it can be seen what
/// they contribute.
pub fn build_without(
    vehicle: &Vehicle,
    state: &State,
    catalog: &Catalog,
    leave_out: &BTreeSet<DeviceId>,
) -> Network {
    let mut builder = Builder::new(vehicle, state, catalog, leave_out);
    builder.points();
    builder.wires();
    builder.devices();
    // In order of devices, so that those of one are found without looking at all.
    builder.network.contacts.sort_by_key(|(owner, ..)| *owner);
    builder.network
}

pub(crate) struct Builder<'v> {
    pub(crate) vehicle: &'v Vehicle,
    pub(crate) state: &'v State,
    pub(crate) catalog: &'v Catalog,
    /// Loads and chargers that are taken to be off.
    pub(crate) leave_out: &'v BTreeSet<DeviceId>,
    pub(crate) network: Network,
    /// What was assumed so far, so that each is listed once.
    assumed: BTreeSet<(Item, String)>,
}

impl<'v> Builder<'v> {
    fn new(
        vehicle: &'v Vehicle,
        state: &'v State,
        catalog: &'v Catalog,
        leave_out: &'v BTreeSet<DeviceId>,
    ) -> Builder<'v> {
        let graph = Graph::new(vehicle.terminals.len(), vehicle.wires.len());
        let network = Network {
            circuit: Circuit::new("body"),
            nodes: vec![None; graph.point_count()],
            graph,
            ports: Vec::new(),
            assumptions: Vec::new(),
            remarks: Vec::new(),
            wires: vec![None; vehicle.wires.len()],
            joints: vec![None; vehicle.joints.len()],
            contacts: Vec::new(),
        };
        Builder { vehicle, state, catalog, leave_out, network, assumed: BTreeSet::new() }
    }

    /// Gives every stud and wire end of the direct-current side its node. The body is the
    /// reference; where nothing stands on the body, the first battery's minus is.
    fn points(&mut self) {
        self.set_node(self.network.graph.body(), REFERENCE);
        let stands_in = if self.has_body() { None } else { self.first_battery_minus() };
        for (id, terminal) in self.vehicle.terminals.iter() {
            if terminal.pole.is_ac() {
                continue;
            }
            let node = if Some(id) == stands_in {
                REFERENCE
            } else {
                let name = self.vehicle.terminal_name(id);
                self.network.circuit.add_node(name)
            };
            self.set_node(self.network.graph.stud(id), node);
        }
        for (id, wire) in self.vehicle.wires.iter() {
            if self.vehicle.is_ac(id) {
                continue;
            }
            for end in WireEnd::BOTH {
                let node =
                    self.network.circuit.add_node(format!("{}:{}", wire.name, end as u8 + 1));
                self.set_node(self.network.graph.wire_end(id, end), node);
            }
        }
    }

    fn has_body(&self) -> bool {
        self.vehicle.devices.iter().any(|(id, device)| device.is_chassis || self.case_grounded(id))
    }

    /// A base-vehicle source without a wire on its minus stands on the body by its case or its
    /// maker's own strap.
    pub(crate) fn case_grounded(&self, id: DeviceId) -> bool {
        let device = &self.vehicle.devices[id];
        device.base_vehicle
            && matches!(device.role, Role::Alternator | Role::Battery)
            && self
                .pole_terminal(id, Pole::Minus)
                .is_some_and(|minus| self.vehicle.wires_at(minus).next().is_none())
    }

    fn first_battery_minus(&self) -> Option<TerminalId> {
        let (id, _) = self.vehicle.devices.find(|device| device.role == Role::Battery)?;
        self.pole_terminal(id, Pole::Minus)
    }

    fn set_node(&mut self, point: Point, node: NodeId) {
        let index = self.network.graph.index(point);
        self.network.nodes[index] = Some(node);
    }

    /// The first terminal of a device on a pole.
    pub(crate) fn pole_terminal(&self, device: DeviceId, pole: Pole) -> Option<TerminalId> {
        let terminals = &self.vehicle.devices[device].terminals;
        terminals.iter().copied().find(|id| self.vehicle.terminals[*id].pole == pole)
    }

    fn wires(&mut self) {
        for id in self.vehicle.wires.ids() {
            let ends = WireEnd::BOTH.map(|end| self.network.graph.wire_end(id, end));
            self.network.graph.link(ends[0], ends[1], Item::Wire(id), Passage::Metal);
            if let (Some(a), Some(b)) = (self.network.node(ends[0]), self.network.node(ends[1])) {
                let ohm = self.wire_ohm(id);
                let name = format!("wire {}", self.vehicle.wires[id].name);
                let branch = self.network.circuit.add(name, Element::Resistor { a, b, ohm });
                self.network.wires[model::Id::index(id)] = Some(branch);
            }
            for end in WireEnd::BOTH {
                self.joint(id, end);
            }
        }
    }

    fn joint(&mut self, wire: WireId, end: WireEnd) {
        let Some(terminal) = self.vehicle.wires[wire].terminal(end) else { return };
        let id = self.vehicle.wires[wire].end(end).joint;
        let (point, stud) =
            (self.network.graph.wire_end(wire, end), self.network.graph.stud(terminal));
        self.network.graph.link(point, stud, Item::Joint(id), Passage::Metal);
        if let (Some(a), Some(b)) = (self.network.node(point), self.network.node(stud)) {
            let ohm = self.joint_ohm(id);
            let name = format!("joint {}", self.vehicle.joint_name(id));
            let branch = self.network.circuit.add(name, Element::Resistor { a, b, ohm });
            self.network.joints[model::Id::index(id)] = Some(branch);
        }
    }

    /// `R = r(A, T) l`, see [`units::conductor_ohm_per_metre`].
    fn wire_ohm(&mut self, id: WireId) -> f64 {
        let wire = &self.vehicle.wires[id];
        let stand_ins = &self.catalog.stand_ins;
        let item = Item::Wire(id);
        let area = self.or_stand_in(&wire.area, stand_ins.wire_area, "size", item);
        let length = self.or_stand_in(&wire.length, stand_ins.wire_length, "length", item);
        let class = match wire.core.value() {
            Some(Core::Solid) => Conductor::Solid,
            Some(Core::Fine) => Conductor::Flexible,
            Some(Core::Stranded) => Conductor::Stranded,
            None => {
                self.assume("stranded core".to_owned(), SILENT, item);
                Conductor::Stranded
            }
        };
        let per_metre = units::conductor_ohm_per_metre(area, class, self.state.temperature)
            .unwrap_or_else(|outside| {
                let what = format!("size {} at 20 C", stand_ins.wire_area);
                self.assume(what, &format!("{outside}; stand-in for the sums"), item);
                let usual = Celsius::from_si(20.0);
                units::conductor_ohm_per_metre(stand_ins.wire_area, class, usual)
                    .expect("the stand-in size at 20 C lies in every table")
            });
        (per_metre * length.si()).max(LEAST_OHM)
    }

    fn joint_ohm(&mut self, id: model::JointId) -> f64 {
        let joint = &self.vehicle.joints[id];
        let stand_ins = &self.catalog.stand_ins;
        let usual = match joint.kind.value() {
            Some(JointKind::Lug) => stand_ins.joint_lug,
            _ => stand_ins.joint_other,
        };
        let what = if joint.kind.value() == Some(&JointKind::Lug) { "lug" } else { "joint" };
        self.or_stand_in(&joint.resistance, usual, what, Item::Joint(id)).si().max(LEAST_OHM)
    }

    /// The value of a fact, or a stand-in that is listed.
    pub(crate) fn or_stand_in<T: Copy + std::fmt::Display>(
        &mut self,
        fact: &Fact<T>,
        stand_in: T,
        what: &str,
        item: Item,
    ) -> T {
        if let Some(value) = fact.value() {
            return *value;
        }
        self.assume(format!("{what} {stand_in}"), SILENT, item);
        stand_in
    }

    pub(crate) fn assume(&mut self, what: String, why: &str, item: Item) {
        if self.assumed.insert((item, what.clone())) {
            self.network.assumptions.push(Assumed { what, why: why.to_owned(), item });
        }
    }

    /// A number of a device; a usual value is listed as assumed, a missing one uses the stand-in.
    pub(crate) fn number(&mut self, id: DeviceId, attribute: Attribute, stand_in: f64) -> f64 {
        let fact = self.vehicle.devices[id].fact(attribute);
        let shown = |value: f64| {
            let text = units::format(value, attribute.dimension(), units::System::Metric);
            format!("{} {text}", attribute.key().replace('_', " "))
        };
        match &fact {
            Fact::Known { value, origin } => {
                if let model::Origin::Assumed { why } = origin {
                    self.assume(shown(*value), why, Item::Device(id));
                }
                *value
            }
            Fact::Unknown => {
                self.assume(shown(stand_in), SILENT, Item::Device(id));
                stand_in
            }
        }
    }

    /// A number of a device; where nothing is known, what is usual for its kind or role, listed.
    pub(crate) fn usual(&mut self, id: DeviceId, attribute: Attribute) -> f64 {
        let device = &self.vehicle.devices[id];
        let usual = self.catalog.kinds.usual(&device.kind, device.role, attribute);
        let scale = if attribute.follows_nominal() {
            self.nominal_v() / self.catalog.stand_ins.nominal.si()
        } else {
            1.0
        };
        self.number(id, attribute, scale * usual.unwrap_or_default())
    }

    /// Rest voltage of a battery at its charge in this state.
    pub(crate) fn rest_v(&mut self, id: DeviceId) -> f64 {
        if let Some(measured) = self.vehicle.devices[id].number(Attribute::Rest) {
            return measured;
        }
        let (chemistry, charge) = (self.chemistry(id), self.charge(id));
        let nominal = self.block_nominal(id);
        self.catalog.curves.rest_voltage(chemistry, charge, nominal).si()
    }

    pub(crate) fn chemistry(&mut self, id: DeviceId) -> Chemistry {
        if let Some(chemistry) = self.vehicle.devices[id].chemistry.value() {
            return *chemistry;
        }
        self.assume("flooded lead-acid".to_owned(), SILENT, Item::Device(id));
        Chemistry::Flooded
    }

    pub(crate) fn block_nominal(&mut self, id: DeviceId) -> Volt {
        Volt::from_si(self.number(id, Attribute::Nominal, self.catalog.stand_ins.nominal.si()))
    }

    /// How full a battery is in this state.
    pub(crate) fn charge(&mut self, id: DeviceId) -> Fraction {
        if let Some((_, charge)) = self.state.charge.iter().find(|(battery, _)| *battery == id) {
            return *charge;
        }
        let charge = self.catalog.stand_ins.charge;
        let what = format!("charge {charge}");
        self.assume(what, "the state does not say how full", Item::Device(id));
        charge
    }

    /// Metal between two terminals with a resistance: fuse, switch, shunt.
    pub(crate) fn contact(&mut self, id: DeviceId, a: TerminalId, b: TerminalId, ohm: f64) {
        let (from, to) = (self.network.graph.stud(a), self.network.graph.stud(b));
        if self.state.open.contains(&id) {
            self.network.graph.link(from, to, Item::Device(id), Passage::Open);
            return;
        }
        self.network.graph.link(from, to, Item::Device(id), Passage::Metal);
        if let (Some(a), Some(node)) = (self.network.node(from), self.network.node(to)) {
            let name =
                format!("{} to {}", self.vehicle.devices[id].name, self.vehicle.terminal_name(b));
            let ohm = ohm.max(LEAST_OHM);
            let branch = self.network.circuit.add(name, Element::Resistor { a, b: node, ohm });
            self.network.contacts.push((id, b, branch));
        }
    }
}
