//! What each suspect would make the instruments show and the equipment do, state by state. Every
//! suspect is a variant of the state's circuit; what two suspects do together is one variant more.

use catalog::Catalog;
use circuit::{Change, Element, Parameter};
use model::{DeviceId, ReadingPoints, Role, Shows, StateId, Vehicle};
use network::{Group, Network};
use solve::variants::{Answer, Variants};
use solve::{Outcome, Reading, sensitivity};

use crate::evidence::Prediction;
use crate::observe::Observations;
use crate::suspects::Suspect;

/// What the sums may be off by, as shares: a wire's or joint's resistance, what a load draws; and
/// volts a battery at rest may stand beside its curve (estimates).
const RESISTANCE_SPREAD: f64 = 0.10;
const LOAD_SPREAD: f64 = 0.10;
const BATTERY_V: f64 = 0.05;
/// Volts and amperes below which two predictions are not told apart by the sums themselves.
const LEAST_V: f64 = 0.005;
const LEAST_A: f64 = 0.02;
/// Below this share of its nominal voltage equipment is called weak.
const WEAK_SHARE: f64 = 0.88;

/// One state on the bench.
struct Bench {
    state: StateId,
    network: Network,
    variants: Variants,
    /// How each reading of this state follows shared parameters, and its own spread.
    spreads: Vec<(Vec<f64>, f64)>,
}

/// All states that matter, ready to be asked.
pub struct Predictor<'v> {
    vehicle: &'v Vehicle,
    benches: Vec<Bench>,
}

/// What one reading would be: one value, or one for each position of what hunts; `None` where
/// nothing joins the points, so that a meter shows anything.
pub type Values = Option<Vec<f64>>;

/// What a suspect predicts for everything observed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Predicted {
    /// For each reading of [`Observations::taken`].
    pub readings: Vec<Values>,
    /// For each of [`Observations::noticed`].
    pub shows: Vec<Shows>,
}

