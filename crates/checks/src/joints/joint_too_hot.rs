//! Check: `joint-too-hot`. Joints at wire ends, and the contacts of fuses, switches and shunts.

use heat::joint::Fin;
use model::{
    Attribute, Condition, Confidence, DeviceId, Fact, JointId, Origin, Place, Role, Signal,
};
use units::{Ampere, Ohm, SquareMillimetre, Volt, Watt};

use crate::circuits::is_base_vehicle;
use crate::context::{Context, Worst};
use crate::outcome::{Failure, Out, limit, missing, practice};
use crate::registry::Check;
use crate::weigh::{Amount, Weighed, weigh};

/// From this current on a joint that nobody has measured is worth a millivolt reading, A. Common
/// practice, no source.
const HIGH_CURRENT_A: f64 = 50.0;

/// Outside diameter of a cable over the diameter of its conductor; near the middle of catalogue
/// cables. Estimate.
const OUTSIDE_OVER_CONDUCTOR: f64 = 1.8;

/// From this rise on no common insulation lasts, K. Common practice, no source.
const CHARS_FROM_K: f64 = 150.0;

/// Below this there is no current to judge by, A.
const LEAST_A: f64 = 1e-3;

/// Room for rounding, as a part of the limit.
const SLACK: f64 = 1e-9;

pub(crate) const CHECK: Check =
    Check::new("joint-too-hot", include_str!("../../spec/joint-too-hot.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    for id in context.vehicle.joints.ids() {
        joint(context, id, out);
    }
    for (id, device) in context.vehicle.devices.iter() {
        if matches!(device.role, Role::Fuse | Role::Breaker | Role::Switch) {
            contact(context, id, out);
        }
    }
}

fn joint(context: &Context<'_>, id: JointId, out: &mut Out) {
    let joint = &context.vehicle.joints[id];
    let place = Place::Joint(id);
    let name = context.vehicle.joint_name(id);
    let worst = context.worst(|network| network.joint_branch(id));
    let condition = joint.condition.evidence();
    if let Some(word) = match condition {
        Some(Condition::Loose) => Some("loose"),
        Some(Condition::Burnt) => Some("burnt"),
        _ => None,
    } {
        on_sight(place, &name, word, worst, out);
        return;
    }
    let Some(worst) = worst else { return };
    if let Fact::Known { value, origin } = &joint.resistance
        && origin.is_evidence()
    {
        let area = context.vehicle.wires[joint.wire].area.value().copied();
        let amounts = context.amounts(|network| network.joint_branch(id));
        let measured = Measured { place, name: &name, ohm: *value, origin, worst, area, amounts };
        judge(context, measured, out);
        return;
    }
    let facts = || vec![missing("read the millivolts across it under load", place)];
    if condition == Some(&Condition::Corroded) {
        let message = format!("the joint {name} is corroded and has not been measured");
        out.cannot_tell(place, Signal::Caution, message, facts());
    } else if worst.ampere >= HIGH_CURRENT_A && !is_base_vehicle(context.vehicle, joint.wire) {
        let current = Ampere::from_si(worst.ampere);
        let message = format!("the joint {name} carries {current} and has not been measured");
        out.cannot_tell(place, Signal::Caution, message, facts());
    }
}

/// A joint that moves or shows heat marks fails whatever a meter says.
fn on_sight(place: Place, name: &str, word: &str, worst: Option<Worst<'_>>, out: &mut Out) {
    let high = worst.is_some_and(|worst| worst.ampere >= HIGH_CURRENT_A);
    let (carries, remedy) = match worst {
        Some(worst) => {
            let current = Ampere::from_si(worst.ampere);
            (format!("; {current} in {} by the sums", worst.words()), REMAKE.to_owned())
        }
        None => (
            String::new(),
            "mains side: switch off, lock off, and leave it to a licensed electrician".to_owned(),
        ),
    };
    out.fails(Failure {
        place,
        related: Vec::new(),
        signal: if high || worst.is_none() { Signal::Danger } else { Signal::Warning },
        confidence: Confidence::Firm,
        message: format!("the joint {name} is {word}"),
        evidence: vec![format!("seen {word}{carries}")],
        limit: practice("a joint is tight, bright and no warmer than its wire"),
        remedy,
    });
}

