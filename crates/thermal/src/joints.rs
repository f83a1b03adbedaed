//! Every joint of a state: the voltage it drops, the power it turns into heat, how far that lifts it
//! above its wires, and what is left to the limits.

use catalog::{Catalog, LimitRow};
use heat::contact::spot_temperature;
use heat::joint::{Fin, power};
use model::{Condition, JointId, JointKind, Missing, Place, Vehicle};
use units::{Ampere, Celsius, Metre, Ohm, Volt, Watt};

use crate::build::Builds;
use crate::{SHAKEN, SLACK, Solved, Verdict, air, shaken};

/// A joint in a state.
#[derive(Clone, Debug, PartialEq)]
pub struct JointHeat {
    /// The joint.
    pub joint: JointId,
    /// Its largest current.
    pub current: Ampere,
    /// Its resistance.
    pub resistance: Ohm,
    /// How the resistance came to be known; `None`: a stand-in, which decides nothing.
    pub origin: Option<&'static str>,
    /// Voltage across it.
    pub drop: Volt,
    /// Heat it makes.
    pub power: Watt,
    /// Rise above what its wires run at, K: endless wires with a thick wall, and wires of the recorded
    /// length (one that is not known: the shortest it may be) with a thin wall; `None`: size of the wire not known.
    pub rise_k: Option<(f64, f64)>,
    /// How much wire must run from it for that rise to be true.
    pub wants_wire: Option<Metre>,
    /// Temperature of the touching spots inside, its body in the air of the state.
    pub spots: Option<Celsius>,
    /// Drop as a part of its limit.
    pub drop_share: f64,
    /// Largest rise as a part of its limit.
    pub rise_share: Option<f64>,
    /// Whether it may stay.
    pub verdict: Verdict,
    /// Why, in words.
    pub reason: String,
    /// Keys of the sources of the limits held against.
    pub sources: Vec<String>,
    /// What to find out.
    pub find_out: Vec<Missing>,
}

/// Every joint that carries current in a state, most heat first.
pub fn joints(vehicle: &Vehicle, catalog: &Catalog, solved: &Solved<'_>) -> Vec<JointHeat> {
    let mut out: Vec<JointHeat> = vehicle
        .joints
        .ids()
        .filter_map(|id| {
            let branch = |network: &network::Network| network.joint_branch(id);
            let current = solved.current(branch)?;
            let mut heat = joint(vehicle, catalog, solved, id, current);
            let (least, most) = solved.bounds(current, branch);
            let at = |current| joint(vehicle, catalog, solved, id, current).verdict;
            if let Some(verdict) = shaken(heat.verdict, at(least), at(most)) {
                heat.verdict = verdict;
                heat.reason = SHAKEN.0.to_owned();
                let what = SHAKEN.1.to_owned();
                heat.find_out.push(Missing { what, at: Place::Joint(id) });
            }
            Some(heat)
        })
        .collect();
    out.sort_by(|a, b| b.power.si().total_cmp(&a.power.si()));
    out
}

fn joint(
    vehicle: &Vehicle,
    catalog: &Catalog,
    solved: &Solved<'_>,
    id: JointId,
    current: Ampere,
) -> JointHeat {
    let joint = &vehicle.joints[id];
    let wire = &vehicle.wires[joint.wire];
    let stand_in = match joint.kind.value() {
        Some(JointKind::Lug) => catalog.stand_ins.joint_lug,
        _ => catalog.stand_ins.joint_other,
    };
    let resistance = joint.resistance.value().copied().unwrap_or(stand_in);
    let (drop, power) = (current * resistance, power(current, resistance));
    let fins = wire.area.value().and_then(|area| {
        let [thin, thick] = Builds::of(&catalog.cables, *area, &wire.core)?.outsides();
        let hottest = Fin::of(*area, thin)?;
        // A length nobody wrote down may be short: less wire carries less heat away.
        let shortest = Metre::from_si(catalog.fault_spread.unknown_length_m.0);
        let length = wire.length.evidence().copied().unwrap_or(shortest);
        let hottest = hottest.shortened(length).unwrap_or(hottest);
        Some((Fin::of(*area, thick)?, hottest))
    });
    let rise_k = fins.and_then(|(thick, thin)| Some((thick.rise_k(power)?, thin.rise_k(power)?)));
    let limit = |key: &str| catalog.limits.get(key, vehicle.region);
    let (drop_limit, rise_limit) = (limit("joint-drop"), limit("joint-rise"));
    let measured = joint.resistance.evidence().is_some();
    let condition = joint.condition.evidence().copied();
    let mut judged = judge(drop, rise_k, condition, drop_limit, rise_limit);
    if measured && drop.si() >= limit("contact-melts-tin").value {
        judged.1.push_str("; hot enough inside to melt tin");
    }
    let mut find_out = Vec::new();
    let seen_bad = matches!(condition, Some(Condition::Loose | Condition::Burnt));
    if !measured && !seen_bad {
        judged = (Verdict::CannotTell, "not measured".to_owned());
        let what = "read the millivolts across it under load".to_owned();
        find_out.push(Missing { what, at: Place::Joint(id) });
    } else if judged.0 == Verdict::CannotTell {
        let what = "measure its temperature under load".to_owned();
        find_out.push(Missing { what, at: Place::Joint(id) });
    } else if judged.0 == Verdict::Holds && wire.area.evidence().is_none() {
        judged = (Verdict::CannotTell, "size of its wire only assumed".to_owned());
        let what = "read the size off the wire, or measure it".to_owned();
        find_out.push(Missing { what, at: Place::Wire(joint.wire) });
    }
    JointHeat {
        joint: id,
        current,
        resistance,
        origin: joint.resistance.origin().map(model::Origin::word),
        drop,
        power,
        rise_k,
        wants_wire: fins.map(|(thick, _)| thick.reach()),
        spots: spot_temperature(drop, air(solved, catalog.ampacity.base_ambient(), None)),
        drop_share: drop.si() / drop_limit.value,
        rise_share: rise_k.map(|(_, high)| high / rise_limit.value),
        verdict: judged.0,
        reason: judged.1,
        sources: vec![drop_limit.source.clone(), rise_limit.source.clone()],
        find_out,
    }
}

fn judge(
    drop: Volt,
    rise_k: Option<(f64, f64)>,
    condition: Option<Condition>,
    drop_limit: &LimitRow,
    rise_limit: &LimitRow,
) -> (Verdict, String) {
    let over = |value: f64, limit: &LimitRow| value > limit.value * (1.0 + SLACK);
    match condition {
        Some(Condition::Loose) => {
            return (Verdict::Fails, "seen loose, whatever it measures".to_owned());
        }
        Some(Condition::Burnt) => {
            return (Verdict::Fails, "seen burnt, whatever it measures".to_owned());
        }
        _ => {}
    }
    if over(drop.si(), drop_limit) {
        return (Verdict::Fails, drop_limit.words.clone());
    }
    match rise_k {
        Some((low, _)) if over(low, rise_limit) => (Verdict::Fails, rise_limit.words.clone()),
        Some((_, high)) if over(high, rise_limit) => {
            (Verdict::CannotTell, "rise near its limit, by wall and length of the cable".to_owned())
        }
        Some(_) => (Verdict::Holds, "drop and rise within their limits".to_owned()),
        None => (Verdict::CannotTell, "size of its wire not known, so no rise".to_owned()),
    }
}
