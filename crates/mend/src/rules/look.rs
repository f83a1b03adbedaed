//! What the eye found wrong, put right so that the next look finds it as it should be: one row for each
//! check. The rows say what is done; nothing is sized here.

use model::{DeviceId, Finding, JointId, Look, Place, Signal, WireId};

use crate::bench::Bench;
use crate::draft::{Part, Sort};
use crate::rules::Proposed;
use crate::scene::Scene;

/// Who may do it.
#[derive(Clone, Copy, PartialEq)]
enum By {
    /// The workshop; on the mains side somebody licensed.
    Anybody,
    /// Somebody licensed for the mains side.
    Electrician,
    /// Somebody trained for airbags and belt tensioners.
    Trained,
}

/// A repair of what was seen; `{}` stands for the thing.
struct Row {
    check: &'static str,
    look: Look,
    /// Begins the name of the repair.
    what: &'static str,
    title: &'static str,
    /// Key of the work, and whether it is counted for each metre.
    work: &'static str,
    metres: bool,
    part: Option<(Sort, &'static str)>,
    /// Figures of a wire's way that no longer hold.
    figures: &'static [&'static str],
    caution: Option<(Signal, &'static str)>,
    by: By,
}

const PLAIN: Row = Row {
    check: "",
    look: Look::Whole,
    what: "",
    title: "",
    work: "",
    metres: false,
    part: None,
    figures: &[],
    caution: None,
    by: By::Anybody,
};

const GAS: &str = "the line itself is for people licensed for it; smell of gas: stop, open the doors, switch nothing, get everybody out";
const AIRBAG: &str = "airbags and belt tensioners: only by people trained by the maker of the vehicle, after the wait the maker asks for; no meter on yellow wiring";
const POST: &str = "the terminal is live: insulated tools, cover the post that is not worked on, no rings or watch";

const ROWS: &[Row] = &[
    Row {
        check: "edge-without-grommet",
        look: Look::Grommets,
        what: "grommet",
        title: "Look at {} along the edge, and fit a grommet or edge strip that cannot come off",
        work: "grommet",
        part: Some((Sort::Support, "grommet, or edge strip cut to length, for {}")),
        ..PLAIN
    },
    Row {
        check: "wire-near-heat",
        look: Look::HeatClear,
        what: "away",
        title: "Lead {} clear of the heat, or shield it, and hold it there",
        work: "reroute",
        part: Some((Sort::Support, "heat shield or sleeve, and clips, for {}")),
        figures: &["hottest"],
        ..PLAIN
    },
    Row {
        check: "wire-on-gas-or-fuel-line",
        look: Look::GasClear,
        what: "free",
        title: "Lead {} clear of the gas line, on clips of its own",
        work: "reroute",
        part: Some((Sort::Support, "clips for {}")),
        caution: Some((Signal::Danger, GAS)),
        ..PLAIN
    },
    Row {
        check: "wire-on-gas-or-fuel-line",
        look: Look::FuelClear,
        what: "free",
        title: "Lead {} clear of the fuel line, on clips of its own",
        work: "reroute",
        part: Some((Sort::Support, "clips for {}")),
        caution: Some((Signal::Danger, GAS)),
        ..PLAIN
    },
    Row {
        check: "wire-unsupported",
        look: Look::Supported,
        what: "clip",
        title: "Clip {} along its way, first within a hand's width of each end",
        work: "clip",
        metres: true,
        part: Some((Sort::Support, "set of clips for {}")),
        figures: &["held_every"],
        ..PLAIN
    },
    Row {
        check: "wire-in-drill-zone",
        look: Look::ScrewsClear,
        what: "shield",
        title: "Move {} out of the way of screws, or put a steel plate over it, and mark the panel",
        work: "reroute",
        part: Some((Sort::Cover, "steel plate for {}")),
        ..PLAIN
    },
    Row {
        check: "moving-wire-without-loop",
        look: Look::Loop,
        what: "loop",
        title: "Give {} a loop or a cable chain, held on both sides of the movement",
        work: "loop",
        part: Some((Sort::Support, "cable chain or sleeve, and clips, for {}")),
        ..PLAIN
    },
    Row {
        check: "mains-beside-low-voltage",
        look: Look::MainsApart,
        what: "part",
        title: "Give {} a way or conduit of its own, apart from wiring of the other voltage",
        work: "reroute",
        part: Some((Sort::Support, "conduit for {}")),
        figures: &["from_mains"],
        caution: Some((
            Signal::Danger,
            "lead out, inverter and generator off and locked off before the run is opened; mains wiring itself is for a licensed electrician",
        )),
        ..PLAIN
    },
    Row {
        check: "in-airbag-zone",
        look: Look::AirbagsClear,
        what: "clear",
        title: "Have {} moved to where no airbag or belt tensioner works",
        work: "reroute",
        caution: Some((Signal::Danger, AIRBAG)),
        by: By::Trained,
        ..PLAIN
    },
    Row {
        check: "fine-strands-under-a-screw",
        look: Look::Ferrule,
        what: "ferrule",
        title: "Cut back and crimp a ferrule on at {}",
        work: "ferrule",
        part: Some((Sort::Lug, "ferrule for {}")),
        ..PLAIN
    },
    Row {
        check: "live-terminal-uncovered",
        look: Look::Covered,
        what: "cover",
        title: "Put a boot or lid over {} that cannot fall off",
        work: "cover",
        part: Some((Sort::Cover, "boot or insulating lid for {}")),
        caution: Some((Signal::Danger, POST)),
        ..PLAIN
    },
    Row {
        check: "torque-not-recorded",
        look: Look::Torqued,
        what: "torque",
        title: "Tighten {} to the maker's torque, mark the nut, write the figure down",
        work: "torque",
        caution: Some((
            Signal::Warning,
            "battery off, and off at the other pole too; a post that turns in its case is left alone",
        )),
        ..PLAIN
    },
    Row {
        check: "mixed-metals-at-body-point",
        look: Look::Tinned,
        what: "tinned",
        title: "Clean to bright metal, put a tinned lug on at {} over a plated toothed washer, seal it",
        work: "remake",
        part: Some((Sort::Lug, "tinned lug and plated toothed washer for {}")),
        ..PLAIN
    },
    Row {
        check: "battery-gases-inside",
        look: Look::Vented,
        what: "vent",
        title: "Put {} into a box closed to the inside, with openings or a hose to the outside",
        work: "vent",
        part: Some((Sort::Cover, "vented battery box with hose for {}")),
        caution: Some((
            Signal::Warning,
            "open doors and windows first; nothing that sparks near the battery",
        )),
        ..PLAIN
    },
    Row {
        check: "electrics-below-water",
        look: Look::WaterClear,
        what: "tray",
        title: "Put a tray with a drain between the water and {}, or move one of the two",
        work: "tray",
        part: Some((Sort::Cover, "tray with drain over {}")),
        caution: Some((
            Signal::Warning,
            "look inside for white or green marks first, with everything off",
        )),
        ..PLAIN
    },
    Row {
        check: "no-air-around",
        look: Look::Air,
        what: "air",
        title: "Give {} the room its maker asks for, with air in low and out high",
        work: "air",
        part: Some((Sort::Cover, "grilles, low and high, for {}")),
        ..PLAIN
    },
    Row {
        check: "switch-without-label",
        look: Look::Labelled,
        what: "label",
        title: "Label {}: what it is, what it switches, its rating",
        work: "label",
        part: Some((Sort::Label, "label for {}")),
        ..PLAIN
    },
    Row {
        check: "device-loose",
        look: Look::Fixed,
        what: "fix",
        title: "Look at the terminals of {}, then fix it to something that holds",
        work: "fix",
        part: Some((Sort::Mount, "screws and plate for {}")),
        ..PLAIN
    },
    Row {
        check: "mains-joint-without-enclosure",
        look: Look::Boxed,
        what: "box",
        title: "Have {} put into a closed box that can be reached, each cable clamped",
        work: "box",
        part: Some((Sort::Cover, "closed box with cable clamps for {}")),
        by: By::Electrician,
        ..PLAIN
    },
];

/// The checks of this file.
pub(super) fn checks() -> impl Iterator<Item = &'static str> {
    ROWS.iter().map(|row| row.check)
}

