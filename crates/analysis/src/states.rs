//! How the vehicle behaves in each state.

use circuit::{Element, NodeId, Sense};
use model::{Attribute, DeviceId, Engine, Role, Shore, State, StateId, Vehicle};
use network::{Group, Network, Port, Remark};
use solve::{NodeVoltage, OperatingPoint, Outcome};
use units::{Ampere, Volt, Watt};

use crate::case::{Case, points};
use crate::device_view;
use crate::view::{LoadRow, StateView};

/// Currents below this are shown as none, A.
const NOTHING_A: f64 = 5e-4;

impl Case {
    /// Every state.
    pub fn state_views(&self) -> Vec<StateView> {
        self.states()
            .map(|(id, state, network, outcome)| self.state_view(id, state, network, outcome))
            .collect()
    }

    fn state_view(
        &self,
        id: StateId,
        state: &State,
        network: &Network,
        outcome: &Outcome,
    ) -> StateView {
        let first = points(outcome).first();
        let monitors = first.map(|point| device_view::monitors(self.vehicle(), network, point));
        let inputs = first.map(|point| self.input_rows(network, point));
        StateView {
            monitors: monitors.unwrap_or_default(),
            inputs: inputs.unwrap_or_default(),
            ..state_view(self.vehicle(), id, state, network, outcome)
        }
    }
}

pub(crate) fn state_view(
    vehicle: &Vehicle,
    id: StateId,
    state: &State,
    network: &Network,
    outcome: &Outcome,
) -> StateView {
    let mut notes = match outcome {
        Outcome::Settled(_) => Vec::new(),
        Outcome::Hunts { between, guards } => {
            let names: Vec<&str> = guards
                .iter()
                .map(|guard| network.circuit.guards()[guard.0 as usize].name.as_str())
                .collect();
            vec![hunting(network, between, guards, &names)]
        }
        Outcome::Trouble(trouble) => vec![trouble.to_string()],
    };
    let points = points(outcome);
    for point in points {
        notes.extend(cut_outs(vehicle, network, point));
    }
    notes.extend(remarks(vehicle, network, points));
    notes.extend(fitting_symptoms(vehicle, id, network, outcome));
    notes.dedup();
    StateView {
        name: state.name.clone(),
        words: words(vehicle, state),
        outcome: outcome_word(outcome).to_owned(),
        notes,
        monitors: Vec::new(),
        inputs: Vec::new(),
        rows: network.ports.iter().flat_map(|port| rows(vehicle, network, port, outcome)).collect(),
        residual_a: points.iter().map(|point| point.residual_a).reduce(f64::max),
        iterations: points.iter().map(|point| point.iterations as usize).sum(),
    }
}

/// The state in words.
pub(crate) fn words(vehicle: &Vehicle, state: &State) -> String {
    let mut pieces = vec![match state.engine {
        Engine::Off => "engine off".to_owned(),
        Engine::Running => match state.engine_speed {
            Some(speed) => format!("engine running at {speed}"),
            None => "engine running".to_owned(),
        },
    }];
    for (id, volt) in &state.commanded {
        pieces.push(format!("{} told to hold {volt}", vehicle.devices[*id].name));
    }
    if state.sun.si() > 0.0 {
        pieces.push(format!("sun {}", state.sun));
    }
    if let Some(cells) = state.cells {
        pieces.push(format!("solar cells at {cells}"));
    }
    for (id, lost) in &state.shade {
        pieces.push(format!("{} shaded on one group by {lost}", vehicle.devices[*id].name));
    }
    if state.shore == Shore::Plugged {
        pieces.push("shore power".to_owned());
    }
    let names = |ids: &[model::DeviceId]| -> String {
        ids.iter().map(|id| vehicle.devices[*id].name.as_str()).collect::<Vec<_>>().join(", ")
    };
    if !state.on.is_empty() {
        pieces.push(format!("on: {}", names(&state.on)));
    }
    if !state.stalled.is_empty() {
        pieces.push(format!("held fast: {}", names(&state.stalled)));
    }
    if !state.open.is_empty() {
        pieces.push(format!("open: {}", names(&state.open)));
    }
    for (id, charge) in &state.charge {
        pieces.push(format!("{} {charge} full", vehicle.devices[*id].name));
    }
    pieces.push(format!("{}", state.temperature));
    pieces.join("; ")
}

