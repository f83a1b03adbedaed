//! The mains side: shore, inverter, generator.

use crate::registry::Check;

mod earth_missing;
mod inverter_feeds_its_own_charger;
mod inverter_joined_to_inlet;
mod line_and_neutral_swapped;
mod mains_beside_low_voltage;
mod mains_breaker_larger_than_cable;
mod mains_core_unsheathed;
mod mains_joined_to_direct_current;
mod mains_joint_without_enclosure;
mod no_neutral_earth_bond;
mod no_residual_current_protection;
mod sources;
mod two_mains_sources_joined;
mod two_neutral_earth_bonds;

#[rustfmt::skip] // One line each, so that two people add one without getting in each other's way.
pub(crate) const CHECKS: &[Check] = &[
    inverter_joined_to_inlet::CHECK,
    two_neutral_earth_bonds::CHECK,
    earth_missing::CHECK,
    line_and_neutral_swapped::CHECK,
    no_residual_current_protection::CHECK,
    mains_breaker_larger_than_cable::CHECK,
    inverter_feeds_its_own_charger::CHECK,
    two_mains_sources_joined::CHECK,
    mains_joined_to_direct_current::CHECK,
    no_neutral_earth_bond::CHECK,
    mains_beside_low_voltage::CHECK,
    mains_core_unsheathed::CHECK,
    mains_joint_without_enclosure::CHECK,
];
