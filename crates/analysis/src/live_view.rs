//! The live map in full: conductors and studs with voltage class and prospective current, and what would
//! make more of them live.

use std::collections::BTreeMap;

use live::{LiveMap, Status, Use};
use model::{Attribute, DeviceId, Engine, Role, Shore, State, TerminalId, Vehicle, WireEnd};
use schemars::JsonSchema;
use serde::Serialize;
use units::{Ampere, Irradiance, Volt};

use crate::case::Case;
use crate::live_map::{path, status};
use crate::view::{LineUse, LivePath};

/// Full daylight (IEC 60904-3, from memory).
const DAYLIGHT_W_PER_M2: f64 = 1000.0;

/// Everything the live map says of one state.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct LiveState {
    /// The state.
    pub state: String,
    /// Wires, studs and the body.
    pub conductors: Vec<LiveConductor>,
    /// What would make more live.
    pub could: Vec<CouldBeLive>,
    /// Devices that may hold a cell of their own: find out.
    pub find_out: Vec<String>,
}

/// A wire, a stud or the body in a state.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct LiveConductor {
    /// Its name: `w1`, `house.+`, `body`.
    pub name: String,
    /// `wire`, `stud` or `body`.
    pub sort: String,
    /// `live`, `may be live`, `return` or `not reached`.
    pub status: LineUse,
    /// Each source that energises it, with the path.
    pub from: Vec<LivePath>,
    /// `mains`, `d.c. up to 60 V`, `d.c., may be above 60 V`, `high voltage`; empty when not energised.
    pub class: String,
    /// What a short circuit there can draw at most, in any state; empty where that was not computed.
    pub prospective: String,
    /// The same, A.
    pub prospective_a: Option<f64>,
}

/// What would make conductors live that are not, or not certainly.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct CouldBeLive {
    /// What happens.
    pub when: String,
    /// Wires that would be live, or may be.
    pub wires: Vec<String>,
    /// The sources that would feed them.
    pub from: Vec<String>,
}

impl Case {
    /// The live map of every state, or of one, in full.
    pub fn live_states(&self, wanted: Option<&str>) -> Vec<LiveState> {
        let states = self.states().filter(|(_, s, ..)| wanted.is_none_or(|name| s.name == name));
        states
            .map(|(_, state, network, _)| {
                let map = live::map(self.vehicle(), state, network);
                LiveState {
                    state: state.name.clone(),
                    conductors: self.conductors(&map),
                    could: self.could(state, &map),
                    find_out: self.perhaps_cells(),
                }
            })
            .collect()
    }

    fn conductors(&self, map: &LiveMap) -> Vec<LiveConductor> {
        let vehicle = self.vehicle();
        let mut rows = Vec::new();
        for (id, wire) in vehicle.wires.iter() {
            let ends = WireEnd::BOTH.into_iter().filter_map(|end| wire.terminal(end));
            rows.push(self.conductor(&wire.name, "wire", map.wire(id), ends));
        }
        for id in vehicle.terminals.ids() {
            let name = vehicle.terminal_name(id);
            rows.push(self.conductor(&name, "stud", map.terminal(id), [id].into_iter()));
        }
        rows.push(self.conductor("body", "body", &map.body, std::iter::empty()));
        rows
    }

    fn conductor(
        &self,
        name: &str,
        sort: &str,
        found: &Use,
        studs: impl Iterator<Item = TerminalId> + Clone,
    ) -> LiveConductor {
        let vehicle = self.vehicle();
        let energised = matches!(found.status, Status::Live | Status::MayBeLive);
        let mains = studs.clone().any(|stud| vehicle.terminals[stud].pole.is_ac());
        let most_a = studs.filter_map(|stud| self.most_a(stud)).reduce(f64::max);
        let most_a = most_a.filter(|_| energised && !mains);
        let sources = found.from.iter().map(|reached| reached.source);
        LiveConductor {
            name: name.to_owned(),
            sort: sort.to_owned(),
            status: status(found.status),
            from: found.from.iter().map(|reached| path(vehicle, reached)).collect(),
            class: match energised {
                true if mains => "mains".to_owned(),
                true => self.class(sources),
                false => String::new(),
            },
            prospective: most_a.map_or_else(String::new, |a| Ampere::from_si(a).to_string()),
            prospective_a: most_a,
        }
    }

