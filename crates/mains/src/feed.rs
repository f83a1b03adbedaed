//! What feeds the mains side in a state, and what is not known about it.

use std::collections::BTreeSet;

use model::{Bond, DeviceId, Fact, Pole, Role, Shore, State, Supply, TerminalId, Vehicle};

use crate::metal::{Metal, of_pole};

/// Most unknown bonds of one feed that are tried out both ways; there are rarely two.
const MOST_BONDS: usize = 4;

/// What sort of source feeds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum FeedKind {
    /// Shore power, by the lead.
    Shore,
    /// An inverter on the house battery.
    Inverter,
    /// A generator wired into the vehicle.
    Generator,
}

/// A source of the mains side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Feed {
    /// Inlet, inverter or generator.
    pub device: DeviceId,
    /// Of which sort.
    pub kind: FeedKind,
}

impl Feed {
    /// Its line terminals.
    pub(crate) fn lines(self, vehicle: &Vehicle) -> Vec<TerminalId> {
        of_pole(vehicle, self.device, Pole::Line, self.group()).collect()
    }

    /// Its neutral terminal.
    pub(crate) fn neutral(self, vehicle: &Vehicle) -> Option<TerminalId> {
        of_pole(vehicle, self.device, Pole::Neutral, self.group()).next()
    }

    /// Its earth terminal.
    pub(crate) fn earth(self, vehicle: &Vehicle) -> Option<TerminalId> {
        of_pole(vehicle, self.device, Pole::Earth, self.group()).next()
    }

    fn group(self) -> &'static str {
        if self.kind == FeedKind::Inverter { "out." } else { "" }
    }
}

/// The sources of a state, in the order of the record.
pub(crate) fn feeds(vehicle: &Vehicle, state: &State, metal: &Metal) -> Vec<Feed> {
    let on = |id| state.on.contains(&id);
    let kind = |id: DeviceId, role: Role| match role {
        Role::ShoreInlet if state.shore == Shore::Plugged => Some(FeedKind::Shore),
        Role::Inverter if on(id) && !metal.passing.contains(&id) => Some(FeedKind::Inverter),
        Role::Generator if on(id) => Some(FeedKind::Generator),
        _ => None,
    };
    vehicle
        .devices
        .iter()
        .filter_map(|(device, row)| Some(Feed { device, kind: kind(device, row.role)? }))
        .filter(|feed| !feed.lines(vehicle).is_empty() && feed.neutral(vehicle).is_some())
        .collect()
}

/// How everything stands that the record may not know.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Variant {
    /// Wiring of the supply behind the shore lead.
    pub(crate) supply: Supply,
    /// Devices whose bond is closed.
    pub(crate) bonds: BTreeSet<DeviceId>,
    /// The source's centre tap is on earth.
    pub(crate) centre_tap: bool,
    /// Appliances of unknown leakage leak as much as sound ones may.
    pub(crate) leaks: bool,
    /// The body is joined to protective earth.
    pub(crate) body: bool,
}

/// One thing that is not known and may stand either way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Factor {
    /// Wiring of the supply.
    Supply,
    /// Bond of a device.
    Bond(DeviceId),
    /// Leakage of appliances.
    Leakage,
    /// Whether the body is joined to protective earth.
    Body,
}

/// What is known of a feed, and what is not.
pub(crate) struct Known {
    /// As recorded; where the record is silent: the supply correct, bonds open, no leakage, the
    /// body joined.
    pub(crate) given: Variant,
    /// What is not known.
    pub(crate) factors: Vec<Factor>,
    /// Bonds beyond those tried out.
    pub(crate) untried: Vec<DeviceId>,
}

impl Known {
    pub(crate) fn of(vehicle: &Vehicle, state: &State, metal: &Metal, feed: Feed) -> Known {
        let mut known = Known {
            given: Variant {
                supply: Supply::Correct,
                bonds: BTreeSet::new(),
                centre_tap: false,
                leaks: false,
                body: true,
            },
            factors: Vec::new(),
            untried: Vec::new(),
        };
        if feed.kind == FeedKind::Shore {
            match state.supply.evidence() {
                Some(supply) => known.given.supply = *supply,
                None => known.factors.push(Factor::Supply),
            }
        }
        known.bonds(vehicle, metal, feed);
        let unknown = |id| leakage_unknown(vehicle, state, id);
        if loads_of(vehicle, metal, feed).any(unknown) {
            known.factors.push(Factor::Leakage);
        }
        if !feed.earth(vehicle).is_some_and(|earth| metal.on_body(earth)) {
            known.factors.push(Factor::Body);
        }
        known
    }

