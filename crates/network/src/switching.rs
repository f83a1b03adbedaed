//! What joins and parts: diodes, fuses, switches, shunts, relays with coils, chassis points, and
//! the breakers of the mains side.

use circuit::{Element, Guard, Sense, Trip};
use model::{Attribute, DeviceId, TerminalId};

use crate::build::{Builder, Group};
use crate::devices::Pair;
use crate::graph::{Item, Passage};

impl Builder<'_> {
    /// One way from the input to each output: transistors where it has a resistance, else junctions.
    pub(crate) fn diode(&mut self, id: DeviceId) {
        let device = &self.vehicle.devices[id];
        let [from, outs @ ..] = &device.terminals[..] else { return };
        let is_isolator = outs.len() > 1;
        let machines = &self.catalog.machines;
        let (saturation_a, emission) = if is_isolator { machines.isolator } else { machines.diode };
        let blocked_ohm = machines.one_way_leak_ohm;
        let ohm = device
            .number(Attribute::Resistance)
            .map(|ohm| self.number(id, Attribute::Resistance, ohm).max(1e-6));
        for out in outs {
            let (Some(anode), Some(cathode)) =
                (self.network.stud_node(*from), self.network.stud_node(*out))
            else {
                continue;
            };
            let element = match ohm {
                Some(ohm) => Element::OneWay { from: anode, to: cathode, ohm, blocked_ohm },
                None => Element::Diode { anode, cathode, saturation_a, emission },
            };
            let name = match is_isolator {
                true => format!("{} to {}", self.name(id), self.vehicle.terminal_name(*out)),
                false => self.name(id).to_owned(),
            };
            self.network.circuit.add(name, element);
            self.pass(id, *from, *out, Passage::OneWay);
        }
    }

    /// Coil, contact that closes when the coil pulls in, and the resting contact of a changeover
    /// relay, which opens then.
    pub(crate) fn relay(&mut self, id: DeviceId) {
        let named = |name| self.named(id, name);
        let (Some(coil_plus), Some(coil_minus), Some(common), Some(work)) =
            (named("coil+"), named("coil-"), named("in"), named("out"))
        else {
            return;
        };
        let Some(coil) = self.pair(coil_plus, coil_minus) else { return };
        let coil_ohm = self.usual(id, Attribute::Coil).max(1e-3);
        let (a, b) = (coil.plus_node, coil.minus_node);
        let name = format!("{} coil", self.name(id));
        let branch = self.network.circuit.add(name, Element::Resistor { a, b, ohm: coil_ohm });
        self.pass(id, coil_plus, coil_minus, Passage::Load);
        self.port(id, Group::Load, coil, branch, None);
        self.relay_contact(id, coil, (common, work), Contact::Closes);
        if let Some(rest) = self.named(id, "rest") {
            self.relay_contact(id, coil, (common, rest), Contact::Opens);
        }
    }

    fn relay_contact(
        &mut self,
        id: DeviceId,
        coil: Pair,
        (a, b): (TerminalId, TerminalId),
        contact: Contact,
    ) {
        if self.state.open.contains(&id) {
            self.pass(id, a, b, Passage::Open);
            return;
        }
        self.pass(id, a, b, Passage::Maybe);
        let (Some(a_node), Some(b_node)) = (self.network.stud_node(a), self.network.stud_node(b))
        else {
            return;
        };
        let lets_go_v = self.usual(id, Attribute::CutOut);
        let pulls_in_v = self.usual(id, Attribute::Restart).max(lets_go_v);
        let (trip, starts_on) = match contact {
            Contact::Closes => {
                (Trip::LowVoltage { off_below_v: lets_go_v, on_from_v: pulls_in_v }, false)
            }
            Contact::Opens => {
                (Trip::HighVoltage { off_above_v: pulls_in_v, on_up_to_v: lets_go_v }, true)
            }
        };
        let name = format!("{} to {}", self.name(id), self.vehicle.terminal_name(b));
        let sense = Sense::Between(coil.plus_node, coil.minus_node);
        let guard = Guard { name: name.clone(), sense, trip, starts_on };
        let guard = self.network.circuit.add_guard(guard);
        let ohm = self.usual(id, Attribute::Resistance).max(1e-6);
        let element = Element::Resistor { a: a_node, b: b_node, ohm };
        let branch = self.network.circuit.add_while(name, element, Some(guard));
        self.network.add_contact(id, b, branch);
    }

    /// Fuse, breaker, switch, shunt: metal from the first terminal to the second.
    pub(crate) fn in_line(&mut self, id: DeviceId) {
        let [a, b] = self.vehicle.devices[id].terminals[..] else { return };
        let ohm = self.number(id, Attribute::Resistance, self.catalog.stand_ins.fuse.si());
        self.contact(id, a, b, ohm);
    }

    pub(crate) fn fuse_box(&mut self, id: DeviceId) {
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

    pub(crate) fn junction(&mut self, id: DeviceId) {
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

    /// Residual-current device or breaker: joins each pole of its input to that of its output.
    pub(crate) fn ac_breaker(&mut self, id: DeviceId) {
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

/// What a relay's contact does when the coil pulls in.
#[derive(Clone, Copy)]
enum Contact {
    Closes,
    Opens,
}
