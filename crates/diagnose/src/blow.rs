//! Fuses and breakers that a short circuit opens. What touches the body is not seen as hundreds of
//! amperes, but as a blown fuse with everything behind it dead.

use catalog::Catalog;
use circuit::{BranchId, Change};
use model::{Attribute, DeviceId, Role, TerminalId, Vehicle};
use network::Network;
use solve::Outcome;
use solve::variants::Answer;

use crate::fault::Fault;

/// Fuses that open one after the other are followed so far.
const MOST_OPENED: usize = 6;
/// A short circuit draws at least so many times what flowed before (own choice). What a fuse that is
/// too small carries every day does not open it now.
const CLEARLY: f64 = 1.5;
/// Overloads this close, as a share, are the same; then the first in the list opens.
const ALIKE: f64 = 1e-6;

impl Fault {
    /// Whether it may short-circuit something, so that fuses open.
    pub fn may_short(&self) -> bool {
        matches!(self, Fault::ToBody(_) | Fault::LandsOn { .. })
    }
}

/// The rating of a protective contact, A; `None` if it is not recorded, or the device protects nothing.
pub(crate) fn rating(vehicle: &Vehicle, device: DeviceId, terminal: TerminalId) -> Option<f64> {
    let of = &vehicle.devices[device];
    if !matches!(of.role, Role::Fuse | Role::Breaker | Role::FuseBox) {
        return None;
    }
    match of.ways.iter().find(|way| way.terminal == terminal) {
        Some(way) => way.rated.value().map(|rated| rated.si()),
        None => of.number(Attribute::Rated),
    }
}

/// The fuse or breaker that opens first with these currents: of those that carry more than the
/// catalog's multiple of their rating, and clearly more than without the short circuit (`before`), the
/// one that is overloaded most. Of fuses in one line the smallest opens; how their time-current curves
/// lie is not looked at.
pub fn opens_first(
    vehicle: &Vehicle,
    catalog: &Catalog,
    network: &Network,
    before: impl Fn(BranchId) -> f64,
    ampere: impl Fn(BranchId) -> f64,
) -> Option<BranchId> {
    let overload = |(device, terminal, branch): &(DeviceId, TerminalId, BranchId)| {
        let rated = rating(vehicle, *device, *terminal).filter(|rated| *rated > 0.0)?;
        let more = ampere(*branch).abs();
        (more > CLEARLY * before(*branch).abs()).then_some((more / rated, *branch))
    };
    let most = network
        .contacts()
        .iter()
        .filter_map(overload)
        .reduce(|most, next| if next.0 > (1.0 + ALIKE) * most.0 { next } else { most });
    most.filter(|(times, _)| *times >= catalog.checking.words.trips_from).map(|most| most.1)
}

/// A circuit with changes, and the fuses that opened in it; `settle` as in the bench: `None` where its
/// effort does not suffice.
pub(crate) fn until_fuses_hold(
    vehicle: &Vehicle,
    catalog: &Catalog,
    network: &Network,
    mut changes: Vec<Change>,
    mut settle: impl FnMut(&[Change]) -> Option<Option<Outcome<Answer>>>,
) -> Option<(Option<Outcome<Answer>>, Vec<BranchId>)> {
    let before = settle(&[])?;
    let before = |branch| before.as_ref().and_then(first).map_or(0.0, |p| p.current(branch));
    let mut opened = Vec::new();
    let mut outcome = settle(&changes)?;
    while opened.len() < MOST_OPENED {
        let Some(point) = outcome.as_ref().and_then(first) else { break };
        let ampere = |branch| if opened.contains(&branch) { 0.0 } else { point.current(branch) };
        let Some(next) = opens_first(vehicle, catalog, network, before, ampere) else { break };
        opened.push(next);
        changes.push(Change::Open(next));
        outcome = settle(&changes)?;
    }
    Some((outcome, opened))
}

fn first(outcome: &Outcome<Answer>) -> Option<&Answer> {
    match outcome {
        Outcome::Settled(point) => Some(point),
        Outcome::Hunts { between, .. } => between.first(),
        Outcome::Trouble(_) => None,
    }
}
