//! Shunts and their displays.

use crate::registry::Check;

mod displays;
mod monitor_bypassed;
mod monitor_capacity_wrong;
mod monitor_scale_wrong;
mod shunt_reversed;

#[rustfmt::skip] // One line each, so that two people add one without getting in each other's way.
pub(crate) const CHECKS: &[Check] = &[
    monitor_bypassed::CHECK,
    shunt_reversed::CHECK,
    monitor_scale_wrong::CHECK,
    monitor_capacity_wrong::CHECK,
];
