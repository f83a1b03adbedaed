//! The vehicle as it truly is: the record with its figures a little off and one or two faults in it.
//! Only instruments and eyes look in here; no policy does.

use std::cell::RefCell;
use std::collections::HashMap;
use std::rc::Rc;

use catalog::Catalog;
use circuit::{Change, Element, Parameter};
use diagnose::Fault;
use model::{Attribute, DeviceId, Fact, Place, ReadingPoints, Role, Shows, StateId, Vehicle};
use network::{Group, Network};
use solve::{OperatingPoint, Outcome, Reading};
use testkit::Dice;

/// How far a true resistance lies off the written one: standard deviation of its logarithm (own
/// choice).
pub const RESISTANCE_SPREAD: f64 = 0.10;
/// The same of what a load draws.
pub const LOAD_SPREAD: f64 = 0.10;
/// How far a battery's rest voltage lies off its curve: standard deviation, V (own choice).
pub const REST_SPREAD_V: f64 = 0.05;
/// A voltmeter on points that nothing joins shows a ghost around zero, V (own choice).
const GHOST_V: f64 = 0.10;
/// What is called weak: a load below this share of its nominal voltage, a source below this share of
/// its limit that does not hold its voltage (estimates, as in the instructions to a technician).
const WEAK_SHARE: f64 = 0.88;
const WEAK_SOURCE_SHARE: f64 = 0.5;
const HOLDS_SHARE: f64 = 0.985;
/// Share of the usual current below which equipment does nothing, and a source's least output, A.
const IDLE_SHARE: f64 = 0.1;
const IDLE_A: f64 = 0.02;

/// So much more than usual from the batteries, A, and something burns (own choice).
const BURNS_A: f64 = 150.0;

/// A fault that is truly there.
#[derive(Clone, Debug, PartialEq)]
pub struct TrueFault {
    /// Its place in the list of suspects.
    pub suspect: usize,
    /// What it is.
    pub fault: Fault,
    /// Its size: ohm, or a multiple.
    pub size: f64,
    /// Where it is.
    pub place: Place,
}

/// The vehicle as it is.
pub struct World<'v> {
    vehicle: &'v Vehicle,
    catalog: &'v Catalog,
    seed: u64,
    faults: Vec<TrueFault>,
    stands: RefCell<HashMap<StateId, Rc<Stand>>>,
}

/// The vehicle in one state.
struct Stand {
    network: Network,
    outcome: Outcome,
}

impl Stand {
    fn points(&self) -> &[OperatingPoint] {
        match &self.outcome {
            Outcome::Settled(point) => std::slice::from_ref(point),
            Outcome::Hunts { between, .. } => between,
            Outcome::Trouble(_) => &[],
        }
    }
}

