//! Fuses, breakers and short circuits.

use crate::registry::Check;

mod conductor_burns_first;
mod contacts;
mod fuse_behind_a_fuse;
mod live_terminal_uncovered;
mod protection_bypassed;
mod protection_cannot_break_the_fault;
mod protection_in_parallel;
mod protection_in_return;
mod protection_larger_than_conductor;
mod protection_overloaded;
mod protection_voltage_too_low;
mod return_not_protected;
mod source_end_without_protection;
mod source_shorted;
mod wires_doubled_on_a_fuse;

#[rustfmt::skip] // One line each, so that two people add one without getting in each other's way.
pub(crate) const CHECKS: &[Check] = &[
    source_shorted::CHECK,
    source_end_without_protection::CHECK,
    protection_larger_than_conductor::CHECK,
    protection_overloaded::CHECK,
    protection_bypassed::CHECK,
    protection_in_parallel::CHECK,
    protection_in_return::CHECK,
    fuse_behind_a_fuse::CHECK,
    wires_doubled_on_a_fuse::CHECK,
    return_not_protected::CHECK,
    live_terminal_uncovered::CHECK,
    protection_cannot_break_the_fault::CHECK,
    conductor_burns_first::CHECK,
    protection_voltage_too_low::CHECK,
];
