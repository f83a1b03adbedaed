//! States: how the vehicle can stand.

use diag::Diagnostic;
use model::{DeviceId, Engine, Place, Role, Shore, State, Supply};
use units::conductor::{MAX_TEMPERATURE_C, MIN_TEMPERATURE_C};
use units::{Celsius, Dimension, Fraction, Irradiance, Rpm, Volt};

use crate::fields;
use crate::names;
use crate::possible::Must;
use crate::reader::Reader;
use crate::text::Words;
use crate::tree::{Entry, Value};

/// Temperatures of wires and batteries for which the sums are made.
const WEATHER: Must = Must::Between(MIN_TEMPERATURE_C, MAX_TEMPERATURE_C, Dimension::Temperature);

/// A number for each of several devices, in braces: what is said where it is not so.
#[derive(Clone, Copy)]
struct OfDevices {
    role: Role,
    noun: &'static str,
    form: &'static str,
    example: &'static str,
    why: &'static str,
}

const CHARGE: OfDevices = OfDevices {
    role: Role::Battery,
    noun: "battery",
    form: "batteries and how full they are, in braces",
    example: "write `charge = { house = \"80 %\" }`",
    why: "only a battery is full or empty",
};

const COMMANDED: OfDevices = OfDevices {
    role: Role::Alternator,
    noun: "alternator",
    form: "alternators and the voltage they are told to hold, in braces",
    example: "write `commanded = { alternator = \"12.4 V\" }`",
    why: "only an alternator is told a voltage by the engine",
};

const SHADE: OfDevices = OfDevices {
    role: Role::SolarModule,
    noun: "solar module",
    form: "modules and the light lost on one of their groups, in braces",
    example: "write `shade = { panel = \"70 %\" }`",
    why: "only a solar module stands in the shade",
};

