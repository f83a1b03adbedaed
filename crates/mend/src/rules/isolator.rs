//! Isolators at sources.

use model::{Attribute, DeviceId, Finding, Place, Role, Signal, WireEnd, WireId};
use network::{Item, Passage};
use units::Ampere;

use crate::bench::Bench;
use crate::draft::{Draft, Part, Sort};
use crate::rules::Proposed;
use crate::rules::protection::plain;
use crate::scene::Scene;

/// An isolator on every way by which a source feeds without one: behind the first protection where
/// there is one, so that the source's lead gets no longer, else at the source.
pub(super) fn at_source(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Device(source) = finding.place else {
        return Proposed::None("it names no source".to_owned());
    };
    let solar = scene.vehicle.devices[source].role == Role::SolarModule;
    let tries: Vec<Vec<Cut>> = match solar {
        // One at the controller serves every module of the string.
        true => vec![cuts(scene, source, Where::LastWire), at_terminal(scene, source)],
        false => vec![cuts(scene, source, Where::BehindProtection), at_terminal(scene, source)],
    };
    if tries.iter().all(Vec::is_empty) {
        return Proposed::None("the ways by which it feeds are not recorded".to_owned());
    }
    let tries = tries.iter().filter(|cuts| !cuts.is_empty());
    Proposed::FirstThatCures(tries.map(|cuts| fitted(scene, source, cuts)).collect())
}

/// Which wire of a way is cut.
#[derive(Clone, Copy, PartialEq)]
enum Where {
    BehindProtection,
    LastWire,
}

/// Where ways are cut: a wire, and the end at which the isolator goes in.
type Cut = (WireId, WireEnd);

fn at_terminal(scene: &Scene<'_>, source: DeviceId) -> Vec<Cut> {
    let plus = scene.vehicle.terminal_of(source, "+");
    plus.map(|plus| scene.vehicle.wires_at(plus).collect()).unwrap_or_default()
}

/// On each way that no switch is on: the first wire behind the first protection, without protection
/// the first wire of the way; or the wire that lands on what is fed.
fn cuts(scene: &Scene<'_>, source: DeviceId, at: Where) -> Vec<Cut> {
    let vehicle = scene.vehicle;
    let (Some(network), Some(plus)) = (scene.network(), vehicle.terminal_of(source, "+")) else {
        return Vec::new();
    };
    let walk = network.graph.walk([network.graph.stud(plus)], |link, _| match link.item {
        Item::Device(other) if vehicle.devices[other].role.isolates() => false,
        _ => matches!(link.passage, Passage::Metal | Passage::OneWay | Passage::Open),
    });
    let mut cuts: Vec<Cut> = Vec::new();
    for (id, device) in vehicle.devices.iter() {
        if id == source || !is_fed(device.role) {
            continue;
        }
        let studs = device.terminals.iter().map(|terminal| network.graph.stud(*terminal));
        for stud in studs.filter(|stud| walk.reaches(*stud)) {
            let path: Vec<Item> =
                walk.path(stud).into_iter().map(|link| network.graph.get(link).item).collect();
            let protects = |item: &Item| matches!(item, Item::Device(id) if vehicle.devices[*id].role.protects());
            let behind = path.iter().position(protects).map_or(0, |at| at + 1);
            let mut wires = path.iter().skip(behind).filter_map(|item| match item {
                Item::Wire(wire) => Some(*wire),
                _ => None,
            });
            let wire = if at == Where::LastWire { wires.next_back() } else { wires.next() };
            let Some(wire) = wire else { continue };
            let nearer = |end: &WireEnd| walk.path(network.graph.wire_end(wire, *end)).len();
            let near = WireEnd::BOTH.into_iter().min_by_key(nearer).unwrap_or(WireEnd::From);
            let end = if at == Where::LastWire { near.other() } else { near };
            if !cuts.iter().any(|(known, _)| *known == wire) {
                cuts.push((wire, end));
            }
        }
    }
    cuts
}

fn is_fed(role: Role) -> bool {
    role.is_dc_load()
        || matches!(role, Role::FuseBox | Role::SolarController | Role::DirectController)
}

