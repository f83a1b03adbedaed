//! What short circuits do, worked out beforehand by whoever solves; checks only judge it.

use model::{Breaking, DeviceId, Missing, WireId};

/// A wire shorted, and the device that has to open, seen from one of its ends.
#[derive(Clone, Debug, PartialEq)]
pub struct Short {
    /// The wire.
    pub wire: WireId,
    /// The device that decides.
    pub device: DeviceId,
    /// Its name, with its way.
    pub label: String,
    /// Whether the wire stands it until the device opens.
    pub withstands: Withstands,
    /// Whether the device can break the current.
    pub breaking: Breaking,
    /// What decides whether the device can break the current, where that is not known.
    pub to_break: Option<Missing>,
    /// What to find out where it is not known whether the wire stands it.
    pub missing: Vec<Missing>,
}

/// Whether a wire stands a short circuit until a device opens.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Withstands {
    /// It does.
    Yes,
    /// It does not.
    No {
        /// The current at which time is shortest, A.
        ampere: f64,
        /// How long the wire stands it, s.
        stands_s: Option<f64>,
        /// When the device opens at the earliest, s.
        opens_s: Option<f64>,
    },
    /// Not known.
    Unknown,
    /// What is wrong with it is for other checks to say.
    Elsewhere,
}
