//! Several wires where one belongs: spread on a busbar of their own, or on ways that are free.

use model::{Finding, Place, Role, Signal, TerminalId, WireEnd, WireId};

use crate::bench::Bench;
use crate::draft::{Draft, Part, Sort};
use crate::rules::{Proposed, protection};
use crate::scene::Scene;

/// What stands between the new bar and the wires that go there.
#[derive(Clone, Copy, PartialEq)]
enum Behind {
    Nothing,
    /// A fuse for each, where the stud is a source's and nothing else would protect them.
    Fuses,
}

/// The lugs that are too many for a stud go to a busbar beside it; from the plus post of a battery each
/// through a fuse of its own, where the wires would not be protected otherwise.
pub(super) fn off_the_stud(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Terminal(stud) = finding.place else {
        return Proposed::None("it names no stud".to_owned());
    };
    let most = scene.catalog.limits.get("lugs-most", scene.vehicle.region).value as usize;
    let mut wires = landed(scene, stud);
    // The lead to the new bar takes a place itself; the smallest currents go.
    wires.sort_by(|a, b| scene.current_a(a.0).total_cmp(&scene.current_a(b.0)));
    wires.truncate((wires.len() + 1).saturating_sub(most.max(1)));
    let plain = spread(scene, stud, &wires, Behind::Nothing);
    let row = &scene.vehicle.terminals[stud];
    let is_post =
        row.pole == model::Pole::Plus && scene.vehicle.devices[row.device].role == Role::Battery;
    match is_post {
        true => Proposed::Ladders(vec![vec![plain, spread(scene, stud, &wires, Behind::Fuses)]]),
        false => Proposed::one(plain),
    }
}

/// Wires under one screw get a terminal each.
pub(super) fn off_the_screw(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Terminal(terminal) = finding.place else {
        return Proposed::None("it names no terminal".to_owned());
    };
    Proposed::one(spread(scene, terminal, &landed(scene, terminal), Behind::Nothing))
}

/// Wires on one way of a fuse box: the second on a way that is free, or both on a bar behind the fuse.
pub(super) fn off_the_way(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Terminal(terminal) = finding.place else {
        return Proposed::None("it names no way".to_owned());
    };
    let wires = landed(scene, terminal);
    let own = own_way(scene, terminal, &wires);
    Proposed::Choices(vec![own, spread(scene, terminal, &wires, Behind::Nothing)])
}

fn landed(scene: &Scene<'_>, terminal: TerminalId) -> Vec<(WireId, WireEnd)> {
    scene.vehicle.wires_at(terminal).collect()
}

fn spread(
    scene: &Scene<'_>,
    terminal: TerminalId,
    wires: &[(WireId, WireEnd)],
    behind: Behind,
) -> Result<Draft, String> {
    let vehicle = scene.vehicle;
    let name = vehicle.terminal_name(terminal);
    let mains = wires.iter().any(|(wire, _)| vehicle.is_ac(*wire));
    let names: Vec<&str> =
        wires.iter().map(|(wire, _)| vehicle.wires[*wire].name.as_str()).collect();
    let (what, through) = match behind {
        Behind::Nothing => ("bar", ""),
        Behind::Fuses => ("fused-bar", ", each through a fuse of its own"),
    };
    let title = format!(
        "Lead {name} to a busbar by one cable, and land {} there{through}",
        names.join(", ")
    );
    let mut bench = Bench::new(scene, what, &name, title);
    let beside = vehicle.terminals[terminal].device;
    let bar = bench.patch.free_name("devices", &format!("{}-bar", vehicle.devices[beside].name));
    let kind = if mains { "splice" } else { "busbar" };
    let mut fields = vec![format!("kind = \"{kind}\""), format!("label = \"bar of {name}\"")];
    fields.extend(bench.beside(beside));
    if mains {
        fields.push("looks = \"boxed\"".to_owned());
    }
    bench.patch.set(&["devices", &bar], &format!("{{ {} }}", fields.join(", ")));
    let thickest = wires.iter().max_by(|a, b| area(scene, a.0).total_cmp(&area(scene, b.0)));
    let thickest = thickest.ok_or("no wire is recorded there")?.0;
    let facts = &vehicle.wires[thickest];
    let lead = bench.patch.free_name("wires", &format!("{bar}-lead"));
    for (wire, end) in wires {
        bench.land(*wire, *end, &bar);
    }
    bench.short_wire(
        &lead,
        [name.clone(), bar.clone()],
        &facts.size_words,
        facts.colour.as_deref(),
    );
    bench.patch.add_lug(&name, &lead);
    largest_nearest(&mut bench, terminal, (&lead, wires));
    bench.end_work(2.0, facts.area.value().map(|area| area.si()), &facts.size_words);
    bench.work("bar", 1.0);
    bench.work("move", wires.len() as f64);
    bench.part(Part {
        sort: if mains { Sort::Block } else { Sort::Busbar },
        what: if mains { "terminal block in a closed box" } else { "busbar with cover" }.to_owned(),
        quantity: 1.0,
        why: format!("for what was on {name}"),
        size_mm2: None,
        rated_a: None,
    });
    bench.figure(
        &format!("wires on {name}"),
        landed(scene, terminal).len(),
        landed(scene, terminal).len() + 1 - wires.len(),
    );
    if behind == Behind::Fuses {
        own_fuses(&mut bench, wires)?;
    }
    if mains {
        bench.licensed();
    }
    bench.finish()
}

