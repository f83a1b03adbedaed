//! Ends of wires cut back and ended anew: lugs that fit, slack to work on, paper that goes along.

use model::{Finding, JointId, Place};

use crate::bench::Bench;
use crate::draft::{Part, Sort};
use crate::rules::Proposed;
use crate::scene::Scene;

/// Slack that is left above the least, as a part of it. Own choice.
const SLACK_OVER: f64 = 4.0 / 3.0;

/// A lug made for the thread of its stud.
pub(super) fn fitting_lug(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Joint(id) = finding.place else { return not_a_joint() };
    let Some((key, terminal)) = place_of(scene, id) else { return not_a_joint() };
    let known = scene.vehicle.stacks.iter().find(|stack| stack.terminal == terminal);
    let Some(thread) = known.and_then(|stack| stack.stud_mm) else {
        return Proposed::None("the thread of the stud is not recorded".to_owned());
    };
    let name = scene.vehicle.joint_name(id);
    let lug = format!("M{thread} lug");
    let title = format!("Crimp a lug for M{thread} on at {name}");
    let mut bench = Bench::new(scene, "lug", &name, title);
    let size = scene.vehicle.wires[scene.vehicle.joints[id].wire].size_words.clone();
    let is_lug = |said: &str| said == "lug" || said.ends_with(" lug");
    let before = bench.patch.value(&["joints", &key]).unwrap_or_default();
    bench.patch.see_joint(&key, is_lug, &[lug.clone(), "crimped".to_owned()]);
    bench.figure(&format!("lug at {name}"), before, lug);
    cut_back(&mut bench, id, Sort::Lug, &format!("lug M{thread} for {size}"));
    Proposed::one(bench.finish())
}

/// Enough wire at an end to make it anew twice.
pub(super) fn slack(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Joint(id) = finding.place else { return not_a_joint() };
    let Some((key, _)) = place_of(scene, id) else { return not_a_joint() };
    let least_m = scene.catalog.limits.get("service-slack", scene.vehicle.region).value;
    let name = scene.vehicle.joint_name(id);
    let slack = units::Metre::from_si(least_m * SLACK_OVER);
    let title = format!("Lengthen the wire at {name}, so that {slack} can be drawn out");
    let mut bench = Bench::new(scene, "slack", &name, title);
    let before = scene.vehicle.joints[id].slack.value().copied();
    bench.patch.see_joint(&key, |said| said.starts_with("slack "), &[format!("slack {slack}")]);
    bench.figure("wire to draw out", before.map_or_else(String::new, |m| m.to_string()), slack);
    bench.because("a crimped and sealed joint in a place that can be reached, or a new wire where there is none");
    let joint = "crimped and sealed butt joint with a piece of wire";
    cut_back(&mut bench, id, Sort::Splice, joint);
    Proposed::one(bench.finish())
}

/// The drawing of this record stays in the vehicle.
pub(super) fn document(scene: &Scene<'_>, _: &Finding) -> Proposed {
    let title = "Print the wiring drawing and leave it in the vehicle";
    let mut bench = Bench::new(scene, "paper", "vehicle", title);
    let path = ["vehicle", "documents"];
    let before = bench.patch.value(&path).unwrap_or_default();
    let papers = crate::pieces::said(&before);
    let kept = if matches!(papers, "none" | "") { None } else { Some(papers.to_owned()) };
    let papers: Vec<String> = kept.into_iter().chain(["wiring diagram".to_owned()]).collect();
    bench.patch.set(&path, &papers.join(", "));
    bench.figure("papers in the vehicle", before, papers.join(", "));
    bench.work("print", 1.0);
    bench.part(Part {
        sort: Sort::Label,
        what: "wiring drawing and isolation card, printed, in a pocket".to_owned(),
        quantity: 1.0,
        why: "for whoever works on it next".to_owned(),
        size_mm2: None,
        rated_a: None,
    });
    Proposed::one(bench.finish())
}

/// The line that speaks of a joint, its own if there is none, and the terminal it is on.
fn place_of(scene: &Scene<'_>, id: JointId) -> Option<(String, model::TerminalId)> {
    let joint = &scene.vehicle.joints[id];
    let wire = &scene.vehicle.wires[joint.wire];
    let terminal = wire.terminal(joint.end)?;
    let name = scene.vehicle.terminal_name(terminal);
    let patch = crate::patch::Patch::of(scene.values);
    let key = patch.joint_key(&wire.name, &name);
    Some((key.unwrap_or_else(|| format!("{} at {name}", wire.name)), terminal))
}

fn cut_back(bench: &mut Bench<'_>, id: JointId, sort: Sort, what: &str) {
    let scene = bench.scene;
    let joint = &scene.vehicle.joints[id];
    bench.work("remake", 1.0);
    bench.part(Part {
        sort,
        what: what.to_owned(),
        quantity: 1.0,
        why: "the old end is cut off".to_owned(),
        size_mm2: scene.vehicle.wires[joint.wire].area.value().map(|area| area.si()),
        rated_a: None,
    });
    if let Some(device) = scene.device_at(joint.wire, joint.end) {
        bench.reach_device(device);
    }
    if scene.vehicle.is_ac(joint.wire) {
        bench.licensed();
    }
}

fn not_a_joint() -> Proposed {
    Proposed::None("it names no joint of which both sides are known".to_owned())
}
