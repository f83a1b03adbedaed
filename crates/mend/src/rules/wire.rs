//! New wire: larger, or stranded.

use circuit::Element;
use model::{Finding, Place, WireId};
use units::{Ampere, SquareMillimetre};

use crate::bench::Bench;
use crate::draft::Draft;
use crate::rules::{Proposed, joint};
use crate::scene::Scene;
use crate::sizes::{Run, Size, above, least_copper};

/// Most pieces that are put right together when equipment starves.
const TOGETHER: usize = 4;

/// Wire that would have to be so much larger is protected instead. Own choice.
const MOST_LARGER: f64 = 4.0;

/// Parts of a limit of drop that are built to, the thriftiest first: joints, temperature and the steps
/// between nominal and real resistances are not in the sum.
const ROOMS: [f64; 3] = [0.97, 0.9, 0.8];

/// The same for half of what is allowed.
const HALVES: [f64; 2] = [0.5, 0.4];

/// Most sizes that a piece goes up when equipment starves.
const SIZES_UP: usize = 3;

pub(super) fn overloaded(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Wire(id) = finding.place else { return not_a_wire() };
    Proposed::one(able_to_carry(
        scene,
        id,
        Ampere::from_si(scene.current_a(id)),
        "what flows in it",
    ))
}

pub(super) fn solid(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Wire(id) = finding.place else { return not_a_wire() };
    let name = &scene.vehicle.wires[id].name;
    let title = format!("Replace wire {name} by stranded wire of the same size");
    let mut bench = Bench::new(scene, "strand", name, title);
    bench.relay(id, None);
    bench.figure("conductor", "solid", "fine-stranded");
    Proposed::one(bench.finish())
}

/// The wire in the smallest size that may carry a current.
pub(super) fn able_to_carry(
    scene: &Scene<'_>,
    id: WireId,
    ampere: Ampere,
    what: &str,
) -> Result<Draft, String> {
    let wire = &scene.vehicle.wires[id];
    let insulation = wire.insulation.evidence().copied().unwrap_or(scene.usual_insulation());
    let carries = |size: &Size| scene.allowable_with(wire, size.area, insulation);
    let sizes = above(wire, scene.vehicle.region);
    let fits = sizes.iter().find(|size| carries(size).is_some_and(|most| most >= ampere));
    let Some(size) = fits else {
        return Err(format!(
            "no single conductor of the table may carry {ampere}: lay two, or put less on it"
        ));
    };
    if wire.area.value().is_some_and(|area| size.area.si() > MOST_LARGER * area.si()) {
        return Err(format!(
            "it would take {} in the place of {}: a fuse of its own is the repair",
            size.words, wire.size_words
        ));
    }
    let title = format!("Replace wire {} by {}, fine-stranded", wire.name, size.words);
    let mut bench = Bench::new(scene, "larger", &wire.name, title);
    bench.relay(id, Some(size));
    let words = if wire.size_words.is_empty() { "not known" } else { &wire.size_words };
    bench.figure("size", words, &size.words);
    let before = wire.area.value().and_then(|area| scene.allowable(wire, *area));
    let before = before.map_or_else(|| "not known".to_owned(), |most| most.to_string());
    bench.figure(
        "may carry",
        before,
        carries(size).map_or_else(String::new, |most| most.to_string()),
    );
    bench.because(format!(
        "{} is the smallest size sold that may carry {ampere}, {what}, with {insulation} insulation",
        size.words
    ));
    bench.finish()
}

pub(super) fn too_much_drop(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Device(id) = finding.place else {
        return Proposed::None("it names no device".to_owned());
    };
    let device = &scene.vehicle.devices[id];
    let wires: Vec<WireId> = finding.related.iter().filter_map(wire_of).collect();
    let key = if device.critical { "drop-critical" } else { "drop-other" };
    let share = scene.catalog.limits.get(key, scene.vehicle.region).value;
    let limit_v = share * scene.nominal_at(id).si();
    let drops = drops_of(scene, id, &wires);
    let least = ROOMS.iter().map(|room| copper(scene, id, &drops, *room * limit_v));
    // For more money: half of what is allowed is lost, so that it starts on a weaker battery too.
    let half = HALVES.iter().map(|room| copper(scene, id, &drops, *room * limit_v));
    let half = half.map(|draft| draft.map(as_half));
    Proposed::Ladders(vec![least.collect(), half.collect()])
}

fn as_half(mut draft: Draft) -> Draft {
    draft.id.push_str("-half");
    draft.because.push("costs more copper; loses half of what the limit allows, so that it runs on a weaker battery too".to_owned());
    draft
}

fn copper(
    scene: &Scene<'_>,
    id: model::DeviceId,
    drops: &[Drop],
    limit_v: f64,
) -> Result<Draft, String> {
    let sizes = enough_copper(scene, drops, limit_v).ok_or(
        "no size that is sold brings the whole way below the limit, or a length on it is not recorded",
    )?;
    larger(scene, "copper", &scene.vehicle.devices[id].name, &sizes, limit_v)
}

/// A wire with what it loses, V.
struct Drop {
    wire: WireId,
    volt: f64,
}

