//! What equipment has at its terminals that had too little: the voltage a repair has to bring back.

use std::collections::BTreeSet;

use mend::Limits;
use model::DeviceId;
use model::{ReadingPoints, Role, State, StateId, TerminalId, Vehicle};
use network::Network;
use solve::Outcome;
use units::Volt;

use crate::case::{Case, points};
use crate::proof::{Asks, Row};
use crate::proof_rows::{Maker, live, row};

/// Names of checks whose repair shows at the terminals of a device.
const AT_TERMINALS: [&str; 2] = ["equipment-starved", "conductor-too-small-for-drop"];

/// Minus of one battery and plus of the next are one point of a row when no more than this lies between.
const ONE_POINT_V: f64 = 1.0;

/// A source above this many times what a device gets is of another system: halfway from one block to two
/// in a row. Own choice.
const OTHER_SYSTEM: f64 = 1.5;

/// Devices that had too little: their volts while they run.
pub(crate) fn at_terminals(before: &Case, after: &Case) -> Vec<Row> {
    let cured = before.cured_in(after);
    let devices: BTreeSet<&str> = cured
        .iter()
        .filter(|(check, _)| AT_TERMINALS.contains(check))
        .map(|(_, place)| place.as_str())
        .collect();
    let maker = Maker { before, after, mend: "" };
    devices.into_iter().filter_map(|device| maker.volts_at(device)).collect()
}

impl Maker<'_> {
    /// The voltage at a device that had too little.
    fn volts_at(&self, name: &str) -> Option<Row> {
        let vehicle = self.after.vehicle();
        let (id, device) = vehicle.devices.find(|device| device.name == name)?;
        let (plus, minus) = poles(vehicle, id)?;
        let at = ReadingPoints::Between(plus, minus);
        let runs = |(_, state, network, outcome): &(StateId, &State, &Network, &Outcome)| {
            state.on.contains(&id) || !device.role.is_dc_load() && self.draws(id, network, outcome)
        };
        let of_states = self.after.states().filter(runs);
        let lowest = of_states.filter_map(|(state, ..)| {
            let values = self.after.values_at(state, at).into_iter();
            Some((state, values.reduce(f64::min)?))
        });
        let (state, expected) =
            lowest.filter(|(_, volt)| *volt > 1.0).min_by(|a, b| a.1.total_cmp(&b.1))?;
        let key = if device.critical { "drop-critical" } else { "drop-other" };
        let allowed = self.after.catalog.limits.get(key, vehicle.region);
        let source_v = self.source_volts(state, expected).unwrap_or(expected);
        let drop = format!("{} at the source, less {}", Volt::from_si(source_v), allowed.words);
        let by_drop_v = source_v - allowed.value * self.after.nominal_v();
        let above = |low| self.volts(expected, Limits { low: Some(low), high: None }, at);
        let (mut figure, mut limit, mut source) = (above(by_drop_v), drop, allowed.source.clone());
        if !self.would_pass(&figure) {
            // What is mended falls short of the drop allowed: it is told from what it was.
            let before = self.volts_before(name, &vehicle.states[state].name)?;
            figure = above(0.5 * (before + expected));
            limit = format!(
                "halfway from {} before the repair to what is expected; {limit} takes more than \
                 these repairs",
                Volt::from_si(before)
            );
            source = "practice".to_owned();
        }
        if !self.would_pass(&figure) {
            return None;
        }
        let what = format!("Volts at {name} while it runs");
        let mut row = row(format!("at {name}"), false, what, Asks::Reading(figure));
        row.points = format!("{} to {}", vehicle.terminal_name(plus), vehicle.terminal_name(minus));
        row.state = Some(state);
        (row.limit, row.source) = (limit, source);
        row.cautions.push(live());
        Some(row)
    }

    /// Whether equipment that is no load carries a current worth reading.
    fn draws(&self, id: DeviceId, network: &Network, outcome: &Outcome) -> bool {
        let least_a = self.after.catalog.mending.proof.least_current.si();
        let mut of_device = network.ports.iter().filter(|port| port.device == id);
        of_device.any(|port| {
            points(outcome).iter().any(|point| point.current(port.branch).abs() >= least_a)
        })
    }

    /// The lowest volts at a device before the repair, in the state of this name.
    fn volts_before(&self, name: &str, state: &str) -> Option<f64> {
        let vehicle = self.before.vehicle();
        let (id, _) = vehicle.devices.find(|device| device.name == name)?;
        let (plus, minus) = poles(vehicle, id)?;
        let (state, _) = vehicle.states.find(|known| known.name == state)?;
        let values = self.before.values_at(state, ReadingPoints::Between(plus, minus));
        values.into_iter().reduce(f64::min)
    }

    /// The highest voltage of a battery, or of batteries in a row, in a state, of those that may feed a
    /// device with so much.
    fn source_volts(&self, state: StateId, expected: f64) -> Option<f64> {
        let vehicle = self.after.vehicle();
        let posts: Vec<(TerminalId, TerminalId)> = vehicle
            .devices
            .iter()
            .filter(|(_, device)| device.role == Role::Battery)
            .filter_map(|(id, _)| {
                Some((vehicle.terminal_of(id, "+")?, vehicle.terminal_of(id, "-")?))
            })
            .collect();
        let between = |a, b| {
            let values = self.after.values_at(state, ReadingPoints::Between(a, b));
            values.into_iter().reduce(f64::min)
        };
        let mut rows = Vec::new();
        for (top, _) in &posts {
            let mut left: Vec<&(TerminalId, TerminalId)> = posts.iter().collect();
            let mut below = *top;
            while let Some(at) = left.iter().position(|(plus, _)| {
                *plus == below
                    || between(*plus, below).is_some_and(|volt| volt.abs() < ONE_POINT_V)
                        && below != *top
            }) {
                below = left.swap_remove(at).1;
                rows.extend(between(*top, below));
            }
        }
        rows.into_iter().filter(|volt| *volt < OTHER_SYSTEM * expected).reduce(f64::max)
    }
}

/// The terminals at which equipment is fed.
fn poles(vehicle: &Vehicle, id: DeviceId) -> Option<(TerminalId, TerminalId)> {
    let terminal = |names: [&str; 2]| names.iter().find_map(|name| vehicle.terminal_of(id, name));
    Some((terminal(["in+", "+"])?, terminal(["in-", "-"])?))
}