fn hunting(
    network: &Network,
    between: &[OperatingPoint],
    guards: &[circuit::GuardId],
    names: &[&str],
) -> String {
    let sensed: Vec<String> = between
        .iter()
        .filter_map(|point| {
            let id = guards.first()?;
            let guard = &network.circuit.guards()[id.0 as usize];
            let sensed = point.sensed(guard.sense)?;
            let sensed = match guard.sense {
                Sense::Between(..) => Volt::from_si(sensed).to_string(),
                Sense::Into(_) | Sense::OutOf(_) => Ampere::from_si(sensed).to_string(),
            };
            let position = if point.guards[id.0 as usize] { "on" } else { "off" };
            Some(format!("{sensed} while {position}"))
        })
        .collect();
    format!(
        "hunts: {} switches on and off again and again ({})",
        names.join(" and "),
        sensed.join(", ")
    )
}

/// Symptoms noticed in this state on a device that hunts or cuts out in it.
fn fitting_symptoms(
    vehicle: &Vehicle,
    id: StateId,
    network: &Network,
    outcome: &Outcome,
) -> Vec<String> {
    let restless = |port: &&Port| match outcome {
        Outcome::Hunts { guards, between } => {
            port.guard.is_some_and(|guard| guards.contains(&guard))
                || between.iter().any(|point| point.is_off(port.branch))
        }
        Outcome::Settled(point) => point.is_off(port.branch),
        Outcome::Trouble(_) => false,
    };
    let devices: Vec<DeviceId> =
        network.ports.iter().filter(restless).map(|port| port.device).collect();
    vehicle
        .symptoms
        .iter()
        .filter(|symptom| {
            symptom.state == Some(id) && symptom.device.is_some_and(|d| devices.contains(&d))
        })
        .map(|symptom| format!("this fits what was noticed: \"{}\"", symptom.words))
        .collect()
}

fn cut_outs(vehicle: &Vehicle, network: &Network, point: &OperatingPoint) -> Vec<String> {
    network
        .ports
        .iter()
        .filter(|port| point.is_off(port.branch))
        .map(|port| {
            let name = &vehicle.devices[port.device].name;
            match port_voltage(network, port, point) {
                Some(_) => format!("{name}: cut out, its voltage is too low"),
                None => format!(
                    "{name}: no complete way to a source is recorded; whether it runs cannot be told"
                ),
            }
        })
        .collect()
}

/// What devices do in this state; what follows from an open guard only while it is open.
fn remarks(vehicle: &Vehicle, network: &Network, points: &[OperatingPoint]) -> Vec<String> {
    let applies = |remark: &&Remark| match remark.while_off {
        None => true,
        Some(guard) => points.iter().any(|point| !point.guards[guard.0 as usize]),
    };
    network
        .remarks
        .iter()
        .filter(applies)
        .map(|remark| format!("{}: {}", vehicle.devices[remark.device].name, remark.words))
        .collect()
}

/// Voltage at a port, where anything fixes it.
fn port_voltage(network: &Network, port: &Port, point: &OperatingPoint) -> Option<f64> {
    between(point, network.stud_node(port.plus)?, network.stud_node(port.minus)?)
}

