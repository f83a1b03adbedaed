//! What one variant of a feed gives: polarity, bonds, residual currents, voltage of the body,
//! faults. Numbers only; `judge.rs` makes verdicts of them.

use circuit::{BranchId, Complex, REFERENCE};
use model::{Attribute, DeviceId, Pole, Role, Supply, TerminalId};
use solve::{PhasorPoint, PhasorTrouble, phasor_point};

use crate::feed::{FeedKind, Variant, bond_terminals, loads_of};
use crate::layout::{Extra, Layout, Scene};
use crate::metal::of_pole;
use crate::trip::Trip;

/// Most sockets and appliances of one source that are tried with a load and with a fault.
pub(crate) const MOST_LOADS: usize = 20;

/// How a socket is wired to its source.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Polarity {
    /// Line on the line pole, neutral on the neutral pole.
    Correct,
    /// Swapped.
    Reversed,
    /// The line arrives, no neutral does: parts behind it may still be live.
    NoNeutral,
    /// The neutral arrives, no line does.
    NoLine,
    /// Both poles are on a line.
    BothLine,
}

/// Who joins neutral and earth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum BondAt {
    /// The supply at its own source.
    Supply,
    /// A device.
    Device(DeviceId),
    /// The source's centre tap: half the voltage on each pole.
    CentreTap(DeviceId),
    /// Wires, at an earth terminal.
    Wires(TerminalId),
}

/// Current that does not come back by the live cores.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Residual {
    /// The device it is seen by; `None`: at the source.
    pub(crate) device: Option<DeviceId>,
    pub(crate) ampere: f64,
    /// With the trial load at this socket.
    pub(crate) trial: Option<DeviceId>,
}

/// The body against the ground.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Touch {
    /// What a multimeter shows, V.
    pub(crate) meter_v: f64,
    /// What goes through a person, A.
    pub(crate) person_a: f64,
    /// The source is earthed, and no metal joins the body to it.
    pub(crate) hangs_loose: bool,
}

/// How a fault ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum FaultEnd {
    /// A recorded device opens for certain.
    Opens,
    /// A recorded device may open.
    MayOpen,
    /// Whether anything opens depends on a rating that is not recorded.
    RatingUnknown,
    /// Nothing flows and nothing shows; the next fault meets a line on the metal.
    Unnoticed,
    /// Current flows on; the metal stays near the ground.
    FlowsOn,
    /// The metal stays live.
    StaysLive,
}

/// A line lying on metal, and what follows.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// The socket or appliance whose line it is.
    pub at: DeviceId,
    /// On the body, else on the earth terminal of `at`.
    pub on_body: bool,
    /// Current of the fault, A.
    pub ampere: f64,
    /// The metal against the ground while nothing has opened, V.
    pub metal_v: f64,
    /// How it ends.
    pub end: FaultEnd,
    /// The inverter limits the current before that; by how much no record says.
    pub limited: bool,
    /// What opens, or what is to be read off.
    pub devices: Vec<DeviceId>,
    /// The longest it may take by residual current, s; `None`: it does not open by that.
    pub within_s: Option<f64>,
}

/// All of one variant.
pub(crate) struct Outcome {
    pub(crate) polarity: Vec<(DeviceId, Polarity)>,
    pub(crate) bonds: Vec<BondAt>,
    pub(crate) residuals: Vec<Residual>,
    /// Current in the earth conductor at the source, A.
    pub(crate) earth_a: f64,
    pub(crate) touch: Touch,
    pub(crate) faults: Vec<Fault>,
}

pub(crate) fn outcome(scene: Scene<'_>, variant: &Variant) -> Result<Outcome, PhasorTrouble> {
    let loads: Vec<DeviceId> = loads_of(scene.vehicle, scene.metal, scene.feed).collect();
    let trials = trials(scene, &loads);
    let (residuals, earth_a) = residuals(scene, variant, &trials)?;
    Ok(Outcome {
        polarity: loads.iter().map(|id| (*id, polarity(scene, variant, *id))).collect(),
        bonds: bonds(scene, variant),
        residuals,
        earth_a,
        touch: touch(scene, variant, trials.first().copied().flatten())?,
        faults: faults(scene, variant, &loads)?,
    })
}

