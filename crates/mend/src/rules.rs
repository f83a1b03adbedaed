//! One rule for each check whose findings a repair can be computed for; for the others, why not.

mod access;
mod bar;
mod body;
mod charging;
mod course;
mod end;
mod isolator;
mod joint;
mod landing;
mod look;
mod mains;
mod mount;
mod protection;
mod replaced;
mod setting;
mod take_out;
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
    /// Several choices, of each of which the first that cures is enough.
    Ladders(Vec<Vec<Result<Draft, String>>>),
    /// None is computed, for this reason.
    None(String),
}

impl Proposed {
    fn one(draft: Result<Draft, String>) -> Proposed {
        Proposed::Choices(vec![draft])
    }
}

type Rule = fn(&Scene<'_>, &Finding) -> Proposed;

/// Checks with their rule; those of what the eye sees stand in `look.rs`.
const RULES: &[(&str, Rule)] = &[
    ("source-end-without-protection", protection::at_source),
    ("protection-larger-than-conductor", protection::too_large),
    ("protection-overloaded", protection::overloaded),
    ("return-not-protected", protection::return_too_thin),
    ("protection-cannot-break-the-fault", replaced::breaks_the_fault),
    ("protection-voltage-too-low", replaced::made_for_the_voltage),
    ("conductor-burns-first", replaced::opens_in_time),
    ("protection-bypassed", take_out::second_way),
    ("protection-in-parallel", take_out::one_of_two),
    ("protection-in-return", take_out::fuse_to_the_plus),
    ("fuse-behind-a-fuse", take_out::hidden_fuse),
    ("isolator-in-return", take_out::isolator_to_the_plus),
    ("batteries-mixed-in-one-bank", take_out::one_battery),
    ("contact-overloaded", take_out::strong_contact),
    ("wires-doubled-on-a-fuse", bar::off_the_way),
    ("two-wires-under-one-screw", bar::off_the_screw),
    ("too-many-lugs-on-a-stud", bar::off_the_stud),
    ("joint-too-hot", joint::remade),
    ("joint-twisted-or-taped", joint::remade),
    ("joint-soldered-only", joint::remade),
    ("terminal-not-crimped", joint::remade),
    ("strands-damaged", joint::remade),
    ("lug-does-not-fit", end::fitting_lug),
    ("no-service-slack", end::slack),
    ("no-wiring-document", end::document),
    ("cable-entry-without-strain-relief", joint::gripped),
    ("cable-entry-shared", joint::gripped),
    ("washer-or-paint-in-current-path", joint::restacked),
    ("largest-current-not-nearest", joint::restacked),
    ("conductor-overloaded", wire::overloaded),
    ("conductor-too-small-for-drop", wire::too_much_drop),
    ("equipment-starved", wire::starved),
    ("solid-conductor", wire::solid),
    ("insulation-damaged", course::whole),
    ("insulation-below-its-surroundings", course::insulated_for_place),
    ("wire-foamed-in", course::out_of_foam),
    ("bend-too-tight", course::wider_bend),
    ("mains-core-unsheathed", course::sheathed),
    ("return-on-loose-panel", body::on_rigid_metal),
    ("return-on-thin-metal", body::on_rigid_metal),
    ("high-current-through-body", body::own_return),
    ("monitor-bypassed", landing::past_the_shunt),
    ("load-reversed", landing::reversed),
    ("shunt-reversed", landing::shunt_turned),
    ("monitor-capacity-wrong", setting::capacity),
    ("monitor-scale-wrong", charging::set_scale),
    ("charging-voltage-too-high", charging::set_voltage),
    ("lithium-on-alternator", charging::charger_for_relay),
    ("relay-on-commanded-alternator", charging::charger_for_relay),
    ("solar-module-straight-on-battery", charging::controller_for_module),
    ("modules-without-string-protection", charging::string_fuses),
    ("load-on-half-a-bank", charging::whole_bank),
    ("source-without-isolator", isolator::at_source),
    ("two-neutral-earth-bonds", mains::one_bond),
    ("no-neutral-earth-bond", mains::bond_while_inverting),
    ("mains-breaker-larger-than-cable", mains::smaller_breaker),
    ("no-residual-current-protection", mains::residual),
    ("inverter-feeds-its-own-charger", mains::charger_off_inverter),
    ("earth-missing", mains::earth_core),
    ("line-and-neutral-swapped", mains::crossed),
    ("heavy-item-held-by-lining", mount::to_structure),
    ("heavy-item-loose", mount::to_structure),
    ("service-needs-destruction", access::hatch_or_move),
    ("service-too-slow", access::hatch_or_move),
    ("protection-behind-panels", access::hatch_or_move),
    ("joint-buried", access::hatch_or_move),
    ("isolator-not-from-door", access::to_the_door),
    ("fixing-out-of-reach", access::reachable_fixings),
];

/// Checks for which nothing is computed, and why. The page of the check says the same.
const NONE: &[(&str, &str)] = &[
    (
        "source-shorted",
        "whether the record or the vehicle is wrong has to be found out first, with everything off",
    ),
    (
        "inverter-joined-to-inlet",
        "which changeover fits is for a licensed electrician to choose; keep the inverter off and locked off until then",
    ),
    (
        "two-mains-sources-joined",
        "which changeover fits is for a licensed electrician to choose; until then one of the two is disconnected and locked off",
    ),
    (
        "mains-joined-to-direct-current",
        "a licensed electrician takes the two apart, and has to see first what was fed by mistake",
    ),
    (
        "lithium-charged-cold",
        "whether board, chargers or a heated place stop the charge is in the papers of the battery: read them first",
    ),
    ("damp-above-dry", "where the water comes in has to be found first, from the top down"),
    (
        "module-voltage-too-high",
        "other modules, fewer in a row or another controller would each do: that is a choice of equipment",
    ),
    (
        "parallel-conductors-unequal",
        "the cables are made alike, or one takes the place of all: which is for whoever sees how they lie",
    ),
    ("gas-appliance-seen", "it is for a person licensed for gas in vehicles"),
];

/// Whether repairs are computed for a check.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Covered {
    /// There is a rule.
    Computed,
    /// There is none, for this reason.
    Not(&'static str),
}

/// What there is for a check; nothing for a check that nobody has thought of.
pub fn covered(check: &str) -> Option<Covered> {
    if look::checks().any(|of| of == check) || RULES.iter().any(|(of, _)| *of == check) {
        return Some(Covered::Computed);
    }
    NONE.iter().find(|(of, _)| *of == check).map(|(_, why)| Covered::Not(why))
}

/// Repairs for a finding.
pub fn propose(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    if look::checks().any(|check| check == finding.check) {
        return look::put_right(scene, finding);
    }
    if let Some((_, rule)) = RULES.iter().find(|(check, _)| *check == finding.check) {
        return rule(scene, finding);
    }
    let why = NONE.iter().find(|(check, _)| *check == finding.check).map(|(_, why)| *why);
    let why =
        why.unwrap_or("what cures this is for a person to say; see what it says to do about it");
    Proposed::None(why.to_owned())
}
