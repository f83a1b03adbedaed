//! Hatches for what cannot be reached whole or in time; things moved to where they can be reached.

use model::{DeviceId, Finding, Look, Place, Signal, WireEnd, WireId};

use crate::bench::Bench;
use crate::draft::{Draft, Part, Sort};
use crate::rules::Proposed;
use crate::scene::Scene;

/// A hatch in what is in the way, or the thing moved to where nothing is.
pub(super) fn hatch_or_move(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Device(id) = finding.place else {
        return Proposed::None("it names no device".to_owned());
    };
    Proposed::Choices(vec![hatch(scene, id), moved(scene, id)])
}

/// An isolator that a hand reaches from a door.
pub(super) fn to_the_door(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Device(id) = finding.place else {
        return Proposed::None("it names no isolator".to_owned());
    };
    Proposed::one(moved(scene, id))
}

/// A hatch in each part that would be destroyed; where none would, in the one that takes longest.
fn hatch(scene: &Scene<'_>, id: DeviceId) -> Result<Draft, String> {
    let device = &scene.vehicle.devices[id];
    let way = (scene.way)(id);
    let destroyed: Vec<&str> =
        way.iter().filter(|step| step.destroyed).map(|step| step.part.as_str()).collect();
    let slowest = way.iter().max_by(|a, b| a.minutes.total_cmp(&b.minutes));
    let parts = match (destroyed.is_empty(), slowest) {
        (false, _) => destroyed,
        (true, Some(slowest)) => vec![slowest.part.as_str()],
        (true, None) => Vec::new(),
    };
    let path = ["devices", device.name.as_str(), "behind"];
    let (Some(behind), [_, ..]) = (scene.values.get(&path).cloned(), parts.as_slice()) else {
        return Err("what is in the way is not recorded".to_owned());
    };
    let row = &scene.catalog.service.hatch;
    let mut way = behind.clone();
    let title = format!("Cut a hatch in {} to get at {}", parts.join(" and "), device.name);
    let mut bench = Bench::new(scene, "hatch", &device.name, title);
    for part in &parts {
        let facts = scene.vehicle.parts.find(|other| other.name == *part).map(|(_, facts)| facts);
        let label = facts.map_or(*part, |facts| facts.label.as_str());
        if !row.panels.iter().any(|word| label.split([' ', ',']).any(|of| of == word)) {
            return Err(format!("a hatch cannot be cut in {label}"));
        }
        let name = bench.patch.free_name("parts", &format!("{part}-hatch"));
        let after = scene.values.get(&["parts", part, "after"]).cloned();
        let after = after.map_or_else(String::new, |words| format!(", after = \"{words}\""));
        let minutes = |three: [f64; 3]| format!("{} / {} / {} min", three[0], three[1], three[2]);
        let fields = format!(
            "{{ is = \"hatch in {}\", fixings = \"4 quarter turns\", out = \"{}\", back = \"{}\"{after} }}",
            label.replace(['"', '\\'], ""),
            minutes(row.open_min),
            minutes(row.close_min)
        );
        bench.patch.set(&["parts", &name], &fields);
        way = instead(&way, part, &name);
        bench.other_work(
            &format!("mark out, look behind, cut and edge a hatch in {label}"),
            row.make_min,
        );
        bench.part(Part {
            sort: Sort::Hatch,
            what: format!("lid with frame and four quarter turns for {label}"),
            quantity: 1.0,
            why: format!("to get at {}", device.name),
            size_mm2: None,
            rated_a: None,
        });
        // The part stays where it is; what stands in front of it comes out.
        let removals = facts.into_iter().flat_map(|facts| facts.removals.first());
        for before in removals.flat_map(|way| &scene.vehicle.removals[*way].needs) {
            bench.reach(&scene.vehicle.parts[*before].name);
        }
        bench.because(row.size.clone());
    }
    bench.patch.set(&path, &way);
    bench.figure(&format!("way to {}", device.name), &behind, &way);
    bench.caution(Signal::Warning, "look and feel for wires, pipes and structure behind the panel before anything is cut; structure is not cut");
    bench.finish()
}

