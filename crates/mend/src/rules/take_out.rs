//! Things that do not belong where they are: taken out and the way joined through, or moved to the plus.

use catalog::trade_name;
use model::{DeviceId, Finding, Place, Role, Signal, TerminalId, WireEnd, WireId};
use network::{Item, Passage};

use crate::bench::{Bench, Spot};
use crate::draft::{Draft, Part, Sort};
use crate::pieces::one;
use crate::rules::Proposed;
use crate::rules::isolator;
use crate::rules::protection::{exchange, plain};
use crate::scene::Scene;

/// Most wires of a second way that are tried.
const MOST_TRIED: usize = 4;

/// From this size on ends are joined on a stud and not by a crimp, mm²; common practice, no source.
const STUD_MM2: f64 = 6.0;

/// The second way around a fuse is taken out: each wire of it alone is tried.
pub(super) fn second_way(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Device(id) = finding.place else { return not_a_device() };
    let sides = sides_of(scene, id);
    let around: Vec<WireId> = sides.iter().flat_map(|[a, b]| way_around(scene, *a, *b)).collect();
    if around.is_empty() {
        return Proposed::None("the second way is not recorded in full".to_owned());
    }
    let tries = around.into_iter().take(MOST_TRIED).map(|wire| without(scene, wire));
    Proposed::FirstThatCures(tries.collect())
}

/// Two fuses side by side: the outgoing wire of one is taken out.
pub(super) fn one_of_two(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let places = std::iter::once(&finding.place).chain(&finding.related);
    let devices = places.filter_map(|place| match place {
        Place::Device(id) => Some(*id),
        _ => None,
    });
    let mut seen: Vec<WireId> = Vec::new();
    for id in devices {
        for [_, out] in sides_of(scene, id) {
            seen.extend(scene.vehicle.wires_at(out).map(|(wire, _)| wire));
        }
    }
    seen.sort_unstable();
    seen.dedup();
    // The one that carries least is missed least.
    seen.sort_by(|a, b| scene.current_a(*a).total_cmp(&scene.current_a(*b)));
    Proposed::FirstThatCures(seen.into_iter().map(|wire| without(scene, wire)).collect())
}

/// In and out of everything a device protects with.
fn sides_of(scene: &Scene<'_>, id: DeviceId) -> Vec<[TerminalId; 2]> {
    let device = &scene.vehicle.devices[id];
    let Some(feed) = device.terminals.first().copied() else { return Vec::new() };
    match device.role {
        Role::FuseBox => device.ways.iter().map(|way| [feed, way.terminal]).collect(),
        _ => device.terminals.get(1).map(|out| [feed, *out]).into_iter().collect(),
    }
}

fn way_around(scene: &Scene<'_>, from: TerminalId, to: TerminalId) -> Vec<WireId> {
    let Some(network) = scene.network() else { return Vec::new() };
    let walk = network.graph.walk([network.graph.stud(from)], |link, _| {
        let protects =
            matches!(link.item, Item::Device(id) if scene.vehicle.devices[id].role.protects());
        link.passage == Passage::Metal && !protects
    });
    let to = network.graph.stud(to);
    if !walk.reaches(to) {
        return Vec::new();
    }
    let items = walk.path(to).into_iter().map(|link| network.graph.get(link).item);
    let wires = items.filter_map(|item| match item {
        Item::Wire(wire) => Some(wire),
        _ => None,
    });
    let mut wires: Vec<WireId> = wires.collect();
    wires.dedup();
    wires
}

fn without(scene: &Scene<'_>, wire: WireId) -> Result<Draft, String> {
    let facts = &scene.vehicle.wires[wire];
    let ends = WireEnd::BOTH.map(|end| facts.terminal(end));
    let [Some(from), Some(to)] = ends else {
        return Err(format!("nobody has seen where wire {} ends", facts.name));
    };
    let [from, to] = [from, to].map(|id| scene.vehicle.terminal_name(id));
    let title = format!("Take wire {} out, from {from} to {to}", facts.name);
    let mut bench = Bench::new(scene, "take-out", &facts.name, title);
    bench.patch.take_out_wire(&facts.name, &[from.clone(), to.clone()]);
    bench.work("take-out", 1.0);
    bench.reach_wire(wire);
    bench.figure(&format!("wire {}", facts.name), format!("from {from} to {to}"), "gone");
    bench.caution(Signal::Warning, "prove both ends dead before they are taken off; pull the fuse and measure that nothing joins its two sides any more");
    bench.finish()
}

/// A hidden second fuse: taken out where the first may serve the wire, or the two ratings exchanged.
pub(super) fn hidden_fuse(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Device(id) = finding.place else { return not_a_device() };
    let name = &scene.vehicle.devices[id].name;
    let title = format!("Take {name} out and join its two wires");
    Proposed::Choices(vec![through(scene, id, "out", &title), smaller_before(scene, id)])
}

