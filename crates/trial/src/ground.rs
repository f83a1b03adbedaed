//! A vehicle under trial with what is worked out once for it: suspects, where to hold the black probe,
//! the usual walk along its circuits.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use catalog::Catalog;
use diagnose::Suspect;
use model::{DeviceId, Fact, Pole, Role, TerminalId, Vehicle};

/// A vehicle under trial.
pub struct Ground {
    /// What it is called in the report.
    pub name: String,
    /// The vehicle as it is written down.
    pub vehicle: Vehicle,
    /// The catalog.
    pub catalog: Catalog,
    /// Everything that may be wrong with it.
    pub suspects: Vec<Suspect>,
    /// Where the black probe is held: a minus point that takes least to get at.
    pub black: TerminalId,
}

impl Ground {
    /// A record under trial. Its own complaint, readings, history and what was seen of its joints are
    /// laid aside: each case has its own. `None` if it has no battery with a house side or no suspects.
    pub fn new(name: &str, text: &str) -> Option<Ground> {
        let catalog = Catalog::embedded();
        let mut vehicle = record::read(text, &catalog).vehicle;
        vehicle.readings.clear();
        vehicle.symptoms.clear();
        vehicle.history = model::History::default();
        let joints: Vec<_> = vehicle.joints.ids().collect();
        joints.into_iter().for_each(|id| vehicle.joints[id].condition = Fact::Unknown);
        let suspects = diagnose::suspects(&vehicle, &catalog);
        let black = black(&vehicle)?;
        let ground = Ground { name: name.to_owned(), vehicle, catalog, suspects, black };
        (!ground.suspects.is_empty() && !ground.vehicle.states.is_empty()).then_some(ground)
    }

    /// Terminals on the usual walk to a device: from the batteries of the house outward on the feed
    /// side, then on the return side.
    pub fn walk(&self, device: DeviceId) -> Vec<TerminalId> {
        let terminals = &self.vehicle.devices[device].terminals;
        let of = |pole: Pole| {
            terminals.iter().copied().find(|id| self.vehicle.terminals[*id].pole == pole)
        };
        let mut walk = Vec::new();
        for pole in [Pole::Plus, Pole::Minus] {
            if let Some(to) = of(pole) {
                walk.extend(self.path(&starts(&self.vehicle, pole), to));
            }
        }
        let mut seen = BTreeSet::new();
        walk.retain(|terminal| seen.insert(*terminal));
        walk
    }

    /// The shortest path by hops along wires and through contacts.
    fn path(&self, from: &[TerminalId], to: TerminalId) -> Vec<TerminalId> {
        let mut before: BTreeMap<TerminalId, Option<TerminalId>> =
            from.iter().map(|start| (*start, None)).collect();
        let mut queue: VecDeque<TerminalId> = from.iter().copied().collect();
        while let Some(at) = queue.pop_front() {
            if at == to {
                break;
            }
            for next in self.beside(at) {
                before.entry(next).or_insert_with(|| {
                    queue.push_back(next);
                    Some(at)
                });
            }
        }
        let mut path = Vec::new();
        let mut at = before.contains_key(&to).then_some(to);
        while let Some(terminal) = at {
            path.push(terminal);
            at = before[&terminal];
        }
        path.reverse();
        path
    }

    fn beside(&self, at: TerminalId) -> Vec<TerminalId> {
        let vehicle = &self.vehicle;
        let mut beside: Vec<TerminalId> = vehicle
            .wires_at(at)
            .filter_map(|(wire, end)| vehicle.wires[wire].terminal(end.other()))
            .collect();
        let home = &vehicle.devices[vehicle.terminals[at].device];
        let joins = matches!(
            home.role,
            Role::Fuse
                | Role::Breaker
                | Role::Switch
                | Role::FuseBox
                | Role::Shunt
                | Role::CombinerRelay
                | Role::Junction
        );
        if joins {
            beside.extend(home.terminals.iter().copied().filter(|other| *other != at));
        }
        if home.is_chassis {
            let others = vehicle.devices.iter().filter(|(_, device)| device.is_chassis);
            beside.extend(others.flat_map(|(_, device)| device.terminals.iter().copied()));
        }
        beside
    }
}

/// Poles of the batteries of the house; of all batteries if none belongs to it.
fn starts(vehicle: &Vehicle, pole: Pole) -> Vec<TerminalId> {
    let batteries = |house_only: bool| -> Vec<TerminalId> {
        vehicle
            .devices
            .iter()
            .filter(|(_, device)| device.role == Role::Battery)
            .filter(|(_, device)| !(house_only && device.base_vehicle))
            .flat_map(|(_, device)| device.terminals.iter().copied())
            .filter(|id| vehicle.terminals[*id].pole == pole)
            .collect()
    };
    let house = batteries(true);
    if house.is_empty() { batteries(false) } else { house }
}

/// The minus point with the fewest parts in front of it: of a house battery before a point of the
/// body.
fn black(vehicle: &Vehicle) -> Option<TerminalId> {
    let in_front = |terminal: TerminalId| {
        let reach = vehicle.devices[vehicle.terminals[terminal].device].reach.value();
        reach.and_then(|reach| reach.iter().map(Vec::len).min()).unwrap_or(usize::MAX)
    };
    let body = vehicle
        .devices
        .iter()
        .filter(|(_, device)| device.is_chassis)
        .flat_map(|(_, device)| device.terminals.iter().copied());
    starts(vehicle, Pole::Minus).into_iter().chain(body).min_by_key(|terminal| in_front(*terminal))
}
