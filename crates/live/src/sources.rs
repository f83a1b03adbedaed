//! Which sources there are in a state, and whether those that need feeding are fed. Knows no
//! return and no way.

use std::collections::BTreeSet;

use model::{
    Attribute, DeviceId, Engine, Id, Pole, Role, Shore, State, TerminalId, Vehicle, WireEnd,
};
use network::{Item, Network, Point};

use crate::{Doubt, DoubtKind, Status};

/// A source of direct current.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct DcSource {
    pub(crate) device: DeviceId,
    pub(crate) plus: TerminalId,
    pub(crate) minus: TerminalId,
    /// Set when it is not certain that it delivers.
    pub(crate) doubt: Option<Doubt>,
}

/// One pole of a source on the mains side.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct MainsSource {
    pub(crate) device: DeviceId,
    pub(crate) terminal: TerminalId,
    /// Set when it is not certain that it delivers.
    pub(crate) doubt: Option<Doubt>,
}

/// All sources of a state.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Sources {
    pub(crate) dc: Vec<DcSource>,
    pub(crate) mains: Vec<MainsSource>,
}

/// How surely a device that passes energy on gets any, least first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Feed {
    /// It gets none.
    None,
    /// That cannot be told.
    Doubtful,
    /// It is fed.
    Certain,
}

/// Minus terminals of all batteries.
pub(crate) fn battery_minuses(vehicle: &Vehicle) -> Vec<TerminalId> {
    vehicle
        .devices
        .iter()
        .filter(|(_, device)| device.role == Role::Battery)
        .filter_map(|(id, _)| pole(vehicle, id, Pole::Minus))
        .collect()
}

/// The sources of a state, given how each device is fed (rules 1 to 6).
pub(crate) fn list(vehicle: &Vehicle, state: &State, feeds: &[Feed]) -> Sources {
    let mut sources = Sources::default();
    for ((id, device), feed) in vehicle.devices.iter().zip(feeds) {
        if let Some(doubt) = doubt_of(id, *feed) {
            match device.role {
                Role::ShoreInlet | Role::Generator => sources.add_mains(vehicle, id, "", doubt),
                Role::OutsideSource => {
                    let kind = DoubtKind::MayBeOn;
                    let doubt = doubt.map(|_| Doubt { item: Item::Device(id), kind });
                    sources.add_dc(vehicle, id, doubt);
                    sources.add_mains(vehicle, id, "", doubt);
                }
                Role::Inverter => {
                    if state.on.contains(&id) {
                        sources.add_mains(vehicle, id, "out", doubt);
                    }
                }
                _ => sources.add_dc(vehicle, id, doubt),
            }
        }
        if device.role == Role::Inverter && may_charge(vehicle, state, id) {
            let kind = DoubtKind::ThroughConverter;
            sources.add_dc(vehicle, id, Some(Doubt { item: Item::Device(id), kind }));
        }
    }
    sources
}

/// Where nobody has looked: terminals of which a wire's far end, or any wire, is unrecorded.
pub(crate) struct Unfollowed(Vec<bool>);

impl Unfollowed {
    pub(crate) fn is(&self, terminal: TerminalId) -> bool {
        self.0[terminal.index()]
    }
}

impl Unfollowed {
    pub(crate) fn new(vehicle: &Vehicle, network: &Network) -> Unfollowed {
        let graph = &network.graph;
        let ends = vehicle.wires.iter().flat_map(|(id, wire)| {
            let open = WireEnd::BOTH.into_iter().filter(|end| wire.terminal(*end).is_none());
            open.map(move |end| graph.wire_end(id, end))
        });
        let ends: Vec<Point> = ends.collect();
        let metal = graph.metal(ends);
        let studs = vehicle.terminals.ids().map(|terminal| graph.stud(terminal));
        Unfollowed(studs.map(|stud| metal.reaches(stud) || !has_wire(network, stud)).collect())
    }
}

/// How each device is fed, given what is reached so far.
pub(crate) fn feeds(
    vehicle: &Vehicle,
    state: &State,
    unfollowed: &Unfollowed,
    status: impl Fn(TerminalId) -> Status,
) -> Vec<Feed> {
    let fed_by = |input: Option<TerminalId>| match input.map(&status) {
        Some(Status::Live) => Feed::Certain,
        _ => Feed::Doubtful,
    };
    let when = |active: bool, feed: Feed| if active { feed } else { Feed::None };
    let feed = |id: DeviceId| match vehicle.devices[id].role {
        Role::Battery => Feed::Certain,
        Role::Alternator => when(state.engine == Engine::Running, Feed::Certain),
        Role::SolarModule => when(state.sun.si() > 0.0, Feed::Certain),
        Role::ShoreInlet => when(state.shore == Shore::Plugged, Feed::Certain),
        Role::Generator => when(state.on.contains(&id), Feed::Certain),
        Role::OutsideSource => outside(vehicle, state, id),
        Role::MainsCharger => {
            when(has_supply(vehicle, state), mains_feed(vehicle, unfollowed, id, &status))
        }
        Role::DcDcCharger => {
            when(state.engine == Engine::Running, fed_by(vehicle.terminal_of(id, "in+")))
        }
        Role::Inverter => when(state.on.contains(&id), fed_by(pole(vehicle, id, Pole::Plus))),
        _ => Feed::None,
    };
    vehicle.devices.ids().map(feed).collect()
}