/// The repair of what was seen.
pub(super) fn put_right(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let rows = ROWS.iter().filter(|row| row.check == finding.check);
    let wrong = rows.filter(|row| is_wrong(scene, finding.place, row.look));
    let mut drafts: Vec<_> = wrong.map(|row| draft(scene, finding.place, row)).collect();
    // A distance that was measured is a figure and no look.
    if drafts.is_empty() {
        let first = ROWS.iter().find(|row| row.check == finding.check);
        drafts.extend(first.map(|row| draft(scene, finding.place, row)));
    }
    Proposed::Choices(drafts)
}

fn is_wrong(scene: &Scene<'_>, place: Place, look: Look) -> bool {
    let vehicle = scene.vehicle;
    let fact = match place {
        Place::Wire(id) => vehicle.wires[id].course.looks.get(look),
        Place::Joint(id) => vehicle.joints[id].looks.get(look),
        Place::Device(id) => vehicle.devices[id].looks.get(look),
        _ => return false,
    };
    fact.value() == Some(&false)
}

fn draft(scene: &Scene<'_>, place: Place, row: &Row) -> Result<crate::draft::Draft, String> {
    let name = scene.vehicle.place_name(place);
    let thing = match place {
        Place::Wire(id) => format!("wire {}", cable_of(scene, id)),
        _ => name.clone(),
    };
    let title = row.title.replacen("{}", &thing, 1);
    let mut bench = Bench::new(scene, row.what, &name, title);
    let mains = match place {
        Place::Wire(id) => on_wire(&mut bench, id, row),
        Place::Joint(id) => on_joint(&mut bench, id, row),
        Place::Device(id) => on_device(&mut bench, id, row),
        _ => return Err("it names nothing that can be put right".to_owned()),
    };
    let words = row.look.words();
    bench.figure(&thing, words.bad, words.good);
    let times = match place {
        Place::Wire(id) if row.metres => metres(scene, id),
        _ => 1.0,
    };
    bench.work(row.work, times);
    if let Some((sort, what)) = row.part {
        bench.part(Part {
            sort,
            what: what.replacen("{}", &thing, 1),
            quantity: 1.0,
            why: words.good.to_owned(),
            size_mm2: None,
            rated_a: None,
        });
    }
    if let Some((signal, words)) = row.caution {
        bench.caution(signal, words);
    }
    match row.by {
        By::Electrician => bench.licensed(),
        By::Trained => bench.trained(),
        By::Anybody if mains => bench.licensed(),
        By::Anybody => {}
    }
    bench.finish()
}

