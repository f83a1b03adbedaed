//! Guards: the two-position things (lock-out, relay, low-voltage cut-off, protection board) that
//! stay outside the numeric iteration and are settled between solves.

use crate::{BranchId, NodeId};

/// A guard of a circuit, by its place in [`crate::Circuit::guards`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct GuardId(pub u32);

/// What a guard watches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sense {
    /// The voltage of the first node against the second, V.
    Between(NodeId, NodeId),
    /// The current of a branch from its first terminal to its second, A.
    Into(BranchId),
    /// The current a branch delivers out of its first terminal, A.
    OutOf(BranchId),
}

/// A two-position thing that watches a voltage with hysteresis, or a current.
#[derive(Clone, Debug, PartialEq)]
pub struct Guard {
    /// A name for messages, such as `fridge low-voltage cut-out`.
    pub name: String,
    /// What it watches.
    pub sense: Sense,
    /// When it turns on and off.
    pub trip: Trip,
    /// The position it is in before anything is settled.
    pub starts_on: bool,
}

/// The thresholds of a guard.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Trip {
    /// Low-voltage behaviour: turns off below `off_below_v`, on again at or above `on_from_v`.
    /// Invariant: `off_below_v <= on_from_v`.
    LowVoltage {
        /// Turns off when the sensed voltage is lower than this.
        off_below_v: f64,
        /// Turns on when the sensed voltage has reached this.
        on_from_v: f64,
    },
    /// Over-voltage behaviour: turns off above `off_above_v`, on again at or below `on_up_to_v`.
    /// Invariant: `on_up_to_v <= off_above_v`.
    HighVoltage {
        /// Turns off when the sensed voltage is higher than this.
        off_above_v: f64,
        /// Turns on when the sensed voltage has fallen to this.
        on_up_to_v: f64,
    },
    /// Over-current behaviour: turns off above `off_above_a` and stays off until somebody resets it.
    HighCurrent {
        /// Turns off when the sensed current is higher than this.
        off_above_a: f64,
    },
}

impl Trip {
    /// How far the guard, in position `on`, is past the threshold that would flip it, as a part of
    /// that threshold (so that volts and amperes can be compared); zero or negative when it stays
    /// where it is.
    pub fn overrun(self, on: bool, sensed: f64) -> f64 {
        match (self, on) {
            (Trip::LowVoltage { off_below_v, .. }, true) => part(off_below_v - sensed, off_below_v),
            (Trip::HighVoltage { off_above_v, .. }, true) => {
                part(sensed - off_above_v, off_above_v)
            }
            (Trip::HighCurrent { off_above_a }, true) => part(sensed - off_above_a, off_above_a),
            (Trip::HighCurrent { .. }, false) => 0.0,
            // Reaching the threshold is enough to come back on.
            (Trip::LowVoltage { on_from_v, .. }, false) => {
                at_or_past(part(sensed - on_from_v, on_from_v))
            }
            (Trip::HighVoltage { on_up_to_v, .. }, false) => {
                at_or_past(part(on_up_to_v - sensed, on_up_to_v))
            }
        }
    }
}

/// A margin over the size of its threshold; thresholds near zero count as a thousandth.
fn part(margin: f64, threshold: f64) -> f64 {
    margin / threshold.abs().max(1e-3)
}

fn at_or_past(margin: f64) -> f64 {
    if margin >= 0.0 { margin.max(f64::MIN_POSITIVE) } else { margin }
}

#[cfg(test)]
mod tests {
    use super::Trip;

    const LOCK_OUT: Trip = Trip::LowVoltage { off_below_v: 12.5, on_from_v: 13.3 };

    #[test]
    fn between_the_thresholds_a_guard_stays_where_it_is() {
        assert!(LOCK_OUT.overrun(true, 12.9) <= 0.0);
        assert!(LOCK_OUT.overrun(false, 12.9) <= 0.0);
    }

    #[test]
    fn exactly_at_the_thresholds_it_holds_on_and_comes_back() {
        assert!(LOCK_OUT.overrun(true, 12.5) <= 0.0);
        assert!(LOCK_OUT.overrun(false, 13.3) > 0.0);
    }

    #[test]
    fn an_over_current_guard_opens_above_its_threshold_and_stays_open() {
        let trip = Trip::HighCurrent { off_above_a: 100.0 };
        assert!(trip.overrun(true, 100.0) <= 0.0);
        assert!(trip.overrun(true, 100.1) > 0.0);
        assert!(trip.overrun(false, 0.0) <= 0.0);
    }

    #[test]
    fn an_over_voltage_guard_is_the_mirror_image() {
        let trip = Trip::HighVoltage { off_above_v: 15.0, on_up_to_v: 14.0 };
        assert!(trip.overrun(true, 15.2) > 0.0);
        assert!(trip.overrun(false, 14.2) <= 0.0);
        assert!(trip.overrun(false, 14.0) > 0.0);
    }
}