    fn bonds(&mut self, vehicle: &Vehicle, metal: &Metal, feed: Feed) {
        for (id, device) in vehicle.devices.iter() {
            let Some((neutral, _)) = bond_terminals(vehicle, id) else { continue };
            if !feed.neutral(vehicle).is_some_and(|own| metal.joined(own, neutral)) {
                continue;
            }
            let is_source = id == feed.device && feed.kind != FeedKind::Shore;
            match bond_of(&device.bond, is_source) {
                Some(BondIs::Closed) => {
                    self.given.bonds.insert(id);
                }
                Some(BondIs::CentreTap) => self.given.centre_tap = true,
                Some(BondIs::Open) => {}
                None if !may_bond(device.role) => {}
                None if self.factors.len() < MOST_BONDS => self.factors.push(Factor::Bond(id)),
                None => self.untried.push(id),
            }
        }
    }

    /// Every way the unknown may stand.
    pub(crate) fn variants(&self) -> Vec<Variant> {
        let mut variants = vec![self.given.clone()];
        for factor in &self.factors {
            variants = variants.iter().flat_map(|variant| ways(variant, *factor)).collect();
        }
        variants
    }
}

/// The ways a factor may stand, in a variant.
fn ways(variant: &Variant, factor: Factor) -> Vec<Variant> {
    let with = |change: &dyn Fn(&mut Variant)| {
        let mut changed = variant.clone();
        change(&mut changed);
        changed
    };
    match factor {
        Factor::Supply => Supply::ALL.iter().map(|s| with(&|v| v.supply = *s)).collect(),
        Factor::Bond(id) => vec![
            variant.clone(),
            with(&|v| {
                v.bonds.insert(id);
            }),
        ],
        Factor::Leakage => vec![variant.clone(), with(&|v| v.leaks = true)],
        Factor::Body => vec![variant.clone(), with(&|v| v.body = false)],
    }
}

enum BondIs {
    Closed,
    Open,
    CentreTap,
}

/// Whether a bond is closed; `None` when nobody looked.
fn bond_of(fact: &Fact<Bond>, is_source: bool) -> Option<BondIs> {
    match (fact.evidence()?, is_source) {
        (Bond::Always, _) | (Bond::WhileInverting, true) => Some(BondIs::Closed),
        (Bond::CentreTap, true) => Some(BondIs::CentreTap),
        _ => Some(BondIs::Open),
    }
}

/// Devices that often hold a bond; of others only a recorded one counts.
fn may_bond(role: Role) -> bool {
    matches!(role, Role::Inverter | Role::Generator | Role::AcBreaker)
}

/// Where a device would join neutral to earth: on its output side if it has one.
pub(crate) fn bond_terminals(vehicle: &Vehicle, id: DeviceId) -> Option<(TerminalId, TerminalId)> {
    let find = |pole| {
        of_pole(vehicle, id, pole, "out.").next().or_else(|| of_pole(vehicle, id, pole, "").next())
    };
    Some((find(Pole::Neutral)?, find(Pole::Earth)?))
}

/// Sockets, appliances and chargers that metal joins to a pole of a feed.
pub(crate) fn loads_of<'v>(
    vehicle: &'v Vehicle,
    metal: &'v Metal,
    feed: Feed,
) -> impl Iterator<Item = DeviceId> + 'v {
    let poles: Vec<TerminalId> =
        feed.lines(vehicle).into_iter().chain(feed.neutral(vehicle)).collect();
    let is_load = |role| matches!(role, Role::AcLoad | Role::MainsCharger);
    vehicle.devices.iter().filter(move |(_, device)| is_load(device.role)).map(|(id, _)| id).filter(
        move |id| {
            let own =
                [Pole::Line, Pole::Neutral].map(|pole| of_pole(vehicle, *id, pole, "").next());
            own.into_iter().flatten().any(|own| poles.iter().any(|pole| metal.joined(own, *pole)))
        },
    )
}

/// A load that leaks, but nobody measured how much. A bare socket does not.
fn leakage_unknown(vehicle: &Vehicle, state: &State, id: DeviceId) -> bool {
    crate::load::is_appliance(vehicle, state, id)
        && vehicle.devices[id].fact(model::Attribute::Leakage).evidence().is_none()
}