fn fitted(scene: &Scene<'_>, source: DeviceId, cuts: &[Cut]) -> Result<Draft, String> {
    let name = &scene.vehicle.devices[source].name;
    let wires: Vec<&str> =
        cuts.iter().map(|(wire, _)| scene.vehicle.wires[*wire].name.as_str()).collect();
    let title = match wires.as_slice() {
        [one] => format!("Fit an isolator into wire {one}"),
        _ => format!("Fit isolators for {name} into wires {}", wires.join(", ")),
    };
    let place = if let [one] = wires.as_slice() { (*one).to_owned() } else { name.clone() };
    let mut bench = Bench::new(scene, "isolator", &place, title);
    for (wire, end) in cuts {
        let rated = rating(scene, source, *wire)?;
        let facts = &scene.vehicle.wires[*wire];
        let Some(device) = bench.insert(*wire, *end, &format!("{}-isolator", facts.name), None)
        else {
            continue;
        };
        let fields = format!(
            "{{ kind = \"isolator\", label = \"isolator in {}\", rated = \"{}\", at = \"within reach of a door\", behind = \"nothing\", looks = \"from the door, labelled\" }}",
            facts.name,
            plain(rated)
        );
        bench.patch.set(&["devices", &device], &fields);
        let what = format!("isolator {rated} for direct current at {}", volt(scene, source));
        one(&mut bench, (Sort::Isolator, rated, what), format!("switches {name} off"));
    }
    bench.figure(&format!("switching {name} off"), "not possible", "by hand, without tools");
    if scene.vehicle.devices[source].role == Role::SolarModule {
        bench.caution(Signal::Warning, "a module delivers in any light: cover it before its wires are opened; a switch for alternating current does not break direct current");
    }
    bench.finish()
}

/// An isolator between an end of a wire and what was just put in there.
pub(super) fn beside_fuse(bench: &mut Bench<'_>, wire: WireId, end: WireEnd) -> Result<(), String> {
    let scene = bench.scene;
    let facts = &scene.vehicle.wires[wire];
    let carries = facts.area.value().and_then(|area| scene.allowable(facts, *area));
    let rated = smallest(scene, carries.map_or(0.0, |most| most.si()))?;
    let wanted = format!("{}-isolator", facts.name);
    let Some(device) = bench.insert(wire, end, &wanted, None) else { return Ok(()) };
    let fields = format!(
        "{{ kind = \"isolator\", label = \"isolator in {}\", rated = \"{}\", looks = \"labelled\", behind = \"nothing\" }}",
        facts.name,
        plain(rated)
    );
    bench.patch.set(&["devices", &device], &fields);
    let what = format!("isolator {rated} for direct current at {}", scene.highest());
    let why = format!("makes wire {} dead for service", facts.name);
    one(bench, (Sort::Isolator, rated, what), why);
    Ok(())
}

/// One isolator, or another contact, to buy and to fit.
pub(super) fn one(bench: &mut Bench<'_>, (sort, rated, what): (Sort, Ampere, String), why: String) {
    bench.work("isolator", 1.0);
    bench.part(Part { sort, what, quantity: 1.0, why, size_mm2: None, rated_a: Some(rated.si()) });
}

fn volt(scene: &Scene<'_>, source: DeviceId) -> units::Volt {
    let open = scene.vehicle.devices[source].number(Attribute::OpenVoltage);
    open.map_or(scene.highest(), units::Volt::from_si)
}

/// The smallest isolator that is sold for what flows, and for what protects the way.
fn rating(scene: &Scene<'_>, source: DeviceId, wire: WireId) -> Result<Ampere, String> {
    let device = &scene.vehicle.devices[source];
    if device.role == Role::SolarModule {
        let short = device.number(Attribute::ShortCurrent).unwrap_or(0.0);
        return smallest(scene, short.max(scene.current_a(wire)));
    }
    let facts = &scene.vehicle.wires[wire];
    let carries = facts.area.value().and_then(|area| scene.allowable(facts, *area));
    let most_a = carries.map_or(0.0, |most| most.si()).max(scene.current_a(wire));
    smallest(scene, most_a)
}

fn smallest(scene: &Scene<'_>, ampere: f64) -> Result<Ampere, String> {
    let sold = &scene.catalog.mending.isolators;
    sold.iter()
        .copied()
        .find(|rated| rated.si() >= ampere)
        .ok_or_else(|| format!("no isolator that is sold here carries {}", Ampere::from_si(ampere)))
}