impl<'v> World<'v> {
    /// The vehicle of a seed: the seed decides how far each figure is off.
    pub fn new(
        vehicle: &'v Vehicle,
        catalog: &'v Catalog,
        faults: Vec<TrueFault>,
        seed: u64,
    ) -> World<'v> {
        World { vehicle, catalog, seed, faults, stands: RefCell::default() }
    }

    /// Faults that are still there.
    pub fn faults(&self) -> &[TrueFault] {
        &self.faults
    }

    /// Whatever is wrong at a place is put right; what was.
    pub fn mend(&mut self, place: Place) -> Vec<TrueFault> {
        let (mended, left) = self.faults.drain(..).partition(|fault| fault.place == place);
        self.faults = left;
        self.stands.get_mut().clear();
        mended
    }

    /// Whether the circuit of a state has an answer.
    pub fn is_answered(&self, state: StateId) -> bool {
        !self.stand(state).points().is_empty()
    }

    /// The true value that an instrument at these points would measure; `None` where it has no place.
    pub fn value(&self, state: StateId, points: ReadingPoints) -> Option<f64> {
        let stand = self.stand(state);
        let shown = network::reading::shown(self.vehicle, &stand.network, points)?;
        // A circuit that starts and stops is read in one position or the other.
        let key = key(&format!("position {points:?}"));
        let at = Dice::for_purpose(self.seed, key).below(stand.points().len());
        let point = stand.points().get(at)?;
        let value = match shown.reading {
            Reading::Between(a, b) => point.between(a, b).unwrap_or_else(|| self.ghost(points)),
            Reading::Current(branch) => point.current(branch),
        };
        Some(shown.of(value))
    }

    fn ghost(&self, points: ReadingPoints) -> f64 {
        GHOST_V * Dice::for_purpose(self.seed, key(&format!("ghost {points:?}"))).normal()
    }

    /// What equipment truly does; `None` where it takes no part in the state.
    pub fn shows(&self, state: StateId, device: DeviceId) -> Option<Shows> {
        let stand = self.stand(state);
        let port = stand.network.ports.iter().find(|port| port.device == device)?;
        let point = stand.points().first()?;
        if let Outcome::Hunts { guards, .. } = &stand.outcome
            && port.guard.is_some_and(|guard| guards.contains(&guard))
        {
            return Some(Shows::Hunts);
        }
        let element = &stand.network.circuit.branch(port.branch).element;
        let is_off = point.cut_out.contains(&port.branch)
            || point.collapsed.contains(&port.branch)
            || port.guard.is_some_and(|guard| !point.guards[guard.0 as usize]);
        let nodes = (stand.network.stud_node(port.plus), stand.network.stud_node(port.minus));
        let volt = nodes.0.zip(nodes.1).and_then(|(a, b)| point.between(a, b)).unwrap_or(0.0);
        if matches!(port.group, Group::Source | Group::Converter) {
            let delivers = point.output_current(port.branch);
            let output_a = delivers.unwrap_or_else(|| -point.current(port.branch));
            let most_a = element.value(Parameter::LimitAmpere).unwrap_or(0.0);
            let set_v = element.value(Parameter::SetVolt);
            let holds = set_v.is_some_and(|set| volt >= HOLDS_SHARE * set);
            return Some(match () {
                () if is_off || output_a <= IDLE_A => Shows::Dead,
                () if !holds && output_a < WEAK_SOURCE_SHARE * most_a => Shows::Weak,
                () => Shows::Works,
            });
        }
        let nominal_v = self.nominal_v();
        let draws = point.current(port.branch).abs() > IDLE_SHARE * usual_a(element, nominal_v);
        Some(match () {
            () if is_off || !draws => Shows::Dead,
            () if volt < WEAK_SHARE * nominal_v => Shows::Weak,
            () => Shows::Works,
        })
    }

    fn nominal_v(&self) -> f64 {
        self.vehicle.nominal.value().map_or(self.catalog.stand_ins.nominal.si(), |v| v.si())
    }

    fn stand(&self, state: StateId) -> Rc<Stand> {
        if let Some(known) = self.stands.borrow().get(&state) {
            return Rc::clone(known);
        }
        let stand = Rc::new(self.set_up(state));
        self.stands.borrow_mut().insert(state, Rc::clone(&stand));
        stand
    }

    fn set_up(&self, state: StateId) -> Stand {
        let reset = self.faults.iter().filter_map(setting);
        let mut vehicle = None;
        for (device, number, factor) in reset {
            let of = &mut vehicle.get_or_insert_with(|| self.vehicle.clone()).devices[device];
            if let Some(value) = of.number(number) {
                of.attributes.insert(number, Fact::assumed(factor * value, "it is so"));
            }
        }
        let vehicle = vehicle.as_ref().unwrap_or(self.vehicle);
        let network = network::build(vehicle, &vehicle.states[state], self.catalog);
        let off = self.deviations(&network);
        let mut changes = off.clone();
        for fault in self.faults.iter().filter(|fault| setting(fault).is_none()) {
            changes.extend(fault.fault.changes(vehicle, &network, fault.size));
        }
        // A changed number is a multiple of what is written, so deviations come first.
        let outcome = match self.faults.iter().any(|fault| fault.fault.may_short()) {
            true => self.until_fuses_hold(&network, &settled(&network, &off), changes),
            false => settled(&network, &changes),
        };
        Stand { network, outcome }
    }

    /// Fuses that a short circuit overloads open one after the other.
    fn until_fuses_hold(
        &self,
        network: &Network,
        before: &Outcome,
        mut changes: Vec<Change>,
    ) -> Outcome {
        let before = |branch| first(before).map_or(0.0, |point| point.current(branch));
        loop {
            let outcome = settled(network, &changes);
            let Some(point) = first(&outcome) else { return outcome };
            let is_open = |branch| changes.contains(&Change::Open(branch));
            let ampere = |branch| if is_open(branch) { 0.0 } else { point.current(branch) };
            match diagnose::opens_first(self.vehicle, self.catalog, network, before, ampere) {
                Some(branch) => changes.push(Change::Open(branch)),
                None => return outcome,
            }
        }
    }

    /// Whether a battery gives so much more than in the healthy vehicle that something burns: a short
    /// circuit that no fuse opens. Such a vehicle is not brought to have its fault found.
    pub fn burns(&self, healthy: &World<'_>, state: StateId) -> bool {
        let given = |world: &World<'_>| -> f64 {
            let stand = world.stand(state);
            let is_battery =
                |port: &&network::Port| world.vehicle.devices[port.device].role == Role::Battery;
            let points = stand.points();
            let of = |port: &network::Port| {
                points.first().map_or(0.0, |point| point.current(port.branch).abs())
            };
            stand.network.ports.iter().filter(is_battery).map(of).sum()
        };
        given(self) > given(healthy) + BURNS_A
    }

    /// How far the figures of a circuit are off, each by chance of its own, the same in every state.
    fn deviations(&self, network: &Network) -> Vec<Change> {
        let mut changes = Vec::new();
        for (id, branch) in network.circuit.branches() {
            let mut dice = Dice::for_purpose(self.seed, key(&branch.name));
            for (parameter, value) in branch.element.parameters() {
                let value = match parameter {
                    Parameter::Ohm | Parameter::DischargeOhm => {
                        value * (RESISTANCE_SPREAD * dice.normal()).exp()
                    }
                    Parameter::Watt | Parameter::RatedAmpere => {
                        value * (LOAD_SPREAD * dice.normal()).exp()
                    }
                    Parameter::RestVolt => value + REST_SPREAD_V * dice.normal(),
                    _ => continue,
                };
                changes.push(Change::Set { branch: id, parameter, value });
            }
        }
        changes
    }
}

