//! Hatches for what cannot be reached whole.

use model::{Finding, Place, Signal};

use crate::bench::Bench;
use crate::draft::{Part, Sort};
use crate::rules::Proposed;
use crate::scene::Scene;

/// A hatch in each part that would be destroyed, as another way in.
pub(super) fn hatch(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Device(id) = finding.place else {
        return Proposed::None("it names no device".to_owned());
    };
    let device = &scene.vehicle.devices[id];
    let destroyed = (scene.destroyed)(id);
    let path = ["devices", device.name.as_str(), "behind"];
    let (Some(behind), [_, ..]) = (record::value(scene.text, &path), destroyed.as_slice()) else {
        return Proposed::None("which part would be destroyed is not recorded".to_owned());
    };
    let row = &scene.catalog.service.hatch;
    let mut way = behind.clone();
    let title = format!("Cut a hatch in {} to get at {}", destroyed.join(" and "), device.name);
    let mut bench = Bench::new(scene, "hatch", &device.name, title);
    for part in &destroyed {
        let facts = scene.vehicle.parts.find(|other| other.name == *part).map(|(_, facts)| facts);
        let label = facts.map_or(part.as_str(), |facts| facts.label.as_str());
        if !row.panels.iter().any(|word| label.split([' ', ',']).any(|of| of == word)) {
            return Proposed::None(format!(
                "a hatch cannot be cut in {label}: move {} instead",
                device.name
            ));
        }
        let name = bench.patch.free_name("parts", &format!("{part}-hatch"));
        let after = record::value(scene.text, &["parts", part, "after"]);
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
        bench.reach(part);
        bench.because(row.size.clone());
    }
    bench.patch.set(&path, &way);
    bench.figure(&format!("way to {}", device.name), &behind, &way);
    bench.caution(Signal::Warning, "look and feel for wires, pipes and structure behind the panel before anything is cut; structure is not cut");
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
