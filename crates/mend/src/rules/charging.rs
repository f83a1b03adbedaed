//! Sources and chargers: set right, or given the device that belongs between them.

use catalog::trade_name;
use model::{
    Attribute, Chemistry, DeviceId, Finding, Place, Role, Signal, TerminalId, WireEnd, WireId,
};
use network::Item;
use units::{Ampere, Ohm, Volt};

use crate::bench::{Bench, Spot};
use crate::draft::{Draft, Part, Sort};
use crate::fuses::{Fuse, FuseWanted};
use crate::rules::Proposed;
use crate::rules::body::minus_bar;
use crate::rules::landing;
use crate::rules::protection::plain;
use crate::scene::Scene;
use crate::sizes::{Size, sold};

/// A module's fuse carries 1.25 times 1.25 its short-circuit current (NEC 690.8(A)(1) and (B)(1), from
/// memory).
const MODULE_SHARE: f64 = 1.5625;

/// A charger is set to what its batteries bear.
pub(super) fn set_voltage(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let (Place::Device(id), Some(Place::Device(battery))) =
        (finding.place, finding.related.first())
    else {
        return Proposed::None("it names no charger and battery".to_owned());
    };
    let device = &scene.vehicle.devices[id];
    let bears = bears(scene, *battery);
    let Some(bears) = bears else {
        return Proposed::None("what the battery bears is not known".to_owned());
    };
    let name = &scene.vehicle.devices[*battery].name;
    let title = format!("Set {} to {bears}, or exchange it if it cannot be set", device.name);
    let mut bench = Bench::new(scene, "set-volts", &device.name, title);
    bench.patch.set(&["devices", &device.name, "regulates"], &format!("{} V", bears.si()));
    let before = device.number(Attribute::Regulates).map(Volt::from_si);
    bench.figure("charges to", before.map_or_else(String::new, |v| v.to_string()), bears);
    bench.because(format!(
        "the most that {name} bears by the record; its label comes first, and may ask for less"
    ));
    bench.work("setting", 1.0);
    bench.reach_device(id);
    Proposed::one(bench.finish())
}

/// What a battery bears while it charges: where its board stops, else the usual of its chemistry.
fn bears(scene: &Scene<'_>, battery: DeviceId) -> Option<Volt> {
    let device = &scene.vehicle.devices[battery];
    if let Some(volt) = device.fact(Attribute::ChargeStop).evidence() {
        return Some(Volt::from_si(*volt));
    }
    let key = match device.chemistry.value()? {
        Chemistry::Lfp => "charge-lfp",
        Chemistry::Agm => "charge-agm",
        Chemistry::Gel => "charge-gel",
        Chemistry::Flooded => "charge-flooded",
    };
    let block = scene.catalog.stand_ins.nominal.si();
    let blocks = device.number(Attribute::Nominal).unwrap_or(block) / block;
    let volt = scene.catalog.limits.get(key, scene.vehicle.region).value * blocks;
    Some(Volt::from_si(volt))
}

/// A monitor is set for the shunt it hangs on.
pub(super) fn set_scale(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let (Place::Device(id), Some(Place::Device(shunt))) = (finding.place, finding.related.first())
    else {
        return Proposed::None("it names no monitor and shunt".to_owned());
    };
    let device = &scene.vehicle.devices[id];
    let Some(ohm) = scene.vehicle.devices[*shunt].number(Attribute::Resistance) else {
        return Proposed::None("the resistance of the shunt is not recorded".to_owned());
    };
    let is = Ohm::from_si(ohm);
    let title = format!("Set {} for a shunt of {is}", device.name);
    let mut bench = Bench::new(scene, "set-shunt", &device.name, title);
    bench.patch.set(&["devices", &device.name, "resistance"], &is.to_string());
    let before = device.number(Attribute::Resistance).map(Ohm::from_si);
    bench.figure("set for a shunt of", before.map_or_else(String::new, |o| o.to_string()), is);
    bench.because("compare display and clamp at one steady load afterwards");
    bench.work("setting", 1.0);
    bench.reach_device(id);
    Proposed::one(bench.finish())
}

/// A charger with a limit of current in the place of the relay between alternator and house battery.
pub(super) fn charger_for_relay(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let relays = scene.vehicle.devices.iter();
    let relays = relays.filter(|(_, device)| device.role == Role::CombinerRelay);
    let drafts: Vec<_> = relays.map(|(id, _)| charger_at(scene, id, finding)).collect();
    if drafts.is_empty() {
        return Proposed::None(
            "no relay between the two is recorded: where a charger goes is for a person to say"
                .to_owned(),
        );
    }
    Proposed::FirstThatCures(drafts)
}

