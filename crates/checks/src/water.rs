//! Water and damp near what carries current.

use crate::registry::Check;

mod damp_above_dry;
mod electrics_below_water;

#[rustfmt::skip] // One line each, so that two people add one without getting in each other's way.
pub(crate) const CHECKS: &[Check] = &[
    electrics_below_water::CHECK,
    damp_above_dry::CHECK,
];