impl Reader<'_> {
    pub(crate) fn states(&mut self, lines: &[Entry<'_>]) {
        for line in lines {
            let Some(name) = self.name(&line.key) else { continue };
            let Some(table) = self.table(&line.value, &fields::state(), "a state") else {
                continue;
            };
            let mut state = State::at_rest(name);
            self.engine_and_sun(&table, &mut state);
            if let Some(value) = table.get("shore") {
                let shore = self.choice(value, fields::SHORES, shore);
                state.shore = shore.value().copied().unwrap_or(Shore::Unplugged);
            }
            if let Some(value) = table.get("supply") {
                state.supply = self.choice(value, fields::SUPPLIES, supply);
            }
            if let Some(value) = table.get("temperature") {
                let celsius = self.quantity(value, Dimension::Temperature);
                let celsius = self.possible("temperature", celsius, WEATHER, value.span());
                state.temperature =
                    Celsius::from_si(celsius.value().copied().unwrap_or(State::USUAL_C));
            }
            if let Some(value) = table.get("on") {
                state.on = self.devices_on(value);
            }
            if let Some(value) = table.get("stalled") {
                let words = self.list_of(value);
                let motor = |role| role == Role::MotorLoad;
                state.stalled = words
                    .into_iter()
                    .filter_map(|words| self.device_fit(words, "stalled", motor))
                    .collect();
            }
            if let Some(value) = table.get("open") {
                state.open = self.devices_listed(value);
            }
            if let Some(value) = table.get("charge") {
                state.charge = self
                    .by_device(value, Dimension::Fraction, CHARGE)
                    .into_iter()
                    .map(|(id, share)| (id, Fraction::from_si(share)))
                    .collect();
            }
            self.settle_odds(&table, &mut state);
            let id = self.vehicle.states.push(state);
            self.index.states.insert(name.to_owned(), id);
            self.sources.set(Place::State(id), line.key.span());
        }
    }

    fn plain(&mut self, value: &Value<'_>, dimension: Dimension) -> Option<f64> {
        self.quantity(value, dimension).value().copied()
    }

    fn devices_on(&mut self, value: &Value<'_>) -> Vec<DeviceId> {
        let mut on = Vec::new();
        for words in self.list_of(value) {
            if words.text == "all loads" {
                on.extend(
                    self.vehicle
                        .devices
                        .iter()
                        .filter(|(_, device)| {
                            device.role.is_dc_load() && device.role != Role::Inverter
                        })
                        .map(|(id, _)| id),
                );
            } else {
                on.extend(self.device_fit(words, "turned on", can_be_on));
            }
        }
        on.sort_unstable();
        on.dedup();
        on
    }

    fn devices_listed(&mut self, value: &Value<'_>) -> Vec<DeviceId> {
        let words = self.list_of(value);
        words.into_iter().filter_map(|words| self.device_fit(words, "opened", can_open)).collect()
    }

    /// A device by name that can be what a state says of it.
    fn device_fit(
        &mut self,
        words: Words<'_>,
        done: &str,
        can: fn(Role) -> bool,
    ) -> Option<DeviceId> {
        let way = words.text.split_once('.').and_then(|(name, _)| self.index.devices.get(name));
        if way.is_some_and(|id| can(self.vehicle.devices[*id].role)) {
            let message = format!("`{}` is one way; only a whole device is {done}", words.text);
            self.report(
                Diagnostic::error("wrong-device", message, words.span())
                    .help("write the device's name, or a switch in the circuit of that way"),
            );
            return None;
        }
        let id = self.device_named(words)?;
        let device = &self.vehicle.devices[id];
        if !can(device.role) {
            let message = format!("`{}` ({}) cannot be {done}", device.name, device.kind);
            self.report(Diagnostic::warning("wrong-device", message, words.span()).help(
                "loads, inverters and generators are turned on; switches, breakers and fuses open",
            ));
        }
        Some(id)
    }

    /// Engine speed, commanded voltage, light, heat and shade.
    fn engine_and_sun(
        &mut self,
        table: &std::collections::BTreeMap<&'static str, Value<'_>>,
        state: &mut State,
    ) {
        if let Some(value) = table.get("engine") {
            let engine = self.choice(value, fields::ENGINES, engine);
            state.engine = engine.value().copied().unwrap_or(Engine::Off);
        }
        let speed = |reader: &mut Self, v| reader.plain(v, Dimension::RotationalSpeed);
        state.engine_speed =
            table.get("engine_speed").and_then(|v| speed(self, v)).map(Rpm::from_si);
        if let Some(value) = table.get("commanded") {
            state.commanded = self
                .by_device(value, Dimension::Voltage, COMMANDED)
                .into_iter()
                .map(|(id, volt)| (id, Volt::from_si(volt)))
                .collect();
        }
        if let Some(sun) = table.get("sun").and_then(|v| self.plain(v, Dimension::Irradiance)) {
            state.sun = Irradiance::from_si(sun);
        }
        if let Some(value) = table.get("cells") {
            let celsius = self.quantity(value, Dimension::Temperature);
            let celsius = self.possible("cells", celsius, WEATHER, value.span());
            state.cells = celsius.value().copied().map(Celsius::from_si);
        }
        if let Some(value) = table.get("shade") {
            state.shade = self
                .by_device(value, Dimension::Fraction, SHADE)
                .into_iter()
                .map(|(id, share)| (id, Fraction::from_si(share)))
                .collect();
        }
    }

    /// A number for each of several devices of a role.
    fn by_device(
        &mut self,
        value: &Value<'_>,
        dimension: Dimension,
        of: OfDevices,
    ) -> Vec<(DeviceId, f64)> {
        let Some(entries) = value.entries() else {
            self.report(Diagnostic::error("wrong-form", of.form, value.span()).help(of.example));
            return Vec::new();
        };
        let mut found = Vec::new();
        for entry in entries {
            let Some(device) = self.device_named(entry.key) else { continue };
            if self.vehicle.devices[device].role != of.role {
                let message = format!("`{}` is no {}", self.vehicle.devices[device].name, of.noun);
                self.report(
                    Diagnostic::error("wrong-device", message, entry.key.span()).help(of.why),
                );
                continue;
            }
            if let Some(number) = self.plain(&entry.value, dimension) {
                found.push((device, number));
            }
        }
        found
    }

    /// A state by name.
    pub(crate) fn state_named(&mut self, words: Words<'_>) -> Option<model::StateId> {
        if let Some(id) = self.index.states.get(words.text) {
            return Some(*id);
        }
        let fault = Diagnostic::error(
            "unknown-state",
            format!("there is no state `{}`", names::shown(words.text)),
            words.span(),
        );
        let known = self.index.states.keys().map(String::as_str);
        self.faults.suggest(fault, words.text, known, "write it under `[states]`");
        None
    }
}

fn can_be_on(role: Role) -> bool {
    role.is_dc_load()
        || matches!(role, Role::AcLoad | Role::Generator | Role::OutsideSource | Role::Other)
}

fn can_open(role: Role) -> bool {
    role.protects()
        || role.isolates()
        || role.is_relay()
        || matches!(role, Role::AcBreaker | Role::Shunt)
}

fn engine(word: &str) -> Option<Engine> {
    match word {
        "off" => Some(Engine::Off),
        "running" => Some(Engine::Running),
        _ => None,
    }
}

fn shore(word: &str) -> Option<Shore> {
    match word {
        "unplugged" => Some(Shore::Unplugged),
        "plugged" => Some(Shore::Plugged),
        _ => None,
    }
}

fn supply(word: &str) -> Option<Supply> {
    Supply::ALL.into_iter().find(|supply| supply.key() == word)
}
