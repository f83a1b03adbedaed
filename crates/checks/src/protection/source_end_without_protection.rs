//! Check: `source-end-without-protection`.

use std::collections::{BTreeMap, BTreeSet};

use model::{
    Attribute, Confidence, Device, DeviceId, Fact, Landing, Place, Role, Signal, Vehicle, WireEnd,
    WireId,
};
use network::{Item, Network, Point};

use crate::circuits::{Region, Regions, is_base_vehicle, source_terminals};
use crate::conductor::{Allowable, allowable};
use crate::context::Context;
use crate::outcome::{Failure, Out, limit, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "source-end-without-protection",
    include_str!("../../spec/source-end-without-protection.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    let Some(solved) = context.first() else { return };
    let regions = Regions::of(context.vehicle, solved.network);
    let mut runs: BTreeMap<WireId, Vec<Run>> = BTreeMap::new();
    for region in &regions.list {
        for source in &region.sources {
            match context.vehicle.devices[*source].role {
                Role::Battery | Role::Alternator => {
                    strong_source(context, solved.network, region, *source, &mut runs);
                }
                _ => limited_source(context, *source, out),
            }
        }
    }
    for (wire, runs) in &runs {
        judge(context, *wire, runs, out);
    }
}

/// How far from a source along wires: at least `metre`; exactly so when no length is unknown.
#[derive(Clone, Copy, Debug, Default)]
struct Distance {
    metre: f64,
    unknown_lengths: u32,
    rests_on_assumption: bool,
}

/// An unprotected wire as one source sees it.
struct Run {
    source: DeviceId,
    to_far_end: Distance,
    far: Far,
}

/// What is at the end of a wire that is further from the source.
enum Far {
    /// Protection, or metal from which other wires go on.
    Onwards,
    /// A device that neither protects nor passes on: the run is over.
    Ends(DeviceId),
    /// Nobody has seen it.
    Unseen,
}

/// Battery or alternator: the whole fault current comes out of it. Collects the wires that start
/// within the limit.
fn strong_source(
    context: &Context<'_>,
    network: &Network,
    region: &Region,
    source: DeviceId,
    runs: &mut BTreeMap<WireId, Vec<Run>>,
) {
    let vehicle = context.vehicle;
    let limit_m = context.limit("unprotected-length").value;
    let from = &vehicle.devices[source];
    let at = distances(vehicle, network, region, source);
    for wire in &region.wires {
        let ends = WireEnd::BOTH.map(|end| at.get(&network.graph.wire_end(*wire, end)));
        let (near, far_end) = match ends {
            [Some(a), Some(b)] if key(b) < key(a) => (b, WireEnd::From),
            [Some(a), _] => (a, WireEnd::To),
            [None, Some(b)] => (b, WireEnd::From),
            [None, None] => continue,
        };
        if is_exempt(vehicle, *wire, from) || near.metre > limit_m + SLACK_M {
            continue;
        }
        let far = far(vehicle, *wire, far_end, from);
        let to_far_end = near.along(vehicle, *wire);
        runs.entry(*wire).or_default().push(Run { source, to_far_end, far });
    }
}

/// Lengths are compared with room for rounding only, m.
const SLACK_M: f64 = 1e-9;

/// Currents too, as a part of the limit.
const SLACK: f64 = 1e-9;

impl Distance {
    fn is_known(self) -> bool {
        self.unknown_lengths == 0 && !self.rests_on_assumption
    }

    fn along(self, vehicle: &Vehicle, wire: WireId) -> Distance {
        let length = &vehicle.wires[wire].length;
        Distance {
            metre: self.metre + length.value().map_or(0.0, |metre| metre.si()),
            unknown_lengths: self.unknown_lengths + u32::from(length.is_unknown()),
            rests_on_assumption: self.rests_on_assumption || length.is_assumed(),
        }
    }
}

fn key(distance: &Distance) -> (u64, u32) {
    // Lengths are not negative, so their bits are in the order of their values.
    (distance.metre.max(0.0).to_bits(), distance.unknown_lengths)
}

/// The shortest way along wires from a source to every point of its region. The maker's own wiring
/// and the links of a bank count as part of the source.
fn distances(
    vehicle: &Vehicle,
    network: &Network,
    region: &Region,
    source: DeviceId,
) -> BTreeMap<Point, Distance> {
    let device = &vehicle.devices[source];
    let mut at: BTreeMap<Point, Distance> = BTreeMap::new();
    for terminal in source_terminals(vehicle, source, device.role) {
        at.insert(network.graph.stud(terminal), Distance::default());
    }
    let mut done = BTreeSet::new();
    loop {
        let open = at.iter().filter(|(point, _)| !done.contains(*point));
        let Some((point, here)) =
            open.min_by_key(|(_, distance)| key(distance)).map(|(point, here)| (*point, *here))
        else {
            return at;
        };
        done.insert(point);
        for (_, link) in network.graph.links_at(point) {
            let next = if link.a == point { link.b } else { link.a };
            if !region.points.contains(&next) {
                continue;
            }
            let there = match link.item {
                Item::Wire(wire) if !is_exempt(vehicle, wire, device) => here.along(vehicle, wire),
                _ => here,
            };
            if at.get(&next).is_none_or(|so_far| key(&there) < key(so_far)) {
                at.insert(next, there);
            }
        }
    }
}

fn far(vehicle: &Vehicle, wire: WireId, end: WireEnd, source: &Device) -> Far {
    let Landing::At(terminal) = vehicle.wires[wire].end(end).landing else { return Far::Unseen };
    let id = vehicle.terminals[terminal].device;
    let device = &vehicle.devices[id];
    let passes_on = matches!(
        device.role,
        Role::Junction
            | Role::Switch
            | Role::Shunt
            | Role::CombinerRelay
            | Role::Relay
            | Role::Diode
    );
    if passes_on || device.role.protects() || is_same_bank(device, source) {
        Far::Onwards
    } else {
        Far::Ends(id)
    }
}

fn is_same_bank(device: &Device, source: &Device) -> bool {
    device.role == Role::Battery && device.base_vehicle == source.base_vehicle
}

/// Blocks of one bank stand side by side; a longer cable is a cable like others, m. Common practice,
/// no source.
const BANK_LINK_M: f64 = 0.6;

fn is_bank_link(vehicle: &Vehicle, wire: WireId) -> bool {
    vehicle.wires[wire].length.value().is_none_or(|length| length.si() <= BANK_LINK_M)
}

/// A cranking motor's cable, the maker's own wiring, and links inside one bank.
fn is_exempt(vehicle: &Vehicle, wire: WireId, source: &Device) -> bool {
    let on = |end| {
        let terminal = vehicle.wires[wire].terminal(end)?;
        Some(&vehicle.devices[vehicle.terminals[terminal].device])
    };
    let [Some(a), Some(b)] = WireEnd::BOTH.map(on) else { return false };
    let cranks = |motor: &Device, other: &Device| {
        motor.exempt_cable
            && (other.base_vehicle || matches!(other.role, Role::Battery | Role::Switch))
    };
    is_base_vehicle(vehicle, wire)
        || cranks(a, b)
        || cranks(b, a)
        || is_same_bank(a, source) && is_same_bank(b, source) && is_bank_link(vehicle, wire)
}

/// A wire as all its sources see it: one that fails decides, then one that cannot be told.
fn judge(context: &Context<'_>, wire: WireId, runs: &[Run], out: &mut Out) {
    let limit_m = context.limit("unprotected-length").value;
    let over = |run: &&Run| run.to_far_end.metre > limit_m + SLACK_M;
    let starts_there = |run: &Run| lands_on(context.vehicle, wire, run.source);
    let longest = |a: &&Run, b: &&Run| {
        let by_length = a.to_far_end.metre.total_cmp(&b.to_far_end.metre);
        by_length.then(starts_there(a).cmp(&starts_there(b)))
    };
    if let Some(run) = runs.iter().rev().filter(over).max_by(longest) {
        let long = units::Metre::from_si(run.to_far_end.metre);
        let from = &context.vehicle.devices[run.source].name;
        let name = &context.vehicle.wires[wire].name;
        let message =
            format!("wire {name} is fed from {from} without a fuse or breaker for {long}");
        let evidence = format!(
            "from {from} along the wires to the far end of {name}: {long}, no protective device on the way"
        );
        fails(context, wire, run, (message, evidence), out);
        return;
    }
    for run in runs {
        // Along a wire nobody has measured a fuse may have been missed.
        if let Far::Ends(device) = run.far
            && run.to_far_end.is_known()
        {
            let device = &context.vehicle.devices[device].name;
            let from = &context.vehicle.devices[run.source].name;
            let name = &context.vehicle.wires[wire].name;
            let message = format!("wire {name} joins {from} to {device} without a fuse or breaker");
            let evidence =
                format!("it ends at {device}, and nothing between it and {from} protects it");
            fails(context, wire, run, (message, evidence), out);
            return;
        }
    }
    match runs.iter().find_map(|run| Some((run, in_doubt(run)?))) {
        Some((run, doubt)) => cannot_tell(context, wire, run, doubt, out),
        None => out.holds(),
    }
}

fn lands_on(vehicle: &Vehicle, wire: WireId, device: DeviceId) -> bool {
    let mut terminals =
        WireEnd::BOTH.into_iter().filter_map(|end| vehicle.wires[wire].terminal(end));
    terminals.any(|terminal| vehicle.terminals[terminal].device == device)
}

/// What is missing to tell that a run is short enough.
fn in_doubt(run: &Run) -> Option<&'static str> {
    if !run.to_far_end.is_known() {
        Some("measure the length from the source to the first protection")
    } else if matches!(run.far, Far::Unseen) {
        Some("follow it to the first protection")
    } else {
        None
    }
}

