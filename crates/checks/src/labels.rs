//! What is marked and written down.

use crate::registry::Check;

mod no_wiring_document;
mod switch_without_label;

#[rustfmt::skip] // One line each, so that two people add one without getting in each other's way.
pub(crate) const CHECKS: &[Check] = &[
    switch_without_label::CHECK,
    no_wiring_document::CHECK,
];