/// The loads to be tried: as recorded, and where no appliance is on, each socket in turn.
fn trials(scene: Scene<'_>, loads: &[DeviceId]) -> Vec<Option<DeviceId>> {
    let Scene { vehicle, state, .. } = scene;
    let on = |id: &DeviceId| vehicle.devices[*id].role == Role::AcLoad && state.on.contains(id);
    if loads.iter().any(on) {
        return vec![None];
    }
    let sockets: Vec<Option<DeviceId>> = loads.iter().take(MOST_LOADS).copied().map(Some).collect();
    if sockets.is_empty() { vec![None] } else { sockets }
}

fn polarity(scene: Scene<'_>, variant: &Variant, id: DeviceId) -> Polarity {
    let Scene { vehicle, metal, feed, .. } = scene;
    let mut lines = feed.lines(vehicle);
    let mut neutral = feed.neutral(vehicle).expect("a feed has a neutral");
    if feed.kind == FeedKind::Shore && variant.supply == Supply::Reversed {
        std::mem::swap(&mut lines[0], &mut neutral);
    }
    let has_neutral = feed.kind != FeedKind::Shore || variant.supply != Supply::NoNeutral;
    let [line_pin, neutral_pin] =
        [Pole::Line, Pole::Neutral].map(|pole| of_pole(vehicle, id, pole, "").next());
    let on_line = |pin: Option<TerminalId>| {
        pin.is_some_and(|pin| lines.iter().any(|line| metal.joined(pin, *line)))
    };
    let on_neutral =
        |pin: Option<TerminalId>| has_neutral && pin.is_some_and(|pin| metal.joined(pin, neutral));
    match (on_line(line_pin), on_neutral(line_pin), on_line(neutral_pin), on_neutral(neutral_pin)) {
        (true, _, _, true) => Polarity::Correct,
        (_, true, true, _) => Polarity::Reversed,
        (true, _, true, _) => Polarity::BothLine,
        (true, ..) | (_, _, true, _) => Polarity::NoNeutral,
        _ => Polarity::NoLine,
    }
}

/// Every place at which the feed's neutral is joined to earth.
fn bonds(scene: Scene<'_>, variant: &Variant) -> Vec<BondAt> {
    let Scene { vehicle, metal, feed, .. } = scene;
    let mut places = Vec::new();
    if feed.kind == FeedKind::Shore && variant.supply != Supply::Floating {
        places.push(BondAt::Supply);
    }
    if variant.centre_tap {
        places.push(BondAt::CentreTap(feed.device));
    }
    places.extend(
        variant
            .bonds
            .iter()
            .filter(|id| bond_terminals(vehicle, **id).is_some())
            .map(|id| BondAt::Device(*id)),
    );
    let neutral = feed.neutral(vehicle).expect("a feed has a neutral");
    let wired = vehicle
        .terminals
        .ids()
        .find(|id| vehicle.terminals[*id].pole == Pole::Earth && metal.joined(*id, neutral));
    places.extend(wired.map(BondAt::Wires));
    places
}

fn solved(
    scene: Scene<'_>,
    variant: &Variant,
    extras: &[Extra],
) -> Result<(Layout, PhasorPoint), PhasorTrouble> {
    let layout = Layout::of(scene, variant, extras);
    let point = phasor_point(&layout.circuit)?;
    Ok((layout, point))
}

fn sum(point: &PhasorPoint, branches: impl IntoIterator<Item = BranchId>) -> f64 {
    branches.into_iter().map(|branch| point.current(branch)).sum::<Complex>().norm()
}

/// Residual current of each breaker: the sum over its live poles.
fn through(layout: &Layout, point: &PhasorPoint, device: DeviceId) -> f64 {
    sum(point, layout.poles.iter().filter(|pole| pole.device == device).map(|pole| pole.branch))
}

/// Devices of which poles conduct in a layout.
fn breakers(layout: &Layout) -> Vec<DeviceId> {
    let mut devices: Vec<DeviceId> = layout.poles.iter().map(|pole| pole.device).collect();
    devices.sort_unstable();
    devices.dedup();
    devices
}