fn cable_of(scene: &Scene<'_>, id: WireId) -> String {
    let name = &scene.vehicle.wires[id].name;
    name.split('/').next().unwrap_or(name).to_owned()
}

/// Metres of work; one where the length is not recorded.
fn metres(scene: &Scene<'_>, id: WireId) -> f64 {
    scene.vehicle.wires[id].length.value().map_or(1.0, |length| length.si().max(1.0))
}

fn on_wire(bench: &mut Bench<'_>, id: WireId, row: &Row) -> bool {
    let scene = bench.scene;
    bench.patch.see_wire(&scene.vehicle.wires[id].name, row.look, row.figures);
    bench.reach_wire(id);
    scene.vehicle.is_ac(id)
}

fn on_joint(bench: &mut Bench<'_>, id: JointId, row: &Row) -> bool {
    let scene = bench.scene;
    let joint = &scene.vehicle.joints[id];
    let wire = &scene.vehicle.wires[joint.wire];
    let Some(terminal) = wire.terminal(joint.end) else {
        bench.patch.refuse(format!("nobody has seen where wire {} ends", wire.name));
        return false;
    };
    let name = scene.vehicle.terminal_name(terminal);
    let key = bench.patch.joint_key(&wire.name, &name);
    let key = key.unwrap_or_else(|| format!("{} at {name}", wire.name));
    let words = row.look.words();
    let gone = |said: &str| said == words.good || said == words.bad;
    bench.patch.see_joint(&key, gone, &[words.good.to_owned()]);
    bench.reach_device(scene.vehicle.terminals[terminal].device);
    scene.vehicle.is_ac(joint.wire)
}

fn on_device(bench: &mut Bench<'_>, id: DeviceId, row: &Row) -> bool {
    let scene = bench.scene;
    let device = &scene.vehicle.devices[id];
    bench.patch.see_device(&device.name, row.look);
    bench.reach_device(id);
    let opens = matches!(row.look, Look::Fixed);
    let mains = |terminal: &model::TerminalId| scene.vehicle.terminals[*terminal].pole.is_ac();
    opens && device.terminals.iter().any(mains)
}
