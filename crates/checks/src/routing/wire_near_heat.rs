//! Check: `wire-near-heat`.

use model::{Look, Place, Signal, Wire};

use crate::context::Context;
use crate::looked::{Looked, Seen, Wrong, ask, cable_name, cables};
use crate::outcome::{Out, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("wire-near-heat", include_str!("../../spec/wire-near-heat.md"), check);

const FIND_OUT: &str = "look whether it passes exhaust, heater or hot pipe, and how near";

fn check(context: &Context<'_>, out: &mut Out) {
    let mut unseen = Vec::new();
    for (id, wire) in cables(context.vehicle) {
        let (place, name, look) = (Place::Wire(id), cable_name(wire), Look::HeatClear);
        let fact = wire.course.looks.get(look);
        if fact.value() == Some(&false) && bears_it(wire) {
            out.holds();
            continue;
        }
        let seen = Seen { place, name, look, fact };
        let looked = seen.judge(out, Signal::Warning, FIND_OUT, || wrong(name));
        if looked == Looked::No && wire.engine_space.value() == Some(&true) {
            unseen.push(place);
        }
    }
    let message = "whether wires in the engine space keep clear of heat is not recorded";
    ask(out, Signal::Caution, message, FIND_OUT, unseen);
}

/// The place was measured, and the insulation is known to bear it.
fn bears_it(wire: &Wire) -> bool {
    match (wire.course.hottest.evidence(), wire.insulation.evidence()) {
        (Some(place), Some(rated)) => place.si() <= rated.si(),
        _ => false,
    }
}

fn wrong(name: &str) -> Wrong {
    Wrong {
        message: format!("wire {name} runs near something hot"),
        limit: practice(
            "wires keep clear of exhaust, heater and hot pipes, or their insulation bears the place",
        ),
        remedy: format!(
            "lead {name} away from the heat or shield it; or measure the place with the heat on and note how hot it gets"
        ),
    }
}