/// The box opens before the hidden fuse does.
fn smaller_before(scene: &Scene<'_>, id: DeviceId) -> Result<Draft, String> {
    let hidden = &scene.vehicle.devices[id];
    let rated = hidden.number(model::Attribute::Rated).ok_or("its rating is not known")?;
    let network = scene.network().ok_or("no state was solved")?;
    let feed = hidden.terminals.first().ok_or("it has no terminals")?;
    let piece = scene.piece(&[network.graph.stud(*feed)], None);
    let edge = piece.edges.iter().find(|edge| edge.device != id && edge.way.is_some());
    let edge = edge.ok_or("the way of the box it hangs on is not recorded")?;
    let why = format!("it opens before {}, which nobody finds in the dark", hidden.name);
    exchange(scene, edge, units::Ampere::from_si(rated), "before", &why)
}

/// A fuse in the return: into the plus where nothing protects there, else taken out.
pub(super) fn fuse_to_the_plus(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Device(id) = finding.place else { return not_a_device() };
    let name = &scene.vehicle.devices[id].name;
    let title = format!("Take {name} out of the return and join its two wires");
    Proposed::FirstThatCures(vec![
        to_the_plus(scene, id, "near the source"),
        through(scene, id, "out", &title),
    ])
}

/// An isolator in the return: into the plus.
pub(super) fn isolator_to_the_plus(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Device(id) = finding.place else { return not_a_device() };
    Proposed::one(to_the_plus(scene, id, "close to the battery"))
}

/// A device moves from the return into the plus wire at the post of the house battery.
fn to_the_plus(scene: &Scene<'_>, id: DeviceId, place: &str) -> Result<Draft, String> {
    let vehicle = scene.vehicle;
    let name = vehicle.devices[id].name.clone();
    let title =
        format!("Move {name} from the return into the plus, {place}; join the return without it");
    let mut bench = Bench::new(scene, "to-plus", &name, title);
    join_through(&mut bench, id, &format!("{name}-join"))?;
    let battery = vehicle.devices.find(|d| d.role == Role::Battery && !d.base_vehicle);
    let plus = battery.and_then(|(battery, _)| vehicle.terminal_of(battery, "+"));
    let mut leads: Vec<(WireId, WireEnd)> =
        plus.map(|plus| vehicle.wires_at(plus).collect()).unwrap_or_default();
    leads.sort_by(|a, b| scene.current_a(b.0).total_cmp(&scene.current_a(a.0)));
    let (wire, end) = leads.first().copied().ok_or("the plus of the battery is not recorded")?;
    let (wire, end) = behind_fuse(scene, id, wire, end);
    let spot = Spot { wire, end, sides: ["in", "out"], lead_size: None };
    bench.insert_named(&name, spot);
    bench.work("place", 1.0);
    bench.figure(&name, "in the return", format!("in the plus, wire {}", vehicle.wires[wire].name));
    bench.caution(Signal::Danger, "the source stays live: work on its other pole first, cover what is not worked on, insulated tools");
    bench.finish()
}

/// A switch goes behind the first fuse of the way, so that the lead of the post gets no longer.
fn behind_fuse(scene: &Scene<'_>, id: DeviceId, wire: WireId, end: WireEnd) -> (WireId, WireEnd) {
    let vehicle = scene.vehicle;
    if vehicle.devices[id].role.protects() {
        return (wire, end);
    }
    let far = scene.device_at(wire, end.other());
    let fuse = far.filter(|far| vehicle.devices[*far].role == Role::Fuse);
    let out = fuse.and_then(|fuse| vehicle.terminal_of(fuse, "out"));
    out.and_then(|out| vehicle.wires_at(out).next()).unwrap_or((wire, end))
}

fn through(scene: &Scene<'_>, id: DeviceId, what: &str, title: &str) -> Result<Draft, String> {
    let name = &scene.vehicle.devices[id].name;
    let mut bench = Bench::new(scene, what, name, title);
    join_through(&mut bench, id, &format!("{name}-join"))?;
    match bench.patch.is_spoken_of(name) {
        // What was read on it, or seen of it, stays in the record, and so must it.
        true => {
            bench.figure(name, "in the way", "out of the way, which is joined through");
            bench.because(format!(
                "{name} stays in the record without wires, for readings or words there speak of it"
            ));
        }
        false => {
            bench.patch.remove(&["devices", name]);
            bench.figure(name, "in the way", "gone, the way joined through");
        }
    }
    bench.finish()
}

