//! Check: `parallel-conductors-unequal`.

use std::collections::BTreeMap;

use model::{Confidence, Limit, Missing, Place, Region, Signal, TerminalId, WireEnd, WireId};
use units::{Metre, SquareMillimetre};

use crate::circuits::is_base_vehicle;
use crate::context::Context;
use crate::outcome::{Failure, Out, limit, limit_of, missing};
use crate::registry::Check;

/// Longer by no more than this part counts as as long: what a tape on a bent cable may miss. Common
/// practice, no source.
const AS_LONG: f64 = 0.1;

/// Room for rounding, as a part of the limit.
const SLACK: f64 = 1e-9;

pub(crate) const CHECK: Check = Check::new(
    "parallel-conductors-unequal",
    include_str!("../../spec/parallel-conductors-unequal.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    let mut between: BTreeMap<(TerminalId, TerminalId), Vec<WireId>> = BTreeMap::new();
    for (id, wire) in context.vehicle.wires.iter() {
        let ends = WireEnd::BOTH.map(|end| wire.terminal(end));
        let [Some(a), Some(b)] = ends else { continue };
        if a != b && !context.vehicle.is_ac(id) && !is_base_vehicle(context.vehicle, id) {
            between.entry((a.min(b), a.max(b))).or_default().push(id);
        }
    }
    for wires in between.values().filter(|wires| wires.len() > 1) {
        judge(context, wires, out);
    }
}

fn judge(context: &Context<'_>, wires: &[WireId], out: &mut Out) {
    let vehicle = context.vehicle;
    let rows = || wires.iter().map(|id| &vehicle.wires[*id]);
    let areas: Vec<f64> =
        rows().filter_map(|wire| wire.area.evidence().map(|area| area.si())).collect();
    let lengths: Vec<f64> =
        rows().filter_map(|wire| wire.length.evidence().map(|length| length.si())).collect();
    let place = Place::Wire(wires[0]);
    let names: Vec<&str> = rows().map(|wire| wire.name.as_str()).collect();
    let names = names.join(", ");
    if spread(&areas) > SLACK {
        let [thin, thick] = ends(&areas).map(SquareMillimetre::from_si);
        let words = format!("wires {names} lie side by side with {thin} and {thick}");
        fails(wires, words, Signal::Warning, alike(), out);
    } else if spread(&lengths) > AS_LONG * (1.0 + SLACK) {
        let [short, long] = ends(&lengths).map(Metre::from_si);
        let words = format!("wires {names} lie side by side with {short} and {long}");
        fails(wires, words, Signal::Warning, alike(), out);
    } else if let Some(thin) = too_thin(context, &areas) {
        let words = format!("wires {names} lie side by side with {thin} each");
        fails(wires, words, Signal::Caution, limit(context.limit("parallel-smallest")), out);
    } else if areas.len() == wires.len() && lengths.len() == wires.len() {
        out.holds();
    } else {
        let message = format!("whether wires {names}, side by side, are alike is not known");
        out.cannot_tell(place, Signal::Caution, message, facts(context, wires));
    }
}

/// How much more the largest is than the smallest, as a part of the smallest.
fn spread(values: &[f64]) -> f64 {
    let [low, high] = ends(values);
    if values.len() < 2 { 0.0 } else { high / low - 1.0 }
}

fn ends(values: &[f64]) -> [f64; 2] {
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    [low, values.iter().copied().fold(0.0, f64::max)]
}

/// A size below what may lie side by side, where there is such a rule.
fn too_thin(context: &Context<'_>, areas: &[f64]) -> Option<SquareMillimetre> {
    let has_rule = context.vehicle.region == Some(Region::NorthAmerica);
    let least = context.limit("parallel-smallest").value;
    let thin = areas.iter().copied().find(|area| *area < least * (1.0 - SLACK));
    thin.filter(|_| has_rule).map(SquareMillimetre::from_si)
}

fn facts(context: &Context<'_>, wires: &[WireId]) -> Vec<Missing> {
    let mut facts = Vec::new();
    for id in wires {
        let (wire, place) = (&context.vehicle.wires[*id], Place::Wire(*id));
        if wire.area.evidence().is_none() {
            facts.push(missing("read the size off the wire, or measure it", place));
        }
        if wire.length.evidence().is_none() {
            facts.push(missing("measure its length", place));
        }
    }
    facts
}

fn alike() -> Option<Limit> {
    limit_of("conductors side by side are alike in size and length", "nec-310-10-h")
}

fn fails(wires: &[WireId], message: String, signal: Signal, limit: Option<Limit>, out: &mut Out) {
    let Some((first, others)) = wires.split_first() else { return };
    out.fails(Failure {
        place: Place::Wire(*first),
        related: others.iter().map(|id| Place::Wire(*id)).collect(),
        signal,
        confidence: Confidence::Firm,
        message,
        evidence: vec!["they share the current by their resistance, not by halves".to_owned()],
        limit,
        remedy: "lay one cable that carries it all, or two that are alike in size, length and ends"
            .to_owned(),
    });
}
