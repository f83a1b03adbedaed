//! Check: `monitor-scale-wrong`.

use model::{Attribute, Confidence, DeviceId, Place, Signal};
use units::Ohm;

use crate::context::Context;
use crate::metering::displays::displays;
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

/// How far scale and shunt may differ; an own choice.
const APART: f64 = 0.02;

/// Room for rounding.
const SLACK: f64 = 1e-9;

pub(crate) const CHECK: Check =
    Check::new("monitor-scale-wrong", include_str!("../../spec/monitor-scale-wrong.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    for (shunt, monitor, _) in displays(context) {
        judge(context, shunt, monitor, out);
    }
}

fn judge(context: &Context<'_>, shunt: DeviceId, monitor: DeviceId, out: &mut Out) {
    let [of_shunt, of_monitor] = [shunt, monitor].map(|id| {
        let device = &context.vehicle.devices[id];
        (device.name.as_str(), device.fact(Attribute::Resistance).evidence().copied())
    });
    let place = Place::Device(monitor);
    let ((shunt_name, ohm), (name, set)) = (of_shunt, of_monitor);
    let (Some(ohm), Some(set)) = (ohm, set.filter(|set| *set > 0.0)) else {
        let message = format!("whether {name} is set for {shunt_name} is not known");
        let mut facts = Vec::new();
        if ohm.is_none() {
            facts.push(missing("read ampere and millivolts off its label", Place::Device(shunt)));
        }
        if set.is_none() {
            facts.push(missing("read in its settings for which shunt it is set", place));
        }
        out.cannot_tell(place, Signal::Notice, message, facts);
        return;
    };
    if (ohm / set - 1.0).abs() <= APART + SLACK {
        out.holds();
        return;
    }
    let [ohm_words, set_words] = [ohm, set].map(|ohm| Ohm::from_si(ohm).to_string());
    out.fails(Failure {
        place,
        related: vec![Place::Device(shunt)],
        signal: Signal::Caution,
        confidence: Confidence::Firm,
        message: format!(
            "{name} is set for another shunt: it shows {:.2} times what flows",
            ohm / set
        ),
        evidence: vec![format!("{shunt_name} has {ohm_words}, {name} is set for {set_words}")],
        limit: practice("the monitor is set for its shunt"),
        remedy: format!("set {name} for {shunt_name}, then compare with a clamp meter"),
    });
}
