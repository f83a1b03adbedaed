//! One rule for each role: what a device is in the circuit and in the graph.

use circuit::{BranchId, Element, Guard, GuardId, NodeId, Trip};
use model::{Attribute, DeviceId, Engine, Pole, Role, Shore, TerminalId};

use crate::build::{Builder, Group, Port};
use crate::graph::{Item, Passage};

/// Filament law, see `catalog` source `lamp-law`.
const LAMP_EXPONENT: f64 = 0.55;

/// Blocking diode of the silicon kind: saturation current, A, and emission coefficient (estimate).
const DIODE: (f64, f64) = (1e-6, 1.1);

/// Voltage below which a load without a cut-out of its own is modelled as a resistance, as a share
/// of the nominal voltage; keeps the current finite near zero.
const COLLAPSE_SHARE: f64 = 0.5;

/// Between the set points of 12 V and 24 V systems, V.
const HALFWAY_V: f64 = 20.0;

/// Plus and minus terminal of a device with their nodes.
#[derive(Clone, Copy)]
pub(crate) struct Pair {
    pub(crate) plus: TerminalId,
    pub(crate) minus: TerminalId,
    pub(crate) plus_node: NodeId,
    pub(crate) minus_node: NodeId,
}

impl Builder<'_> {
    pub(crate) fn devices(&mut self) {
        for id in self.vehicle.devices.ids() {
            match self.vehicle.devices[id].role {
                Role::Battery => self.battery(id),
                Role::Alternator => self.alternator(id),
                Role::DcDcCharger => self.charger(id),
                Role::CombinerRelay => self.combiner(id),
                Role::SolarModule => self.solar_module(id),
                Role::Diode => self.diode(id),
                Role::Fuse | Role::Breaker | Role::Switch | Role::Shunt => self.in_line(id),
                Role::FuseBox => self.fuse_box(id),
                Role::Junction => self.junction(id),
                Role::AcBreaker => self.ac_breaker(id),
                Role::PowerLoad
                | Role::HeatingLoad
                | Role::MotorLoad
                | Role::LampLoad
                | Role::Inverter
                | Role::SolarController
                | Role::MainsCharger
                | Role::Monitor
                | Role::ShoreInlet
                | Role::Generator
                | Role::AcLoad
                | Role::Other => {}
            }
        }
        // These come last: they look along the wires for what feeds them.
        for id in self.vehicle.devices.ids() {
            match self.vehicle.devices[id].role {
                Role::SolarController => self.solar_controller(id),
                Role::MainsCharger => self.mains_charger(id),
                role if role.is_dc_load() => self.load(id),
                _ => {}
            }
        }
    }

    pub(crate) fn pair(&self, plus: TerminalId, minus: TerminalId) -> Option<Pair> {
        let plus_node = self.network.stud_node(plus)?;
        let minus_node = self.network.stud_node(minus)?;
        Some(Pair { plus, minus, plus_node, minus_node })
    }

    fn poles(&self, id: DeviceId) -> Option<Pair> {
        self.pair(self.pole_terminal(id, Pole::Plus)?, self.pole_terminal(id, Pole::Minus)?)
    }

    fn named(&self, id: DeviceId, name: &str) -> Option<TerminalId> {
        self.vehicle.terminal_of(id, name)
    }

    pub(crate) fn name(&self, id: DeviceId) -> &str {
        &self.vehicle.devices[id].name
    }

    pub(crate) fn nominal_v(&self) -> f64 {
        self.vehicle.nominal.value().copied().unwrap_or(self.catalog.stand_ins.nominal).si()
    }

    pub(crate) fn pass(&mut self, id: DeviceId, a: TerminalId, b: TerminalId, passage: Passage) {
        let (a, b) = (self.network.graph.stud(a), self.network.graph.stud(b));
        self.network.graph.link(a, b, Item::Device(id), passage);
    }

    pub(crate) fn port(
        &mut self,
        device: DeviceId,
        group: Group,
        pair: Pair,
        branch: BranchId,
        guard: Option<GuardId>,
    ) {
        let Pair { plus, minus, .. } = pair;
        self.network.ports.push(Port { device, group, branch, plus, minus, guard });
    }

    fn battery(&mut self, id: DeviceId) {
        let Some(pair) = self.poles(id) else { return };
        let rest_v = self.rest_v(id);
        let ohm = self.number(id, Attribute::Resistance, self.catalog.stand_ins.fuse.si());
        let discharge_ohm = ohm.max(1e-6);
        let element = Element::Battery {
            plus: pair.plus_node,
            minus: pair.minus_node,
            rest_v,
            discharge_ohm,
            charge_ohm: self.charge_ohm(id, rest_v, discharge_ohm),
        };
        let branch = self.network.circuit.add(self.name(id).to_owned(), element);
        self.pass(id, pair.plus, pair.minus, Passage::Source);
        self.port(id, Group::Source, pair, branch, None);
        self.ground_case(id, pair);
    }

    /// Rise of voltage per ampere a battery accepts: `(Ua - U0) / (s C)` with `Ua` the absorption
    /// voltage, `U0` the rest voltage, `s` the share of its capacity `C` it accepts per hour there;
    /// never below the resistance to discharge, and just that where it takes what comes.
    fn charge_ohm(&mut self, id: DeviceId, rest_v: f64, discharge_ohm: f64) -> f64 {
        let (chemistry, charge) = (self.chemistry(id), self.charge(id));
        let nominal = self.block_nominal(id);
        let Some(accepts) = self.catalog.curves.acceptance(chemistry, charge, nominal) else {
            return discharge_ohm;
        };
        let holds_ah = self.number(id, Attribute::Holds, self.catalog.stand_ins.capacity.si());
        let ampere = accepts.share_per_hour.si() * holds_ah;
        ((accepts.at.si() - rest_v) / ampere.max(1e-3)).max(discharge_ohm)
    }

    /// The maker's own strap of a base-vehicle source.
    fn ground_case(&mut self, id: DeviceId, pair: Pair) {
        if !self.case_grounded(id) {
            return;
        }
        let ohm = self.catalog.stand_ins.body.si();
        self.assume(
            format!("minus joined to the body, {}", self.catalog.stand_ins.body),
            "base vehicle: no wire recorded on its minus",
            Item::Device(id),
        );
        let name = format!("{} to body", self.name(id));
        let body = self.network.graph.body();
        let strap = Element::Resistor { a: pair.minus_node, b: circuit::REFERENCE, ohm };
        self.network.circuit.add(name, strap);
        let stud = self.network.graph.stud(pair.minus);
        self.network.graph.link(stud, body, Item::Body, Passage::Metal);
    }

    fn alternator(&mut self, id: DeviceId) {
        let Some(pair) = self.poles(id) else { return };
        self.ground_case(id, pair);
        if self.state.engine == Engine::Off {
            return;
        }
        self.limited_source(id, pair);
    }

    fn limited_source(&mut self, id: DeviceId, pair: Pair) {
        let set_v = self.number(id, Attribute::Regulates, 1.2 * self.nominal_v());
        let droop_ohm = self.number(id, Attribute::Droop, 0.01).max(1e-5);
        let limit_a = self.limit_a(id);
        let element = Element::LimitedSource {
            plus: pair.plus_node,
            minus: pair.minus_node,
            set_v,
            droop_ohm,
            limit_a,
        };
        let branch = self.network.circuit.add(self.name(id).to_owned(), element);
        self.pass(id, pair.plus, pair.minus, Passage::Source);
        self.port(id, Group::Source, pair, branch, None);
    }

    /// Most current: its limit if that is evidence, else what it is rated for, else the usual limit.
    pub(crate) fn limit_a(&mut self, id: DeviceId) -> f64 {
        let device = &self.vehicle.devices[id];
        let known = device.fact(Attribute::Limit).evidence().copied();
        match known.or_else(|| device.number(Attribute::Rated)) {
            Some(ampere) => ampere,
            None => self.number(id, Attribute::Limit, 0.0),
        }
    }

    fn charger(&mut self, id: DeviceId) {
        let (Some(in_plus), Some(out_plus)) = (self.named(id, "in+"), self.named(id, "out+"))
        else {
            return;
        };
        let common = self.named(id, "-");
        let (Some(in_minus), Some(out_minus)) =
            (common.or(self.named(id, "in-")), common.or(self.named(id, "out-")))
        else {
            return;
        };
        let (Some(input), Some(output)) =
            (self.pair(in_plus, in_minus), self.pair(out_plus, out_minus))
        else {
            return;
        };
        let name = format!("{} lock-out", self.name(id));
        let guard = self.low_voltage_guard(id, name, input, self.nominal_v());
        let element = Element::Converter {
            in_plus: input.plus_node,
            in_minus: input.minus_node,
            out_plus: output.plus_node,
            out_minus: output.minus_node,
            set_v: self.number(id, Attribute::Regulates, 1.2 * self.nominal_v()),
            droop_ohm: self.number(id, Attribute::Droop, 0.01).max(1e-5),
            limit_a: self.limit_a(id),
            efficiency: self.number(id, Attribute::Efficiency, 0.88).clamp(0.05, 1.0),
            idle_w: self.number(id, Attribute::Idle, 3.0),
        };
        let name = self.name(id).to_owned();
        let branch = self.network.circuit.add_while(name, element, guard);
        self.pass(id, in_plus, out_plus, Passage::Maybe);
        self.port(id, Group::Converter, output, branch, guard);
    }

    /// The nominal voltage where a load is connected: that of the house where metal joins it to a
    /// battery, 12 or 24 V behind a converter by what it regulates to.
    fn nominal_at(&self, plus: TerminalId) -> f64 {
        let walk = self.network.graph.walk([self.network.graph.stud(plus)], |link, _| {
            matches!(link.passage, Passage::Metal | Passage::OneWay | Passage::Open)
        });
        let reaches = |id: DeviceId, name: &str| {
            self.named(id, name).is_some_and(|t| walk.reaches(self.network.graph.stud(t)))
        };
        let mut devices = self.vehicle.devices.iter();
        if devices.any(|(id, device)| device.role == Role::Battery && reaches(id, "+")) {
            return self.nominal_v();
        }
        let converter = self
            .vehicle
            .devices
            .iter()
            .find(|(id, device)| device.role == Role::DcDcCharger && reaches(*id, "out+"));
        match converter.and_then(|(_, device)| device.number(Attribute::Regulates)) {
            Some(set_v) if set_v < HALFWAY_V => 12.0,
            Some(_) => 24.0,
            None => self.nominal_v(),
        }
    }

    /// A threshold of a device. A usual one follows the house's nominal voltage; where the device
    /// sits on another, it follows that.
    fn threshold_v(&mut self, id: DeviceId, attribute: Attribute, at_v: f64) -> Option<f64> {
        let device = &self.vehicle.devices[id];
        let volt = device.number(attribute)?;
        let scale = if device.fact(attribute).is_assumed() { at_v / self.nominal_v() } else { 1.0 };
        Some(self.number(id, attribute, volt) * scale)
    }

    /// A low-voltage cut-out with its restart; none unless both thresholds are known.
    fn low_voltage_guard(
        &mut self,
        id: DeviceId,
        name: String,
        at: Pair,
        at_v: f64,
    ) -> Option<GuardId> {
        let device = &self.vehicle.devices[id];
        device.number(Attribute::Restart)?;
        let off_below_v = self.threshold_v(id, Attribute::CutOut, at_v)?;
        let on_from_v = self.threshold_v(id, Attribute::Restart, at_v)?.max(off_below_v);
        Some(self.network.circuit.add_guard(Guard {
            name,
            sense: (at.plus_node, at.minus_node),
            trip: Trip::LowVoltage { off_below_v, on_from_v },
            starts_on: false,
        }))
    }

    fn combiner(&mut self, id: DeviceId) {
        let (Some(a), Some(b)) = (self.named(id, "a"), self.named(id, "b")) else { return };
        let minus = self.named(id, "-");
        let wired = minus.filter(|t| self.vehicle.wires_at(*t).next().is_some());
        let ground = wired.and_then(|t| self.network.stud_node(t)).unwrap_or(circuit::REFERENCE);
        let (Some(a_node), Some(b_node)) = (self.network.stud_node(a), self.network.stud_node(b))
        else {
            return;
        };
        let ohm = self.number(id, Attribute::Resistance, 5e-4).max(1e-6);
        let off_below_v = self.number(id, Attribute::CutOut, 12.8);
        let on_from_v = self.number(id, Attribute::Restart, 13.3).max(off_below_v);
        let guard = self.network.circuit.add_guard(Guard {
            name: format!("{} contact", self.name(id)),
            sense: (a_node, ground),
            trip: Trip::LowVoltage { off_below_v, on_from_v },
            starts_on: false,
        });
        let name = self.name(id).to_owned();
        let contact = Element::Resistor { a: a_node, b: b_node, ohm };
        self.network.circuit.add_while(name, contact, Some(guard));
        self.pass(id, a, b, Passage::Maybe);
    }

    fn mains_charger(&mut self, id: DeviceId) {
        let Some(pair) = self.poles(id) else { return };
        if self.state.shore == Shore::Unplugged {
            return;
        }
        if self.has_mains(id) {
            self.limited_source(id, pair);
        } else {
            // Whether it is fed after all is for the live map to doubt; it delivers nothing here.
            self.pass(id, pair.plus, pair.minus, Passage::Source);
        }
    }

    /// Metal joins its line terminal to a shore inlet; where no wire is recorded on it, it is
    /// assumed to be plugged in somewhere.
    fn has_mains(&mut self, id: DeviceId) -> bool {
        let Some(line) = self.named(id, "ac.L") else { return false };
        if self.vehicle.wires_at(line).next().is_none() {
            let what = "fed with mains power".to_owned();
            self.assume(what, "no wire is recorded on its mains side", Item::Device(id));
            return true;
        }
        let walk = self.network.graph.metal([self.network.graph.stud(line)]);
        self.vehicle.devices.iter().any(|(inlet, device)| {
            device.role == Role::ShoreInlet
                && self.named(inlet, "L").is_some_and(|t| walk.reaches(self.network.graph.stud(t)))
        })
    }

    fn diode(&mut self, id: DeviceId) {
        let (Some(a), Some(b)) = (self.named(id, "in"), self.named(id, "out")) else { return };
        let (Some(anode), Some(cathode)) = (self.network.stud_node(a), self.network.stud_node(b))
        else {
            return;
        };
        let (saturation_a, emission) = DIODE;
        let element = Element::Diode { anode, cathode, saturation_a, emission };
        self.network.circuit.add(self.name(id).to_owned(), element);
        self.pass(id, a, b, Passage::OneWay);
    }

    /// Fuse, breaker, switch, shunt: metal from the first terminal to the second.
    fn in_line(&mut self, id: DeviceId) {
        let [a, b] = self.vehicle.devices[id].terminals[..] else { return };
        let ohm = self.number(id, Attribute::Resistance, self.catalog.stand_ins.fuse.si());
        self.contact(id, a, b, ohm);
    }

    fn fuse_box(&mut self, id: DeviceId) {
        let Some(feed) = self.named(id, "in") else { return };
        for index in 0..self.vehicle.devices[id].ways.len() {
            let way = &self.vehicle.devices[id].ways[index];
            if way.label == "empty" {
                continue;
            }
            let terminal = way.terminal;
            let ohm = self.or_stand_in(
                &way.ohm,
                self.catalog.stand_ins.fuse,
                &format!("fuse in way {}", index + 1),
                Item::Device(id),
            );
            self.contact(id, feed, terminal, ohm.si());
        }
    }

    fn junction(&mut self, id: DeviceId) {
        let device = &self.vehicle.devices[id];
        if !device.is_chassis {
            return;
        }
        let Some(terminal) = device.terminals.first().copied() else { return };
        let stand_in = self.catalog.stand_ins.body.si();
        let ohm = self.number(id, Attribute::Resistance, stand_in).max(1e-6);
        let stud = self.network.graph.stud(terminal);
        let body = self.network.graph.body();
        self.network.graph.link(stud, body, Item::Body, Passage::Metal);
        if let Some(a) = self.network.stud_node(terminal) {
            let name = format!("{} to body", self.name(id));
            self.network.circuit.add(name, Element::Resistor { a, b: circuit::REFERENCE, ohm });
        }
    }

    fn load(&mut self, id: DeviceId) {
        let Some(pair) = self.poles(id) else { return };
        self.pass(id, pair.plus, pair.minus, Passage::Load);
        if !self.state.on.contains(&id) {
            return;
        }
        let nominal_v = self.nominal_at(pair.plus);
        let guard = match self.vehicle.devices[id].role {
            Role::PowerLoad | Role::Inverter => {
                let name = format!("{} low-voltage cut-out", self.name(id));
                self.low_voltage_guard(id, name, pair, nominal_v)
            }
            _ => None,
        };
        let element = self.load_element(id, pair, guard, nominal_v);
        let branch = self.network.circuit.add_while(self.name(id).to_owned(), element, guard);
        self.port(id, Group::Load, pair, branch, guard);
    }

    fn load_element(
        &mut self,
        id: DeviceId,
        pair: Pair,
        guard: Option<GuardId>,
        nominal_v: f64,
    ) -> Element {
        let Pair { plus_node: plus, minus_node: minus, .. } = pair;
        match self.vehicle.devices[id].role {
            Role::HeatingLoad => {
                let watt = self.number(id, Attribute::Power, 10.0).max(1e-3);
                Element::Resistor { a: plus, b: minus, ohm: nominal_v * nominal_v / watt }
            }
            Role::LampLoad => {
                let rated_a = self.number(id, Attribute::Power, 10.0).max(1e-3) / nominal_v;
                let exponent = LAMP_EXPONENT;
                Element::Lamp { a: plus, b: minus, rated_a, rated_v: nominal_v, exponent }
            }
            Role::MotorLoad => Element::Motor {
                plus,
                minus,
                armature_ohm: self.number(id, Attribute::Armature, 0.35).max(1e-4),
                back_emf_v: self.number(id, Attribute::BackEmf, 0.6 * nominal_v),
            },
            Role::Inverter => {
                let efficiency = self.number(id, Attribute::Efficiency, 0.9).clamp(0.05, 1.0);
                let watt = self.number(id, Attribute::Idle, 12.0)
                    + self.number(id, Attribute::Power, 500.0) / efficiency;
                Element::ConstantPower {
                    plus,
                    minus,
                    watt,
                    cut_out_v: self.cut_out_v(id, guard.is_some(), nominal_v),
                }
            }
            _ => {
                let watt = self.number(id, Attribute::Power, 10.0);
                Element::ConstantPower {
                    plus,
                    minus,
                    watt,
                    cut_out_v: self.cut_out_v(id, guard.is_some(), nominal_v),
                }
            }
        }
    }

    /// Voltage below which the element stops drawing constant power. Where a guard switches the
    /// load, the guard decides and the element only has to stay finite near zero.
    fn cut_out_v(&mut self, id: DeviceId, guarded: bool, at_v: f64) -> f64 {
        let own = if guarded { None } else { self.threshold_v(id, Attribute::CutOut, at_v) };
        own.unwrap_or(COLLAPSE_SHARE * at_v)
    }

    /// Residual-current device or breaker: joins each pole of its input to that of its output.
    fn ac_breaker(&mut self, id: DeviceId) {
        let passage = if self.state.open.contains(&id) { Passage::Open } else { Passage::Metal };
        for core in ["L", "L1", "L2", "N", "PE"] {
            let (a, b) = (format!("in.{core}"), format!("out.{core}"));
            if let (Some(a), Some(b)) = (self.named(id, &a), self.named(id, &b)) {
                // Protective earth is never switched.
                self.pass(id, a, b, if core == "PE" { Passage::Metal } else { passage });
            }
        }
    }
}
