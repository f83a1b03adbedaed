//! The mains side: what a licensed electrician is asked to change.

use model::{
    Attribute, Bond, DeviceId, Finding, Place, Pole, Region, Role, TerminalId, WireEnd, WireId,
};
use units::Ampere;

use crate::bench::Bench;
use crate::draft::{Draft, Part, Sort};
use crate::rules::Proposed;
use crate::rules::protection::plain;
use crate::scene::Scene;

/// Most places that are tried for one end.
const MOST_TRIED: usize = 4;

/// Of several joins of neutral and earth one is taken out; which one is tried for each.
pub(super) fn one_bond(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let bonded = devices(finding)
        .filter(|id| matches!(scene.vehicle.devices[*id].bond.value(), Some(Bond::Always)));
    let tries: Vec<Result<Draft, String>> = bonded
        .map(|id| {
            let name = &scene.vehicle.devices[id].name;
            let title = format!("Have the neutral-earth link in {name} taken out");
            let mut bench = Bench::new(scene, "unlink", name, title);
            bench.patch.set(&["devices", name, "bond"], "never");
            bench.figure(&format!("link in {name}"), "always", "none");
            bench.because("one link for each source, at one point, while it feeds");
            bench.work("bond", 1.0);
            bench.reach(name);
            bench.licensed();
            bench.finish()
        })
        .collect();
    if tries.is_empty() {
        return Proposed::None("no link that is always closed is recorded: the bond of a source is for a licensed electrician to set".to_owned());
    }
    Proposed::Choices(tries)
}

/// An inverter joins neutral and earth while it is the source.
pub(super) fn bond_while_inverting(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let vehicle = scene.vehicle;
    let inverters = devices(finding).filter(|id| vehicle.devices[*id].role == Role::Inverter);
    let tries: Vec<Result<Draft, String>> = inverters
        .map(|id| {
            let name = &vehicle.devices[id].name;
            let title = format!("Have {name} join neutral and earth while it is the source");
            let mut bench = Bench::new(scene, "link", name, title);
            bench.patch.set(&["devices", name, "bond"], "while inverting");
            bench.figure(&format!("link in {name}"), "never", "while inverting");
            bench.because("its own relay or setting; where it has none, another inverter");
            bench.work("bond", 1.0);
            bench.reach(name);
            bench.licensed();
            bench.finish()
        })
        .collect();
    Proposed::Choices(tries)
}

/// A breaker that the cable behind it may carry.
pub(super) fn smaller_breaker(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let (Place::Wire(wire), Some(Place::Device(id))) = (finding.place, finding.related.first())
    else {
        return Proposed::None("it names no cable and breaker".to_owned());
    };
    let facts = &scene.vehicle.wires[wire];
    let Some(most) = scene.allowable_mains(facts) else {
        return Proposed::None("what the cable may carry is not known".to_owned());
    };
    let [europe, north_america] = &scene.catalog.mending.mains_breakers;
    let sold = match scene.vehicle.region {
        Some(Region::NorthAmerica) => north_america,
        _ => europe,
    };
    let Some(rated) = sold.iter().rev().find(|rated| rated.si() <= most.si() * (1.0 + 1e-9)) else {
        return Proposed::None(format!("no breaker that is sold is as small as {most}"));
    };
    let device = &scene.vehicle.devices[*id];
    let title = format!("Have a breaker of {rated} put into {}", device.name);
    let mut bench = Bench::new(scene, "breaker", &device.name, title);
    bench.patch.set(&["devices", &device.name, "rated"], &plain(*rated));
    let before = device.number(Attribute::Rated).map(Ampere::from_si);
    bench.figure(
        &format!("breaker in {}", device.name),
        before.map_or_else(String::new, |a| a.to_string()),
        rated,
    );
    bench.because(format!(
        "the largest sold that wire {} may carry, {most} by the table for 50 V and over",
        facts.name
    ));
    altered(&mut bench, *id, format!("mains breaker {rated}, all poles"), Some(*rated));
    Proposed::one(bench.finish())
}

/// A residual-current device of 30 mA: in the board that is there, or in front of the socket.
pub(super) fn residual(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let vehicle = scene.vehicle;
    let Place::Device(id) = finding.place else {
        return Proposed::None("it names no socket".to_owned());
    };
    let least = scene.catalog.limits.get("residual-rated-most", vehicle.region).value;
    let most = Ampere::from_si(least);
    let boards = vehicle.devices.iter().filter(|(_, device)| {
        let has = device.number(Attribute::Residual);
        device.role == Role::AcBreaker && has.is_some_and(|has| has == 0.0 || has > least)
    });
    let mut tries: Vec<Result<Draft, String>> = boards
        .map(|(board, device)| {
            let title =
                format!("Have a residual-current device of {most} put into {}", device.name);
            let mut bench = Bench::new(scene, "residual", &device.name, title);
            bench.patch.set(&["devices", &device.name, "residual"], &most.to_string());
            let before = device.number(Attribute::Residual).filter(|has| *has > 0.0);
            let before =
                before.map_or_else(|| "none".to_owned(), |a| Ampere::from_si(a).to_string());
            bench.figure(&format!("residual-current device in {}", device.name), before, most);
            altered(&mut bench, board, format!("residual-current device {most}, all poles"), None);
            bench.finish()
        })
        .collect();
    tries.push(residual_before(scene, id, most));
    Proposed::FirstThatCures(tries)
}

