//! Lugs, contacts and what cables pull on.

use crate::registry::Check;

mod cable_entry_shared;
mod cable_entry_without_strain_relief;
mod fine_strands_under_a_screw;
mod joint_soldered_only;
mod joint_too_hot;
mod joint_twisted_or_taped;
mod largest_current_not_nearest;
mod lug_does_not_fit;
mod mixed_metals_at_body_point;
mod return_on_loose_panel;
mod return_on_thin_metal;
mod strands_damaged;
mod terminal_not_crimped;
mod too_many_lugs_on_a_stud;
mod torque_not_recorded;
mod two_wires_under_one_screw;
mod washer_or_paint_in_current_path;

#[rustfmt::skip] // One line each, so that two people add one without getting in each other's way.
pub(crate) const CHECKS: &[Check] = &[
    joint_too_hot::CHECK,
    washer_or_paint_in_current_path::CHECK,
    cable_entry_without_strain_relief::CHECK,
    strands_damaged::CHECK,
    fine_strands_under_a_screw::CHECK,
    joint_twisted_or_taped::CHECK,
    joint_soldered_only::CHECK,
    terminal_not_crimped::CHECK,
    lug_does_not_fit::CHECK,
    too_many_lugs_on_a_stud::CHECK,
    largest_current_not_nearest::CHECK,
    mixed_metals_at_body_point::CHECK,
    return_on_thin_metal::CHECK,
    return_on_loose_panel::CHECK,
    torque_not_recorded::CHECK,
    two_wires_under_one_screw::CHECK,
    cable_entry_shared::CHECK,
];