fn charger_at(scene: &Scene<'_>, relay: DeviceId, finding: &Finding) -> Result<Draft, String> {
    let vehicle = scene.vehicle;
    let old = &vehicle.devices[relay];
    let house = house_side(scene, relay, finding);
    let [side_in, side_out] = if house == Some("a") { ["b", "a"] } else { ["a", "b"] };
    let minus = minus_bar(scene).ok_or("where its minus goes is not recorded")?;
    let battery = vehicle.devices.iter().find(|(_, d)| d.role == Role::Battery && !d.base_vehicle);
    let (battery, _) = battery.ok_or("no house battery is recorded")?;
    let volt = bears(scene, battery).ok_or("what the house battery bears is not known")?;
    let limit = limit_for(scene, relay)?;
    let title =
        format!("Fit a DC-DC charger of {limit} with a run signal in the place of {}", old.name);
    let mut bench = Bench::new(scene, "charger", &old.name, title);
    let name = bench.patch.free_name("devices", &format!("{}-charger", old.name));
    let mut fields = vec![
        "kind = \"dc-dc charger\"".to_owned(),
        format!("limit = \"{}\"", plain(limit)),
        format!("regulates = \"{} V\"", volt.si()),
    ];
    fields.extend(bench.beside(relay));
    bench.patch.set(&["devices", &name], &format!("{{ {} }}", fields.join(", ")));
    for (from, to) in [(side_in, "in+"), (side_out, "out+")] {
        let terminal = vehicle.terminal_of(relay, from).ok_or("its terminals are not recorded")?;
        for (wire, end) in vehicle.wires_at(terminal) {
            bench.land(wire, end, &format!("{name}.{to}"));
        }
    }
    let coil = vehicle.terminal_of(relay, "-").into_iter().flat_map(|t| vehicle.wires_at(t));
    let mut coil: Vec<(WireId, WireEnd)> = coil.collect();
    match coil.pop() {
        Some((wire, end)) => bench.land(wire, end, &format!("{name}.-")),
        None => {
            let size = sizes_at(scene, relay);
            let landing = [format!("{name}.-"), vehicle.terminal_name(minus)];
            let lead = bench.patch.free_name("wires", &format!("{name}-minus"));
            bench.short_wire(&lead, landing, &size, None);
            bench.patch.set_wire_piece(&lead, "length", "unknown length");
            bench.patch.add_lug(&vehicle.terminal_name(minus), &lead);
            bench.end_work(2.0, None, &size);
        }
    }
    bench.patch.remove(&["devices", &old.name]);
    bench.work("charger", 1.0);
    bench.work("move", 2.0);
    bench.part(charger_part(
        Sort::Charger,
        format!("DC-DC charger {limit}, {} in and out, with run signal", scene.nominal()),
        limit,
    ));
    bench.figure(
        "charging current from the alternator",
        "without a limit",
        format!("at most {limit}"),
    );
    bench.because(format!("{limit} or less: the least that the wires on the way carry; whether the alternator gives it for good at idle is read off its papers or measured"));
    bench.caution(Signal::Warning, "engine off, both batteries isolated; the house battery is not switched off while the engine runs");
    bench.reach_device(relay);
    bench.finish()
}

fn charger_part(sort: Sort, what: String, limit: Ampere) -> Part {
    let why =
        if sort == Sort::Converter { "takes from the whole bank" } else { "limits what flows" };
    Part {
        sort,
        what,
        quantity: 1.0,
        why: why.to_owned(),
        size_mm2: None,
        rated_a: Some(limit.si()),
    }
}

