//! Check: `source-end-without-protection`.

use std::collections::{BTreeMap, BTreeSet};

use model::{Attribute, Confidence, DeviceId, Place, Role, Signal, Vehicle, WireEnd, WireId};
use network::{Item, Network, Point};

use crate::circuits::{Region, Regions, is_base_vehicle, source_terminals};
use crate::conductor::{Allowable, allowable};
use crate::context::Context;
use crate::outcome::{Failure, Out, limit, missing};

pub(crate) fn check(context: &Context<'_>, out: &mut Out) {
    let Some(solved) = context.first() else { return };
    let regions = Regions::of(context.vehicle, solved.network);
    let mut reported = BTreeSet::new();
    for region in &regions.list {
        for source in &region.sources {
            match context.vehicle.devices[*source].role {
                Role::Battery | Role::Alternator => {
                    strong_source(context, solved.network, region, *source, &mut reported, out);
                }
                _ => limited_source(context, *source, out),
            }
        }
    }
}

/// How far a point is from the source along wires, m, and by which wire it was reached; distance
/// is `None` once a wire of unknown length was passed.
struct Reached {
    distance_m: Option<f64>,
    over: bool,
}

/// Battery or alternator: the whole fault current comes out of it.
fn strong_source(
    context: &Context<'_>,
    network: &Network,
    region: &Region,
    source: DeviceId,
    reported: &mut BTreeSet<WireId>,
    out: &mut Out,
) {
    let vehicle = context.vehicle;
    let row = context.limit("unprotected-length");
    let mut at: BTreeMap<Point, Reached> = BTreeMap::new();
    let start = Reached { distance_m: Some(0.0), over: false };
    let starts = source_terminals(vehicle, source, vehicle.devices[source].role);
    let Some(first) = starts.first().map(|terminal| network.graph.stud(*terminal)) else { return };
    at.insert(first, start);
    let mut seen = BTreeSet::new();
    while let Some(point) = nearest(&at, &seen) {
        seen.insert(point);
        for (_, link) in network.graph.links_at(point) {
            let next = if link.a == point { link.b } else { link.a };
            if !region.points.contains(&next) || seen.contains(&next) || at.contains_key(&next) {
                continue;
            }
            let here = &at[&point];
            let reached = match link.item {
                Item::Wire(wire) if !is_exempt(vehicle, wire, source) => {
                    let length = vehicle.wires[wire].length.value().map(|l| l.si());
                    let distance_m = here.distance_m.and_then(|m| Some(m + length?));
                    let over = here.over || distance_m.is_some_and(|m| m > row.value + 1e-9);
                    if !here.over && reported.insert(wire) {
                        judge(context, wire, source, distance_m, out);
                    }
                    Reached { distance_m, over }
                }
                Item::Wire(_) => Reached { distance_m: here.distance_m, over: true },
                _ => Reached { distance_m: here.distance_m, over: here.over },
            };
            at.insert(next, reached);
        }
    }
}

fn nearest(at: &BTreeMap<Point, Reached>, seen: &BTreeSet<Point>) -> Option<Point> {
    let unseen = at.iter().filter(|(point, _)| !seen.contains(point));
    let key = |reached: &Reached| (reached.over, reached.distance_m.unwrap_or(f64::INFINITY));
    unseen
        .min_by(|(_, a), (_, b)| {
            let (a, b) = (key(a), key(b));
            a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
        })
        .map(|(point, _)| *point)
}

/// A cranking motor's cable, the maker's own wiring, and links inside one bank.
fn is_exempt(vehicle: &Vehicle, wire: WireId, source: DeviceId) -> bool {
    let on = |end| vehicle.wires[wire].terminal(end).map(|t| vehicle.terminals[t].device);
    let devices = WireEnd::BOTH.map(on);
    let is_battery = |id: &Option<DeviceId>| {
        id.is_some_and(|id| {
            vehicle.devices[id].role == Role::Battery
                && vehicle.devices[id].base_vehicle == vehicle.devices[source].base_vehicle
        })
    };
    is_base_vehicle(vehicle, wire)
        || devices.iter().flatten().any(|id| vehicle.devices[*id].exempt_cable)
        || devices.iter().all(is_battery)
}

fn judge(
    context: &Context<'_>,
    wire: WireId,
    source: DeviceId,
    distance_m: Option<f64>,
    out: &mut Out,
) {
    let vehicle = context.vehicle;
    let row = context.limit("unprotected-length");
    let (name, from) = (&vehicle.wires[wire].name, &vehicle.devices[source].name);
    let place = Place::Wire(wire);
    let Some(distance_m) = distance_m else {
        let message = format!(
            "wire {name} has no protection on the side of {from}, and its length is not known"
        );
        let lengths =
            vec![missing("measure the length from the source to the first protection", place)];
        out.cannot_tell(place, Signal::Warning, message, lengths);
        return;
    };
    if distance_m <= row.value + 1e-9 {
        out.holds();
        return;
    }
    let assumed = vehicle.wires[wire].length.is_assumed();
    let long = units::Metre::from_si(distance_m);
    out.fails(Failure {
        place,
        related: vec![Place::Device(source)],
        signal: Signal::Danger,
        confidence: if assumed { Confidence::Likely } else { Confidence::Firm },
        message: format!("wire {name} is fed from {from} without a fuse or breaker for {long}"),
        evidence: vec![format!(
            "from {from} along the wires to the far end of {name}: {long}, no protective device on the way"
        )],
        limit: limit(row),
        remedy: format!(
            "fit a fuse, sized for the wire and able to interrupt the fault current, at the {from} end of {name}"
        ),
    });
}

/// A source that cannot deliver more than its limit: the wire only has to carry that.
fn limited_source(context: &Context<'_>, source: DeviceId, out: &mut Out) {
    let vehicle = context.vehicle;
    let device = &vehicle.devices[source];
    let attribute = match device.role {
        Role::SolarModule => Attribute::ShortCurrent,
        _ => Attribute::Limit,
    };
    let fact = device.fact(attribute);
    for terminal in source_terminals(vehicle, source, device.role) {
        for (wire, _) in vehicle.wires_at(terminal) {
            let Some(limit_a) = fact.value().copied() else { continue };
            limited_wire(context, source, wire, limit_a, fact.is_assumed(), out);
        }
    }
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
    match allowable(context, wire) {
        Allowable::Known { allowed, firm, words } if limit_a > allowed.si() => out.fails(Failure {
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
        }),
        Allowable::Known { firm: true, .. } if !limit_assumed => out.holds(),
        Allowable::Between { low, .. } if limit_a <= low.si() && !limit_assumed => out.holds(),
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