/// A fuse for each of the wires, where they leave the bar.
fn own_fuses(bench: &mut Bench<'_>, wires: &[(WireId, WireEnd)]) -> Result<(), String> {
    for (wire, end) in wires {
        protection::fit_own(bench, *wire, *end)?;
    }
    bench.caution(Signal::Danger, "the source stays live: work on its other pole first, cover what is not worked on, insulated tools");
    Ok(())
}

/// The lugs that are left on a stud with the lead to the bar, the one that carries most next to the metal.
fn largest_nearest(
    bench: &mut Bench<'_>,
    terminal: TerminalId,
    (lead, moved): (&str, &[(WireId, WireEnd)]),
) {
    let scene = bench.scene;
    let name = scene.vehicle.terminal_name(terminal);
    let Some(layers) = bench.patch.stack(&name) else { return };
    let moved_a: f64 = moved.iter().map(|(wire, _)| scene.current_a(*wire)).sum();
    let stays = landed(scene, terminal);
    let current_a = |layer: &String| {
        let wire = stays.iter().find(|(wire, _)| scene.vehicle.wires[*wire].name == *layer);
        let known = wire.map(|(wire, _)| scene.current_a(*wire));
        known.or_else(|| (layer == lead).then_some(moved_a))
    };
    let mut lugs: Vec<(f64, &String)> =
        layers.iter().filter_map(|layer| Some((current_a(layer)?, layer))).collect();
    lugs.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut lugs = lugs.into_iter().map(|(_, lug)| lug);
    let anew = layers.iter().map(|layer| match current_a(layer) {
        Some(_) => lugs.next().unwrap_or(layer).as_str(),
        None => layer.as_str(),
    });
    let anew = anew.collect::<Vec<_>>().join(", ");
    bench.patch.set(&["stacks", &name], &anew);
}

fn area(scene: &Scene<'_>, wire: WireId) -> f64 {
    scene.vehicle.wires[wire].area.value().map_or(0.0, |area| area.si())
}

/// The last of the wires moves to an empty way of the same box, with a fuse like the one it shared.
fn own_way(
    scene: &Scene<'_>,
    terminal: TerminalId,
    wires: &[(WireId, WireEnd)],
) -> Result<Draft, String> {
    let vehicle = scene.vehicle;
    let id = vehicle.terminals[terminal].device;
    let device = &vehicle.devices[id];
    if device.role != Role::FuseBox {
        return Err("it is no fuse box".to_owned());
    }
    let (wire, end) = *wires.last().ok_or("no wire is recorded there")?;
    let free = device.ways.iter().position(|way| vehicle.wires_at(way.terminal).next().is_none());
    let free = free.ok_or("no way of the box is free")?;
    let shared = device.ways.iter().find(|way| way.terminal == terminal);
    let rated = shared.and_then(|way| way.rated.value().copied());
    let rated = rated.ok_or("the rating of the way they share is not known")?;
    let name = &vehicle.wires[wire].name;
    let title = format!(
        "Move wire {name} to the free way {} of {}, with a fuse of {rated}",
        free + 1,
        device.name
    );
    let mut bench = Bench::new(scene, "own-way", name, title);
    let path = ["devices", device.name.as_str(), "ways"];
    let list = bench.patch.value(&path).unwrap_or_default();
    let load =
        scene.device_at(wire, end.other()).map_or("", |id| vehicle.devices[id].name.as_str());
    let words = format!("{} A {load}", rated.si());
    match with_entry(&list, free, words.trim()) {
        Some(list) => bench.patch.set(&path, &list),
        None => bench.patch.refuse(format!("the ways of {} were not read", device.name)),
    }
    bench.land(wire, end, &vehicle.terminal_name(device.ways[free].terminal));
    bench.work("move", 1.0);
    bench.work("exchange", 1.0);
    bench.part(Part {
        sort: Sort::Fuse,
        what: format!("blade fuse {rated}"),
        quantity: 1.0,
        why: format!("for way {} of {}", free + 1, device.name),
        size_mm2: None,
        rated_a: Some(rated.si()),
    });
    bench.figure(
        &format!("wire {name} lands on"),
        vehicle.terminal_name(terminal),
        vehicle.terminal_name(device.ways[free].terminal),
    );
    bench.finish()
}

/// A list of texts with another text at a place.
fn with_entry(list: &str, at: usize, words: &str) -> Option<String> {
    let mut from = 0;
    for number in 0.. {
        let open = from + list[from..].find('"')?;
        let close = open + 1 + list[open + 1..].find('"')?;
        if number == at {
            return Some(format!("{}{words}{}", &list[..=open], &list[close..]));
        }
        from = close + 1;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::with_entry;

    #[test]
    fn an_empty_way_gets_a_fuse() {
        let list = "[\"15 A fridge\", \"empty\"]";
        assert_eq!(
            with_entry(list, 1, "10 A fan").as_deref(),
            Some("[\"15 A fridge\", \"10 A fan\"]")
        );
        assert_eq!(with_entry(list, 2, "10 A fan"), None);
    }
}
