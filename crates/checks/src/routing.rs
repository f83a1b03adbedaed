//! Where wires run and what they run along.

use crate::registry::Check;

#[rustfmt::skip] // One line each, so that two people add one without getting in each other's way.
pub(crate) const CHECKS: &[Check] = &[
];
