//! Check: `monitor-capacity-wrong`.

use model::{Attribute, Confidence, DeviceId, Place, Signal};
use units::AmpereHour;

use crate::context::Context;
use crate::metering::displays::displays;
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

/// How far the set capacity may be off; an own choice.
const APART: f64 = 0.1;

/// Room for rounding.
const SLACK: f64 = 1e-9;

pub(crate) const CHECK: Check = Check::new(
    "monitor-capacity-wrong",
    include_str!("../../spec/monitor-capacity-wrong.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    for (_, monitor, batteries) in displays(context) {
        judge(context, monitor, &batteries, out);
    }
}

fn judge(context: &Context<'_>, monitor: DeviceId, batteries: &[DeviceId], out: &mut Out) {
    let holds =
        |id: DeviceId| context.vehicle.devices[id].fact(Attribute::Holds).evidence().copied();
    let (name, place) = (&context.vehicle.devices[monitor].name, Place::Device(monitor));
    let set = holds(monitor);
    let unknown = batteries.iter().find(|id| holds(**id).is_none());
    let whole: f64 = batteries.iter().filter_map(|id| holds(*id)).sum();
    let (Some(set), None) = (set, unknown) else {
        let message =
            format!("whether {name} is set for the capacity of its batteries is not known");
        let mut facts = Vec::new();
        if set.is_none() {
            facts.push(missing("read in its settings which capacity it counts with", place));
        }
        if let Some(id) = unknown {
            facts.push(missing("read the capacity off its label", Place::Device(*id)));
        }
        out.cannot_tell(place, Signal::Notice, message, facts);
        return;
    };
    if (set / whole - 1.0).abs() <= APART + SLACK {
        out.holds();
        return;
    }
    let [set_words, whole_words] =
        [set, whole].map(|charge| AmpereHour::from_si(charge).to_string());
    out.fails(Failure {
        place,
        related: batteries.iter().map(|id| Place::Device(*id)).collect(),
        signal: Signal::Notice,
        confidence: Confidence::Firm,
        message: format!("{name} counts with {set_words}; its batteries hold {whole_words}"),
        evidence: vec![format!("{name} is set for {set_words}")],
        limit: practice("the monitor is set for the capacity of its batteries"),
        remedy: format!(
            "set {name} for {whole_words}, less what age has taken, and let it fill once"
        ),
    });
}
