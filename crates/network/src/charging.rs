//! What charges: alternators, DC-DC chargers, combiner relays, mains chargers.

use circuit::{Element, Guard, GuardId, NodeId, Sense, Trip};
use model::{Attribute, DeviceId, Engine, Fact, Landing, Role, Shore, TerminalId, WireEnd};
use units::{Ampere, Rpm, Second, Volt};

use crate::build::{Builder, Group};
use crate::devices::Pair;
use crate::graph::{Item, Passage};

/// What is known of a charger's run signal.
#[derive(Clone, Copy, PartialEq, Eq)]
enum RunSignal {
    /// It has no such terminal.
    NotNeeded,
    /// A source is joined to its terminal.
    Present,
    /// Nothing is joined to its terminal but metal that no source reaches.
    Absent,
    /// No wire is recorded on its terminal.
    NoWire,
    /// Its wire goes where nobody has looked, or through a contact that depends on voltages.
    Unknown,
}

impl Builder<'_> {
    pub(crate) fn alternator(&mut self, id: DeviceId) {
        let Some(pair) = self.poles(id) else { return };
        self.ground_case(id, pair);
        if self.state.engine == Engine::Off || self.leave_out.contains(&id) {
            return;
        }
        let set_v = self.alternator_set_v(id);
        let limit_a = self.alternator_limit_a(id);
        self.regulated_source(id, pair, set_v, limit_a);
    }

    /// The voltage held: commanded where the engine commands it, as recorded, or the usual one less
    /// its fall with heat, `U(T) = U(20 °C) - k (T - 20 °C)`.
    fn alternator_set_v(&mut self, id: DeviceId) -> f64 {
        let usual_v = self.usual(id, Attribute::Regulates);
        if let Some((_, volt)) = self.state.commanded.iter().find(|(device, _)| *device == id) {
            return volt.si();
        }
        let kind = self.catalog.kinds.get(&self.vehicle.devices[id].kind);
        if kind.is_some_and(|kind| kind.commanded) {
            let what = format!("holds {}", Volt::from_si(usual_v));
            let why = "the engine commands it, and the state does not say what";
            self.assume(what, why, Item::Device(id));
            return usual_v;
        }
        let machines = &self.catalog.machines;
        let warmer_k = self.state.temperature.si() - machines.alternator_reference_c;
        let is_recorded = self.vehicle.devices[id].fact(Attribute::Regulates).evidence().is_some();
        if is_recorded || warmer_k.abs() < 0.5 {
            return usual_v;
        }
        let blocks = self.nominal_v() / self.catalog.stand_ins.nominal.si();
        let set_v = usual_v - machines.alternator_fall_v_per_k * warmer_k * blocks;
        let what = format!("holds {} at {}", Volt::from_si(set_v), self.state.temperature);
        self.assume(what, &machines.why("alternator_fall_per_kelvin"), Item::Device(id));
        set_v
    }

    /// Most current: all of it where the state says no speed, else by the curve of its marking and
    /// its heat.
    fn alternator_limit_a(&mut self, id: DeviceId) -> f64 {
        let Some(speed) = self.state.engine_speed else {
            let why = "the state does not say how fast the engine turns";
            self.assume("delivers up to its full output".to_owned(), why, Item::Device(id));
            return self.limit_a(id);
        };
        let machines = &self.catalog.machines;
        let device = &self.vehicle.devices[id];
        let rated_fact = device.fact(Attribute::Rated);
        let marked =
            rated_fact.value().copied().or(device.fact(Attribute::Limit).evidence().copied());
        // A usual limit is that of a hot machine already.
        let (rated_a, is_hot_figure) = match marked {
            Some(ampere) => (ampere, false),
            None => (self.usual(id, Attribute::Limit), true),
        };
        let low_a = self.or_usual(
            id,
            Attribute::LowOutput,
            rated_a * machines.alternator_low_share,
            "alternator_low_share",
        );
        let pulley =
            self.or_usual(id, Attribute::Pulley, machines.alternator_pulley, "alternator_pulley");
        let hot = if is_hot_figure {
            1.0
        } else {
            self.or_usual(
                id,
                Attribute::HotShare,
                machines.alternator_hot_share,
                "alternator_hot_share",
            )
        };
        let output = solve::alternator::Output::through(
            machines.alternator_zero_rpm,
            (machines.alternator_low_rpm, low_a),
            (machines.alternator_rated_rpm, rated_a),
        );
        let Some(output) = output else {
            let why = "its two rated currents do not make a curve";
            self.assume("delivers up to its rating".to_owned(), why, Item::Device(id));
            return rated_a;
        };
        let limit_a = hot * output.at_rpm(speed.si() * pulley);
        let words = format!(
            "can deliver {} at {} of the engine",
            Ampere::from_si(limit_a),
            Rpm::from_si(speed.si())
        );
        self.remark(id, words);
        limit_a
    }

    pub(crate) fn limited_source(&mut self, id: DeviceId, pair: Pair) {
        let set_v = self.usual(id, Attribute::Regulates);
        let limit_a = self.limit_a(id);
        self.regulated_source(id, pair, set_v, limit_a);
    }

    pub(crate) fn regulated_source(&mut self, id: DeviceId, pair: Pair, set_v: f64, limit_a: f64) {
        let droop_ohm = self.usual(id, Attribute::Droop).max(1e-5);
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
            None => self.usual(id, Attribute::Limit),
        }
    }

    /// Input and output of a DC-DC charger.
    fn charger_sides(&self, id: DeviceId) -> Option<(Pair, Pair)> {
        let (in_plus, out_plus) = (self.named(id, "in+")?, self.named(id, "out+")?);
        let common = self.named(id, "-");
        let in_minus = common.or(self.named(id, "in-"))?;
        let out_minus = common.or(self.named(id, "out-"))?;
        Some((self.pair(in_plus, in_minus)?, self.pair(out_plus, out_minus)?))
    }

    /// What may pass through it; its element comes when its run signal can be followed.
    pub(crate) fn charger_link(&mut self, id: DeviceId) {
        let Some((input, output)) = self.charger_sides(id) else { return };
        self.pass(id, input.plus, output.plus, Passage::Maybe);
    }

    pub(crate) fn charger(&mut self, id: DeviceId) {
        let Some((input, output)) = self.charger_sides(id) else { return };
        if !self.may_run(id) || self.leave_out.contains(&id) {
            return;
        }
        let name = format!("{} lock-out", self.name(id));
        let guard = self.low_voltage_guard(id, name, input, self.nominal_v());
        let device = &self.vehicle.devices[id];
        let power_w = match device.number(Attribute::Power) {
            Some(watt) => self.number(id, Attribute::Power, watt),
            None => f64::INFINITY,
        };
        let element = Element::Converter {
            in_plus: input.plus_node,
            in_minus: input.minus_node,
            out_plus: output.plus_node,
            out_minus: output.minus_node,
            set_v: self.usual(id, Attribute::Regulates),
            droop_ohm: self.usual(id, Attribute::Droop).max(1e-5),
            limit_a: self.limit_a(id),
            power_w,
            efficiency: self.usual(id, Attribute::Efficiency).clamp(0.05, 1.0),
            idle_w: self.usual(id, Attribute::Idle),
        };
        let name = self.name(id).to_owned();
        let branch = self.network.circuit.add_while(name, element, guard);
        self.port(id, Group::Converter, output, branch, guard);
    }

    /// False where its run signal is known to be absent.
    fn may_run(&mut self, id: DeviceId) -> bool {
        let why = match self.run_signal(id) {
            RunSignal::NotNeeded | RunSignal::Present => return true,
            RunSignal::Absent => {
                self.remark(id, "does not run: its run signal is absent".to_owned());
                return false;
            }
            RunSignal::NoWire => "no wire is recorded on its run terminal",
            RunSignal::Unknown => "where its run signal comes from is not recorded",
        };
        self.assume("runs when its input allows".to_owned(), why, Item::Device(id));
        true
    }

    fn run_signal(&self, id: DeviceId) -> RunSignal {
        let Some(run) = self.named(id, "run") else { return RunSignal::NotNeeded };
        if self.vehicle.wires_at(run).next().is_none() {
            return RunSignal::NoWire;
        }
        let graph = &self.network.graph;
        let metal = graph.metal([graph.stud(run)]);
        let feeds = |id: DeviceId, role: Role| match role {
            Role::Battery => true,
            Role::Alternator => self.state.engine == Engine::Running,
            _ => false,
        } && self.named(id, "+").is_some_and(|t| metal.reaches(graph.stud(t)));
        if self.vehicle.devices.iter().any(|(id, device)| feeds(id, device.role)) {
            return RunSignal::Present;
        }
        let goes_unseen = self.vehicle.wires.iter().any(|(wire, row)| {
            WireEnd::BOTH.into_iter().any(|end| {
                !matches!(row.end(end).landing, Landing::At(_))
                    && metal.reaches(graph.wire_end(wire, end))
            })
        });
        let through_contact = metal
            .reached()
            .iter()
            .any(|point| graph.links_at(*point).any(|(_, link)| link.passage == Passage::Maybe));
        if goes_unseen || through_contact { RunSignal::Unknown } else { RunSignal::Absent }
    }

    pub(crate) fn combiner(&mut self, id: DeviceId) {
        let (Some(a), Some(b)) = (self.named(id, "a"), self.named(id, "b")) else { return };
        if self.state.open.contains(&id) {
            self.pass(id, a, b, Passage::Open);
            return;
        }
        let minus = self.named(id, "-");
        let wired = minus.filter(|t| self.vehicle.wires_at(*t).next().is_some());
        let ground = wired.and_then(|t| self.network.stud_node(t)).unwrap_or(circuit::REFERENCE);
        let (Some(a_node), Some(b_node)) = (self.network.stud_node(a), self.network.stud_node(b))
        else {
            return;
        };
        let ohm = self.usual(id, Attribute::Resistance).max(1e-6);
        let guard = self.combiner_guard(id, "contact", (a_node, ground));
        let contact = Element::Resistor { a: a_node, b: b_node, ohm };
        let name = self.name(id).to_owned();
        self.network.circuit.add_while(name, contact.clone(), Some(guard));
        let kind = self.catalog.kinds.get(&self.vehicle.devices[id].kind);
        if kind.is_some_and(|kind| kind.dual_sensing) {
            // One contact that either side closes, drawn as two: while both do it counts twice,
            // half a milliohm less, which no reading can tell.
            let guard = self.combiner_guard(id, "contact from b", (b_node, ground));
            let name = format!("{} from b", self.name(id));
            self.network.circuit.add_while(name, contact, Some(guard));
        }
        if let Some(delay_s) = self.vehicle.devices[id].number(Attribute::Delay) {
            let delay = Second::from_si(self.number(id, Attribute::Delay, delay_s));
            self.remark(
                id,
                format!("moves {delay} after its voltage; the state is what comes then"),
            );
        }
        self.pass(id, a, b, Passage::Maybe);
    }

    fn combiner_guard(&mut self, id: DeviceId, what: &str, sense: (NodeId, NodeId)) -> GuardId {
        let off_below_v = self.usual(id, Attribute::CutOut);
        let on_from_v = self.usual(id, Attribute::Restart).max(off_below_v);
        self.network.circuit.add_guard(Guard {
            name: format!("{} {what}", self.name(id)),
            sense: Sense::Between(sense.0, sense.1),
            trip: Trip::LowVoltage { off_below_v, on_from_v },
            starts_on: false,
        })
    }

    pub(crate) fn mains_charger(&mut self, id: DeviceId) {
        let Some(pair) = self.poles(id) else { return };
        if self.state.shore == Shore::Unplugged {
            return;
        }
        if self.has_mains(id, "ac.L") && !self.leave_out.contains(&id) {
            self.limited_source(id, pair);
        } else {
            // Whether it is fed after all is for the live map to doubt; it delivers nothing here.
            self.pass(id, pair.plus, pair.minus, Passage::Source);
        }
    }

    /// Metal joins a line terminal to a shore inlet; where no wire is recorded on it, it is assumed
    /// to be plugged in somewhere.
    pub(crate) fn has_mains(&mut self, id: DeviceId, line: &str) -> bool {
        let Some(line) = self.named(id, line) else { return false };
        if self.vehicle.wires_at(line).next().is_none() {
            let what = "fed with mains power".to_owned();
            self.assume(what, "no wire is recorded on its mains side", Item::Device(id));
            return true;
        }
        self.is_joined_to_inlet(line)
    }

    fn is_joined_to_inlet(&self, line: TerminalId) -> bool {
        let walk = self.network.graph.metal([self.network.graph.stud(line)]);
        self.vehicle.devices.iter().any(|(inlet, device)| {
            device.role == Role::ShoreInlet
                && self.named(inlet, "L").is_some_and(|t| walk.reaches(self.network.graph.stud(t)))
        })
    }

    /// A recorded number, or one that the catalog's constants give; listed unless it is evidence.
    pub(crate) fn or_usual(
        &mut self,
        id: DeviceId,
        attribute: Attribute,
        usual: f64,
        constant: &str,
    ) -> f64 {
        if !matches!(self.vehicle.devices[id].fact(attribute), Fact::Unknown) {
            return self.number(id, attribute, usual);
        }
        let text = units::format(usual, attribute.dimension(), units::System::Metric);
        let what = format!("{} {text}", attribute.key().replace('_', " "));
        self.assume(what, &self.catalog.machines.why(constant), Item::Device(id));
        usual
    }
}
