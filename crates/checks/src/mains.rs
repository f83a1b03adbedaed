//! The mains side: shore, inverter, generator.

use crate::registry::Check;

mod inverter_joined_to_inlet;
mod two_neutral_earth_bonds;

#[rustfmt::skip] // One line each, so that two people add one without getting in each other's way.
pub(crate) const CHECKS: &[Check] = &[
    inverter_joined_to_inlet::CHECK,
    two_neutral_earth_bonds::CHECK,
];
