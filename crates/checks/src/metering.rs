//! Shunts and their displays.

use crate::registry::Check;

mod monitor_bypassed;

#[rustfmt::skip] // One line each, so that two people add one without getting in each other's way.
pub(crate) const CHECKS: &[Check] = &[
    monitor_bypassed::CHECK,
];
