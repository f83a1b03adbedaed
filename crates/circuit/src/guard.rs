//! Guards: the two-position things (lock-out, combiner relay, low-voltage cut-off) that stay
//! outside the numeric iteration and are settled between solves.

use crate::NodeId;

/// A guard of a circuit, by its place in [`crate::Circuit::guards`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct GuardId(pub u32);

/// A two-position thing that watches a voltage, with hysteresis.
#[derive(Clone, Debug, PartialEq)]
pub struct Guard {
    /// A name for messages, such as `fridge low-voltage cut-out`.
    pub name: String,
    /// The voltage watched: first node minus second node.
    pub sense: (NodeId, NodeId),
    /// When it turns on and off.
    pub trip: Trip,
    /// The position it is in before anything is settled.
    pub starts_on: bool,
}

/// The two thresholds of a guard, in volt.
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
}

impl Trip {
    /// By how many volts the guard, in position `on`, is past the threshold that would flip it;
    /// zero or negative when it stays where it is.
    pub fn overrun_v(self, on: bool, sensed_v: f64) -> f64 {
        match (self, on) {
            (Trip::LowVoltage { off_below_v, .. }, true) => off_below_v - sensed_v,
            (Trip::HighVoltage { off_above_v, .. }, true) => sensed_v - off_above_v,
            // Reaching the threshold is enough to come back on.
            (Trip::LowVoltage { on_from_v, .. }, false) => at_or_past(sensed_v - on_from_v),
            (Trip::HighVoltage { on_up_to_v, .. }, false) => at_or_past(on_up_to_v - sensed_v),
        }
    }
}

fn at_or_past(margin_v: f64) -> f64 {
    if margin_v >= 0.0 { margin_v.max(f64::MIN_POSITIVE) } else { margin_v }
}

#[cfg(test)]
mod tests {
    use super::Trip;

    const LOCK_OUT: Trip = Trip::LowVoltage { off_below_v: 12.5, on_from_v: 13.3 };

    #[test]
    fn between_the_thresholds_a_guard_stays_where_it_is() {
        assert!(LOCK_OUT.overrun_v(true, 12.9) <= 0.0);
        assert!(LOCK_OUT.overrun_v(false, 12.9) <= 0.0);
    }

    #[test]
    fn exactly_at_the_thresholds_it_holds_on_and_comes_back() {
        assert!(LOCK_OUT.overrun_v(true, 12.5) <= 0.0);
        assert!(LOCK_OUT.overrun_v(false, 13.3) > 0.0);
    }

    #[test]
    fn an_over_voltage_guard_is_the_mirror_image() {
        let trip = Trip::HighVoltage { off_above_v: 15.0, on_up_to_v: 14.0 };
        assert!(trip.overrun_v(true, 15.2) > 0.0);
        assert!(trip.overrun_v(false, 14.2) <= 0.0);
        assert!(trip.overrun_v(false, 14.0) > 0.0);
    }
}
