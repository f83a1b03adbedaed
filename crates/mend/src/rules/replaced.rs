//! Fuses and breakers exchanged for others in the same place: that break what flows in a short circuit,
//! that are made for the voltage, that open before the wire is ruined.

use catalog::trade_name;
use model::{Attribute, DeviceId, Finding, Place, Role, Signal, WireEnd};
use units::{Ampere, Volt};

use crate::bench::Bench;
use crate::draft::{Draft, Part, Sort};
use crate::fuses::{Fuse, FuseWanted};
use crate::pieces::one;
use crate::rules::protection::{exchange, plain};
use crate::rules::{Proposed, wire};
use crate::scene::{Edge, Scene};

/// A class that breaks the most that flows there, of the rating that is there where it is sold.
pub(super) fn breaks_the_fault(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Device(id) = finding.place else { return not_a_device() };
    Proposed::one(class_that_breaks(scene, id))
}

fn class_that_breaks(scene: &Scene<'_>, id: DeviceId) -> Result<Draft, String> {
    let device = &scene.vehicle.devices[id];
    let levels = device.terminals.iter().filter_map(|stud| (scene.fault_level)(*stud));
    let breaks_a = levels.reduce(f64::max).ok_or("what flows in a short circuit is not known")?;
    let wanted = FuseWanted { breaks_a: Some(breaks_a), ..wanted_at(scene, id)? };
    let rated = device.number(Attribute::Rated).map(Ampere::from_si);
    let same = rated.and_then(|rated| wanted.of_rating(scene.catalog, rated));
    let fuse = same.or_else(|| wanted.choose(scene.catalog)).ok_or_else(|| {
        format!(
            "no fuse that is sold carries what flows there, protects the wires behind and breaks {}",
            Ampere::from_si(breaks_a)
        )
    })?;
    let title = format!("Fit {} of {} in the place of {}", one(fuse.kind), fuse.rated, device.name);
    let mut bench = Bench::new(scene, "breaks", &device.name, title);
    put_in_place(&mut bench, id, &fuse)?;
    if let Some((breaks, source)) = &fuse.breaks {
        let printed = device.number(Attribute::Interrupts).map(Ampere::from_si);
        let before = printed.map_or_else(|| "that of its class".to_owned(), |a| a.to_string());
        bench.figure(&format!("current that {} can break", device.name), before, breaks);
        bench.because(format!(
            "{} flow there at most in a short circuit; its class breaks {breaks} (source {source}): read the figure on the fuse that is bought",
            Ampere::from_si(breaks_a)
        ));
    }
    bench.finish()
}

/// What a fuse in the place of a device has to do.
fn wanted_at(scene: &Scene<'_>, id: DeviceId) -> Result<FuseWanted, String> {
    let device = &scene.vehicle.devices[id];
    if device.role == Role::FuseBox {
        return Err("a fuse box takes fuses of its own class only: another box, or a main fuse ahead of it, is for whoever sees the place".to_owned());
    }
    let out = device.terminals.last().copied().ok_or("it has no terminals")?;
    let network = scene.network().ok_or("no state was solved")?;
    let piece = scene.piece(&[network.graph.stud(out)], None);
    let (_, most) =
        scene.weakest(&piece).0.ok_or("what the wires behind it may carry is not known")?;
    let load_a = device.terminals.iter().map(|stud| scene.contact_a(id, *stud)).fold(0.0, f64::max);
    Ok(FuseWanted { load_a, most, breaks_a: None, volt: scene.highest() })
}

/// Another fuse where a device was: what was read of the old one goes.
fn put_in_place(bench: &mut Bench<'_>, id: DeviceId, fuse: &Fuse) -> Result<(), String> {
    let device = &bench.scene.vehicle.devices[id];
    if !device.role.protects() || device.role == Role::FuseBox {
        return Err("it is no single fuse or breaker".to_owned());
    }
    bench.patch.set(&["devices", &device.name, "kind"], fuse.kind);
    bench.patch.set(&["devices", &device.name, "rated"], &plain(fuse.rated));
    for read in ["interrupts", "made_for", "resistance"] {
        bench.patch.remove(&["devices", &device.name, read]);
    }
    bench.work("protection", 1.0);
    bench.part(Part {
        sort: Sort::Fuse,
        what: format!("{} {} with holder", trade_name(fuse.kind), fuse.rated),
        quantity: 1.0,
        why: format!("in the place of {}", device.name),
        size_mm2: None,
        rated_a: Some(fuse.rated.si()),
    });
    bench.caution(Signal::Danger, "the source stays live: work on its other pole first, cover what is not worked on, insulated tools");
    bench.reach_device(id);
    Ok(())
}

/// The same in a make for the voltage; for a fuse whose class has none, another class.
pub(super) fn made_for_the_voltage(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Device(id) = finding.place else { return not_a_device() };
    Proposed::one(made_for(scene, id))
}

