//! The ways the vehicle can stand when a fault strikes, each as circuits of least and of most current.
//!
//! Loads are off: beside a short circuit they take next to nothing; converters deliver their limit. What is only assumed is taken at
//! both ends of its spread (`catalog::FaultSpread`), so that a verdict that holds holds for both.

use catalog::{Catalog, FaultSpread, StandIns};
use circuit::{BranchId, Circuit, Element};
use model::{
    Attribute, DeviceId, Engine, Fact, Origin, Role, Shore, State, StateId, Vehicle, WireId,
};
use network::Network;
use solve::{FaultStudy, Outcome, settle};
use units::{Celsius, Fraction, Irradiance};

/// Which way of standing is asked about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stand {
    /// Any: from every source feeding to as few as possible.
    Any,
    /// As in one state of the record, its loads off.
    State(StateId),
}

/// Which end of the spread is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Corner {
    Least,
    Most,
}

/// A circuit to short, with the network it came from.
pub(crate) struct Run {
    pub(crate) corner: Corner,
    pub(crate) network: Network,
    /// The circuit at this end of its spread, without a fault, and its guards.
    #[cfg(test)]
    pub(crate) plain: (Circuit, Vec<bool>),
    pub(crate) study: FaultStudy,
}

/// Light of standard test conditions, W/m² (IEC 60904-3).
const FULL_SUN_W_PER_M2: f64 = 1000.0;

/// The one circuit in which every source that can feed does, at its most.
pub(crate) fn at_most(vehicle: &Vehicle, catalog: &Catalog) -> Run {
    run(vehicle, catalog, &most(vehicle), Corner::Most, Guards::On)
}

/// A circuit at one end of its spread, ready for faults.
fn run(vehicle: &Vehicle, catalog: &Catalog, state: &State, corner: Corner, guards: Guards) -> Run {
    let network = network::build(vehicle, state, catalog);
    let bend = Bend {
        vehicle,
        spread: &catalog.fault_spread,
        stand_ins: &catalog.stand_ins,
        state,
        corner,
    };
    let bent = bend.circuit(&network);
    let positions = positions(&bent, guards);
    let study = FaultStudy::new(&bent, positions.clone());
    Run {
        corner,
        #[cfg(test)]
        plain: (bent, positions),
        study,
        network,
    }
}

/// The circuits of a way of standing; the first holds every source that can feed, at its most.
pub(crate) fn runs(vehicle: &Vehicle, catalog: &Catalog, stand: Stand) -> Vec<Run> {
    let run = |state: &State, corner: Corner, guards: Guards| {
        run(vehicle, catalog, state, corner, guards)
    };
    match stand {
        Stand::Any => {
            let (most, least) = (most(vehicle), least(vehicle));
            vec![
                run(&most, Corner::Most, Guards::On),
                run(&most, Corner::Least, Guards::On),
                run(&least, Corner::Least, Guards::AtStart),
            ]
        }
        Stand::State(id) => {
            let state = State { on: Vec::new(), ..vehicle.states[id].clone() };
            vec![
                run(&state, Corner::Most, Guards::Settled),
                run(&state, Corner::Least, Guards::Settled),
            ]
        }
    }
}

/// The ways of standing in words.
pub(crate) fn words(vehicle: &Vehicle, stand: Stand) -> Vec<String> {
    match stand {
        Stand::Any => vec![
            "most: engine running, full sun, shore power, every switch and relay closed, batteries \
             as full as in any state"
                .to_owned(),
            "least: engine off, no sun, no shore power, relays open, batteries as empty as in any \
             state"
                .to_owned(),
        ],
        Stand::State(id) => vec![format!("state {}, loads off", vehicle.states[id].name)],
    }
}

fn most(vehicle: &Vehicle) -> State {
    State {
        engine: Engine::Running,
        sun: Irradiance::from_si(FULL_SUN_W_PER_M2),
        shore: Shore::Plugged,
        charge: charges(vehicle, f64::max),
        temperature: temperature(vehicle, f64::min),
        ..State::at_rest("most")
    }
}

fn least(vehicle: &Vehicle) -> State {
    State {
        charge: charges(vehicle, f64::min),
        temperature: temperature(vehicle, f64::max),
        ..State::at_rest("least")
    }
}

/// The fullest or emptiest a battery is in any state; one no state mentions is left to the stand-in.
fn charges(vehicle: &Vehicle, pick: fn(f64, f64) -> f64) -> Vec<(DeviceId, Fraction)> {
    let batteries = vehicle.devices.iter().filter(|(_, device)| device.role == Role::Battery);
    batteries
        .filter_map(|(id, _)| {
            let all = vehicle.states.iter().flat_map(|(_, state)| &state.charge);
            let of_it = all.filter(|(battery, _)| *battery == id).map(|(_, charge)| charge.si());
            Some((id, Fraction::from_si(of_it.reduce(pick)?)))
        })
        .collect()
}

