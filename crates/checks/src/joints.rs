//! Lugs, contacts and what cables pull on.

use crate::registry::Check;

mod cable_entry_without_strain_relief;
mod joint_too_hot;
mod washer_or_paint_in_current_path;

#[rustfmt::skip] // One line each, so that two people add one without getting in each other's way.
pub(crate) const CHECKS: &[Check] = &[
    joint_too_hot::CHECK,
    washer_or_paint_in_current_path::CHECK,
    cable_entry_without_strain_relief::CHECK,
];
