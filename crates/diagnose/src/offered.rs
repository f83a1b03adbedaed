//! Checks that can be made: where, in which state, how, and what they take.

use catalog::{Catalog, Method};
use model::{
    DeviceId, Fact, JointId, Pole, Reach, ReadingPoints, Role, State, StateId, TerminalId, Vehicle,
    WireEnd,
};

use crate::observe::Observations;

/// What is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum What {
    /// An instrument.
    Read(ReadingPoints),
    /// What equipment does.
    Watch(DeviceId),
    /// A joint.
    Look(JointId),
}

/// A check that can be made.
#[derive(Clone, Debug, PartialEq)]
pub struct Offered {
    /// What is looked at.
    pub what: What,
    /// In which state; `None`: in any.
    pub state: Option<StateId>,
    /// How.
    pub method: Method,
    /// Minutes, bringing about the state included, opening apart.
    pub minutes: f64,
    /// What hides the places to touch: any of these sets of parts.
    pub reach: Reach,
}

/// Ways to reach two places at once that are kept.
const WAYS: usize = 6;
/// States whose batteries differ by no more than this are as good as the same.
const SAME_CHARGE: f64 = 0.05;

/// Every check of the direct-current side that can be made from how the vehicle stands: at places
/// whose covering is known and that nobody has failed to reach, in states that can be brought about.
/// The mains side is left to licensed practice. `now`: the state the vehicle stands in.
pub fn offered(
    vehicle: &Vehicle,
    catalog: &Catalog,
    seen: &Observations,
    now: Option<StateId>,
) -> Vec<Offered> {
    let list = List { vehicle, catalog, seen, now };
    let mut all = Vec::new();
    for state in list.states() {
        let set_up = list.set_up_minutes(state);
        let mut add = |what: What, method: Method, reach: Option<Reach>| {
            if let Some(reach) = reach {
                let minutes = catalog.checking.of(method).minutes + set_up;
                all.push(Offered { what, state: Some(state), method, minutes, reach });
            }
        };
        list.volts(&mut add);
        list.drops(&mut add);
        list.currents(&mut add);
        list.watching(state, &mut add);
    }
    all
}

/// A look at a joint, which needs no state but a dead circuit.
pub fn look(vehicle: &Vehicle, catalog: &Catalog, joint: JointId) -> Option<Offered> {
    let terminal = joint_terminal(vehicle, joint)?;
    let reach = vehicle.devices[vehicle.terminals[terminal].device].reach.value()?.clone();
    let minutes = catalog.checking.of(Method::Look).minutes;
    Some(Offered { what: What::Look(joint), state: None, method: Method::Look, minutes, reach })
}

/// A look at a joint that nobody has failed to reach.
pub(crate) fn reachable_look(
    vehicle: &Vehicle,
    catalog: &Catalog,
    seen: &Observations,
    joint: JointId,
) -> Option<Offered> {
    let terminal = joint_terminal(vehicle, joint)?;
    let is_shut = seen.not_reached.contains(&terminal);
    look(vehicle, catalog, joint).filter(|_| !is_shut)
}

fn joint_terminal(vehicle: &Vehicle, joint: JointId) -> Option<TerminalId> {
    let of = &vehicle.joints[joint];
    vehicle.wires[of.wire].terminal(of.end)
}

struct List<'a> {
    vehicle: &'a Vehicle,
    catalog: &'a Catalog,
    seen: &'a Observations,
    now: Option<StateId>,
}