fn cannot_tell(context: &Context<'_>, wire: WireId, run: &Run, what: &str, out: &mut Out) {
    let vehicle = context.vehicle;
    let (name, from) = (&vehicle.wires[wire].name, &vehicle.devices[run.source].name);
    let message = format!(
        "wire {name} has no protection on the side of {from}, and how far it runs like that is not known"
    );
    let place = Place::Wire(wire);
    out.cannot_tell(place, Signal::Warning, message, vec![missing(what, place)]);
}

fn fails(
    context: &Context<'_>,
    wire: WireId,
    run: &Run,
    (message, evidence): (String, String),
    out: &mut Out,
) {
    let (name, from) =
        (&context.vehicle.wires[wire].name, &context.vehicle.devices[run.source].name);
    out.fails(Failure {
        place: Place::Wire(wire),
        related: vec![Place::Device(run.source)],
        signal: Signal::Danger,
        confidence: if run.to_far_end.rests_on_assumption {
            Confidence::Likely
        } else {
            Confidence::Firm
        },
        message,
        evidence: vec![evidence],
        limit: limit(context.limit("unprotected-length")),
        remedy: format!(
            "fit a fuse, sized for the wire and able to interrupt the fault current, at the {from} end of {name}"
        ),
    });
}

/// A source that cannot deliver more than its limit: the wire only has to carry that.
fn limited_source(context: &Context<'_>, source: DeviceId, out: &mut Out) {
    let vehicle = context.vehicle;
    let device = &vehicle.devices[source];
    let fact = most_current(device);
    for terminal in source_terminals(vehicle, source, device.role) {
        for (wire, _) in vehicle.wires_at(terminal) {
            let Some(limit_a) = fact.value().copied() else { continue };
            limited_wire(context, source, wire, limit_a, fact.is_assumed(), out);
        }
    }
}