fn temperature(vehicle: &Vehicle, pick: fn(f64, f64) -> f64) -> Celsius {
    let all = vehicle.states.iter().map(|(_, state)| state.temperature.si());
    Celsius::from_si(all.reduce(pick).unwrap_or(State::USUAL_C))
}

#[derive(Clone, Copy)]
enum Guards {
    On,
    AtStart,
    Settled,
}

/// Relays stand as they stood before the fault. While they hunt, whichever is ever on counts as on.
fn positions(circuit: &Circuit, guards: Guards) -> Vec<bool> {
    let count = circuit.guards().len();
    let at_start = || circuit.guards().iter().map(|guard| guard.starts_on).collect();
    match guards {
        Guards::On => vec![true; count],
        Guards::AtStart => at_start(),
        Guards::Settled => match settle(circuit) {
            Outcome::Settled(point) => point.guards,
            Outcome::Hunts { between, .. } => {
                (0..count).map(|k| between.iter().any(|point| point.guards[k])).collect()
            }
            Outcome::Trouble(_) => at_start(),
        },
    }
}

/// Takes what is not firmly known at one end of its spread.
struct Bend<'a> {
    vehicle: &'a Vehicle,
    spread: &'a FaultSpread,
    stand_ins: &'a StandIns,
    state: &'a State,
    corner: Corner,
}

impl Bend<'_> {
    fn circuit(&self, network: &Network) -> Circuit {
        let mut circuit = network.circuit.clone();
        let mut is_done = vec![false; circuit.branch_count()];
        let mut bend = |branch: BranchId, ohm_factor: f64, ampere_factor: f64| {
            is_done[branch.0 as usize] = true;
            scale(&mut circuit.branch_mut(branch).element, ohm_factor, ampere_factor);
        };
        for wire in self.vehicle.wires.ids() {
            if let Some(branch) = network.wire_branch(wire) {
                bend(branch, self.wire(wire), 1.0);
            }
        }
        for (id, joint) in self.vehicle.joints.iter() {
            if let Some(branch) = network.joint_branch(id) {
                let fact = joint.resistance.map(|ohm| ohm.si());
                bend(branch, self.ohm(&fact, self.spread.joint), 1.0);
            }
        }
        for (device, terminal, branch) in network.contacts() {
            let device = &self.vehicle.devices[*device];
            let way = device.ways.iter().find(|way| way.terminal == *terminal);
            let fact = way.map_or_else(
                || device.fact(Attribute::Resistance),
                |way| way.ohm.map(|ohm| ohm.si()),
            );
            bend(*branch, self.ohm(&fact, self.spread.assumed), 1.0);
        }
        for port in &network.ports {
            let device = &self.vehicle.devices[port.device];
            let ohm = self.ohm(&device.fact(Attribute::Resistance), self.spread.assumed);
            bend(port.branch, ohm, self.ampere(&limit(device)));
        }
        for (k, _) in is_done.iter().enumerate().filter(|(_, done)| !**done) {
            let branch = circuit.branch_mut(BranchId(k as u32));
            let fact = self.board_of(&branch.name);
            let ohm = self.ohm(&fact.unwrap_or_default(), self.spread.assumed);
            scale(&mut branch.element, ohm, 1.0);
        }
        circuit
    }

    /// The resistance of the battery whose protection board a branch belongs to: the board's is a part
    /// of it. Such branches bear the battery's name and what they are.
    fn board_of(&self, branch: &str) -> Option<Fact<f64>> {
        let batteries = self.vehicle.devices.iter().filter(|(_, d)| d.role == Role::Battery);
        let mut named = batteries.filter(|(_, device)| {
            branch
                .strip_prefix(device.name.as_str())
                .is_some_and(|rest| rest.starts_with(" board") || rest.starts_with(" over-current"))
        });
        named.next().map(|(_, device)| device.fact(Attribute::Resistance))
    }

    /// Most current: what lets the most through.
    fn pick(&self, (low, high): (f64, f64)) -> f64 {
        match self.corner {
            Corner::Most => low,
            Corner::Least => high,
        }
    }

    /// Factor on a resistance.
    fn ohm(&self, fact: &Fact<f64>, assumed: (f64, f64)) -> f64 {
        self.pick(factors(fact, assumed))
    }

    /// Factor on a current limit.
    fn ampere(&self, fact: &Fact<f64>) -> f64 {
        let (low, high) = factors(fact, self.spread.assumed);
        match self.corner {
            Corner::Most => high,
            Corner::Least => low,
        }
    }

    /// Factor on the resistance of a wire: length, size and, for the least current, warm copper.
    fn wire(&self, id: WireId) -> f64 {
        let wire = &self.vehicle.wires[id];
        let length = match wire.length.value() {
            Some(metre) => {
                let fact = wire.length.map(|metre| metre.si());
                metre.si() * self.ohm(&fact, self.spread.assumed)
            }
            None => self.pick(self.spread.unknown_length_m),
        };
        let usual_m = wire.length.value().map_or(self.stand_ins.wire_length, |metre| *metre).si();
        let size = match wire.area.value() {
            Some(_) => self.ohm(&wire.area.map(|area| area.si()), self.spread.assumed),
            None => {
                let (small_mm2, large_mm2) = self.spread.unknown_area_mm2;
                let stand_in_mm2 = self.stand_ins.wire_area.si();
                self.pick((stand_in_mm2 / large_mm2, stand_in_mm2 / small_mm2))
            }
        };
        let warm = match self.corner {
            Corner::Most => 1.0,
            Corner::Least => {
                let rated = wire.insulation.value().copied().unwrap_or(self.spread.warm);
                let now = units::copper::temperature_factor(self.state.temperature);
                (units::copper::temperature_factor(rated) / now).max(1.0)
            }
        };
        length / usual_m.max(f64::MIN_POSITIVE) * size * warm
    }
}

