//! One rule for each check whose findings a repair can be computed for; for the others, why not.

mod access;
mod isolator;
mod joint;
mod landing;
mod mains;
mod mount;
mod protection;
mod setting;
mod wire;

use model::Finding;

use crate::draft::Draft;
use crate::scene::Scene;

/// What a rule makes of a finding.
#[derive(Clone, Debug, PartialEq)]
pub enum Proposed {
    /// Repairs to choose from, the usual one first.
    Choices(Vec<Result<Draft, String>>),
    /// Repairs of which the first that cures is enough, the smallest first.
    FirstThatCures(Vec<Result<Draft, String>>),
    /// None is computed, for this reason.
    None(String),
}

impl Proposed {
    fn one(draft: Result<Draft, String>) -> Proposed {
        Proposed::Choices(vec![draft])
    }
}

type Rule = fn(&Scene<'_>, &Finding) -> Proposed;

/// Checks with their rule.
const RULES: &[(&str, Rule)] = &[
    ("source-end-without-protection", protection::at_source),
    ("protection-larger-than-conductor", protection::too_large),
    ("protection-overloaded", protection::overloaded),
    ("joint-too-hot", joint::remade),
    ("cable-entry-without-strain-relief", joint::gripped),
    ("washer-or-paint-in-current-path", joint::restacked),
    ("conductor-overloaded", wire::overloaded),
    ("conductor-too-small-for-drop", wire::too_much_drop),
    ("equipment-starved", wire::starved),
    ("solid-conductor", wire::solid),
    ("monitor-bypassed", landing::past_the_shunt),
    ("load-reversed", landing::reversed),
    ("shunt-reversed", landing::shunt_turned),
    ("monitor-capacity-wrong", setting::capacity),
    ("source-without-isolator", isolator::at_source),
    ("two-neutral-earth-bonds", mains::one_bond),
    ("heavy-item-held-by-lining", mount::to_structure),
    ("service-needs-destruction", access::hatch),
];

/// Checks for which nothing is computed, and why.
const NONE: &[(&str, &str)] = &[
    (
        "source-shorted",
        "whether the record or the vehicle is wrong has to be found out first, with everything off",
    ),
    (
        "inverter-joined-to-inlet",
        "which changeover fits is for a licensed electrician to choose; keep the inverter off and locked off until then",
    ),
];

/// Repairs for a finding.
pub fn propose(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    if let Some((_, rule)) = RULES.iter().find(|(check, _)| *check == finding.check) {
        return rule(scene, finding);
    }
    let why = NONE.iter().find(|(check, _)| *check == finding.check).map(|(_, why)| *why);
    let why =
        why.unwrap_or("what cures this is for a person to say; see what it says to do about it");
    Proposed::None(why.to_owned())
}