impl List<'_> {
    /// States in which something was observed, and those that differ from one of them only in what a
    /// technician can switch, start or plug in.
    fn states(&self) -> Vec<StateId> {
        let seen = self.seen.states();
        let states = &self.vehicle.states;
        let alike = |a: &State, b: &State| {
            let sun = (a.sun.si() - b.sun.si()).abs() < f64::EPSILON;
            let charge = a.charge.iter().all(|(id, fill)| {
                let other = b.charge.iter().find(|(other, _)| other == id);
                other.is_some_and(|(_, of)| (of.si() - fill.si()).abs() <= SAME_CHARGE)
            });
            sun && charge
        };
        let possible = |id: &StateId| {
            seen.is_empty()
                || seen.contains(id)
                || seen.iter().any(|known| alike(&states[*id], &states[*known]))
        };
        states.ids().filter(possible).collect()
    }

    fn set_up_minutes(&self, state: StateId) -> f64 {
        let Some(now) = self.now else { return 0.0 };
        if now == state {
            return 0.0;
        }
        let (a, b) = (&self.vehicle.states[now], &self.vehicle.states[state]);
        let differ = |a: &[DeviceId], b: &[DeviceId]| {
            let missing = |from: &[DeviceId], to: &[DeviceId]| {
                from.iter().filter(|id| !to.contains(id)).count()
            };
            (missing(a, b) + missing(b, a)) as f64
        };
        let minutes = &self.catalog.checking.setting_up;
        let engine = if a.engine == b.engine { 0.0 } else { minutes.engine };
        let shore = if a.shore == b.shore { 0.0 } else { minutes.shore };
        minutes.switch * (differ(&a.on, &b.on) + differ(&a.open, &b.open)) + engine + shore
    }

    /// Whether a terminal can be touched, and what hides it.
    fn reach(&self, terminal: TerminalId) -> Option<&Reach> {
        if self.seen.not_reached.contains(&terminal) {
            return None;
        }
        match &self.vehicle.devices[self.vehicle.terminals[terminal].device].reach {
            Fact::Known { value, .. } => Some(value),
            Fact::Unknown => None,
        }
    }

    fn both(&self, a: TerminalId, b: TerminalId) -> Option<Reach> {
        let (a, b) = (self.reach(a)?, self.reach(b)?);
        let mut ways: Reach = Vec::new();
        for one in a {
            for other in b {
                let mut way = one.clone();
                way.extend(other.iter().copied());
                way.sort_unstable();
                way.dedup();
                ways.push(way);
            }
        }
        ways.sort();
        ways.dedup();
        // Without a way that is part of another.
        let within = |way: &[model::PartId], other: &[model::PartId]| {
            other.len() < way.len() && other.iter().all(|part| way.contains(part))
        };
        let all = ways.clone();
        ways.retain(|way| !all.iter().any(|other| within(way, other)));
        ways.truncate(WAYS);
        Some(ways)
    }

    /// Terminals of the direct-current side.
    fn terminals(&self) -> impl Iterator<Item = TerminalId> + '_ {
        let vehicle = self.vehicle;
        let wired = |id: &TerminalId| {
            let terminal = &vehicle.terminals[*id];
            let is_wired = vehicle.wires_at(*id).any(|(wire, _)| !vehicle.is_ac(wire));
            !terminal.pole.is_ac() && is_wired
        };
        vehicle.terminals.ids().filter(wired)
    }

    /// Points to measure against: both posts of the house bank, and the body or bar of each side
    /// that lies open.
    fn references(&self) -> Vec<TerminalId> {
        let vehicle = self.vehicle;
        let bank = vehicle
            .devices
            .iter()
            .find(|(_, device)| device.role == Role::Battery && !device.base_vehicle);
        let mut points: Vec<TerminalId> =
            bank.iter().flat_map(|(_, device)| device.terminals.iter().copied()).collect();
        points.retain(|id| matches!(vehicle.terminals[*id].pole, Pole::Plus | Pole::Minus));
        let is_open = |id: &TerminalId| {
            let device = &vehicle.devices[vehicle.terminals[*id].device];
            let is_common = matches!(device.role, Role::Junction | Role::Battery);
            is_common && self.reach(*id).is_some_and(|reach| reach.iter().any(Vec::is_empty))
        };
        points.extend(self.terminals().find(is_open));
        points.dedup();
        points
    }

    fn volts(&self, add: &mut impl FnMut(What, Method, Option<Reach>)) {
        let references = self.references();
        for terminal in self.terminals() {
            for reference in references.iter().copied().filter(|r| *r != terminal) {
                // Nobody joins plus and minus of the bank with two probes and then wonders.
                let (red, black) = match self.vehicle.terminals[reference].pole {
                    Pole::Plus => (reference, terminal),
                    _ => (terminal, reference),
                };
                let points = ReadingPoints::Between(red, black);
                add(What::Read(points), Method::Volts, self.both(red, black));
            }
        }
        for (id, device) in self.vehicle.devices.iter() {
            let pole = |pole: Pole| {
                let mut of = device.terminals.iter().copied();
                of.find(|terminal| self.vehicle.terminals[*terminal].pole == pole)
            };
            let is_equipment = device.role.is_dc_load() || device.role.is_dc_source();
            if let (true, Some(plus), Some(minus)) =
                (is_equipment, pole(Pole::Plus), pole(Pole::Minus))
            {
                debug_assert_eq!(self.vehicle.terminals[plus].device, id);
                let points = ReadingPoints::Between(plus, minus);
                add(What::Read(points), Method::Volts, self.both(plus, minus));
            }
        }
    }

    fn drops(&self, add: &mut impl FnMut(What, Method, Option<Reach>)) {
        let vehicle = self.vehicle;
        let mut drop = |a: TerminalId, b: TerminalId| {
            let points = ReadingPoints::Between(a, b);
            add(What::Read(points), Method::Drop, self.both(a, b));
        };
        for (_, wire) in vehicle.wires.iter().filter(|(id, _)| !vehicle.is_ac(*id)) {
            if let (Some(a), Some(b)) = (wire.terminal(WireEnd::From), wire.terminal(WireEnd::To)) {
                drop(a, b);
            }
        }
        for (_, device) in vehicle.devices.iter() {
            let in_line = matches!(
                device.role,
                Role::Fuse | Role::Breaker | Role::Switch | Role::Shunt | Role::CombinerRelay
            );
            if let (true, [a, b, ..]) = (in_line, device.terminals.as_slice()) {
                drop(*a, *b);
            }
            if let (Role::FuseBox, Some(feed)) = (device.role, device.terminals.first()) {
                let wired = |terminal: &TerminalId| vehicle.wires_at(*terminal).next().is_some();
                let ways = device.ways.iter().map(|way| way.terminal).filter(wired);
                ways.for_each(|way| drop(*feed, way));
            }
        }
        for joint in vehicle.joints.ids() {
            let on = joint_terminal(vehicle, joint);
            if let Some(terminal) = on.filter(|_| !vehicle.is_ac(vehicle.joints[joint].wire)) {
                let points = ReadingPoints::Over(joint);
                add(What::Read(points), Method::Drop, self.reach(terminal).cloned());
            }
        }
    }

    fn currents(&self, add: &mut impl FnMut(What, Method, Option<Reach>)) {
        let vehicle = self.vehicle;
        for (id, wire) in vehicle.wires.iter().filter(|(id, _)| !vehicle.is_ac(*id)) {
            // The clamp goes round the wire where it can be seen: at either end.
            let ends = WireEnd::BOTH.into_iter().filter_map(|end| wire.terminal(end));
            let mut ways: Reach = ends.filter_map(|t| self.reach(t)).flatten().cloned().collect();
            ways.sort();
            ways.dedup();
            ways.truncate(WAYS);
            let reach = (!ways.is_empty()).then_some(ways);
            add(What::Read(ReadingPoints::In(id)), Method::Clamp, reach);
        }
        let monitors = vehicle.devices.iter().filter(|(_, device)| device.role == Role::Monitor);
        for (id, device) in monitors {
            add(What::Read(ReadingPoints::On(id)), Method::Display, device.reach.value().cloned());
        }
    }

    fn watching(&self, state: StateId, add: &mut impl FnMut(What, Method, Option<Reach>)) {
        let vehicle = self.vehicle;
        for (id, device) in vehicle.devices.iter() {
            let runs = vehicle.states[state].on.contains(&id) && device.role.is_dc_load();
            if runs {
                // Equipment is seen and heard without opening anything.
                add(What::Watch(id), Method::Watch, Some(vec![Vec::new()]));
            }
        }
    }
}
