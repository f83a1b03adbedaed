//! How long the live map and plans for making dead take on an invented vehicle, one JSON line each:
//! processor time.
//!
//! `dead_times WIRES PARTS AREAS`
#![expect(clippy::print_stdout, reason = "an example reports on standard output")]

mod measured;

use analysis::{Case, DeadRequest};
use catalog::Catalog;
use measured::timed;

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let number = |index: usize, usual: usize| {
        arguments.get(index).and_then(|text| text.parse().ok()).unwrap_or(usual)
    };
    let size = testkit::Size { wires: number(0, 300), parts: number(1, 60) };
    let text = testkit::vehicle(1, size);
    maps(&text);
    plans(&text, number(2, 40));
}

/// Network and live map of each state.
fn maps(text: &str) {
    let catalog = Catalog::embedded();
    let record = record::read(text, &catalog);
    for (_, state) in record.vehicle.states.iter() {
        let mut best_ms = f64::INFINITY;
        for _ in 0..5 {
            let (map, ms) = timed(|| {
                let network = network::build(&record.vehicle, state, &catalog);
                live::map(&record.vehicle, state, &network)
            });
            best_ms = best_ms.min(ms);
            assert_eq!(map.wires.len(), record.vehicle.wires.len(), "every wire is told");
        }
        println!(r#"{{"what":"map","state":"{}","ms":{best_ms:.4}}}"#, state.name);
    }
}

/// Plans for areas spread over the record, and for everything; the first one of a case counts too.
fn plans(text: &str, count: usize) {
    let case = Case::of(text);
    let all = case.dead_areas();
    let step = (all.len() / count.max(1)).max(1);
    let mut areas: Vec<&String> = all.iter().step_by(step).collect();
    areas.extend(all.last());
    for area in areas {
        let request = DeadRequest { area: vec![area.clone()], read: Vec::new() };
        let (plan, ms) = timed(|| case.dead_plan(&request));
        let Ok(plan) = plan else { continue };
        println!(
            r#"{{"what":"plan","area":"{area}","ms":{ms:.4},"steps":{},"proof":"{}"}}"#,
            plan.steps.len(),
            plan.proof
        );
    }
}