    /// The class of what these sources may bring. Modules count as in series, for they may be.
    fn class(&self, sources: impl Iterator<Item = DeviceId>) -> String {
        let (mut most_v, mut solar_v) = (0.0_f64, 0.0_f64);
        for id in sources {
            let device = &self.vehicle().devices[id];
            if device.high_voltage {
                return "high voltage".to_owned();
            }
            match device.role {
                Role::SolarModule => {
                    solar_v += device.number(Attribute::OpenVoltage).unwrap_or(0.0)
                }
                _ => most_v = most_v.max(self.highest_v()),
            }
        }
        let limit_v = self.catalog.dead.limits.touch_dc_v;
        let above = most_v.max(solar_v) > limit_v;
        let words = if above { "d.c., may be above" } else { "d.c. up to" };
        format!("{words} {}", Volt::from_si(limit_v))
    }

    /// Each thing that can happen, alone.
    fn could(&self, state: &State, now: &LiveMap) -> Vec<CouldBeLive> {
        let mut could: Vec<CouldBeLive> = self.relays(now);
        for (when, then) in self.events(state) {
            let network = network::build(self.vehicle(), &then, &self.catalog);
            let map = live::map(self.vehicle(), &then, &network);
            could.extend(self.raised(when, now, &map));
        }
        could
    }

    /// The wires that an event raises.
    fn raised(&self, when: String, now: &LiveMap, then: &LiveMap) -> Option<CouldBeLive> {
        let vehicle = self.vehicle();
        let (mut wires, mut from) = (Vec::new(), Vec::new());
        for (id, wire) in vehicle.wires.iter() {
            let (was, is) = (now.wire(id), then.wire(id));
            if is.status >= was.status || is.status > Status::MayBeLive {
                continue;
            }
            wires.push(wire.name.clone());
            let new = is.from.iter().filter(|way| !was.from.iter().any(|w| w.source == way.source));
            from.extend(new.map(|way| vehicle.devices[way.source].name.clone()));
        }
        from.sort();
        from.dedup();
        (!wires.is_empty()).then_some(CouldBeLive { when, wires, from })
    }

    /// What the map already calls possible because a relay may close.
    fn relays(&self, now: &LiveMap) -> Vec<CouldBeLive> {
        let vehicle = self.vehicle();
        let mut by: BTreeMap<String, CouldBeLive> = BTreeMap::new();
        for (id, wire) in vehicle.wires.iter() {
            let found = now.wire(id);
            if found.status != Status::MayBeLive {
                continue;
            }
            for way in &found.from {
                let Some(doubt) = way.doubt.filter(|d| d.kind == live::DoubtKind::RelayMayClose)
                else {
                    continue;
                };
                let network::Item::Device(relay) = doubt.item else { continue };
                let when = format!("{} closes", vehicle.devices[relay].label);
                let new = CouldBeLive { when: when.clone(), wires: Vec::new(), from: Vec::new() };
                let row = by.entry(when).or_insert(new);
                row.wires.push(wire.name.clone());
                row.from.push(vehicle.devices[way.source].name.clone());
            }
        }
        let rows = by.into_values().map(|mut row| {
            row.wires.dedup();
            row.from.sort();
            row.from.dedup();
            row
        });
        rows.collect()
    }

    /// What can happen to a vehicle in a state, and the state then.
    fn events(&self, state: &State) -> Vec<(String, State)> {
        let vehicle = self.vehicle();
        let has = |role: Role| vehicle.devices.iter().any(|(_, device)| device.role == role);
        let mut events: Vec<(String, State)> = Vec::new();
        let mut event = |when: String, change: &dyn Fn(&mut State)| {
            let mut then = state.clone();
            change(&mut then);
            events.push((when, then));
        };
        if has(Role::ShoreInlet) && state.shore == Shore::Unplugged {
            event("somebody plugs the shore lead in".to_owned(), &|s| s.shore = Shore::Plugged);
        }
        if has(Role::SolarModule) && state.sun.si() <= 0.0 {
            let light = Irradiance::from_si(DAYLIGHT_W_PER_M2);
            event("the sun comes up".to_owned(), &|s| s.sun = light);
        }
        if has(Role::Alternator) && state.engine == Engine::Off {
            event("the engine starts".to_owned(), &|s| s.engine = Engine::Running);
        }
        for (id, device) in vehicle.devices.iter().filter(|(id, _)| !state.on.contains(id)) {
            let when = match device.role {
                Role::Inverter => format!("{} wakes", device.label),
                Role::Generator => format!("{} starts", device.label),
                Role::OutsideSource => format!("{} is plugged in or switched on", device.label),
                _ => continue,
            };
            event(when, &|s| s.on.push(id));
        }
        for id in &state.open {
            let when = format!("somebody closes {}", vehicle.devices[*id].label);
            event(when, &|s| s.open.retain(|open| open != id));
        }
        events
    }

    fn perhaps_cells(&self) -> Vec<String> {
        let vehicle: &Vehicle = self.vehicle();
        let devices = vehicle.devices.iter().filter(|(_, device)| device.own_cell.is_unknown());
        devices.map(|(_, device)| device.name.clone()).collect()
    }
}
