//! Which failures follow from which: an effect is listed below its cause and is no further red.
//!
//! Only what is put right together with its cause counts as its effect, and only where the cause is
//! at least as bad; an effect that is worse stands for itself.

use model::{Finding, Place, Vehicle};

/// What ties an effect to its cause.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Tie {
    /// They are about the same place.
    SamePlace,
    /// The place of the cause is among what the effect names.
    Named,
    /// Both name the same thing first: the fuse that is too large.
    SameFirst,
    /// The effect is a joint on the terminal the cause is about.
    OnTerminal,
}

/// Effect, cause, and what ties them.
const RULES: &[(&str, &str, Tie)] = &[
    ("equipment-starved", "joint-too-hot", Tie::Named),
    ("equipment-starved", "conductor-too-small-for-drop", Tie::SamePlace),
    ("joint-too-hot", "washer-or-paint-in-current-path", Tie::OnTerminal),
    ("return-not-protected", "protection-larger-than-conductor", Tie::SameFirst),
    ("conductor-overloaded", "protection-larger-than-conductor", Tie::SamePlace),
    ("conductor-overloaded", "return-not-protected", Tie::SamePlace),
    ("monitor-bypassed", "shunt-reversed", Tie::SamePlace),
];

/// For each failure, worst first, the one it follows from, by its place in the list. A chain leads
/// to its first link.
pub fn causes(vehicle: &Vehicle, failures: &[&Finding]) -> Vec<Option<usize>> {
    let direct: Vec<Option<usize>> =
        failures.iter().map(|effect| cause_of(vehicle, effect, failures)).collect();
    (0..failures.len()).map(|index| root(&direct, index)).collect()
}

fn cause_of(vehicle: &Vehicle, effect: &Finding, failures: &[&Finding]) -> Option<usize> {
    failures.iter().position(|cause| {
        cause.signal <= effect.signal
            && RULES.iter().any(|(of, by, tie)| {
                *of == effect.check && *by == cause.check && is_tied(vehicle, effect, cause, *tie)
            })
    })
}

fn is_tied(vehicle: &Vehicle, effect: &Finding, cause: &Finding, tie: Tie) -> bool {
    match tie {
        Tie::SamePlace => effect.place == cause.place,
        Tie::Named => effect.related.contains(&cause.place),
        Tie::SameFirst => {
            !effect.related.is_empty() && effect.related.first() == cause.related.first()
        }
        Tie::OnTerminal => {
            let Place::Joint(joint) = effect.place else { return false };
            let joint = &vehicle.joints[joint];
            let terminal = vehicle.wires[joint.wire].terminal(joint.end);
            terminal.is_some_and(|terminal| cause.place == Place::Terminal(terminal))
        }
    }
}

/// The first link of a chain; the rules have no circle, and a chain is no longer than they are many.
fn root(direct: &[Option<usize>], index: usize) -> Option<usize> {
    let mut cause = direct[index]?;
    for _ in 0..RULES.len() {
        match direct[cause] {
            Some(further) => cause = further,
            None => break,
        }
    }
    Some(cause)
}

#[cfg(test)]
mod tests {
    use model::{Confidence, DeviceId, Id as _, Signal, Verdict, WireId};

    use super::*;

    fn fails(check: &'static str, place: Place, related: &[Place], signal: Signal) -> Finding {
        Finding {
            check,
            place,
            related: related.to_vec(),
            verdict: Verdict::Fails(Confidence::Firm),
            signal,
            message: String::new(),
            evidence: Vec::new(),
            limit: None,
            remedy: String::new(),
        }
    }

    fn of(failures: &[Finding]) -> Vec<Option<usize>> {
        causes(&Vehicle::default(), &failures.iter().collect::<Vec<_>>())
    }

    fn device(index: usize) -> Place {
        Place::Device(DeviceId::from_index(index))
    }

    #[test]
    fn what_starves_behind_a_hot_holder_follows_from_it() {
        let failures = [
            fails("joint-too-hot", device(0), &[], Signal::Danger),
            fails("equipment-starved", device(1), &[device(0)], Signal::Warning),
        ];
        assert_eq!(of(&failures), [None, Some(0)]);
    }

    #[test]
    fn an_effect_that_is_worse_than_its_cause_stands_for_itself() {
        let failures = [
            fails("equipment-starved", device(1), &[], Signal::Warning),
            fails("conductor-too-small-for-drop", device(1), &[], Signal::Notice),
        ];
        assert_eq!(of(&failures), [None, None]);
    }

    #[test]
    fn a_chain_leads_to_its_first_link() {
        let [feed, back] = [0, 1].map(|index| Place::Wire(WireId::from_index(index)));
        let failures = [
            fails("protection-larger-than-conductor", feed, &[device(0)], Signal::Danger),
            fails("return-not-protected", back, &[device(0)], Signal::Warning),
            fails("conductor-overloaded", back, &[], Signal::Warning),
        ];
        assert_eq!(of(&failures), [None, Some(0), Some(0)]);
    }

    #[test]
    fn the_same_fault_at_another_place_is_its_own() {
        let failures = [
            fails("joint-too-hot", device(0), &[], Signal::Danger),
            fails("equipment-starved", device(1), &[], Signal::Warning),
        ];
        assert_eq!(of(&failures), [None, None]);
    }

    #[test]
    fn every_rule_names_checks_that_are_there_and_no_circle() {
        for (effect, cause, _) in RULES {
            assert!(
                crate::find(effect).is_some() && crate::find(cause).is_some(),
                "{effect} {cause}"
            );
            assert!(!RULES.iter().any(|(e, c, _)| e == cause && c == effect), "{effect} {cause}");
        }
    }
}
