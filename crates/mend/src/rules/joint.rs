//! Joints made anew, contacts exchanged, entries gripped, studs stacked anew.

use catalog::trade_name;
use model::{Attribute, DeviceId, Finding, JointId, Layer, Place, Role, Signal};

use crate::bench::Bench;
use crate::draft::{Part, Sort};
use crate::pieces::size_of;
use crate::rules::Proposed;
use crate::scene::Scene;

pub(super) fn remade(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    match finding.place {
        Place::Joint(id) => {
            let name = scene.vehicle.joint_name(id);
            let title = format!("Remake the joint {name}");
            let mut bench = Bench::new(scene, "remake", &name, title);
            remake(&mut bench, id);
            Proposed::one(bench.finish())
        }
        Place::Device(id) => {
            let name = &scene.vehicle.devices[id].name;
            let title = format!("Exchange {name} with what holds it");
            let mut bench = Bench::new(scene, "exchange", name, title);
            new_contact(&mut bench, id);
            Proposed::one(bench.finish())
        }
        _ => Proposed::None("it names no joint".to_owned()),
    }
}

/// A joint as it is when it has just been made: how, and good; what was measured of the old one goes.
pub(super) fn remake(bench: &mut Bench<'_>, id: JointId) {
    let scene = bench.scene;
    let joint = &scene.vehicle.joints[id];
    let wire = &scene.vehicle.wires[joint.wire];
    let Some(terminal) = wire.terminal(joint.end) else {
        return bench.patch.refuse(format!("nobody has seen where wire {} ends", wire.name));
    };
    let name = scene.vehicle.terminal_name(terminal);
    let cable = wire.name.split('/').next().unwrap_or(&wire.name);
    let own = format!("{cable} at {name}");
    let key = bench.patch.joint_key(&wire.name, &name).unwrap_or(own);
    let words = bench.patch.value(&["joints", &key]).unwrap_or_default();
    bench.patch.set(&["joints", &key], &made_anew(&words));
    bench.figure(
        &format!("joint {}", scene.vehicle.joint_name(id)),
        condition(&words),
        "made anew",
    );
    bench.work("remake", 1.0);
    bench.part(Part {
        sort: Sort::Lug,
        what: format!("crimped end for {}, for {name}", size_of(&wire.size_words)),
        quantity: 1.0,
        why: "the old end is cut off".to_owned(),
        size_mm2: wire.area.value().map(|area| area.si()),
        rated_a: None,
    });
    bench.reach(&scene.vehicle.devices[scene.vehicle.terminals[terminal].device].name);
    if scene.vehicle.is_ac(joint.wire) {
        bench.licensed();
    }
}

fn condition(words: &str) -> String {
    if words.is_empty() { "not recorded".to_owned() } else { words.to_owned() }
}

/// What a joint line says of a joint made anew: its kind unless it was only twisted or soldered
/// together, its entry and cover; nothing that was measured of the old one.
fn made_anew(words: &str) -> String {
    let pieces: Vec<&str> = words.split(',').map(str::trim).collect();
    let kinds = ["lug", "crimp", "spade", "screw", "plug"];
    let has = |wanted: &str| pieces.iter().any(|piece| piece.split(' ').any(|word| word == wanted));
    let kind = kinds.iter().find(|kind| has(kind)).copied().unwrap_or("crimp");
    let mut made = vec![kind, "good"];
    // Where the cable enters, and whether a lid is on, is not changed by a new end.
    let kept = ["strain relief", "covered", "entry", "slack"];
    made.extend(pieces.iter().filter(|piece| kept.iter().any(|word| piece.contains(word))));
    if matches!(kind, "lug" | "crimp" | "spade") {
        made.push("crimped");
    }
    made.join(", ")
}

/// A fuse, switch or breaker with clean contacts: what was measured of the old ones goes.
pub(super) fn new_contact(bench: &mut Bench<'_>, id: DeviceId) {
    let scene = bench.scene;
    let device = &scene.vehicle.devices[id];
    bench.patch.remove(&["devices", &device.name, "resistance"]);
    let before = device.number(Attribute::Resistance).map(units::Ohm::from_si);
    let before = before.map_or_else(|| "not measured".to_owned(), |ohm| ohm.to_string());
    bench.figure(&format!("contacts of {}", device.name), before, "new");
    bench.work("holder", 1.0);
    let rated_a = device.number(Attribute::Rated);
    let rating =
        rated_a.map_or_else(String::new, |ampere| format!(", {}", units::Ampere::from_si(ampere)));
    bench.part(Part {
        sort: if device.role == Role::Fuse { Sort::Holder } else { Sort::of(device) },
        what: match (device.role, rated_a) {
            (Role::Fuse, _) => format!("{} with holder{rating}", trade_name(&device.kind)),
            (_, Some(rated)) => {
                format!("{} {}", trade_name(&device.kind), units::Ampere::from_si(rated))
            }
            (_, None) => trade_name(&device.kind),
        },
        quantity: 1.0,
        why: "heated contacts do not recover".to_owned(),
        size_mm2: None,
        rated_a,
    });
    bench.reach(&device.name);
}

