//! What has to be reached.

use crate::registry::Check;

mod service_needs_destruction;

#[rustfmt::skip] // One line each, so that two people add one without getting in each other's way.
pub(crate) const CHECKS: &[Check] = &[
    service_needs_destruction::CHECK,
];
