//! What wires are made of and carry.

use crate::registry::Check;

mod conductor_overloaded;
mod conductor_too_small_for_drop;
mod insulation_below_its_surroundings;
mod insulation_damaged;
mod parallel_conductors_unequal;
mod solid_conductor;

#[rustfmt::skip] // One line each, so that two people add one without getting in each other's way.
pub(crate) const CHECKS: &[Check] = &[
    conductor_overloaded::CHECK,
    conductor_too_small_for_drop::CHECK,
    solid_conductor::CHECK,
    insulation_damaged::CHECK,
    insulation_below_its_surroundings::CHECK,
    parallel_conductors_unequal::CHECK,
];