/// One row, or one for each side while it hunts and the two differ; then each says which side.
fn rows(vehicle: &Vehicle, network: &Network, port: &Port, outcome: &Outcome) -> Vec<LoadRow> {
    let mut rows: Vec<(LoadRow, &OperatingPoint)> = Vec::new();
    for point in points(outcome) {
        let row = row(vehicle, network, port, point);
        if !rows.iter().any(|(known, _)| *known == row) {
            rows.push((row, point));
        }
    }
    let hunting = match outcome {
        Outcome::Hunts { guards, .. } if rows.len() > 1 => guards.first().copied(),
        _ => None,
    };
    let name_side = |(mut row, point): (LoadRow, &OperatingPoint)| {
        if let Some(guard) = hunting {
            let side = if point.guards[guard.0 as usize] { "while on" } else { "while off" };
            row.note =
                if row.note.is_empty() { side.to_owned() } else { format!("{side}: {}", row.note) };
        }
        row
    };
    rows.into_iter().map(name_side).collect()
}

fn row(vehicle: &Vehicle, network: &Network, port: &Port, point: &OperatingPoint) -> LoadRow {
    let device = &vehicle.devices[port.device];
    let volt = port_voltage(network, port, point);
    let converter =
        matches!(network.circuit.branch(port.branch).element, Element::Converter { .. });
    let ampere = if converter {
        point.output_current(port.branch).map_or(0.0, |ampere| -ampere)
    } else {
        point.current(port.branch)
    };
    let ampere = if ampere.abs() < NOTHING_A { 0.0 } else { ampere };
    let guard_off = port.guard.is_some_and(|guard| !point.guards[guard.0 as usize]);
    let mut note = String::new();
    if guard_off {
        note = "switched itself off".to_owned();
    } else if point.is_off(port.branch) {
        note = match volt {
            Some(_) => "has cut out",
            None => "no way to a source recorded",
        }
        .to_owned();
    } else if converter {
        note = format!("takes {}", Ampere::from_si(point.current(port.branch)));
    } else if let Some(watt) = mains_w(device, volt, ampere) {
        note = format!("takes {} from the mains", Watt::from_si(watt));
    } else if device.role == Role::Battery {
        note = if ampere > 0.0 {
            "charging"
        } else if ampere < 0.0 {
            "discharging"
        } else {
            ""
        }
        .to_owned();
    }
    LoadRow {
        device: device.name.clone(),
        group: match port.group {
            Group::Source => "source",
            Group::Converter => "converter",
            Group::Shunt => "shunt",
            Group::Load => "load",
        }
        .to_owned(),
        voltage: volt.map_or_else(|| "floating".to_owned(), |v| Volt::from_si(v).to_string()),
        current: Ampere::from_si(ampere).to_string(),
        power: volt.map_or_else(String::new, |v| Watt::from_si(v * ampere).to_string()),
        note,
        voltage_v: volt,
        current_a: Some(ampere),
    }
}

/// What a mains charger takes to deliver what it does: `V I / efficiency + idle`, W.
fn mains_w(device: &model::Device, volt: Option<f64>, ampere: f64) -> Option<f64> {
    if device.role != Role::MainsCharger {
        return None;
    }
    let efficiency = device.number(Attribute::Efficiency)?;
    let idle_w = device.number(Attribute::Idle).unwrap_or(0.0);
    Some(-volt? * ampere / efficiency + idle_w)
}

/// Voltage between two nodes; none where both float in a piece of circuit that nothing feeds: no
/// voltage there is known, and none is not the same as dead.
pub(crate) fn between(point: &OperatingPoint, a: NodeId, b: NodeId) -> Option<f64> {
    let floats = |node| matches!(point.voltage(node), NodeVoltage::Floating { .. });
    let volt = point.between(a, b)?;
    let undefined = floats(a) && floats(b) && volt.abs() < UNFED_V;
    (!undefined).then_some(volt)
}

/// Differences below this inside a floating piece are those of nothing to nothing, V.
const UNFED_V: f64 = 1e-9;

/// How the sums ended, in a word.
pub(crate) fn outcome_word(outcome: &Outcome) -> &'static str {
    match outcome {
        Outcome::Settled(_) => "settles",
        Outcome::Hunts { .. } => "hunts",
        Outcome::Trouble(_) => "no answer",
    }
}
