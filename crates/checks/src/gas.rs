//! Gas, seen and never judged.

use crate::registry::Check;

mod gas_appliance_seen;

#[rustfmt::skip] // One line each, so that two people add one without getting in each other's way.
pub(crate) const CHECKS: &[Check] = &[
    gas_appliance_seen::CHECK,
];