fn residuals(
    scene: Scene<'_>,
    variant: &Variant,
    trials: &[Option<DeviceId>],
) -> Result<(Vec<Residual>, f64), PhasorTrouble> {
    let mut found = Vec::new();
    let mut earth_a = 0.0_f64;
    for trial in trials {
        let extras: Vec<Extra> = trial.map(Extra::TrialLoad).into_iter().collect();
        let (layout, point) = solved(scene, variant, &extras)?;
        let live = layout.live.iter().copied();
        found.push(Residual { device: None, ampere: sum(&point, live), trial: *trial });
        for device in breakers(&layout) {
            let ampere = through(&layout, &point, device);
            found.push(Residual { device: Some(device), ampere, trial: *trial });
        }
        earth_a = earth_a.max(layout.earth.map_or(0.0, |branch| point.current(branch).norm()));
    }
    Ok((found, earth_a))
}

fn touch(
    scene: Scene<'_>,
    variant: &Variant,
    trial: Option<DeviceId>,
) -> Result<Touch, PhasorTrouble> {
    let with = |extra: Extra| -> Vec<Extra> {
        trial.map(Extra::TrialLoad).into_iter().chain([extra]).collect()
    };
    let (layout, point) = solved(scene, variant, &with(Extra::MeterOnBody))?;
    let meter_v = point.voltage(layout.body).map_or(0.0, |volt| volt.norm());
    let (layout, point) = solved(scene, variant, &with(Extra::PersonOnBody))?;
    let person = layout.extra.expect("a person was put in");
    let is_earthed = scene.feed.kind == FeedKind::Shore && variant.supply != Supply::Floating;
    Ok(Touch {
        meter_v,
        person_a: point.current(person).norm(),
        hangs_loose: is_earthed && !body_is_earthed(scene, variant),
    })
}

/// Metal leads from the body to the supply's earth or a rod.
fn body_is_earthed(scene: Scene<'_>, variant: &Variant) -> bool {
    let Scene { vehicle, metal, feed, .. } = scene;
    let arrives = !matches!(variant.supply, Supply::NoEarth | Supply::Floating);
    let earth = feed.earth(vehicle);
    arrives && earth.is_some_and(|earth| metal.on_body(earth) || variant.body)
}

/// A line on the earth terminal of each load, and one on the body.
fn faults(
    scene: Scene<'_>,
    variant: &Variant,
    loads: &[DeviceId],
) -> Result<Vec<Fault>, PhasorTrouble> {
    let Scene { vehicle, metal, feed, .. } = scene;
    let lines = feed.lines(vehicle);
    let mut faults = Vec::new();
    let mut body_done = false;
    for id in loads.iter().take(MOST_LOADS) {
        // A reversed supply puts its line on the other pole.
        let pins = [Pole::Line, Pole::Neutral].map(|pole| of_pole(vehicle, *id, pole, "").next());
        let is_reversed = polarity(scene, variant, *id) == Polarity::Reversed;
        let Some(line) = pins[usize::from(is_reversed)] else { continue };
        if !is_reversed && !lines.iter().any(|feeding| metal.joined(line, *feeding)) {
            continue;
        }
        if let Some(earth) = of_pole(vehicle, *id, Pole::Earth, "").next() {
            let put = Extra::FaultToEarth(line, earth);
            let metal = [Extra::MeterAt(earth), Extra::PersonAt(earth)];
            faults.push(fault(scene, variant, *id, false, put, metal)?);
        }
        if !std::mem::replace(&mut body_done, true) {
            let put = Extra::FaultToBody(line);
            let metal = [Extra::MeterOnBody, Extra::PersonOnBody];
            faults.push(fault(scene, variant, *id, true, put, metal)?);
        }
    }
    Ok(faults)
}

fn fault(
    scene: Scene<'_>,
    variant: &Variant,
    at: DeviceId,
    on_body: bool,
    put: Extra,
    [meter, person]: [Extra; 2],
) -> Result<Fault, PhasorTrouble> {
    let (layout, point) = solved(scene, variant, &[meter, put])?;
    let branch = layout.extra.expect("a fault was put in");
    let ampere = point.current(branch).norm();
    let (_, metal) = layout.circuit.branch(branch).element.ends();
    let metal_v = point.between(metal, REFERENCE).map_or(0.0, |volt| volt.norm());
    let limits = &scene.catalog.limits;
    let limit = |key: &str| limits.get(key, scene.vehicle.region).value;
    let (end, devices) = match opening(scene, &layout, &point) {
        Some(found) => found,
        None if metal_v >= limit("touch-disconnect") => {
            (FaultEnd::StaysLive, opens_through(scene, variant, put, person)?)
        }
        None if ampere < limit("residual-rated-most") => (FaultEnd::Unnoticed, Vec::new()),
        None => (FaultEnd::FlowsOn, Vec::new()),
    };
    let usual_a = limit("breaker-instant-from") * limit("breaker-smallest");
    let limited = scene.feed.kind == FeedKind::Inverter && ampere >= usual_a;
    let opened = devices.iter().filter(|_| end == FaultEnd::Opens);
    let within_s = opened.filter_map(|id| longest_s(scene, &layout, &point, *id)).reduce(f64::min);
    Ok(Fault { at, on_body, ampere, metal_v, end, limited, devices, within_s })
}