impl<'v> Predictor<'v> {
    /// Puts the states on the bench. States whose circuit holds a value that no part has are left out.
    pub fn new(vehicle: &'v Vehicle, catalog: &Catalog, states: &[StateId]) -> Predictor<'v> {
        let bench = |state: &StateId| {
            let network = network::build(vehicle, &vehicle.states[*state], catalog);
            let variants = Variants::new(network.circuit.clone()).ok()?;
            Some(Bench { state: *state, network, variants, spreads: Vec::new() })
        };
        Predictor { vehicle, benches: states.iter().filter_map(bench).collect() }
    }

    /// The network of a state.
    pub fn network(&self, state: StateId) -> Option<&Network> {
        self.benches.iter().find(|bench| bench.state == state).map(|bench| &bench.network)
    }

    /// What suspects, each with one of its sizes, would make of everything observed.
    pub fn predict(&mut self, faults: &[(&Suspect, f64)], seen: &Observations) -> Predicted {
        let mut predicted = Predicted {
            readings: vec![None; seen.taken.len()],
            shows: vec![Shows::Dead; seen.noticed.len()],
        };
        let vehicle = self.vehicle;
        for bench in &mut self.benches {
            let changes = changes(vehicle, &bench.network, faults);
            let Ok(outcome) = bench.variants.settle(&changes) else { continue };
            let points = points(&outcome);
            for (at, taken) in seen.taken.iter().enumerate() {
                if taken.state == bench.state {
                    let probe = probe(vehicle, &bench.network, taken.points);
                    predicted.readings[at] = values(&points, probe);
                }
            }
            for (at, noticed) in seen.noticed.iter().enumerate() {
                if noticed.state == bench.state {
                    predicted.shows[at] =
                        shows(vehicle, &bench.network, noticed.device, &points, &outcome);
                }
            }
        }
        predicted
    }

    /// What a probe would show in a state; `None` if the state is not on the bench.
    pub fn reading(
        &mut self,
        faults: &[(&Suspect, f64)],
        state: StateId,
        places: &[ReadingPoints],
    ) -> Option<Vec<Values>> {
        let vehicle = self.vehicle;
        let bench = self.benches.iter_mut().find(|bench| bench.state == state)?;
        let changes = changes(vehicle, &bench.network, faults);
        let outcome = bench.variants.settle(&changes).ok()?;
        let points = points(&outcome);
        let value = |place: &ReadingPoints| values(&points, probe(vehicle, &bench.network, *place));
        Some(places.iter().map(value).collect())
    }

    /// A prediction with the spreads of the sums around it.
    pub fn with_spread(&mut self, seen: &Observations, at: usize, expected: f64) -> Prediction {
        let taken = &seen.taken[at];
        let vehicle = self.vehicle;
        let Some(bench) = self.benches.iter_mut().find(|bench| bench.state == taken.state) else {
            return Prediction { expected, per_parameter: Vec::new(), own_spread: 0.0 };
        };
        if bench.spreads.is_empty() {
            bench.spreads = spreads(vehicle, bench, seen);
        }
        let (per_parameter, own) = bench.spreads[at].clone();
        Prediction { expected, per_parameter, own_spread: own }
    }
}

fn changes(vehicle: &Vehicle, network: &Network, faults: &[(&Suspect, f64)]) -> Vec<Change> {
    faults
        .iter()
        .flat_map(|(suspect, size)| suspect.fault.changes(vehicle, network, *size))
        .collect()
}

fn points(outcome: &Outcome<Answer>) -> Vec<&Answer> {
    match outcome {
        Outcome::Settled(point) => vec![point],
        Outcome::Hunts { between, .. } => between.iter().collect(),
        Outcome::Trouble(_) => Vec::new(),
    }
}

/// Where an instrument sits in a state's circuit; `None` if it cannot be put there.
fn probe(vehicle: &Vehicle, network: &Network, places: ReadingPoints) -> Option<Reading> {
    match places {
        ReadingPoints::Between(a, b) => {
            network.stud_node(a).zip(network.stud_node(b)).map(|(a, b)| Reading::Between(a, b))
        }
        ReadingPoints::In(wire) => network.wire_branch(wire).map(Reading::Current),
        ReadingPoints::On(_) => {
            let mut shunts = vehicle.devices.iter().filter(|(_, d)| d.role == Role::Shunt);
            match (shunts.next(), shunts.next()) {
                (Some((shunt, _)), None) => network
                    .contacts()
                    .iter()
                    .find(|contact| contact.0 == shunt)
                    .map(|contact| Reading::Current(contact.2)),
                _ => None,
            }
        }
    }
}

fn values(points: &[&Answer], probe: Option<Reading>) -> Values {
    let each = points.iter().map(|point| match probe? {
        Reading::Between(a, b) => point.between(a, b),
        Reading::Current(branch) => Some(point.current(branch)),
    });
    let values: Vec<f64> = each.collect::<Option<_>>()?;
    (!values.is_empty()).then_some(values)
}

/// What equipment does, by its voltage, its current and whether it hunts.
fn shows(
    vehicle: &Vehicle,
    network: &Network,
    device: DeviceId,
    points: &[&Answer],
    outcome: &Outcome<Answer>,
) -> Shows {
    let Some(port) = network.ports.iter().find(|port| port.device == device) else {
        return Shows::Dead;
    };
    if let Outcome::Hunts { guards, .. } = outcome
        && port.guard.is_some_and(|guard| guards.contains(&guard))
    {
        return Shows::Hunts;
    }
    let Some(point) = points.first() else { return Shows::Dead };
    let element = &network.circuit.branch(port.branch).element;
    let is_off = point.off().contains(&port.branch)
        || port.guard.is_some_and(|guard| !point.guards()[guard.0 as usize]);
    if port.group == Group::Source || port.group == Group::Converter {
        let output =
            point.output_current(port.branch).unwrap_or_else(|| -point.current(port.branch));
        let most = element.value(Parameter::LimitAmpere).unwrap_or(0.0);
        return match () {
            () if is_off || output <= LEAST_A => Shows::Dead,
            () if output < 0.5 * most => Shows::Weak,
            () => Shows::Works,
        };
    }
    let nodes = (network.stud_node(port.plus), network.stud_node(port.minus));
    let volt = nodes.0.zip(nodes.1).and_then(|(a, b)| point.between(a, b)).unwrap_or(0.0);
    let nominal = vehicle.nominal.value().map_or(12.0, |v| v.si());
    let draws = point.current(port.branch).abs() > 0.1 * nominal_current(element, nominal);
    match () {
        () if is_off || !draws => Shows::Dead,
        () if volt < WEAK_SHARE * nominal => Shows::Weak,
        () => Shows::Works,
    }
}

fn nominal_current(element: &Element, nominal_v: f64) -> f64 {
    match element {
        Element::ConstantPower { watt, .. } => watt / nominal_v,
        Element::Lamp { rated_a, .. } => *rated_a,
        Element::Resistor { ohm, .. } => nominal_v / ohm,
        Element::Motor { armature_ohm, back_emf_v, .. } => (nominal_v - back_emf_v) / armature_ohm,
        _ => 0.0,
    }
}

/// First-order spreads of every reading of a state at the vehicle as written: batteries' rest
/// voltages are shared parameters, resistances and loads each reading's own.
fn spreads(vehicle: &Vehicle, bench: &Bench, seen: &Observations) -> Vec<(Vec<f64>, f64)> {
    let circuit = &bench.network.circuit;
    let starts = match solve::settle(circuit) {
        Outcome::Settled(point) => point.guards,
        Outcome::Hunts { between, .. } => between[0].guards.clone(),
        Outcome::Trouble(_) => circuit.guards().iter().map(|guard| guard.starts_on).collect(),
    };
    let mut at = sensitivity::Sensitivities::at(circuit, &starts).ok();
    let batteries: Vec<circuit::BranchId> = circuit
        .branches()
        .filter(|(_, branch)| matches!(branch.element, Element::Battery { .. }))
        .map(|(id, _)| id)
        .collect();
    seen.taken
        .iter()
        .map(|taken| {
            let least = match taken.points {
                ReadingPoints::Between(..) => LEAST_V,
                ReadingPoints::In(_) | ReadingPoints::On(_) => LEAST_A,
            };
            let nothing = (vec![0.0; batteries.len()], least);
            if taken.state != bench.state {
                return nothing;
            }
            let Some(reading) = probe(vehicle, &bench.network, taken.points) else {
                return nothing;
            };
            let Some(derivatives) = at.as_mut().and_then(|at| at.of(reading)) else {
                return nothing;
            };
            let mut spread = nothing;
            let mut own = least * least;
            for (branch, parameter, slope) in derivatives {
                let share = match parameter {
                    Parameter::RestVolt => {
                        let battery = batteries.iter().position(|id| *id == branch);
                        battery.into_iter().for_each(|at| spread.0[at] = BATTERY_V * slope);
                        continue;
                    }
                    Parameter::Ohm | Parameter::DischargeOhm => RESISTANCE_SPREAD,
                    Parameter::Watt | Parameter::RatedAmpere | Parameter::BackEmfVolt => {
                        LOAD_SPREAD
                    }
                    _ => continue,
                };
                let value = circuit.branch(branch).element.value(parameter).unwrap_or(0.0);
                own += (share * value * slope).powi(2);
            }
            spread.1 = own.sqrt();
            spread
        })
        .collect()
}