/// On which side of a relay the house battery hangs.
fn house_side(scene: &Scene<'_>, relay: DeviceId, _: &Finding) -> Option<&'static str> {
    let vehicle = scene.vehicle;
    let network = scene.network()?;
    ["a", "b"].into_iter().find(|side| {
        let Some(terminal) = vehicle.terminal_of(relay, side) else { return false };
        let walk = network.graph.walk([network.graph.stud(terminal)], |link, _| {
            !matches!(link.item, Item::Device(id) if id == relay)
                && matches!(link.passage, network::Passage::Metal | network::Passage::Open)
        });
        vehicle.devices.iter().any(|(id, device)| {
            let plus = vehicle.terminal_of(id, "+");
            device.role == Role::Battery
                && !device.base_vehicle
                && plus.is_some_and(|plus| walk.reaches(network.graph.stud(plus)))
        })
    })
}

/// The largest charger that every wire on the relay may carry.
fn limit_for(scene: &Scene<'_>, relay: DeviceId) -> Result<Ampere, String> {
    let vehicle = scene.vehicle;
    let wires = ["a", "b"].into_iter().filter_map(|side| vehicle.terminal_of(relay, side));
    let wires = wires.flat_map(|terminal| vehicle.wires_at(terminal)).map(|(wire, _)| wire);
    let carries = wires.filter_map(|wire| {
        let facts = &vehicle.wires[wire];
        scene.allowable(facts, *facts.area.value()?)
    });
    let least_a = carries.map(|most| most.si()).reduce(f64::min);
    let least_a = least_a.ok_or("the size of its wires is not known")?;
    let usual = scene.catalog.kinds.get("dc-dc charger");
    let usual = usual.and_then(|kind| kind.usual.get(&Attribute::Limit)).map(|usual| usual.value);
    // The usual size, less where the wires carry less.
    let most_a =
        usual.map_or(least_a, |usual| usual.min(least_a * scene.catalog.mending.load_share));
    let mut sold = scene.catalog.mending.converters.iter().copied();
    let fits = sold.rfind(|ampere| ampere.si() <= most_a * (1.0 + 1e-9));
    fits.ok_or_else(|| "its wires are too thin for any charger that is sold".to_owned())
}

fn sizes_at(scene: &Scene<'_>, device: DeviceId) -> String {
    let vehicle = scene.vehicle;
    let terminals = vehicle.devices[device].terminals.iter();
    let wires = terminals.flat_map(|terminal| vehicle.wires_at(*terminal)).map(|(wire, _)| wire);
    let known = wires.filter(|wire| vehicle.wires[*wire].area.value().is_some());
    let area = |wire: &WireId| vehicle.wires[*wire].area.value().map_or(0.0, |area| area.si());
    let thickest = known.max_by(|a, b| area(a).total_cmp(&area(b)));
    thickest.map_or_else(String::new, |wire| vehicle.wires[wire].size_words.clone())
}

/// A controller between a module and the battery it hangs on.
pub(super) fn controller_for_module(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let (Place::Device(module), Some(Place::Device(battery))) =
        (finding.place, finding.related.first())
    else {
        return Proposed::None("it names no module and battery".to_owned());
    };
    Proposed::one(controller_at(scene, module, *battery))
}

fn controller_at(scene: &Scene<'_>, module: DeviceId, battery: DeviceId) -> Result<Draft, String> {
    let vehicle = scene.vehicle;
    let one = |pole: &str| {
        let terminal = vehicle.terminal_of(module, pole)?;
        vehicle.wires_at(terminal).next()
    };
    let [Some((plus, plus_end)), Some((minus, minus_end))] = ["+", "-"].map(one) else {
        return Err(
            "plus and minus of the module are not both recorded: follow them first".to_owned()
        );
    };
    let volt = bears(scene, battery).ok_or("what the battery bears is not known")?;
    let short_a = vehicle.devices[module].number(Attribute::ShortCurrent);
    let short_a = short_a.ok_or("the short-circuit current of the module is not known")?;
    let sold = scene.catalog.mending.converters.iter().copied();
    let limit = sold.clone().find(|a| a.si() >= short_a * MODULE_SHARE);
    let limit = limit.ok_or("no controller that is sold here takes its current")?;
    let name = &vehicle.devices[module].name;
    let title = format!(
        "Fit a solar controller of {limit} between {name} and {}",
        vehicle.devices[battery].name
    );
    let mut bench = Bench::new(scene, "controller", name, title);
    let device = bench.patch.free_name("devices", &format!("{name}-controller"));
    let plus_spot =
        Spot { wire: plus, end: plus_end.other(), sides: ["+", "pv+"], lead_size: None };
    let fields = format!(
        "{{ kind = \"solar controller\", limit = \"{}\", regulates = \"{} V\", at = \"near the battery\", behind = \"nothing\" }}",
        plain(limit),
        volt.si()
    );
    bench.patch.set(&["devices", &device], &fields);
    bench.insert_named(&device, plus_spot);
    let minus_spot =
        Spot { wire: minus, end: minus_end.other(), sides: ["-", "pv-"], lead_size: None };
    bench.insert_named(&device, minus_spot);
    bench.work("charger", 1.0);
    let what = format!("solar controller {limit}, set for {volt}");
    bench.part(charger_part(Sort::Controller, what, limit));
    bench.figure(
        "between module and battery",
        "nothing that stops",
        format!("a controller that stops at {volt}"),
    );
    bench.because(format!(
        "its short-circuit current of {} times 1.25 times 1.25, the next size sold",
        Ampere::from_si(short_a)
    ));
    bench.caution(Signal::Warning, "cover the module first: it delivers in any light");
    bench.finish()
}

/// A fuse in the plus of each module of a row.
pub(super) fn string_fuses(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let places = std::iter::once(&finding.place).chain(&finding.related);
    let modules: Vec<DeviceId> = places
        .filter_map(|place| match place {
            Place::Device(id) => Some(*id),
            _ => None,
        })
        .collect();
    Proposed::one(fuses_for(scene, &modules))
}

fn fuses_for(scene: &Scene<'_>, modules: &[DeviceId]) -> Result<Draft, String> {
    let vehicle = scene.vehicle;
    let names: Vec<&str> = modules.iter().map(|id| vehicle.devices[*id].name.as_str()).collect();
    let title = format!("Fit a fuse into the plus of each of {}", names.join(", "));
    let mut bench = Bench::new(scene, "string-fuses", names.first().copied().unwrap_or(""), title);
    let mut done: Vec<WireId> = Vec::new();
    for id in modules {
        let device = &vehicle.devices[*id];
        let plus = vehicle.terminal_of(*id, "+").ok_or("its plus is not recorded")?;
        let own = vehicle.wires_at(plus).filter(|(wire, _)| !done.contains(wire));
        let (wire, end) =
            own.last().ok_or_else(|| format!("the plus of {} is not recorded", device.name))?;
        done.push(wire);
        let short_a = device.number(Attribute::ShortCurrent).unwrap_or(0.0);
        let facts = &vehicle.wires[wire];
        let most = facts.area.value().and_then(|area| scene.allowable(facts, *area));
        let volt = device.number(Attribute::OpenVoltage).map_or(scene.highest(), Volt::from_si);
        let most =
            most.ok_or_else(|| format!("what wire {} may carry is not known", facts.name))?;
        let share = scene.catalog.mending.load_share;
        let load_a = short_a * MODULE_SHARE * share;
        let wanted = FuseWanted { load_a, most, breaks_a: None, volt };
        let fuse = wanted.choose(scene.catalog);
        let fuse = fuse.ok_or_else(|| format!("no fuse that is sold suits wire {}", facts.name))?;
        let Some(name) = bench.insert(wire, end, &format!("{}-fuse", device.name), None) else {
            continue;
        };
        let mut fields = vec![
            format!("kind = \"{}\"", fuse.kind),
            format!("label = \"fuse of {}\"", device.name),
            format!("rated = \"{}\"", plain(fuse.rated)),
        ];
        fields.extend(bench.beside(*id));
        bench.patch.set(&["devices", &name], &format!("{{ {} }}", fields.join(", ")));
        bench.work("protection", 1.0);
        bench.part(Part {
            sort: Sort::Fuse,
            what: format!(
                "{} {} for direct current at {volt}, with holder",
                trade_name(fuse.kind),
                fuse.rated
            ),
            quantity: 1.0,
            why: format!("the row of {}", device.name),
            size_mm2: None,
            rated_a: Some(fuse.rated.si()),
        });
    }
    bench.figure("fuses in the row", "none", format!("{}, one for each module", modules.len()));
    bench.because("1.25 times 1.25 the short-circuit current, next size sold; never above the largest fuse that the label of the module allows");
    bench.caution(Signal::Warning, "cover the modules first: they deliver in any light");
    bench.finish()
}

/// A load on the middle of a bank is fed by a converter from the whole bank.
pub(super) fn whole_bank(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let related: Vec<DeviceId> = finding
        .related
        .iter()
        .filter_map(|place| match place {
            Place::Device(id) => Some(*id),
            _ => None,
        })
        .collect();
    let (Place::Device(load), [lower, upper]) = (finding.place, related.as_slice()) else {
        return Proposed::None("it names no load and bank".to_owned());
    };
    Proposed::one(converter_for(scene, load, *lower, *upper))
}

fn converter_for(
    scene: &Scene<'_>,
    load: DeviceId,
    lower: DeviceId,
    upper: DeviceId,
) -> Result<Draft, String> {
    let vehicle = scene.vehicle;
    let post = |id, pole: &str| vehicle.terminal_of(id, pole).ok_or("a post is not recorded");
    let (middle, top) = (post(lower, "+")?, post(upper, "+")?);
    // Behind the shunt, where there is one: what it draws is counted.
    let bottom = match landing::system_side(scene) {
        Some(behind) => behind,
        None => post(lower, "-")?,
    };
    let is_link = |wire: WireId| {
        let device = |end| scene.device_at(wire, end);
        let ends = WireEnd::BOTH.map(device);
        ends.contains(&Some(lower)) && ends.contains(&Some(upper))
    };
    let taps: Vec<(WireId, WireEnd)> =
        vehicle.wires_at(middle).filter(|(wire, _)| !is_link(*wire)).collect();
    let [(tap, end)] = taps.as_slice() else {
        return Err("which wire on the middle feeds it is not recorded alone".to_owned());
    };
    let draws_a = scene.current_a(*tap);
    let sold = scene.catalog.mending.converters.iter().copied();
    let limit = sold.clone().find(|a| a.si() * scene.catalog.mending.load_share >= draws_a);
    let limit = limit.ok_or("no converter that is sold here delivers what it draws")?;
    let name = &vehicle.devices[load].name;
    let half = vehicle.devices[lower].number(Attribute::Nominal);
    let half = half.unwrap_or(scene.catalog.stand_ins.nominal.si());
    let title = format!("Feed {name} from the whole bank through a converter of {limit}");
    let mut bench = Bench::new(scene, "converter", name, title);
    let device = bench.patch.free_name("devices", &format!("{name}-converter"));
    let fuse = bench.patch.free_name("devices", &format!("{device}-fuse"));
    let beside = bench.beside(lower).join(", ");
    bench.patch.set(
        &["devices", &device],
        &format!("{{ kind = \"isolated dc-dc charger\", limit = \"{}\", regulates = \"{half} V\", cut_out = \"{} V\", restart = \"{} V\", {beside} }}", plain(limit), 1.7 * half, 1.9 * half),
    );
    let chosen = fuse_for(scene, limit, top)?;
    bench.patch.set(
        &["devices", &fuse],
        &format!("{{ kind = \"{}\", rated = \"{}\", {beside} }}", chosen.kind, plain(chosen.rated)),
    );
    bench.land(*tap, *end, &format!("{device}.out+"));
    let size = size_for(scene, *tap, chosen.rated)?;
    let [top, bottom] = [top, bottom].map(|id| vehicle.terminal_name(id));
    for (wire, landing) in [
        ("feed", [top, format!("{fuse}.in")]),
        ("in", [format!("{fuse}.out"), format!("{device}.in+")]),
        ("minus", [format!("{device}.in-"), bottom.clone()]),
        ("return", [format!("{device}.out-"), bottom]),
    ] {
        let lead = bench.patch.free_name("wires", &format!("{device}-{wire}"));
        bench.short_wire(&lead, landing, &size.words, None);
    }
    bench.end_work(8.0, Some(size.area.si()), &size.words);
    bench.work("charger", 1.0);
    bench.work("protection", 1.0);
    let what = format!("isolated DC-DC converter from {} to {half} V, {limit}", scene.nominal());
    bench.part(charger_part(Sort::Converter, what, limit));
    bench.figure(&format!("{name} is fed by"), "half of the bank", "the whole bank");
    bench.because(format!(
        "it draws {}; the next size sold that gives it at four fifths",
        Ampere::from_si(draws_a)
    ));
    bench.reach_device(load);
    bench.finish()
}

/// A fuse that carries what a converter takes and breaks the short circuit at a post.
fn fuse_for(scene: &Scene<'_>, limit: Ampere, post: TerminalId) -> Result<Fuse, String> {
    let wanted = FuseWanted {
        load_a: limit.si(),
        most: Ampere::from_si(f64::MAX),
        breaks_a: (scene.fault_level)(post),
        volt: scene.highest(),
    };
    wanted
        .choose(scene.catalog)
        .ok_or_else(|| "no fuse that is sold breaks the short circuit there".to_owned())
}

/// The smallest wire that carries a fuse, in the system of another.
fn size_for(scene: &Scene<'_>, like: WireId, fuse: Ampere) -> Result<Size, String> {
    let facts = &scene.vehicle.wires[like];
    let carries = |size: &Size| {
        let most = scene.allowable_with(facts, size.area, scene.usual_insulation());
        most.is_some_and(|most| most >= fuse)
    };
    let sizes = sold(facts, scene.vehicle.region);
    sizes
        .into_iter()
        .find(carries)
        .ok_or_else(|| "no wire that is sold carries its fuse".to_owned())
}
