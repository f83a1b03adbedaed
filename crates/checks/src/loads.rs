//! What consumes.

use crate::registry::Check;

mod contact_overloaded;
mod equipment_starved;
mod high_current_through_body;
mod load_reversed;

#[rustfmt::skip] // One line each, so that two people add one without getting in each other's way.
pub(crate) const CHECKS: &[Check] = &[
    equipment_starved::CHECK,
    load_reversed::CHECK,
    high_current_through_body::CHECK,
    contact_overloaded::CHECK,
];