/// What a source delivers at most, as `network` takes it.
fn limit(device: &model::Device) -> Fact<f64> {
    let known = device.fact(Attribute::Limit);
    if known.evidence().is_some() {
        return known;
    }
    match device.role {
        Role::SolarModule => device.fact(Attribute::ShortCurrent),
        _ if device.number(Attribute::Rated).is_some() => device.fact(Attribute::Rated),
        _ => known,
    }
}

/// Lowest and highest factor on a value: its measured spread, one where somebody said or saw it, the
/// usual spread where it is assumed or not known.
fn factors(fact: &Fact<f64>, assumed: (f64, f64)) -> (f64, f64) {
    match fact {
        Fact::Known { value, origin: Origin::Measured { spread: Some(spread), .. } }
            if *value > 0.0 =>
        {
            let share = (spread / value).clamp(0.0, 0.99);
            (1.0 - share, 1.0 + share)
        }
        Fact::Known { origin, .. } if origin.is_evidence() => (1.0, 1.0),
        _ => assumed,
    }
}

fn scale(element: &mut Element, ohm_factor: f64, ampere_factor: f64) {
    match element {
        Element::Resistor { ohm, .. } | Element::OneWay { ohm, .. } => *ohm *= ohm_factor,
        Element::Battery { discharge_ohm, charge_ohm, .. } => {
            *discharge_ohm *= ohm_factor;
            *charge_ohm *= ohm_factor;
        }
        Element::LimitedSource { limit_a, .. } | Element::PowerSource { limit_a, .. } => {
            *limit_a *= ampere_factor;
        }
        // Into a short circuit it delivers its limit at next to no voltage, so its input takes next to
        // nothing; shorted at its input it would deliver less than this.
        Element::Converter { out_plus, out_minus, set_v, droop_ohm, limit_a, .. } => {
            *element = Element::LimitedSource {
                plus: *out_plus,
                minus: *out_minus,
                set_v: *set_v,
                droop_ohm: *droop_ohm,
                limit_a: *limit_a * ampere_factor,
            };
        }
        Element::SolarModule { diode, .. } => diode.light_a *= ampere_factor,
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HALF_TO_TWICE: (f64, f64) = (0.5, 2.0);

    #[test]
    fn a_measured_value_moves_by_its_spread_and_a_told_one_not_at_all() {
        let measured = Origin::Measured { spread: Some(2.0), by: None, on: None };
        assert_eq!(factors(&Fact::known(10.0, measured), HALF_TO_TWICE), (0.8, 1.2));
        assert_eq!(factors(&Fact::known(10.0, Origin::seen()), HALF_TO_TWICE), (1.0, 1.0));
    }

    #[test]
    fn an_assumed_value_may_be_half_or_twice() {
        assert_eq!(factors(&Fact::assumed(10.0, "usual"), HALF_TO_TWICE), HALF_TO_TWICE);
        assert_eq!(factors(&Fact::Unknown, HALF_TO_TWICE), HALF_TO_TWICE);
    }
}
