//! New wire for what its insulation or its way has suffered, and wider bends.

use model::{Finding, Look, Place, Signal, WireId};
use units::Metre;

use crate::bench::Bench;
use crate::draft::{Draft, Part, Sort};
use crate::rules::Proposed;
use crate::scene::Scene;

/// A bend no tighter than the limit.
pub(super) fn wider_bend(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Wire(id) = finding.place else { return not_a_wire() };
    let wire = &scene.vehicle.wires[id];
    let Some(outside) = wire.course.outside.value() else {
        return Proposed::None("its outside diameter is not recorded".to_owned());
    };
    let times = scene.catalog.limits.get("bend-diameters", scene.vehicle.region).value;
    let radius = Metre::from_si(times * outside.si());
    let title = format!("Lead wire {} round with a bend of at least {radius}", wire.name);
    let mut bench = Bench::new(scene, "bend", &wire.name, title);
    bench.patch.set_wire_figure(&wire.name, "bend", "bend", &radius.to_string());
    let before = wire.course.bend.value().map_or_else(String::new, |bend| bend.to_string());
    bench.figure("tightest bend, inside", before, radius);
    bench.because(format!(
        "{times} times its outside diameter of {outside}; the maker's own figure comes first"
    ));
    bench.work("reroute", 1.0);
    bench.part(support(&format!("clips for wire {}", wire.name)));
    bench.caution(Signal::Warning, "look at the insulation in the old bend with the source off: white, thin or cracked means a new length");
    bench.reach_wire(id);
    mains_is_licensed(&mut bench, id);
    Proposed::one(bench.finish())
}

/// The length anew where its insulation is hurt.
pub(super) fn whole(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Wire(id) = finding.place else { return not_a_wire() };
    let title =
        format!("Find what hurt wire {}, put that right, and lay the length anew", name(scene, id));
    let mut bench = Bench::new(scene, "renew", name(scene, id), title);
    if !scene.vehicle.is_ac(id) {
        bench.relay(id, None);
    }
    bench.patch.see_wire(name(scene, id), Look::Whole, &[]);
    bench.figure("insulation", Look::Whole.words().bad, Look::Whole.words().good);
    mains_anew(&mut bench, id);
    Proposed::one(bench.finish())
}

/// A wire out of foam, on a way on which it can be drawn.
pub(super) fn out_of_foam(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Wire(id) = finding.place else { return not_a_wire() };
    let title = format!(
        "Leave wire {} in the foam, dead and capped at both ends, and lay a new one in conduit with a draw cord",
        name(scene, id)
    );
    let mut bench = Bench::new(scene, "conduit", name(scene, id), title);
    if !scene.vehicle.is_ac(id) {
        bench.relay(id, None);
    }
    bench.patch.see_wire(name(scene, id), Look::NotFoamed, &[]);
    bench.figure("way", Look::NotFoamed.words().bad, "in conduit, can be drawn");
    bench.part(support(&format!(
        "conduit at least twice the area of wire {}, with draw cord",
        name(scene, id)
    )));
    mains_anew(&mut bench, id);
    Proposed::one(bench.finish())
}

/// Insulation for the place, or a place for the insulation.
pub(super) fn insulated_for_place(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Wire(id) = finding.place else { return not_a_wire() };
    Proposed::Choices(vec![shielded(scene, id), rated_for_place(scene, id)])
}

fn shielded(scene: &Scene<'_>, id: WireId) -> Result<Draft, String> {
    let title =
        format!("Lead wire {} another way, or shield it, and hold it there", name(scene, id));
    let mut bench = Bench::new(scene, "away", name(scene, id), title);
    bench.patch.see_wire(name(scene, id), Look::HeatClear, &["hottest"]);
    let hottest = scene.vehicle.wires[id].course.hottest.value().copied();
    bench.figure(
        "hottest place it passes",
        hottest.map_or_else(String::new, |c| c.to_string()),
        "clear of heat",
    );
    bench.work("reroute", 1.0);
    bench.part(support(&format!("heat shield or sleeve, and clips, for wire {}", name(scene, id))));
    bench.because("measure the place again after half an hour at full heat, panels closed");
    bench.reach_wire(id);
    mains_is_licensed(&mut bench, id);
    bench.finish()
}

fn rated_for_place(scene: &Scene<'_>, id: WireId) -> Result<Draft, String> {
    let wire = &scene.vehicle.wires[id];
    let hottest = wire.course.hottest.value().ok_or("how hot the place is was not recorded")?;
    let sold = scene.catalog.mending.insulations.iter();
    let rated = sold.copied().find(|rated| rated.si() >= hottest.si());
    let rated = rated.ok_or_else(|| format!("no insulation that is sold here bears {hottest}"))?;
    let title = format!("Replace wire {} by one with {rated} insulation", wire.name);
    let mut bench = Bench::new(scene, "insulation", &wire.name, title);
    bench.relay_insulated(id, None, Some(rated));
    let before = wire.insulation.value().map_or_else(|| "not known".to_owned(), |c| c.to_string());
    bench.figure("insulation for", before, rated);
    bench.because(format!(
        "the lowest rating sold that bears {hottest}; its own current warms it further"
    ));
    mains_anew(&mut bench, id);
    bench.finish()
}

/// A sheath or conduit around mains cores.
pub(super) fn sheathed(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Wire(id) = finding.place else { return not_a_wire() };
    let title =
        format!("Have sheathed flexible cable or conduit put in for wire {}", name(scene, id));
    let mut bench = Bench::new(scene, "sheath", name(scene, id), title);
    bench.patch.set_sheathed(name(scene, id));
    bench.figure("sheath", "none", "all the way");
    mains_anew(&mut bench, id);
    Proposed::one(bench.finish())
}

fn name<'a>(scene: &Scene<'a>, id: WireId) -> &'a str {
    &scene.vehicle.wires[id].name
}

fn support(what: &str) -> Part {
    Part {
        sort: Sort::Support,
        what: what.to_owned(),
        quantity: 1.0,
        why: "its way".to_owned(),
        size_mm2: None,
        rated_a: None,
    }
}

/// Work on a mains cable: laid anew by somebody licensed; its ends as they were.
fn mains_anew(bench: &mut Bench<'_>, id: WireId) {
    let scene = bench.scene;
    if !scene.vehicle.is_ac(id) {
        return;
    }
    let wire = &scene.vehicle.wires[id];
    let metres = wire.length.value().map_or(1.0, |length| length.si().max(1.0));
    bench.work("lay", metres);
    bench.work("end", 2.0);
    bench.part(Part {
        sort: Sort::MainsCable,
        what: format!("sheathed flexible mains cable in the place of {}", wire.name),
        quantity: metres,
        why: "as long as what it replaces".to_owned(),
        size_mm2: wire.area.value().map(|area| area.si()),
        rated_a: None,
    });
    bench.reach_wire(id);
    bench.licensed();
}

fn mains_is_licensed(bench: &mut Bench<'_>, id: WireId) {
    if bench.scene.vehicle.is_ac(id) {
        bench.licensed();
    }
}

fn not_a_wire() -> Proposed {
    Proposed::None("it names no wire".to_owned())
}