fn made_for(scene: &Scene<'_>, id: DeviceId) -> Result<Draft, String> {
    let device = &scene.vehicle.devices[id];
    let volt = scene.highest();
    let class = scene.catalog.kinds.get(&device.kind).and_then(|kind| kind.class.as_deref());
    let band = class.and_then(|class| scene.catalog.bands.get(class));
    let other = band.filter(|band| band.breaks(volt).is_none());
    if device.role == Role::FuseBox && other.is_some() {
        return Err("no fuses of its class are published for this voltage: another box is for whoever sees the place".to_owned());
    }
    let fuse = match other {
        Some(_) => {
            let chosen = wanted_at(scene, id)?.choose(scene.catalog);
            Some(chosen.ok_or_else(|| {
                format!("no fuse that is sold for {volt} carries what flows there and protects the wires behind")
            })?)
        }
        None => None,
    };
    let rated = device.number(Attribute::Rated).map(Ampere::from_si);
    let (kind, rated) = match &fuse {
        Some(fuse) => (fuse.kind, Some(fuse.rated)),
        None => (device.kind.as_str(), rated),
    };
    let thing = rated.map_or_else(|| one(kind), |rated| format!("{} of {rated}", one(kind)));
    let title =
        format!("Fit {thing} made for {volt} of direct current in the place of {}", device.name);
    let mut bench = Bench::new(scene, "voltage", &device.name, title);
    match &fuse {
        Some(fuse) => put_in_place(&mut bench, id, fuse)?,
        None => {
            bench.patch.remove(&["devices", &device.name, "resistance"]);
            bench.work(if device.role == Role::Switch { "isolator" } else { "protection" }, 1.0);
            let rating = rated.map_or_else(String::new, |rated| format!(" {rated}"));
            bench.part(Part {
                sort: Sort::of(device),
                what: format!("{}{rating} for direct current at {volt}", trade_name(kind)),
                quantity: 1.0,
                why: format!("in the place of {}", device.name),
                size_mm2: None,
                rated_a: rated.map(Ampere::si),
            });
            bench.caution(Signal::Danger, "the source stays live: work on its other pole first, cover what is not worked on, insulated tools");
            bench.reach_device(id);
        }
    }
    bench.patch.set(&["devices", &device.name, "made_for"], &format!("{} V", volt.si()));
    let before = device.number(Attribute::MadeFor).map(Volt::from_si);
    let before = before.map_or_else(|| "not known".to_owned(), |volt| volt.to_string());
    bench.figure(&format!("direct voltage that {} is made for", device.name), before, volt);
    bench.because(format!(
        "{volt}: as high as the circuit stands while it charges; read the figure on what is bought"
    ));
    bench.finish()
}

/// A smaller fuse in its place, a fuse of another class, or a wire that bears what the fuse lets through.
pub(super) fn opens_in_time(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let (Place::Wire(id), Some(Place::Device(device))) = (finding.place, finding.related.first())
    else {
        return Proposed::None("it names no wire and fuse".to_owned());
    };
    let Some(network) = scene.network() else {
        return Proposed::None("no state was solved".to_owned());
    };
    let piece = scene.piece(&WireEnd::BOTH.map(|end| network.graph.wire_end(id, end)), None);
    let edges = piece.edges.iter().filter(|edge| edge.device == *device);
    let Some(edge) = edges.max_by(|a, b| a.load_a.total_cmp(&b.load_a)) else {
        return Proposed::None("where the fuse sits is not recorded".to_owned());
    };
    let weakest = scene.weakest(&piece).0.map(|(_, most)| most);
    let smaller = weakest
        .ok_or_else(|| "what the wires behind it may carry is not known".to_owned())
        .and_then(|most| {
            let why = format!("the weakest wire behind it may carry {most}");
            exchange(scene, edge, most, "smaller", &why)
        });
    let larger = edge.rated.ok_or_else(|| "the rating of the fuse is not known".to_owned());
    let larger =
        larger.and_then(|rated| wire::able_to_carry(scene, id, rated, "the rating of its fuse"));
    Proposed::Choices(vec![smaller, other_class(scene, edge), larger])
}

/// A fuse of any class that protects the weakest wire behind it.
fn other_class(scene: &Scene<'_>, edge: &Edge) -> Result<Draft, String> {
    let device = &scene.vehicle.devices[edge.device];
    let levels = device.terminals.iter().filter_map(|stud| (scene.fault_level)(*stud));
    let wanted = FuseWanted { breaks_a: levels.reduce(f64::max), ..wanted_at(scene, edge.device)? };
    let fuse = wanted.choose(scene.catalog).ok_or_else(|| {
        format!(
            "no fuse that is sold carries what flows there and protects wire that may carry {}",
            wanted.most
        )
    })?;
    let title = format!("Fit {} of {} in the place of {}", one(fuse.kind), fuse.rated, device.name);
    let mut bench = Bench::new(scene, "other-fuse", &device.name, title);
    put_in_place(&mut bench, edge.device, &fuse)?;
    let before = edge.rated.map_or_else(|| "not known".to_owned(), |rated| rated.to_string());
    bench.figure(&format!("rating of {}", device.name), before, fuse.rated);
    bench.because(format!("the weakest wire behind it may carry {}", wanted.most));
    bench.finish()
}

fn not_a_device() -> Proposed {
    Proposed::None("it names no device".to_owned())
}
