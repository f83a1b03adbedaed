//! Ends of wires that land elsewhere.

use model::{Device, Finding, Place, Role, TerminalId, WireEnd, WireId};

use crate::bench::Bench;
use crate::rules::Proposed;
use crate::scene::Scene;

/// The wire that reaches the battery's side lands on the other side of the shunt.
pub(super) fn past_the_shunt(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let wires: Vec<WireId> = match finding.place {
        Place::Wire(id) => vec![id],
        _ => finding
            .related
            .iter()
            .filter_map(|place| match place {
                Place::Wire(id) => Some(*id),
                _ => None,
            })
            .collect(),
    };
    let on_battery_side = |(wire, end): &(WireId, WireEnd)| {
        let Some(terminal) = scene.vehicle.wires[*wire].terminal(*end) else { return false };
        let facts = &scene.vehicle.terminals[terminal];
        match scene.vehicle.devices[facts.device].role {
            Role::Battery => facts.name == "-",
            Role::Shunt => facts.name == "battery",
            _ => false,
        }
    };
    let is_the_shunts_own =
        |wire: &WireId| WireEnd::BOTH.into_iter().all(|end| on_battery_side(&(*wire, end)));
    let ends = wires.iter().flat_map(|wire| WireEnd::BOTH.map(|end| (*wire, end)));
    let ends: Vec<(WireId, WireEnd)> = ends
        .filter(|(wire, end)| on_battery_side(&(*wire, *end)) && !is_the_shunts_own(wire))
        .collect();
    let Some((wire, end)) = ends.last().copied() else {
        return Proposed::None("where it reaches the battery's side is not recorded".to_owned());
    };
    let Some(target) = system_side(scene) else {
        return Proposed::None("the system side of the shunt is not recorded".to_owned());
    };
    let name = &scene.vehicle.wires[wire].name;
    let to = scene.vehicle.terminal_name(target);
    let from = scene.vehicle.wires[wire].terminal(end).map(|id| scene.vehicle.terminal_name(id));
    let from = from.unwrap_or_default();
    if scene.vehicle.wires[wire].terminal(end.other()) == Some(target) {
        let title = format!("Take wire {name} out: it bridges the shunt");
        let mut bench = Bench::new(scene, "take-out", name, title);
        bench.patch.take_out_wire(name, &[from.clone(), to.clone()]);
        bench.work("take-out", 1.0);
        bench.reach_wire(wire);
        bench.figure(&format!("wire {name}"), format!("from {from} to {to}"), "gone");
        bench.because(
            "what flowed in it flows in the lead of the shunt: the sums were made again with that",
        );
        return Proposed::one(bench.finish());
    }
    let title = format!("Take wire {name} off {from} and land it on {to}");
    let mut bench = Bench::new(scene, "land", name, title);
    move_end(&mut bench, wire, end, target);
    bench.figure(&format!("wire {name} lands on"), from, to);
    bench.because(
        "all current passes the shunt once nothing but the shunt is on the battery's minus",
    );
    Proposed::one(bench.finish())
}

/// A busbar on the system side of a shunt, else the shunt's own stud.
pub(super) fn system_side(scene: &Scene<'_>) -> Option<TerminalId> {
    let vehicle = scene.vehicle;
    let (id, _) = vehicle.devices.find(|device| device.role == Role::Shunt)?;
    let stud = vehicle.terminal_of(id, "system")?;
    let is_bar = |device: &Device| device.role == Role::Junction && !device.is_chassis;
    let bar = vehicle.wires_at(stud).find_map(|(wire, end)| {
        let far = vehicle.wires[wire].terminal(end.other())?;
        is_bar(&vehicle.devices[vehicle.terminals[far].device]).then_some(far)
    });
    Some(bar.unwrap_or(stud))
}

/// Work, text and figures of an end that lands elsewhere.
pub(super) fn move_end(bench: &mut Bench<'_>, wire: WireId, end: WireEnd, target: TerminalId) {
    let scene = bench.scene;
    let facts = &scene.vehicle.wires[wire];
    let to = scene.vehicle.terminal_name(target);
    bench.land(wire, end, &to);
    bench.work("move", 1.0);
    bench.reach_device(scene.vehicle.terminals[target].device);
    if let Some(length) = facts.length.value() {
        bench.because(format!("whether wire {} ({length}) reaches {to} is to be seen there; if not, it is lengthened or laid anew", facts.name));
    }
}

/// Plus and minus of a load change places.
pub(super) fn reversed(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let title = |name: &str| {
        format!("Check the polarity at {name} with a meter, then swap its plus and minus")
    };
    swapped(scene, finding, ["+", "-"], title)
}

/// The two sides of a shunt change places.
pub(super) fn shunt_turned(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let title = |name: &str| format!("Change over the cables on the two sides of {name}");
    swapped(scene, finding, ["battery", "system"], title)
}

/// What lands on one terminal lands on the other, and the other way round.
fn swapped(
    scene: &Scene<'_>,
    finding: &Finding,
    terminals: [&str; 2],
    title: impl Fn(&str) -> String,
) -> Proposed {
    let Place::Device(id) = finding.place else {
        return Proposed::None("it names no device".to_owned());
    };
    let vehicle = scene.vehicle;
    let [Some(one), Some(other)] = terminals.map(|name| vehicle.terminal_of(id, name)) else {
        return Proposed::None("its two terminals are not recorded".to_owned());
    };
    let name = &vehicle.devices[id].name;
    let mut bench = Bench::new(scene, "swap", name, title(name));
    let ends: Vec<(WireId, WireEnd, TerminalId)> = [(one, other), (other, one)]
        .into_iter()
        .flat_map(|(from, to)| vehicle.wires_at(from).map(move |(wire, end)| (wire, end, to)))
        .collect();
    for (wire, end, to) in ends {
        move_end(&mut bench, wire, end, to);
    }
    bench.figure(&format!("way round of {name}"), "reversed", "as marked");
    Proposed::one(bench.finish())
}