fn residual_before(scene: &Scene<'_>, id: DeviceId, most: Ampere) -> Result<Draft, String> {
    let vehicle = scene.vehicle;
    let line = input(scene, id, Pole::Line).ok_or("its line terminal is not recorded")?;
    let (wire, _) = vehicle.wires_at(line).next().ok_or("its line is not recorded")?;
    let cable = vehicle.wires[wire].name.split('/').next().unwrap_or_default().to_owned();
    let name = &vehicle.devices[id].name;
    let title = format!("Have a residual-current device of {most} fitted into cable {cable}");
    let mut bench = Bench::new(scene, "residual", &cable, title);
    let ends = bench.patch.cable_ends(&cable).ok_or("the cable is not recorded as one line")?;
    let core = bench.patch.value(&["wires", &cable]).unwrap_or_default();
    if !core.contains(" x ") {
        return Err(format!(
            "{cable} is a single core: the electrician says where the device goes"
        ));
    }
    let device = bench.patch.free_name("devices", &format!("{name}-residual"));
    let rated =
        vehicle.wires[wire].area.value().and_then(|_| scene.allowable_mains(&vehicle.wires[wire]));
    let [europe, north_america] = &scene.catalog.mending.mains_breakers;
    let sold = if vehicle.region == Some(Region::NorthAmerica) { north_america } else { europe };
    let rated = rated.and_then(|rated| sold.iter().rev().find(|a| a.si() <= rated.si()).copied());
    let rated = rated.map_or_else(String::new, |rated| format!(", rated = \"{}\"", plain(rated)));
    let fields = format!(
        "{{ kind = \"mains breaker\", residual = \"{most}\", bond = \"never\"{rated}, at = \"in front of {name}\", behind = \"nothing\", looks = \"labelled\" }}"
    );
    bench.patch.set(&["devices", &device], &fields);
    let lead = bench.patch.free_name("wires", &format!("{cable}-lead"));
    let rest = core.split_once(',').map_or("", |(_, rest)| rest);
    bench.patch.set(&["wires", &lead], &format!("{} to {device}.in,{rest}", ends[0]));
    bench.patch.set_wire_piece(&lead, "length", &scene.catalog.mending.lead.to_string());
    bench.patch.set_cable_end(&cable, WireEnd::From, &format!("{device}.out"));
    bench
        .patch
        .set(&["joints", &format!("all at {device}")], "screw, good, strain relief, own entry");
    bench.figure(&format!("residual-current device before {name}"), "none", most);
    altered(&mut bench, id, format!("residual-current breaker {most}, all poles, in a box"), None);
    bench.finish()
}

/// A charger moves off the inverter that its own battery feeds.
pub(super) fn charger_off_inverter(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let vehicle = scene.vehicle;
    let Place::Device(id) = finding.place else {
        return Proposed::None("it names no charger".to_owned());
    };
    let feeds = vehicle
        .devices
        .iter()
        .filter(|(_, device)| matches!(device.role, Role::AcBreaker | Role::ShoreInlet));
    let outlets = feeds.map(|(_, device)| match device.role {
        Role::AcBreaker => format!("{}.out", device.name),
        _ => format!("{}.ac", device.name),
    });
    let tries: Vec<_> =
        outlets.take(MOST_TRIED).map(|outlet| charger_to(scene, id, &outlet)).collect();
    if tries.is_empty() {
        return Proposed::None("no board or inlet is recorded that it could hang on: a charger of its own source is for a licensed electrician to choose".to_owned());
    }
    Proposed::FirstThatCures(tries)
}

fn charger_to(scene: &Scene<'_>, id: DeviceId, outlet: &str) -> Result<Draft, String> {
    let vehicle = scene.vehicle;
    let name = &vehicle.devices[id].name;
    let line = input(scene, id, Pole::Line).ok_or("its line terminal is not recorded")?;
    let (wire, end) = vehicle.wires_at(line).next().ok_or("its line is not recorded")?;
    let cable = vehicle.wires[wire].name.split('/').next().unwrap_or_default().to_owned();
    let title = format!("Have the cable {cable} of {name} moved to {outlet}");
    let mut bench = Bench::new(scene, &format!("mains-{}", outlet.replace('.', "-")), name, title);
    let ends = bench.patch.cable_ends(&cable).ok_or("the cable is not recorded as one line")?;
    let before = ends[end.other() as usize].clone();
    bench.patch.set_cable_end(&cable, end.other(), outlet);
    bench.length_unknown(wire);
    bench.figure(&format!("{name} is fed by"), before, outlet);
    altered(&mut bench, id, format!("sheathed cable from {outlet} to {name}"), None);
    bench.finish()
}

