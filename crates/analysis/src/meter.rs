//! What an instrument would show on the vehicle as recorded, in every state.

use catalog::Machines;
use model::{TerminalId, Vehicle};
use network::instrument::{Probe, Shown, shown};
use network::{Network, Point};
use schemars::JsonSchema;
use serde::Serialize;
use units::{Ampere, Fraction, Volt, Watt};

use crate::case::Case;

/// How an instrument is named.
pub const METER_FORMS: &str =
    "write `volts house.+ to body`, `lamp fridge.+ to fridge.-`, `amps in w12` or `clamp on w12`";

/// A reading that is further than this from what is there without the instrument is worth a remark,
/// as a part of it.
const DISTURBS: f64 = 0.02;

/// Below this nothing is there, V or A.
const NOTHING: f64 = 1e-3;

/// A test lamp glows from about this part of its power on. Common practice, no source.
const GLOWS_FROM: f64 = 0.05;

/// What an instrument shows in one state.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct MeterRow {
    /// The state.
    pub state: String,
    /// What it shows.
    pub shows: String,
    /// What is there without it; empty where nothing fixes it.
    pub without: String,
    /// What to make of it, may be empty.
    pub words: String,
    /// The reading in volt or ampere; absent when there is no answer.
    pub value: Option<f64>,
}

/// Which instrument is put where.
enum Wanted {
    Volts(Spot, Spot),
    Lamp(Spot, Spot),
    Amps(model::WireId),
    Clamp(model::WireId),
}

impl Wanted {
    fn is_on_mains(&self, vehicle: &Vehicle) -> bool {
        let on_mains = |spot: &Spot| match spot {
            Spot::Body => false,
            Spot::Stud(terminal) => vehicle.terminals[*terminal].pole.is_ac(),
        };
        match self {
            Wanted::Volts(a, b) | Wanted::Lamp(a, b) => on_mains(a) || on_mains(b),
            Wanted::Amps(wire) | Wanted::Clamp(wire) => vehicle.is_ac(*wire),
        }
    }
}

#[derive(Clone, Copy)]
enum Spot {
    Body,
    Stud(TerminalId),
}

impl Spot {
    fn point(self, network: &Network) -> Point {
        match self {
            Spot::Body => network.graph.body(),
            Spot::Stud(terminal) => network.graph.stud(terminal),
        }
    }
}

impl Case {
    /// What an instrument named in words ([`METER_FORMS`]) would show in every state.
    ///
    /// # Errors
    /// The words name no instrument, point or wire; what to write instead.
    pub fn meter(&self, words: &str) -> Result<Vec<MeterRow>, String> {
        let wanted = wanted(self.vehicle(), words)?;
        if wanted.is_on_mains(self.vehicle()) {
            return Err(
                "this is on the mains side, where these sums do not reach: mains voltage may \
                        be there; see `unbury ac`"
                    .to_owned(),
            );
        }
        let rows = self.states().map(|(_, state, network, outcome)| {
            let machines = &self.catalog.machines;
            let probe = match wanted {
                Wanted::Volts(a, b) => Probe::Volts(a.point(network), b.point(network)),
                Wanted::Lamp(a, b) => Probe::Lamp(a.point(network), b.point(network)),
                Wanted::Amps(wire) => Probe::Amps(wire),
                Wanted::Clamp(wire) => Probe::Clamp(wire),
            };
            let nominal_v = self.nominal_v();
            match shown(network, outcome, probe, machines, nominal_v) {
                Ok(found) if found.is_empty() => {
                    vec![no_row(&state.name, "not in the direct-current circuit")]
                }
                Ok(found) => found
                    .iter()
                    .map(|shown| row(&state.name, &wanted, *shown, machines, nominal_v))
                    .collect(),
                Err(trouble) => vec![no_row(&state.name, &trouble.to_string())],
            }
        });
        Ok(rows.flatten().collect())
    }

    pub(crate) fn nominal_v(&self) -> f64 {
        let stand_in = self.catalog.stand_ins.nominal;
        self.vehicle().nominal.value().copied().unwrap_or(stand_in).si()
    }
}

