//! The time, handed in by whoever opens the store, so that tests can set it.

use std::fmt;
use std::sync::Arc;

use jiff::Timestamp;

/// A source of the present time.
#[derive(Clone)]
pub struct Clock(Arc<dyn Fn() -> Timestamp + Send + Sync>);

impl Clock {
    /// The clock of the machine.
    pub fn system() -> Clock {
        Clock(Arc::new(Timestamp::now))
    }

    /// A clock that says what a function says: seconds since 1970-01-01T00:00:00Z.
    pub fn of(seconds: impl Fn() -> i64 + Send + Sync + 'static) -> Clock {
        Clock(Arc::new(move || Timestamp::from_second(seconds()).unwrap_or(Timestamp::UNIX_EPOCH)))
    }

    /// Seconds since 1970-01-01T00:00:00Z.
    pub fn seconds(&self) -> i64 {
        (self.0)().as_second()
    }

    /// Milliseconds since 1970-01-01T00:00:00Z.
    pub fn milliseconds(&self) -> i64 {
        (self.0)().as_millisecond()
    }

    /// As RFC 3339 in UTC, to the millisecond.
    pub fn text(&self) -> String {
        format!("{:.3}", (self.0)())
    }
}

impl fmt::Debug for Clock {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("Clock")
    }
}

/// The day of a moment in UTC, `2026-05-02`; of seconds since 1970-01-01T00:00:00Z.
pub(crate) fn day(seconds: i64) -> String {
    let moment = Timestamp::from_second(seconds).unwrap_or(Timestamp::UNIX_EPOCH);
    moment.strftime("%Y-%m-%d").to_string()
}
