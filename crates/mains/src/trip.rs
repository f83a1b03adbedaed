//! When a residual-current device holds and trips, and how long it may take.

use catalog::Limits;
use model::Region;

/// Where the figures come from.
pub(crate) struct Trips<'c> {
    pub(crate) limits: &'c Limits,
    pub(crate) region: Option<Region>,
}

impl Trips<'_> {
    fn get(&self, key: &str) -> f64 {
        self.limits.get(key, self.region).value
    }
}

/// The band in which a residual-current device trips, A.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Trip {
    /// It holds below this.
    pub(crate) hold_a: f64,
    /// It trips from this on.
    pub(crate) trip_a: f64,
    sort: Sort,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Sort {
    /// Rated for nothing: there is none.
    Absent,
    /// Ground-fault interrupter, class A.
    ClassA,
    /// Residual-current device without delay.
    General,
}

impl Trip {
    /// The band of a rated residual current [A]: class A ground-fault interrupters, rated up to
    /// their trip current, have their own; others trip between half the rated current and the whole.
    pub(crate) fn of(trips: &Trips<'_>, rated_a: f64) -> Trip {
        let (class_a_hold, class_a_trip) =
            (trips.get("ground-fault-hold"), trips.get("ground-fault-trip"));
        if rated_a <= 0.0 {
            Trip { hold_a: f64::INFINITY, trip_a: f64::INFINITY, sort: Sort::Absent }
        } else if rated_a <= class_a_trip {
            Trip { hold_a: class_a_hold, trip_a: class_a_trip, sort: Sort::ClassA }
        } else {
            let hold_a = trips.get("residual-hold") * rated_a;
            Trip { hold_a, trip_a: rated_a, sort: Sort::General }
        }
    }

    /// That of a device of the largest rating that may protect people.
    pub(crate) fn usual(trips: &Trips<'_>) -> Trip {
        Trip::of(trips, trips.get("residual-rated-most"))
    }

    /// The longest time to trip.
    ///
    /// Symbols: `I` = residual current [A], `In` = rated residual current [A], `t` = time [s].
    /// Equation: class A `t = (20 mA / I)^1.43`, at least 25 ms; others 0.3 s from `In`, 0.15 s from
    /// `2 In`, 0.04 s from `5 In`.
    /// Source: limits `ground-fault-time-*` and `residual-time-*` of the catalog.
    /// Valid for: `I` at or above the trip current; general type, without delay.
    /// Outside: `None`.
    /// Checked by: `a_class_a_interrupter_opens_within_the_published_times`,
    /// `a_general_device_opens_within_the_published_times`.
    pub(crate) fn longest_s(self, trips: &Trips<'_>, residual_a: f64) -> Option<f64> {
        if residual_a < self.trip_a {
            return None;
        }
        match self.sort {
            Sort::Absent => None,
            Sort::ClassA => {
                let share = trips.get("ground-fault-time-current") / residual_a;
                let time_s = share.powf(trips.get("ground-fault-time-power"));
                Some(time_s.max(trips.get("ground-fault-time-least")))
            }
            Sort::General => Some(trips.get(match residual_a / self.trip_a {
                times if times >= 5.0 => "residual-time-fivefold",
                times if times >= 2.0 => "residual-time-twofold",
                _ => "residual-time",
            })),
        }
    }
}

#[cfg(test)]
mod tests {
    use catalog::Catalog;

    use super::{Trip, Trips};

    fn longest_s(rated_a: f64, residual_a: f64) -> Option<f64> {
        let catalog = Catalog::embedded();
        let trips = Trips { limits: &catalog.limits, region: None };
        Trip::of(&trips, rated_a).longest_s(&trips, residual_a)
    }

    /// UL 943, class A, as published second-hand: 5.59 s at 6 mA, 0.56 s at 30 mA, 25 ms at 264 mA.
    #[test]
    fn a_class_a_interrupter_opens_within_the_published_times() {
        for (ampere, second, within) in
            [(0.006, 5.59, 0.005), (0.03, 0.56, 0.005), (0.264, 0.025, 0.0005)]
        {
            let found = longest_s(0.005, ampere).expect("it trips");
            assert!((found - second).abs() <= within, "{ampere} A: {found} s");
        }
        assert_eq!(longest_s(0.005, 0.0059), None);
    }

    /// EN 61008-1, general type, as restated in tables of testers and an institution's guide: 300 ms
    /// at the rated residual current, 150 ms at twice, 40 ms at five times.
    #[test]
    fn a_general_device_opens_within_the_published_times() {
        for (times, second) in [(1.0, 0.3), (2.0, 0.15), (5.0, 0.04), (100.0, 0.04)] {
            assert_eq!(longest_s(0.03, 0.03 * times), Some(second), "{times}");
        }
        assert_eq!(longest_s(0.03, 0.029), None);
        assert_eq!(longest_s(0.0, 10.0), None, "none is fitted");
    }
}