/// The most a source delivers: a module's short-circuit current; else its limit if that is more
/// than a usual value, else what it is rated for.
fn most_current(device: &Device) -> Fact<f64> {
    if device.role == Role::SolarModule {
        return device.fact(Attribute::ShortCurrent);
    }
    let (limit, rated) = (device.fact(Attribute::Limit), device.fact(Attribute::Rated));
    if limit.evidence().is_none() && !rated.is_unknown() { rated } else { limit }
}

fn limited_wire(
    context: &Context<'_>,
    source: DeviceId,
    wire: WireId,
    limit_a: f64,
    limit_assumed: bool,
    out: &mut Out,
) {
    let vehicle = context.vehicle;
    let place = Place::Wire(wire);
    let (name, from) = (&vehicle.wires[wire].name, &vehicle.devices[source].name);
    let most = units::Ampere::from_si(limit_a);
    let allowed = allowable(context, wire);
    let at_most = match &allowed {
        Allowable::Known { allowed, firm, words } => Some((*allowed, *firm, words.clone())),
        Allowable::Between { high, .. } => {
            let words = format!("even with the best insulation it may carry {high} at most");
            Some((*high, !vehicle.wires[wire].area.is_assumed(), words))
        }
        Allowable::Unknown(_) => None,
    };
    if let Some((allowed, firm, words)) = at_most
        && limit_a > allowed.si() * (1.0 + SLACK)
    {
        out.fails(Failure {
            place,
            related: vec![Place::Device(source)],
            signal: Signal::Warning,
            confidence: if firm && !limit_assumed { Confidence::Firm } else { Confidence::Likely },
            message: format!("{from} can deliver {most} into wire {name}, more than it may carry"),
            evidence: vec![words],
            limit: Some(model::Limit {
                words: format!("at most {allowed} in this wire"),
                source: context.catalog.ampacity.source.clone(),
            }),
            remedy: format!("replace {name} by a larger wire, or limit {from}"),
        });
        return;
    }
    match allowed {
        Allowable::Known { firm: true, .. } if !limit_assumed => out.holds(),
        Allowable::Between { low, .. }
            if limit_a <= low.si() && !limit_assumed && !vehicle.wires[wire].area.is_assumed() =>
        {
            out.holds();
        }
        Allowable::Known { .. } | Allowable::Between { .. } => {
            let message = format!(
                "whether wire {name} can carry all that {from} delivers rests on an assumption"
            );
            let facts = if limit_assumed {
                vec![missing("read the greatest current off its label", Place::Device(source))]
            } else {
                vec![missing("read the size and insulation rating off the wire", place)]
            };
            out.cannot_tell(place, Signal::Caution, message, facts);
        }
        Allowable::Unknown(facts) => {
            let message =
                format!("whether wire {name} can carry all that {from} delivers is not known");
            out.cannot_tell(place, Signal::Caution, message, facts);
        }
    }
}