fn no_row(state: &str, words: &str) -> MeterRow {
    MeterRow {
        state: state.to_owned(),
        shows: "no number".to_owned(),
        without: String::new(),
        words: words.to_owned(),
        value: None,
    }
}

fn row(
    state: &str,
    wanted: &Wanted,
    shown: Shown,
    machines: &Machines,
    nominal_v: f64,
) -> MeterRow {
    let is_current = matches!(wanted, Wanted::Amps(_) | Wanted::Clamp(_));
    let text = |value: f64| {
        let value = if value.abs() < NOTHING * 1e-3 { 0.0 } else { value };
        if is_current {
            Ampere::from_si(value).to_string()
        } else {
            Volt::from_si(value).to_string()
        }
    };
    let shows = match wanted {
        Wanted::Lamp(..) => lamp(shown.value, machines, nominal_v, &text(shown.value)),
        _ => text(shown.value),
    };
    MeterRow {
        state: state.to_owned(),
        shows,
        without: shown.without.map_or_else(String::new, text),
        words: remark(wanted, shown),
        value: Some(shown.value),
    }
}

/// A test lamp shows light, not volts: its current follows the voltage to the power of the filament
/// law, so its power to one more.
fn lamp(volt: f64, machines: &Machines, nominal_v: f64, text: &str) -> String {
    let part = (volt.abs() / nominal_v).powf(1.0 + machines.lamp_exponent);
    let light = if part < GLOWS_FROM { "dark" } else { "lit" };
    format!(
        "{light}: {text}, {} of its {}",
        Fraction::from_si(part.min(9.99)),
        Watt::from_si(machines.test_lamp_w)
    )
}

fn remark(wanted: &Wanted, shown: Shown) -> String {
    let Some(without) = shown.without else {
        return "nothing fixes the voltage between these points: they float, which is not dead"
            .to_owned();
    };
    let apart = (shown.value - without).abs();
    if without.abs() < NOTHING || apart <= DISTURBS * without.abs() {
        return String::new();
    }
    match wanted {
        Wanted::Volts(..) => {
            "a ghost: the meter itself pulls it down, so next to nothing stands behind it"
        }
        Wanted::Lamp(..) => "the lamp pulls it down: a meter alone would show more",
        Wanted::Amps(_) => "the ammeter's own resistance changes the current it measures",
        Wanted::Clamp(_) => "",
    }
    .to_owned()
}

fn wanted(vehicle: &Vehicle, words: &str) -> Result<Wanted, String> {
    let unread = || format!("`{words}` names no instrument: {METER_FORMS}");
    let (instrument, rest) = words.trim().split_once(char::is_whitespace).ok_or_else(unread)?;
    let between = || -> Result<(Spot, Spot), String> {
        let (a, b) = rest.split_once(" to ").ok_or_else(unread)?;
        Ok((spot(vehicle, a.trim())?, spot(vehicle, b.trim())?))
    };
    let of_wire = || -> Result<model::WireId, String> {
        let name = rest.trim();
        let name = ["in ", "on "].iter().find_map(|word| name.strip_prefix(word)).unwrap_or(name);
        let name = name.trim();
        let found = vehicle.wires.find(|wire| wire.name == name);
        found.map(|(id, _)| id).ok_or_else(|| format!("there is no wire `{name}`: {METER_FORMS}"))
    };
    match instrument {
        "volts" => between().map(|(a, b)| Wanted::Volts(a, b)),
        "lamp" => between().map(|(a, b)| Wanted::Lamp(a, b)),
        "amps" => of_wire().map(Wanted::Amps),
        "clamp" => of_wire().map(Wanted::Clamp),
        _ => Err(unread()),
    }
}

fn spot(vehicle: &Vehicle, name: &str) -> Result<Spot, String> {
    if name == "body" {
        return Ok(Spot::Body);
    }
    let known = vehicle.terminals.ids().find(|id| vehicle.terminal_name(*id) == name);
    known.map(Spot::Stud).ok_or_else(|| {
        format!(
            "there is no terminal `{name}`; write `device.terminal` as in the record, or `body`"
        )
    })
}
