//! States: how the vehicle can stand.

use diag::Diagnostic;
use model::{DeviceId, Engine, Place, Role, Shore, State, Supply};
use units::conductor::{MAX_TEMPERATURE_C, MIN_TEMPERATURE_C};
use units::{Celsius, Dimension, Fraction, Irradiance};

use crate::fields;
use crate::names;
use crate::possible::Must;
use crate::reader::Reader;
use crate::text::Words;
use crate::tree::{Entry, Value};

/// Temperatures of wires and batteries for which the sums are made.
const WEATHER: Must = Must::Between(MIN_TEMPERATURE_C, MAX_TEMPERATURE_C, Dimension::Temperature);

impl Reader<'_> {
    pub(crate) fn states(&mut self, lines: &[Entry<'_>]) {
        for line in lines {
            let Some(name) = self.name(&line.key) else { continue };
            let Some(table) = self.table(&line.value, &fields::state(), "a state") else {
                continue;
            };
            let mut state = State::at_rest(name);
            if let Some(value) = table.get("engine") {
                let engine = self.choice(value, fields::ENGINES, engine);
                state.engine = engine.value().copied().unwrap_or(Engine::Off);
            }
            if let Some(value) = table.get("shore") {
                let shore = self.choice(value, fields::SHORES, shore);
                state.shore = shore.value().copied().unwrap_or(Shore::Unplugged);
            }
            if let Some(value) = table.get("supply") {
                state.supply = self.choice(value, fields::SUPPLIES, supply);
            }
            if let Some(sun) = table.get("sun").and_then(|v| self.plain(v, Dimension::Irradiance)) {
                state.sun = Irradiance::from_si(sun);
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
            if let Some(value) = table.get("open") {
                state.open = self.devices_listed(value);
            }
            if let Some(value) = table.get("charge") {
                state.charge = self.charges(value);
            }
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

    fn charges(&mut self, value: &Value<'_>) -> Vec<(DeviceId, Fraction)> {
        let Some(entries) = value.entries() else {
            self.report(
                Diagnostic::error(
                    "wrong-form",
                    "batteries and how full they are, in braces",
                    value.span(),
                )
                .help("write `charge = { house = \"80 %\" }`"),
            );
            return Vec::new();
        };
        let mut charges = Vec::new();
        for entry in entries {
            let Some(device) = self.device_named(entry.key) else { continue };
            if self.vehicle.devices[device].role != Role::Battery {
                let message = format!("`{}` is no battery", self.vehicle.devices[device].name);
                self.report(
                    Diagnostic::error("wrong-device", message, entry.key.span())
                        .help("only a battery is full or empty"),
                );
                continue;
            }
            if let Some(share) = self.plain(&entry.value, Dimension::Fraction) {
                charges.push((device, Fraction::from_si(share)));
            }
        }
        charges
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
    role.is_dc_load() || matches!(role, Role::AcLoad | Role::Generator | Role::Other)
}

fn can_open(role: Role) -> bool {
    role.protects() || role.isolates() || matches!(role, Role::AcBreaker | Role::Shunt)
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
