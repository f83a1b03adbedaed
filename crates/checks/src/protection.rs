//! Fuses, breakers and short circuits.

use crate::registry::Check;

mod protection_larger_than_conductor;
mod protection_overloaded;
mod source_end_without_protection;
mod source_shorted;

#[rustfmt::skip] // One line each, so that two people add one without getting in each other's way.
pub(crate) const CHECKS: &[Check] = &[
    source_shorted::CHECK,
    source_end_without_protection::CHECK,
    protection_larger_than_conductor::CHECK,
    protection_overloaded::CHECK,
];
