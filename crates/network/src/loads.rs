//! Loads: constant power, heating, motors running and held fast, lamps, inverters.

use circuit::{Element, GuardId};
use model::{Attribute, DeviceId, Role, Shore};
use units::Watt;

use crate::build::{Builder, Group};
use crate::devices::Pair;
use crate::graph::{Item, Passage};

/// Voltage below which a load without a cut-out of its own is modelled as a resistance, as a share
/// of the nominal voltage; keeps the current finite near zero.
const COLLAPSE_SHARE: f64 = 0.5;

impl Builder<'_> {
    pub(crate) fn load(&mut self, id: DeviceId) {
        let Some(pair) = self.poles(id) else { return };
        if self.vehicle.devices[id].role == Role::Inverter && self.charges_from_shore(id, pair) {
            return;
        }
        self.pass(id, pair.plus, pair.minus, Passage::Load);
        if !self.state.on.contains(&id) || self.leave_out.contains(&id) {
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
                let watt = self.usual(id, Attribute::Power).max(1e-3);
                Element::Resistor { a: plus, b: minus, ohm: nominal_v * nominal_v / watt }
            }
            Role::LampLoad => {
                let rated_a = self.usual(id, Attribute::Power).max(1e-3) / nominal_v;
                let exponent = self.catalog.machines.lamp_exponent;
                Element::Lamp { a: plus, b: minus, rated_a, rated_v: nominal_v, exponent }
            }
            Role::MotorLoad => Element::Motor {
                plus,
                minus,
                armature_ohm: self.usual(id, Attribute::Armature).max(1e-4),
                back_emf_v: self.back_emf_v(id),
            },
            role => {
                let watt = if role == Role::Inverter {
                    self.inverter_input_w(id)
                } else {
                    self.usual(id, Attribute::Power)
                };
                let cut_out_v = self.cut_out_v(id, guard.is_some(), nominal_v);
                Element::ConstantPower { plus, minus, watt, cut_out_v }
            }
        }
    }

    /// A motor that is held fast makes no voltage of its own; so does one that is just starting.
    fn back_emf_v(&mut self, id: DeviceId) -> f64 {
        if self.state.stalled.contains(&id) {
            self.remark(id, "held fast: draws what it draws when it starts".to_owned());
            return 0.0;
        }
        self.usual(id, Attribute::BackEmf)
    }

    /// Direct-current power of an inverter for what is asked of it: by its three-term losses where
    /// its efficiency is known at a quarter and at the whole of its continuous power, else by one
    /// efficiency and its idle power.
    fn inverter_input_w(&mut self, id: DeviceId) -> f64 {
        let asked_w = self.asked_of_inverter_w(id);
        let idle_w = self.usual(id, Attribute::Idle);
        let device = &self.vehicle.devices[id];
        let known = |attribute| device.number(attribute);
        if let (Some(whole_w), Some(quarter), Some(whole)) = (
            known(Attribute::Continuous),
            known(Attribute::QuarterEfficiency),
            known(Attribute::FullEfficiency),
        ) {
            let (one, other) = ((0.25 * whole_w, quarter), (whole_w, whole));
            if let Some(losses) = solve::inverter::Losses::through(idle_w, one, other) {
                return losses.input_w(asked_w).max(idle_w);
            }
        }
        let efficiency = self.usual(id, Attribute::Efficiency).clamp(0.05, 1.0);
        idle_w + asked_w / efficiency
    }

    /// What the mains loads that are on and joined to its output ask, if the state names any; else
    /// the power recorded for it.
    fn asked_of_inverter_w(&mut self, id: DeviceId) -> f64 {
        let fed: Vec<DeviceId> = self.mains_loads_on(id);
        if fed.is_empty() {
            return self.usual(id, Attribute::Power);
        }
        let mut sum_w = 0.0;
        for load in fed {
            match self.vehicle.devices[load].number(Attribute::Power) {
                Some(watt) => sum_w += self.number(load, Attribute::Power, watt),
                None => {
                    let why = "its power is not recorded; the sums leave it out";
                    self.assume("draws nothing".to_owned(), why, Item::Device(load));
                }
            }
        }
        let words = format!("{} asked of it by what is on", Watt::from_si(sum_w));
        self.remark(id, words);
        sum_w
    }

    /// Mains loads that are on and that metal joins to the output of an inverter.
    fn mains_loads_on(&self, id: DeviceId) -> Vec<DeviceId> {
        let Some(line) = self.named(id, "out.L") else { return Vec::new() };
        let graph = &self.network.graph;
        let walk = graph.metal([graph.stud(line)]);
        let joined =
            |load: DeviceId| self.named(load, "L").is_some_and(|t| walk.reaches(graph.stud(t)));
        self.state
            .on
            .iter()
            .copied()
            .filter(|load| self.vehicle.devices[*load].role == Role::AcLoad && joined(*load))
            .collect()
    }

    /// An inverter with a mains input charges while shore power is there; its transfer relay hands
    /// the mains on, so it takes nothing from the battery then. True if it does.
    fn charges_from_shore(&mut self, id: DeviceId, pair: Pair) -> bool {
        let has_input = self.named(id, "in.L").is_some();
        if !has_input || self.state.shore == Shore::Unplugged || !self.has_mains(id, "in.L") {
            return false;
        }
        self.remark(id, "shore power: hands the mains on and charges".to_owned());
        if self.leave_out.contains(&id) {
            self.pass(id, pair.plus, pair.minus, Passage::Source);
        } else {
            self.limited_source(id, pair);
        }
        true
    }

    /// Voltage below which the element stops drawing constant power. Where a guard switches the
    /// load, the guard decides and the element only has to stay finite near zero.
    fn cut_out_v(&mut self, id: DeviceId, guarded: bool, at_v: f64) -> f64 {
        let own = if guarded { None } else { self.threshold_v(id, Attribute::CutOut, at_v) };
        own.unwrap_or(COLLAPSE_SHARE * at_v)
    }
}
