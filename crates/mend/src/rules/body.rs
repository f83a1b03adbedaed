//! Returns over the body: landed on rigid metal, or led to the minus bar by wire.

use model::{Device, DeviceId, Finding, Place, Role, TerminalId, WireEnd, WireId};

use crate::bench::Bench;
use crate::draft::{Draft, Part, Sort};
use crate::rules::Proposed;
use crate::rules::landing::system_side;
use crate::scene::Scene;

/// A chassis point on thin, loose or glued metal: made anew on rigid metal, or left for the minus bar.
pub(super) fn on_rigid_metal(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Device(id) = finding.place else {
        return Proposed::None("it names no chassis point".to_owned());
    };
    Proposed::Choices(vec![sited_anew(scene, id), by_wire(scene, id)])
}

fn sited_anew(scene: &Scene<'_>, id: DeviceId) -> Result<Draft, String> {
    let name = &scene.vehicle.devices[id].name;
    let least = scene.catalog.limits.get("body-metal", scene.vehicle.region);
    let thick = units::Metre::from_si(least.value);
    let title = format!("Land the returns of {name} on a welded stud or nut of the structure");
    let mut bench = Bench::new(scene, "structure", name, title);
    let path = ["devices", name.as_str(), "on"];
    let before = bench.patch.value(&path).unwrap_or_else(|| "not recorded".to_owned());
    // A plated toothed washer or tinned lug belongs on aluminium; the metal itself does not change.
    let metal = ["aluminium", "stainless"].into_iter().find(|metal| before.contains(metal));
    let on = format!("{}, {thick}, welded", metal.unwrap_or("steel"));
    bench.patch.set(&path, &on);
    bench.figure(&format!("metal of {name}"), before, on);
    bench.because(format!("metal of at least {thick}, welded to the rest of the body: write down which it is when it is found"));
    let count = scene.vehicle.devices[id].terminals.iter();
    let count = count.flat_map(|terminal| scene.vehicle.wires_at(*terminal)).count();
    bench.work("body", count as f64);
    bench.part(lug(count as f64, "lug and plated toothed washer for the stud of the structure"));
    bench.caution(model::Signal::Warning, "no new hole where nobody knows what lies behind; no stud of belts, airbags, brakes or fuel");
    bench.reach_device(id);
    bench.finish()
}

/// Every wire of the point but the strap to the battery's side goes to the bar.
fn by_wire(scene: &Scene<'_>, id: DeviceId) -> Result<Draft, String> {
    let name = &scene.vehicle.devices[id].name;
    let target = minus_bar(scene).ok_or("no minus bar is recorded")?;
    let to = scene.vehicle.terminal_name(target);
    let returns = returns_on(scene, id, target);
    if returns.is_empty() {
        return Err(format!("no return on {name} can be led to {to}"));
    }
    let title = format!("Lead the returns of {name} to {to} by wire");
    let mut bench = Bench::new(scene, "by-wire", name, title);
    for (wire, end) in &returns {
        lead_to(&mut bench, *wire, *end, &to);
    }
    // With nothing left on it the point is only a place of the body.
    let path = ["devices", name.as_str(), "on"];
    if returns.len() == wires_on(scene, id).len() {
        bench.patch.remove(&path);
    }
    bench.figure("returns", format!("over {name} and the body"), format!("by wire to {to}"));
    bench.finish()
}

fn lead_to(bench: &mut Bench<'_>, wire: WireId, end: WireEnd, to: &str) {
    let scene = bench.scene;
    let name = &scene.vehicle.wires[wire].name;
    bench.land(wire, end, to);
    bench.length_unknown(wire);
    bench.work("move", 1.0);
    bench.because(format!("how long wire {name} has to be to {to} is measured along its way; the old length is no longer counted"));
    bench.part(lug(1.0, &format!("crimped end for wire {name}")));
}

/// A large return gets a cable of its own to the minus.
pub(super) fn own_return(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Wire(id) = finding.place else {
        return Proposed::None("it names no wire".to_owned());
    };
    let vehicle = scene.vehicle;
    let chassis = |end: &WireEnd| {
        scene.device_at(id, *end).is_some_and(|device| vehicle.devices[device].is_chassis)
    };
    let Some(end) = WireEnd::BOTH.into_iter().find(chassis) else {
        return Proposed::None("its end on the body is not recorded".to_owned());
    };
    let starts_at_load = scene
        .device_at(id, end.other())
        .is_some_and(|device| vehicle.devices[device].role.is_dc_load());
    let Some(target) = minus_bar(scene).filter(|_| starts_at_load) else {
        return Proposed::None(
            "what returns by it is put right where it starts: see the repairs of the loads on the body".to_owned(),
        );
    };
    let (name, to) = (&vehicle.wires[id].name, vehicle.terminal_name(target));
    let title = format!("Lead the return {name} to {to} by a cable of its own");
    let mut bench = Bench::new(scene, "own-return", name, title);
    bench.figure(&format!("current of {name}"), "over the body", format!("by cable to {to}"));
    lead_to(&mut bench, id, end, &to);
    Proposed::one(bench.finish())
}

fn wires_on(scene: &Scene<'_>, id: DeviceId) -> Vec<(WireId, WireEnd)> {
    let terminals = scene.vehicle.devices[id].terminals.iter();
    terminals.flat_map(|terminal| scene.vehicle.wires_at(*terminal)).collect()
}

/// Wires that bring something back: those that do not end at the minus side already.
fn returns_on(scene: &Scene<'_>, id: DeviceId, bar: TerminalId) -> Vec<(WireId, WireEnd)> {
    let vehicle = scene.vehicle;
    let brings_back = |(wire, end): &(WireId, WireEnd)| {
        let far = vehicle.wires[*wire].terminal(end.other());
        far.is_some_and(|far| {
            let role = vehicle.devices[vehicle.terminals[far].device].role;
            far != bar && !matches!(role, Role::Battery | Role::Shunt | Role::Junction)
        })
    };
    wires_on(scene, id).into_iter().filter(brings_back).collect()
}

/// Where returns belong: the bar behind the shunt, else a bar on a battery's minus, else that post.
pub(super) fn minus_bar(scene: &Scene<'_>) -> Option<TerminalId> {
    if let Some(side) = system_side(scene) {
        return Some(side);
    }
    let vehicle = scene.vehicle;
    let house = |device: &Device| device.role == Role::Battery && !device.base_vehicle;
    let (battery, _) = vehicle.devices.find(house)?;
    let post = vehicle.terminal_of(battery, "-")?;
    let is_bar = |device: &Device| device.role == Role::Junction && !device.is_chassis;
    let bar = vehicle.wires_at(post).find_map(|(wire, end)| {
        let far = vehicle.wires[wire].terminal(end.other())?;
        is_bar(&vehicle.devices[vehicle.terminals[far].device]).then_some(far)
    });
    Some(bar.unwrap_or(post))
}

fn lug(count: f64, what: &str) -> Part {
    Part {
        sort: Sort::Lug,
        what: what.to_owned(),
        quantity: count,
        why: "new ends".to_owned(),
        size_mm2: None,
        rated_a: None,
    }
}
