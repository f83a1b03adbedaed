//! What holds heavy things.

use crate::registry::Check;

mod device_loose;
mod heavy_item_held_by_lining;
mod heavy_item_loose;

pub use heavy_item_held_by_lining::HEAVY_KG;

#[rustfmt::skip] // One line each, so that two people add one without getting in each other's way.
pub(crate) const CHECKS: &[Check] = &[
    heavy_item_held_by_lining::CHECK,
    heavy_item_loose::CHECK,
    device_loose::CHECK,
];
