//! Readings of the record against what the sums say for the vehicle as recorded.

use model::{Reading, ReadingPoints, StateId, Vehicle};
use network::Network;
use solve::OperatingPoint;
use units::{Dimension, System};

use crate::case::{Case, points};
use crate::view::ReadingRow;

/// What a hand-held meter may be off by when the record does not say: a share of the reading and a
/// fixed part, V or A. Common practice, no source.
const METER: (f64, f64) = (0.01, 0.05);
const CLAMP: (f64, f64) = (0.03, 0.3);

/// Volts or amperes below this are rounding, not a reading.
const NOTHING: f64 = 1e-6;

impl Case {
    /// Every reading.
    pub fn reading_rows(&self) -> Vec<ReadingRow> {
        self.vehicle().readings.iter().map(|reading| self.reading_row(reading)).collect()
    }

    fn reading_row(&self, reading: &Reading) -> ReadingRow {
        let vehicle = self.vehicle();
        let shown = |value: f64| {
            let value = if value.abs() < NOTHING { 0.0 } else { value };
            units::format(value, reading.dimension, System::Metric)
        };
        let where_read = match reading.points {
            ReadingPoints::Between(a, b) => {
                format!("{} to {}", vehicle.terminal_name(a), vehicle.terminal_name(b))
            }
            ReadingPoints::In(wire) => format!("in wire {}", vehicle.wires[wire].name),
            ReadingPoints::On(device) => format!("on {}", vehicle.devices[device].name),
            ReadingPoints::Over(joint) => format!("over {}", vehicle.joint_name(joint)),
        };
        let range = self.computed(reading);
        let (computed, verdict, words) = match range {
            _ if vehicle.history.is_laid_aside(&reading.name) => (
                range.map_or_else(
                    || "no number".to_owned(),
                    |(low, high)| between(shown(low), shown(high)),
                ),
                "earlier",
                "read before a repair: says nothing of the vehicle as it is now".to_owned(),
            ),
            None => (
                "no number".to_owned(),
                "cannot tell",
                "nothing joins these points, or the state has no answer".to_owned(),
            ),
            Some((low, high)) => {
                let computed = between(shown(low), shown(high));
                let allowed = self.allowance(reading);
                let miss = (low - reading.value).max(reading.value - high).max(0.0);
                if miss <= allowed {
                    (computed, "agrees", String::new())
                } else {
                    (
                        computed,
                        "differs",
                        format!(
                            "by {}: something is not as recorded, or not recorded",
                            shown(miss)
                        ),
                    )
                }
            }
        };
        let spread =
            reading.spread.map_or_else(String::new, |spread| format!(" ± {}", shown(spread)));
        ReadingRow {
            name: reading.name.clone(),
            state: vehicle.states[reading.state].name.clone(),
            points: where_read,
            read: format!("{}{spread}", shown(reading.value)),
            note: reading.note.clone(),
            computed,
            verdict: verdict.to_owned(),
            words,
        }
    }

    /// Readings, by name, of what is another in a mended vehicle: they were taken before, and say nothing
    /// of it. Those that were taken at its proof do.
    pub(crate) fn readings_of_before(&self, mended: &Case) -> Vec<String> {
        let taken_before = self.vehicle().readings.iter().filter(|reading| !is_proof(reading));
        let of_before = taken_before.filter(|reading| {
            let mut now = mended.vehicle().readings.iter();
            let now = now.find(|now| now.name == reading.name);
            let allowed = self.allowance(reading);
            match (self.computed(reading), now.and_then(|now| mended.computed(now))) {
                (Some(was), Some(is)) => {
                    (was.0 - is.0).abs() > allowed || (was.1 - is.1).abs() > allowed
                }
                (was, is) => was.is_some() != is.is_some(),
            }
        });
        of_before.map(|reading| reading.name.clone()).collect()
    }

    pub(crate) fn allowance(&self, reading: &Reading) -> f64 {
        let (share, fixed) = if reading.dimension == Dimension::Current { CLAMP } else { METER };
        reading.spread.unwrap_or(fixed) + share * reading.value.abs()
    }

    /// Lowest and highest value over the operating points of the reading's state.
    fn computed(&self, reading: &Reading) -> Option<(f64, f64)> {
        // A clamp's arrow is seldom written down: a positive current is compared by its size.
        let unsigned = reading.dimension == Dimension::Current && reading.value >= 0.0;
        let values = self.values_at(reading.state, reading.points).into_iter();
        let values: Vec<f64> =
            values.map(|value| if unsigned { value.abs() } else { value }).collect();
        let low = values.iter().copied().reduce(f64::min)?;
        let high = values.iter().copied().reduce(f64::max)?;
        Some((low, high))
    }
}

impl Case {
    /// What would be read at some points in a state, at each of its operating points.
    pub(crate) fn values_at(&self, state: StateId, at: ReadingPoints) -> Vec<f64> {
        let found = self.states().find(|(id, ..)| *id == state);
        let Some((_, _, network, outcome)) = found else { return Vec::new() };
        let read = |point| value(self.vehicle(), network, point, at);
        points(outcome).iter().filter_map(read).collect()
    }
}

/// Two ends of a range in words; one where they are the same.
fn between(low: String, high: String) -> String {
    if low == high { low } else { format!("{low} to {high}") }
}

/// Whether a reading was taken at the proof of a repair.
pub(crate) fn is_proof(reading: &Reading) -> bool {
    reading.note.split([',', ' ']).any(|word| word == "proof")
}

pub(crate) fn value(
    vehicle: &Vehicle,
    network: &Network,
    point: &OperatingPoint,
    points: ReadingPoints,
) -> Option<f64> {
    let shown = network::reading::shown(vehicle, network, points)?;
    let value = match shown.reading {
        solve::Reading::Between(a, b) => point.between(a, b)?,
        solve::Reading::Current(branch) => point.current(branch),
    };
    let value = shown.of(value);
    // Which way round the probes lie over a joint is not said.
    Some(if matches!(points, ReadingPoints::Over(_)) { value.abs() } else { value })
}
