//! Batteries, modules and what charges them.

use crate::registry::Check;

mod source_without_isolator;

#[rustfmt::skip] // One line each, so that two people add one without getting in each other's way.
pub(crate) const CHECKS: &[Check] = &[
    source_without_isolator::CHECK,
];
