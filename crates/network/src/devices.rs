//! Which rule a role has, and what the rules share. The rules themselves are in a file for each
//! family of devices.

use circuit::{BranchId, Element, Guard, GuardId, NodeId, Sense, Trip};
use model::{Attribute, DeviceId, Pole, Role, TerminalId};

use crate::build::{Builder, Group, Port, Remark};
use crate::graph::{Item, Passage};

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
                Role::DcDcCharger => self.charger_link(id),
                Role::CombinerRelay => self.combiner(id),
                Role::Relay => self.relay(id),
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
                | Role::DirectController
                | Role::MainsCharger
                | Role::Monitor
                | Role::ShoreInlet
                | Role::Generator
                | Role::AcLoad
                | Role::OutsideSource
                | Role::Other => {}
            }
        }
        // These come last: they look along the wires for what feeds them.
        for id in self.vehicle.devices.ids() {
            match self.vehicle.devices[id].role {
                Role::DcDcCharger => self.charger(id),
                Role::SolarController | Role::DirectController => self.solar_controller(id),
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

    pub(crate) fn poles(&self, id: DeviceId) -> Option<Pair> {
        self.pair(self.pole_terminal(id, Pole::Plus)?, self.pole_terminal(id, Pole::Minus)?)
    }

    pub(crate) fn named(&self, id: DeviceId, name: &str) -> Option<TerminalId> {
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

    /// Something a device does in this state that is worth saying.
    pub(crate) fn remark(&mut self, device: DeviceId, words: String) {
        self.network.remarks.push(Remark { device, words, while_off: None });
    }

    /// What it means that a guard is off.
    pub(crate) fn when_off(&mut self, guard: GuardId, device: DeviceId, words: String) {
        self.network.remarks.push(Remark { device, words, while_off: Some(guard) });
    }

    /// The maker's own strap of a base-vehicle source.
    pub(crate) fn ground_case(&mut self, id: DeviceId, pair: Pair) {
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

    /// The nominal voltage where a load is connected: that of the house where metal joins it to a
    /// battery, 12 or 24 V behind a converter by what it regulates to.
    pub(crate) fn nominal_at(&self, plus: TerminalId) -> f64 {
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
    pub(crate) fn threshold_v(
        &mut self,
        id: DeviceId,
        attribute: Attribute,
        at_v: f64,
    ) -> Option<f64> {
        let device = &self.vehicle.devices[id];
        let volt = device.number(attribute)?;
        let scale = if device.fact(attribute).is_assumed() { at_v / self.nominal_v() } else { 1.0 };
        Some(self.number(id, attribute, volt) * scale)
    }

    /// A low-voltage cut-out with its restart; none unless both thresholds are known.
    pub(crate) fn low_voltage_guard(
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
            sense: Sense::Between(at.plus_node, at.minus_node),
            trip: Trip::LowVoltage { off_below_v, on_from_v },
            starts_on: false,
        }))
    }
}