/// The wires on both sides of a device land on a new joint of their own.
fn join_through(bench: &mut Bench<'_>, id: DeviceId, wanted: &str) -> Result<(), String> {
    let scene = bench.scene;
    let vehicle = scene.vehicle;
    let join = bench.patch.free_name("devices", wanted);
    let terminals = &vehicle.devices[id].terminals;
    let wires: Vec<(WireId, WireEnd)> =
        terminals.iter().flat_map(|terminal| vehicle.wires_at(*terminal)).collect();
    if wires.len() < 2 {
        return Err("its two sides are not recorded".to_owned());
    }
    let area = |wire: WireId| vehicle.wires[wire].area.value().map_or(0.0, |area| area.si());
    let thick = wires.iter().any(|(wire, _)| area(*wire) >= STUD_MM2) || wires.len() > 2;
    let (kind, sort, part) = match thick {
        true => ("stud", Sort::Stud, "insulated through-stud with cover"),
        false => ("splice", Sort::Splice, "crimped and sealed butt joint"),
    };
    let mut fields = vec![format!("kind = \"{kind}\"")];
    fields.extend(bench.beside(id));
    bench.patch.set(&["devices", &join], &format!("{{ {} }}", fields.join(", ")));
    for (wire, end) in &wires {
        bench.land(*wire, *end, &join);
        bench.patch.set(
            &["joints", &format!("{} at {join}", vehicle.wires[*wire].name)],
            if thick { "lug, good" } else { "crimp, good" },
        );
    }
    bench.work("through", 1.0);
    bench.part(Part {
        sort,
        what: part.to_owned(),
        quantity: 1.0,
        why: format!("in the place of {}", vehicle.devices[id].name),
        size_mm2: None,
        rated_a: None,
    });
    Ok(())
}

/// One of two batteries that do not belong together goes.
pub(super) fn one_battery(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let places = std::iter::once(&finding.place).chain(&finding.related);
    let batteries = places.filter_map(|place| match place {
        Place::Device(id) => Some(*id),
        _ => None,
    });
    Proposed::Choices(batteries.map(|id| out_of_the_bank(scene, id)).collect())
}

fn out_of_the_bank(scene: &Scene<'_>, id: DeviceId) -> Result<Draft, String> {
    let vehicle = scene.vehicle;
    let name = &vehicle.devices[id].name;
    let title = format!("Take {name} out of the bank, and out of the vehicle");
    let mut bench = Bench::new(scene, "take-out", name, title);
    let terminals = vehicle.devices[id].terminals.iter();
    let wires: Vec<WireId> =
        terminals.flat_map(|terminal| vehicle.wires_at(*terminal)).map(|(wire, _)| wire).collect();
    for wire in &wires {
        let facts = &vehicle.wires[*wire];
        let ends = WireEnd::BOTH.into_iter().filter_map(|end| facts.terminal(end));
        let ends: Vec<String> = ends.map(|id| vehicle.terminal_name(id)).collect();
        bench.patch.take_out_wire(&facts.name, &ends);
    }
    bench.work("take-out", wires.len() as f64);
    bench.reach_device(id);
    bench.figure(name, "in the bank", "out of the vehicle");
    bench.caution(Signal::Danger, "a battery cannot be switched off: one pole at a time, the other covered, insulated tools; two people for what is heavy");
    bench.finish()
}

/// A contact that is rated for what flows through it.
pub(super) fn strong_contact(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Device(id) = finding.place else { return not_a_device() };
    let device = &scene.vehicle.devices[id];
    let out = device.terminals.iter().map(|out| scene.contact_a(id, *out)).fold(0.0, f64::max);
    let sold = scene.catalog.mending.isolators.iter().copied();
    let Some(rated) = sold.clone().find(|rated| rated.si() >= out) else {
        return Proposed::None(format!(
            "no {} that is sold here carries {}: share the load",
            trade_name(&device.kind),
            units::Ampere::from_si(out)
        ));
    };
    let title = format!(
        "Fit {} of {rated} for direct current in the place of {}",
        one(&device.kind),
        device.name
    );
    let mut bench = Bench::new(scene, "stronger", &device.name, title);
    bench.patch.set(&["devices", &device.name, "rated"], &plain(rated));
    bench.patch.remove(&["devices", &device.name, "resistance"]);
    let before = device.number(model::Attribute::Rated).map(units::Ampere::from_si);
    bench.figure(
        &format!("rating of {}", device.name),
        before.map_or_else(String::new, |a| a.to_string()),
        rated,
    );
    bench.because(format!(
        "the smallest sold that carries the {} that flow there",
        units::Ampere::from_si(out)
    ));
    let kind = trade_name(&device.kind);
    let what = format!("{kind} {rated} for direct current at {}", scene.highest());
    let thing = (Sort::of(device), rated, what);
    isolator::one(&mut bench, thing, format!("in the place of {}", device.name));
    bench.reach_device(id);
    Proposed::one(bench.finish())
}

fn not_a_device() -> Proposed {
    Proposed::None("it names no device".to_owned())
}