pub(super) fn gripped(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Joint(id) = finding.place else {
        return Proposed::None("it names no joint".to_owned());
    };
    let joint = &scene.vehicle.joints[id];
    let wire = &scene.vehicle.wires[joint.wire];
    let Some(device) = scene.device_at(joint.wire, joint.end) else {
        return Proposed::None("nobody has seen where the cable enters".to_owned());
    };
    let cable = wire.name.split('/').next().unwrap_or(&wire.name);
    let name = &scene.vehicle.devices[device].name;
    let title = format!("Fit a gland or clamp where {cable} enters {name}");
    let mut bench = Bench::new(scene, "grip", &format!("{cable} at {name}"), title);
    let cores: Vec<(JointId, &model::Joint)> = scene
        .vehicle
        .joints
        .iter()
        .filter(|(_, other)| {
            scene.device_at(other.wire, other.end) == Some(device)
                && scene.vehicle.wires[other.wire].name.split('/').next() == Some(cable)
        })
        .collect();
    for (_, core) in cores {
        grip(&mut bench, core, cable, name);
    }
    bench.work("grip", 1.0);
    bench.part(Part {
        sort: Sort::Gland,
        what: format!("gland or clamp for cable {cable}, to fit its opening in {name}"),
        quantity: 1.0,
        why: "one for each cable".to_owned(),
        size_mm2: wire.area.value().map(|area| area.si()),
        rated_a: None,
    });
    bench.figure("grip", "none", "a gland or clamp of its own");
    bench.reach(name);
    if scene.vehicle.is_ac(joint.wire) {
        bench.licensed();
    }
    Proposed::one(bench.finish())
}

fn grip(bench: &mut Bench<'_>, joint: &model::Joint, cable: &str, device: &str) {
    let scene = bench.scene;
    let wire = &scene.vehicle.wires[joint.wire];
    let Some(terminal) = wire.terminal(joint.end) else { return };
    let name = scene.vehicle.terminal_name(terminal);
    let key = bench.patch.joint_key(&wire.name, &name).unwrap_or(format!("{cable} at {device}"));
    let words = bench.patch.value(&["joints", &key]).unwrap_or_default();
    let pieces = words.split(',').map(str::trim);
    let mut kept: Vec<&str> =
        pieces.filter(|piece| !piece.is_empty() && !piece.contains("strain relief")).collect();
    kept.retain(|piece| !piece.contains("shared entry") && !piece.contains("own entry"));
    kept.push("strain relief");
    kept.push("own entry");
    bench.patch.set(&["joints", &key], &kept.join(", "));
}

pub(super) fn restacked(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Terminal(terminal) = finding.place else {
        return Proposed::None("it names no stud".to_owned());
    };
    let name = scene.vehicle.terminal_name(terminal);
    let known = scene.vehicle.stacks.iter().find(|stack| stack.terminal == terminal);
    let title =
        format!("Clean {name} to bright metal and stack it anew: lugs, then washers, then nut");
    let mut bench = Bench::new(scene, "restack", &name, title);
    let (Some(stack), Some(layers)) = (known, bench.patch.stack(&name)) else {
        return Proposed::None("the order on the stud is not recorded".to_owned());
    };
    if stack.layers.len() != layers.len() {
        return Proposed::None("the order on the stud was not read in full".to_owned());
    }
    let of = |wanted: fn(&Layer) -> bool| {
        let both = stack.layers.iter().zip(&layers);
        both.filter(move |(layer, _)| wanted(layer)).map(|(_, words)| words.clone())
    };
    let mut lugs: Vec<([f64; 2], String)> = stack
        .layers
        .iter()
        .zip(&layers)
        .filter_map(|(layer, words)| match layer {
            Layer::Lug(wire) => {
                let area = scene.vehicle.wires[*wire].area.value().map_or(0.0, |a| a.si());
                Some(([scene.current_a(*wire), area], words.clone()))
            }
            _ => None,
        })
        .collect();
    lugs.sort_by(|(a, _), (b, _)| b[0].total_cmp(&a[0]).then(b[1].total_cmp(&a[1])));
    let mut anew = vec![bare(&layers)];
    anew.extend(lugs.into_iter().map(|(_, words)| words));
    anew.extend(of(|layer| matches!(layer, Layer::Washer(_))));
    anew.extend(of(|layer| matches!(layer, Layer::Nut)));
    bench.patch.set(&["stacks", &name], &anew.join(", "));
    bench.figure("from the metal outwards", layers.join(", "), anew.join(", "));
    bench.because(
        "metal, then lugs with the one that carries most next to it, then washers, then the nut",
    );
    bench.work("restack", 1.0);
    bench.reach(&scene.vehicle.devices[scene.vehicle.terminals[terminal].device].name);
    let device = &scene.vehicle.devices[scene.vehicle.terminals[terminal].device];
    if device.role == Role::Battery {
        bench.caution(Signal::Danger, "a battery post cannot be switched off: one pole at a time, the other covered, insulated tools");
    }
    Proposed::one(bench.finish())
}

/// The surface as it is once it is cleaned; words that were no surface stay.
fn bare(layers: &[String]) -> String {
    let first = layers.first().map_or("", String::as_str);
    let spoiled = ["painted", "powder-coated", "rusty", "rusted"];
    match first.split_once(' ') {
        Some((word, rest)) if spoiled.contains(&word) => format!("bare {rest}"),
        _ if spoiled.contains(&first) => "bare metal".to_owned(),
        _ => first.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::{bare, made_anew};

    #[test]
    fn what_was_measured_of_the_old_joint_goes() {
        let old = "lug, loose, measured 2 mOhm ± 0.2 mOhm by TS on 2026-06-20, strain relief";
        assert_eq!(made_anew(old), "lug, good, strain relief, crimped");
        assert_eq!(made_anew("twisted"), "crimp, good, crimped");
        assert_eq!(made_anew("solder, not crimped, uncovered"), "crimp, good, uncovered, crimped");
        assert_eq!(made_anew("told screw by the owner, corroded"), "screw, good");
    }

    #[test]
    fn a_spoiled_surface_is_bare_afterwards() {
        let of = |words: &str| bare(&[words.to_owned()]);
        assert_eq!(of("painted bracket"), "bare bracket");
        assert_eq!(of("post"), "post");
    }
}