/// An earth core from what feeds a socket.
pub(super) fn earth_core(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Device(id) = finding.place else {
        return Proposed::None("it names no socket".to_owned());
    };
    Proposed::one(earth_to(scene, id))
}

fn earth_to(scene: &Scene<'_>, id: DeviceId) -> Result<Draft, String> {
    let vehicle = scene.vehicle;
    let name = &vehicle.devices[id].name;
    let [Some(line), Some(earth)] = [Pole::Line, Pole::Earth].map(|pole| input(scene, id, pole))
    else {
        return Err("its terminals are not recorded".to_owned());
    };
    let (wire, end) = vehicle.wires_at(line).next().ok_or("its line is not recorded")?;
    let facts = &vehicle.wires[wire];
    let far = facts.terminal(end.other()).ok_or("where its line comes from is not recorded")?;
    let (feeder, prefix) = {
        let terminal = &vehicle.terminals[far];
        (terminal.device, if terminal.name.starts_with("out.") { "out." } else { "" })
    };
    let from = vehicle.terminal_of(feeder, &format!("{prefix}PE"));
    let from =
        from.ok_or("what feeds it has no earth terminal: the electrician follows it back")?;
    let title = format!("Have the cable to {name} replaced by one with an earth core");
    let mut bench = Bench::new(scene, "earth", name, title);
    let core = bench.patch.free_name("wires", &format!("{name}-earth"));
    let [from, to] = [from, earth].map(|id| vehicle.terminal_name(id));
    let mut pieces = vec![format!("{from} to {to}"), facts.size_words.clone()];
    pieces.extend(facts.length.value().map(|length| length.to_string()));
    pieces.push("green/yellow".to_owned());
    pieces.retain(|piece| !piece.is_empty());
    bench.patch.set(&["wires", &core], &pieces.join(", "));
    for terminal in [&from, &to] {
        bench.patch.set(&["joints", &format!("{core} at {terminal}")], "screw, good");
    }
    bench.figure(&format!("earth of {name}"), "none", format!("by a core of its own from {from}"));
    bench.because("the earth is of the size of the line; continuity is measured and written down");
    altered(&mut bench, id, format!("sheathed cable of three cores, {}", facts.size_words), None);
    bench.finish()
}

/// Line and neutral change places where they cross.
pub(super) fn crossed(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let vehicle = scene.vehicle;
    let Place::Device(id) = finding.place else {
        return Proposed::None("it names no device".to_owned());
    };
    let draft = || -> Result<Draft, String> {
        let name = &vehicle.devices[id].name;
        let title =
            format!("Have line and neutral traced from the inlet and crossed back at {name}");
        let mut bench = Bench::new(scene, "uncross", name, title);
        let [Some(line), Some(neutral)] =
            [Pole::Line, Pole::Neutral].map(|pole| input(scene, id, pole))
        else {
            return Err("its terminals are not recorded".to_owned());
        };
        let ends: Vec<(WireId, WireEnd, TerminalId)> = [(line, neutral), (neutral, line)]
            .into_iter()
            .flat_map(|(from, to)| vehicle.wires_at(from).map(move |(wire, end)| (wire, end, to)))
            .collect();
        for (wire, end, to) in ends {
            bench.land(wire, end, &vehicle.terminal_name(to));
        }
        bench.figure(&format!("line and neutral at {name}"), "changed over", "as marked");
        altered(&mut bench, id, "ferrules".to_owned(), None);
        bench.finish()
    };
    Proposed::one(draft())
}

fn altered(bench: &mut Bench<'_>, id: DeviceId, what: String, rated: Option<Ampere>) {
    bench.work("mains", 1.0);
    bench.part(Part {
        sort: Sort::Mains,
        what,
        quantity: 1.0,
        why: "as the electrician chooses it".to_owned(),
        size_mm2: None,
        rated_a: rated.map(|rated| rated.si()),
    });
    bench.reach_device(id);
    bench.licensed();
}

/// The terminal of a pole by which a device is fed.
fn input(scene: &Scene<'_>, id: DeviceId, pole: Pole) -> Option<TerminalId> {
    let vehicle = scene.vehicle;
    let is_input = |t: &&TerminalId| {
        let terminal = &vehicle.terminals[**t];
        terminal.pole == pole && !terminal.name.starts_with("out.")
    };
    vehicle.devices[id].terminals.iter().find(is_input).copied()
}

fn devices(finding: &Finding) -> impl Iterator<Item = DeviceId> + '_ {
    finding.related.iter().filter_map(|place| match place {
        Place::Device(id) => Some(*id),
        _ => None,
    })
}