/// What each wire loses in the state in which all of them together lose most.
fn drops_of(scene: &Scene<'_>, load: model::DeviceId, wires: &[WireId]) -> Vec<Drop> {
    let mut worst: Vec<Drop> = Vec::new();
    let total = |drops: &[Drop]| drops.iter().map(|drop| drop.volt).sum::<f64>();
    for seen in scene.states {
        let runs = |point: &solve::OperatingPoint| {
            let ports = seen.network.ports.iter().filter(|port| port.device == load);
            ports.map(|port| point.current(port.branch).abs()).fold(0.0, f64::max) > 1e-3
        };
        for point in seen.points.iter().filter(|point| runs(point)) {
            let drops = wires.iter().filter_map(|wire| {
                let branch = seen.network.wire_branch(*wire)?;
                let Element::Resistor { ohm, .. } = seen.network.circuit.branch(branch).element
                else {
                    return None;
                };
                Some(Drop { wire: *wire, volt: point.current(branch).abs() * ohm })
            });
            let drops: Vec<Drop> = drops.collect();
            if total(&drops) > total(&worst) {
                worst = drops;
            }
        }
    }
    worst
}

/// The least copper that brings the drops below a limit.
fn enough_copper(scene: &Scene<'_>, drops: &[Drop], limit_v: f64) -> Option<Vec<(WireId, Size)>> {
    let run = |drop: &Drop| {
        let wire = &scene.vehicle.wires[drop.wire];
        let known = wire.area.value().filter(|_| !wire.length.is_unknown());
        Run {
            volt: drop.volt,
            area: known.copied().unwrap_or(SquareMillimetre::from_si(1.0)),
            larger: known.map_or_else(Vec::new, |_| above(wire, scene.vehicle.region)),
        }
    };
    let runs: Vec<Run> = drops.iter().map(run).collect();
    let sizes = least_copper(&runs, limit_v)?;
    let chosen = drops.iter().zip(sizes).filter_map(|(drop, size)| Some((drop.wire, size?)));
    let chosen: Vec<(WireId, Size)> = chosen.collect();
    (!chosen.is_empty()).then_some(chosen)
}

fn larger(
    scene: &Scene<'_>,
    what: &str,
    place: &str,
    sizes: &[(WireId, Size)],
    limit_v: f64,
) -> Result<Draft, String> {
    let names: Vec<String> = sizes
        .iter()
        .map(|(id, size)| format!("{} by {}", scene.vehicle.wires[*id].name, size.words))
        .collect();
    let title = format!("Replace wire {}", names.join(", "));
    let mut bench = Bench::new(scene, what, place, title);
    for (id, size) in sizes {
        let wire = &scene.vehicle.wires[*id];
        bench.figure(&format!("wire {}", wire.name), &wire.size_words, &size.words);
        bench.relay(*id, Some(size));
    }
    bench.because(format!(
        "the wires that lose most, each to the next size sold, until the way loses less than {}",
        units::Volt::from_si(limit_v)
    ));
    bench.finish()
}

/// What loses most on the way is put right first, then more of it.
pub(super) fn starved(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Device(id) = finding.place else {
        return Proposed::None("it names no device".to_owned());
    };
    if finding.related.is_empty() {
        return Proposed::None(
            "nothing on its way loses much by the record: measure first".to_owned(),
        );
    }
    let name = &scene.vehicle.devices[id].name;
    let related: Vec<Place> = finding.related.iter().take(TOGETHER).copied().collect();
    let steps = (1..=SIZES_UP).flat_map(|up| (1..=related.len()).map(move |count| (up, count)));
    // A joint or a fuse has no sizes: what has no wire in it is tried once.
    let steps = steps.filter(|(up, count)| *up == 1 || related[..*count].iter().any(is_wire));
    let tries = steps.map(|(up, count)| feed(scene, name, &related[..count], up));
    Proposed::FirstThatCures(tries.collect())
}

fn is_wire(place: &Place) -> bool {
    matches!(place, Place::Wire(_))
}

fn feed(scene: &Scene<'_>, name: &str, places: &[Place], up: usize) -> Result<Draft, String> {
    let named: Vec<String> = places.iter().map(|place| scene.vehicle.place_name(*place)).collect();
    let title = format!("Put right where {name} loses its volts: {}", named.join(", "));
    let mut bench = Bench::new(scene, &format!("feed-{}", places.len() * up), name, title);
    for place in places {
        match place {
            Place::Joint(id) => joint::remake(&mut bench, *id),
            Place::Device(device) => joint::new_contact(&mut bench, *device),
            Place::Wire(wire) => {
                let sizes = above(&scene.vehicle.wires[*wire], scene.vehicle.region);
                if let Some(size) = sizes.get(up - 1) {
                    let facts = &scene.vehicle.wires[*wire];
                    bench.figure(&format!("wire {}", facts.name), &facts.size_words, &size.words);
                    bench.relay(*wire, Some(size));
                }
            }
            _ => {}
        }
    }
    bench.because("what loses most in the state in which it gives up, worst first");
    bench.finish()
}

fn wire_of(place: &Place) -> Option<WireId> {
    match place {
        Place::Wire(id) => Some(*id),
        _ => None,
    }
}

fn not_a_wire() -> Proposed {
    Proposed::None("it names no wire".to_owned())
}