/// The thing mounted where nothing is in front of it; how long its wires have to be then is measured.
fn moved(scene: &Scene<'_>, id: DeviceId) -> Result<Draft, String> {
    let vehicle = scene.vehicle;
    let device = &vehicle.devices[id];
    let name = &device.name;
    let mut wires: Vec<(WireId, WireEnd)> =
        device.terminals.iter().flat_map(|terminal| vehicle.wires_at(*terminal)).collect();
    wires.sort_unstable_by_key(|(wire, _)| *wire);
    let title = format!("Move {name} to where a hand reaches it");
    let mut bench = Bench::new(scene, "move", name, title);
    let behind = ["devices", name.as_str(), "behind"];
    let before = bench.patch.value(&behind).unwrap_or_else(|| "not recorded".to_owned());
    bench.patch.set(&behind, "nothing");
    bench.patch.remove(&["devices", name, "box"]);
    if device.role.isolates() {
        bench.patch.see_device(name, Look::FromDoor);
        bench.patch.set(&["devices", name, "at"], "within reach of a door");
    } else {
        bench.patch.set(&["devices", name, "at"], "where a hand reaches it");
    }
    for (wire, _) in &wires {
        bench.length_unknown(*wire);
    }
    bench.figure(&format!("in front of {name}"), before, "nothing");
    bench.work("place", 1.0);
    if !wires.is_empty() {
        bench.work("move", wires.len() as f64);
        bench.part(Part {
            sort: Sort::Lug,
            what: format!("crimped end for a wire of {name}"),
            quantity: wires.len() as f64,
            why: "landed in the new place".to_owned(),
            size_mm2: None,
            rated_a: None,
        });
        bench.caution(Signal::Notice, "the wires on it get other lengths: measure them before they are bought, and look at drop and protection again with what was measured; wire to lengthen what does not reach is not in the goods");
    }
    if wires.iter().any(|(wire, _)| vehicle.is_ac(*wire)) {
        bench.licensed();
    }
    bench.reach_device(id);
    bench.finish()
}

/// Fixings that no tool reaches, exchanged for such as one does.
pub(super) fn reachable_fixings(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Part(id) = finding.place else {
        return Proposed::None("it names no part".to_owned());
    };
    let name = &scene.vehicle.parts[id].name;
    let title = format!(
        "Take out what was built in front of {name}, and put it back with fixings that can be reached"
    );
    let mut bench = Bench::new(scene, "refix", name, title);
    let path = ["parts", name.as_str(), "fixings"];
    let Some(fixings) = bench.patch.value(&path) else {
        return Proposed::None("its fixings are not recorded in one place".to_owned());
    };
    let new = fixings.replace("unreachable ", "");
    bench.patch.set(&path, &new);
    bench.figure(&format!("fixings of {name}"), fixings, new);
    bench.work("refix", 1.0);
    bench.because(
        "what is in front has to come out once more for this: its minutes are not in the record",
    );
    Proposed::one(bench.finish())
}

/// Ways in with one part replaced by another, as a further choice.
fn instead(behind: &str, part: &str, by: &str) -> String {
    let ways = behind.split(" or ");
    let new = ways.filter(|way| way.split(" and ").any(|name| name.trim() == part)).map(|way| {
        let names = way.split(" and ").map(str::trim);
        names.map(|name| if name == part { by } else { name }).collect::<Vec<_>>().join(" and ")
    });
    let new: Vec<String> = new.collect();
    if new.is_empty() {
        format!("{behind} or {by}")
    } else {
        format!("{behind} or {}", new.join(" or "))
    }
}

#[cfg(test)]
mod tests {
    use super::instead;

    #[test]
    fn a_hatch_is_a_further_choice() {
        assert_eq!(instead("glued-floor", "glued-floor", "hatch"), "glued-floor or hatch");
        assert_eq!(
            instead("lid and wall or back", "wall", "hatch"),
            "lid and wall or back or lid and hatch"
        );
    }
}
