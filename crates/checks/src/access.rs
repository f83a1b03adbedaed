//! What has to be reached.

use crate::registry::Check;

mod fixing_out_of_reach;
mod isolator_not_from_door;
mod joint_buried;
mod protection_behind_panels;
mod service_needs_destruction;
mod service_too_slow;

#[rustfmt::skip] // One line each, so that two people add one without getting in each other's way.
pub(crate) const CHECKS: &[Check] = &[
    service_needs_destruction::CHECK,
    service_too_slow::CHECK,
    protection_behind_panels::CHECK,
    isolator_not_from_door::CHECK,
    joint_buried::CHECK,
    fixing_out_of_reach::CHECK,
];
