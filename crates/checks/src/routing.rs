//! Where wires run and what they run along.

use crate::registry::Check;

mod bend_too_tight;
mod edge_without_grommet;
mod in_airbag_zone;
mod moving_wire_without_loop;
mod no_service_slack;
mod wire_foamed_in;
mod wire_in_drill_zone;
mod wire_near_heat;
mod wire_on_gas_or_fuel_line;
mod wire_unsupported;

#[rustfmt::skip] // One line each, so that two people add one without getting in each other's way.
pub(crate) const CHECKS: &[Check] = &[
    edge_without_grommet::CHECK,
    wire_foamed_in::CHECK,
    wire_in_drill_zone::CHECK,
    wire_near_heat::CHECK,
    wire_on_gas_or_fuel_line::CHECK,
    wire_unsupported::CHECK,
    bend_too_tight::CHECK,
    moving_wire_without_loop::CHECK,
    in_airbag_zone::CHECK,
    no_service_slack::CHECK,
];
