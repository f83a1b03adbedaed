//! Check: `insulation-below-its-surroundings`.

use model::{Fact, Place, Signal};
use units::Celsius;

use crate::context::Context;
use crate::looked::{cable_name, cables};
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "insulation-below-its-surroundings",
    include_str!("../../spec/insulation-below-its-surroundings.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, wire) in cables(context.vehicle) {
        if let Some(hottest) = wire.course.hottest.value() {
            let firm = !wire.course.hottest.is_assumed();
            judge(cable_name(wire), Place::Wire(id), *hottest, firm, &wire.insulation, out);
        }
    }
}

fn judge(
    name: &str,
    place: Place,
    hottest: Celsius,
    firm: bool,
    rated: &Fact<Celsius>,
    out: &mut Out,
) {
    let known = rated.value().filter(|rated| firm || rated.si() < hottest.si());
    let Some(value) = known else {
        let message = format!("whether wire {name} bears {hottest} where it runs is not known");
        let what = if rated.is_unknown() {
            "read the temperature rating off the insulation"
        } else {
            "measure the hottest place it passes, with the heat on"
        };
        out.cannot_tell(place, Signal::Warning, message, vec![missing(what, place)]);
        return;
    };
    if value.si() >= hottest.si() {
        if rated.is_assumed() {
            let message = format!("whether wire {name} bears {hottest} where it runs is not known");
            let what = "read the temperature rating off the insulation";
            out.cannot_tell(place, Signal::Warning, message, vec![missing(what, place)]);
        } else {
            out.holds();
        }
        return;
    }
    out.fails(Failure {
        place,
        related: Vec::new(),
        signal: Signal::Warning,
        confidence: if firm { crate::looked::confidence(rated) } else { model::Confidence::Likely },
        message: format!(
            "wire {name} passes a place of {hottest}, its insulation is rated {value}"
        ),
        evidence: vec![format!(
            "{hottest} there, against {value}; its own current warms it further"
        )],
        limit: practice("insulation is rated for at least the hottest place the wire passes"),
        remedy: format!(
            "lead {name} another way, shield it, or replace it by cable rated for the place"
        ),
    });
}