/// What to do with a bad joint.
const REMAKE: &str = "take it apart, cut back to bright metal, remake it, tighten to the maker's torque, and read the millivolts again under load";

fn contact(context: &Context<'_>, id: DeviceId, out: &mut Out) {
    let device = &context.vehicle.devices[id];
    let Fact::Known { value, origin } = device.fact(Attribute::Resistance) else { return };
    if !origin.is_evidence() {
        return;
    }
    let branch =
        |network: &network::Network| network.contacts_of(id).first().map(|(.., branch)| *branch);
    let Some(worst) = context.worst(branch) else { return };
    let place = Place::Device(id);
    let ohm = Ohm::from_si(value);
    let amounts = context.amounts(branch);
    let name = device.name.as_str();
    let measured = Measured { place, name, ohm, origin: &origin, worst, area: None, amounts };
    judge(context, measured, out);
}

struct Measured<'a> {
    place: Place,
    name: &'a str,
    ohm: Ohm,
    origin: &'a Origin,
    worst: Worst<'a>,
    area: Option<SquareMillimetre>,
    amounts: Vec<Amount<'a>>,
}

impl Measured<'_> {
    /// Drop, heat and rise at a current; the rise only where its wire is known.
    fn at(&self, ampere: f64) -> (Volt, Watt, Option<f64>) {
        let drop = Volt::from_si(ampere * self.ohm.si());
        let heat = Watt::from_si(ampere * drop.si());
        let rise_k = self
            .area
            .and_then(|area| Fin::of(area, OUTSIDE_OVER_CONDUCTOR * area.diameter()))
            .and_then(|fin| fin.rise_k(heat));
        (drop, heat, rise_k)
    }
}

fn judge(context: &Context<'_>, joint: Measured<'_>, out: &mut Out) {
    let Measured { place, name, ohm, origin, worst, .. } = joint;
    if worst.ampere < LEAST_A {
        let message = format!("no state sends current through {name}, though it was measured");
        let facts = vec![missing("write a state in which what it feeds is on", place)];
        out.cannot_tell(place, Signal::Notice, message, facts);
        return;
    }
    let current = Ampere::from_si(worst.ampere);
    let (drop, heat, rise_k) = joint.at(worst.ampere);
    let drop_limit = context.limit("joint-drop");
    let rise_limit = context.limit("joint-rise");
    let drops = |drop: Volt| drop.si() > drop_limit.value * (1.0 + SLACK);
    let rises = |rise_k: Option<f64>| rise_k.is_some_and(|k| k > rise_limit.value * (1.0 + SLACK));
    let (over_drop, over_rise) = (drops(drop), rises(rise_k));
    let over = |ampere: f64| {
        let (drop, _, rise_k) = joint.at(ampere);
        drops(drop) || rises(rise_k)
    };
    match weigh(context.vehicle, &joint.amounts, over) {
        Weighed::Holds => {
            out.holds();
            return;
        }
        Weighed::Uncounted => return,
        Weighed::Depends(facts) => {
            let message = format!(
                "that {name} carries {current} and drops {drop} rests on a power nobody read"
            );
            out.cannot_tell(place, Signal::Caution, message, facts);
            return;
        }
        Weighed::Fails => {}
    }
    let state = worst.words();
    let mut evidence = vec![format!(
        "{ohm} {} x {current} in {state} = {drop} across it, {heat} of heat",
        origin.word(),
    )];
    evidence.extend(rise_k.map(rise_in_words));
    out.fails(Failure {
        place,
        related: Vec::new(),
        signal: if heat.si() >= 10.0 || over_rise { Signal::Danger } else { Signal::Warning },
        confidence: if over_drop { Confidence::Firm } else { Confidence::Likely },
        message: format!("{name} drops {drop} at {current} and turns {heat} into heat"),
        evidence,
        limit: limit(if over_drop { drop_limit } else { rise_limit }),
        remedy: REMAKE.to_owned(),
    });
}

/// The estimate stops meaning anything once insulation has gone.
fn rise_in_words(rise_k: f64) -> String {
    if rise_k > CHARS_FROM_K {
        format!(
            "estimated rise past {CHARS_FROM_K:.0} K if it lasts: it chars or melts what is around it"
        )
    } else {
        format!("estimated rise above its wire {rise_k:.0} K, the wires acting as fins")
    }
}
