//! Batteries, modules and what charges them.

use crate::registry::Check;

mod batteries_mixed_in_one_bank;
mod battery_gases_inside;
mod charging_voltage_too_high;
mod isolator_in_return;
mod lithium_charged_cold;
mod lithium_on_alternator;
mod load_on_half_a_bank;
mod module_voltage_too_high;
mod modules_without_string_protection;
mod no_air_around;
mod relay_on_commanded_alternator;
mod solar_module_straight_on_battery;
mod source_without_isolator;

#[rustfmt::skip] // One line each, so that two people add one without getting in each other's way.
pub(crate) const CHECKS: &[Check] = &[
    source_without_isolator::CHECK,
    isolator_in_return::CHECK,
    lithium_on_alternator::CHECK,
    relay_on_commanded_alternator::CHECK,
    lithium_charged_cold::CHECK,
    charging_voltage_too_high::CHECK,
    solar_module_straight_on_battery::CHECK,
    modules_without_string_protection::CHECK,
    batteries_mixed_in_one_bank::CHECK,
    load_on_half_a_bank::CHECK,
    battery_gases_inside::CHECK,
    no_air_around::CHECK,
    module_voltage_too_high::CHECK,
];