/// The longest a residual-current device may take at its residual current, s.
fn longest_s(
    scene: Scene<'_>,
    layout: &Layout,
    point: &PhasorPoint,
    device: DeviceId,
) -> Option<f64> {
    let fact = scene.vehicle.devices[device].fact(Attribute::Residual);
    let trip = Trip::of(&scene.trips(), *fact.evidence()?);
    trip.longest_s(&scene.trips(), through(layout, point, device))
}

/// Residual-current devices that open only once somebody touches the metal.
fn opens_through(
    scene: Scene<'_>,
    variant: &Variant,
    put: Extra,
    person: Extra,
) -> Result<Vec<DeviceId>, PhasorTrouble> {
    let (layout, point) = solved(scene, variant, &[put, person])?;
    let found = opening(scene, &layout, &point).filter(|found| found.0 == FaultEnd::Opens);
    Ok(found.map_or_else(Vec::new, |found| found.1))
}

/// The best that the recorded devices do, and which of them: open, may open, or cannot be told;
/// `None`: nothing.
fn opening(
    scene: Scene<'_>,
    layout: &Layout,
    point: &PhasorPoint,
) -> Option<(FaultEnd, Vec<DeviceId>)> {
    let reactions: Vec<(FaultEnd, DeviceId)> = breakers(layout)
        .into_iter()
        .filter_map(|device| Some((reaction(scene, layout, point, device)?, device)))
        .collect();
    let best = reactions.iter().map(|(end, _)| *end).min()?;
    let these = reactions.iter().filter(|(end, _)| *end == best).map(|(_, device)| *device);
    Some((best, these.collect()))
}

fn reaction(
    scene: Scene<'_>,
    layout: &Layout,
    point: &PhasorPoint,
    device: DeviceId,
) -> Option<FaultEnd> {
    let row = &scene.vehicle.devices[device];
    let residual_a = through(layout, point, device);
    let most_a = layout
        .poles
        .iter()
        .filter(|pole| pole.device == device)
        .map(|pole| point.current(pole.branch).norm())
        .fold(0.0, f64::max);
    let rated = |attribute| row.fact(attribute).evidence().copied();
    let unread = |is_much: bool| is_much.then_some(FaultEnd::RatingUnknown);
    let by_residual = match rated(Attribute::Residual) {
        Some(rated_a) => by_band(Trip::of(&scene.trips(), rated_a), residual_a),
        None => unread(residual_a >= Trip::usual(&scene.trips()).hold_a),
    };
    let limit = |key: &str| scene.catalog.limits.get(key, scene.vehicle.region).value;
    let (from, sure) = (limit("breaker-instant-from"), limit("breaker-instant-sure"));
    // An inverter limits its current; whether it gives enough to open a breaker nobody recorded.
    let gives_all = scene.feed.kind != FeedKind::Inverter;
    let by_current = match rated(Attribute::Rated) {
        Some(rated_a) if most_a >= sure * rated_a && gives_all => Some(FaultEnd::Opens),
        Some(rated_a) => (most_a >= from * rated_a).then_some(FaultEnd::MayOpen),
        None => unread(most_a >= from * limit("breaker-smallest")),
    };
    [by_residual, by_current].into_iter().flatten().min()
}

fn by_band(trip: Trip, residual_a: f64) -> Option<FaultEnd> {
    if residual_a >= trip.trip_a {
        Some(FaultEnd::Opens)
    } else {
        (residual_a >= trip.hold_a).then_some(FaultEnd::MayOpen)
    }
}