impl Sources {
    /// Keeps the first poles, direct current first; gives back the terminals of the others.
    pub(crate) fn split_off(&mut self, most: usize) -> Vec<TerminalId> {
        let dc = self.dc.split_off(self.dc.len().min(most));
        let room = most - self.dc.len();
        let mains = self.mains.split_off(self.mains.len().min(room));
        let poles = dc.iter().flat_map(|source| [source.plus, source.minus]);
        poles.chain(mains.iter().map(|source| source.terminal)).collect()
    }

    /// Leaves out what was taken away.
    pub(crate) fn without(&mut self, gone: &BTreeSet<DeviceId>) {
        self.dc.retain(|source| !gone.contains(&source.device));
        self.mains.retain(|source| !gone.contains(&source.device));
    }

    fn add_dc(&mut self, vehicle: &Vehicle, device: DeviceId, doubt: Option<Doubt>) {
        let named = |name| vehicle.terminal_of(device, name);
        let plus = named("out+").or_else(|| pole(vehicle, device, Pole::Plus));
        let minus = named("out-").or_else(|| pole(vehicle, device, Pole::Minus));
        if let (Some(plus), Some(minus)) = (plus, minus) {
            self.dc.push(DcSource { device, plus, minus, doubt });
        }
    }

    /// A store: energy that stands at a device's input.
    fn add_input(&mut self, vehicle: &Vehicle, device: DeviceId, doubt: Doubt) {
        let named = |name| vehicle.terminal_of(device, name);
        let plus = named("in+").or_else(|| pole(vehicle, device, Pole::Plus));
        let minus = named("in-").or_else(|| pole(vehicle, device, Pole::Minus));
        if let (Some(plus), Some(minus)) = (plus, minus) {
            self.dc.push(DcSource { device, plus, minus, doubt: Some(doubt) });
        }
    }

    fn add_mains(
        &mut self,
        vehicle: &Vehicle,
        device: DeviceId,
        group: &str,
        doubt: Option<Doubt>,
    ) {
        for terminal in &vehicle.devices[device].terminals {
            let row = &vehicle.terminals[*terminal];
            if matches!(row.pole, Pole::Line | Pole::Neutral) && row.name.starts_with(group) {
                self.mains.push(MainsSource { device, terminal: *terminal, doubt });
            }
        }
    }
}

/// None: no source. Some: a source, with its doubt.
fn doubt_of(id: DeviceId, feed: Feed) -> Option<Option<Doubt>> {
    match feed {
        Feed::None => None,
        Feed::Doubtful => {
            Some(Some(Doubt { item: Item::Device(id), kind: DoubtKind::FeedUncertain }))
        }
        Feed::Certain => Some(None),
    }
}

/// A charger's mains input: as surely as the surer of its poles is reached; in doubt when what is
/// wired to it was not followed to its end.
fn mains_feed(
    vehicle: &Vehicle,
    unfollowed: &Unfollowed,
    id: DeviceId,
    status: &impl Fn(TerminalId) -> Status,
) -> Feed {
    let terminals = vehicle.devices[id].terminals.iter().copied();
    let poles =
        terminals.filter(|t| matches!(vehicle.terminals[*t].pole, Pole::Line | Pole::Neutral));
    poles
        .map(|terminal| match status(terminal) {
            Status::Live => Feed::Certain,
            Status::MayBeLive => Feed::Doubtful,
            _ if unfollowed.is(terminal) => Feed::Doubtful,
            _ => Feed::None,
        })
        .max()
        .unwrap_or(Feed::None)
}

/// Rule 21.
fn outside(vehicle: &Vehicle, state: &State, id: DeviceId) -> Feed {
    let device = &vehicle.devices[id];
    if device.high_voltage || state.on.contains(&id) {
        Feed::Certain
    } else if device.own_cell.value() == Some(&false) {
        Feed::None
    } else {
        Feed::Doubtful
    }
}

/// Rule 22: devices that hold charge or a cell of their own, and why.
pub(crate) fn stores(vehicle: &Vehicle) -> Vec<DcSource> {
    let kind = |id: DeviceId| {
        let device = &vehicle.devices[id];
        let stores = device.number(Attribute::Capacitance).is_some_and(|farad| farad > 0.0);
        if device.role == Role::OutsideSource {
            None
        } else if device.own_cell.value() == Some(&true) {
            Some(DoubtKind::OwnCell)
        } else {
            (device.role == Role::Inverter || stores).then_some(DoubtKind::StoredCharge)
        }
    };
    let mut sources = Sources::default();
    for id in vehicle.devices.ids() {
        if let Some(kind) = kind(id) {
            sources.add_input(vehicle, id, Doubt { item: Item::Device(id), kind });
        }
    }
    sources.dc
}

fn has_wire(network: &Network, stud: Point) -> bool {
    network.graph.links_at(stud).any(|(_, link)| matches!(link.item, Item::Joint(_)))
}

/// The shore lead is in, or a generator runs.
fn has_supply(vehicle: &Vehicle, state: &State) -> bool {
    let runs = |id: &DeviceId| vehicle.devices[*id].role == Role::Generator;
    state.shore == Shore::Plugged || state.on.iter().any(runs)
}

/// An inverter with a mains input charges while shore is there.
fn may_charge(vehicle: &Vehicle, state: &State, id: DeviceId) -> bool {
    has_supply(vehicle, state)
        && vehicle.devices[id].terminals.iter().any(|t| {
            let row = &vehicle.terminals[*t];
            row.pole == Pole::Line && row.name.starts_with("in")
        })
}

pub(crate) fn pole(vehicle: &Vehicle, device: DeviceId, pole: Pole) -> Option<TerminalId> {
    let terminals = &vehicle.devices[device].terminals;
    terminals.iter().copied().find(|t| vehicle.terminals[*t].pole == pole)
}