fn settled(network: &Network, changes: &[Change]) -> Outcome {
    match network.circuit.changed(changes) {
        Ok(circuit) => solve::settle(&circuit),
        Err(bad) => unreachable!("changes name branches of their own network: {bad}"),
    }
}

fn first(outcome: &Outcome) -> Option<&OperatingPoint> {
    match outcome {
        Outcome::Settled(point) => Some(point),
        Outcome::Hunts { between, .. } => between.first(),
        Outcome::Trouble(_) => None,
    }
}

/// A fault that is a setting only a new layout of the circuit can show.
fn setting(fault: &TrueFault) -> Option<(DeviceId, Attribute, f64)> {
    match fault.fault {
        Fault::Factor { device, number: Some(number @ Attribute::CutOut) } => {
            Some((device, number, fault.size))
        }
        _ => None,
    }
}

fn usual_a(element: &Element, nominal_v: f64) -> f64 {
    match element {
        Element::ConstantPower { watt, .. } => watt / nominal_v,
        Element::Lamp { rated_a, .. } => *rated_a,
        Element::Resistor { ohm, .. } => nominal_v / ohm,
        Element::Motor { armature_ohm, back_emf_v, .. } => (nominal_v - back_emf_v) / armature_ohm,
        _ => 0.0,
    }
}

/// A number for words, the same on every machine (FNV-1a, 64 bit; public-domain algorithm).
pub fn key(words: &str) -> u64 {
    words.bytes().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}
