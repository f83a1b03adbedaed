//! Making dead: what openings take and risk, limits of readings, and the kinds of sources there are.

use serde::Deserialize;

/// What an opening takes and risks, minutes.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OpeningRow {
    /// To do it.
    pub minutes: f64,
    /// To undo it.
    pub back: f64,
    /// Minutes of work that would be as bad as what may happen.
    pub risk: f64,
}

/// When a reading says dead, and when it agrees.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DeadLimits {
    /// Below this a reading is called dead, V.
    pub dead_v: f64,
    /// Direct current above which touching is a hazard by itself, V.
    pub touch_dc_v: f64,
    /// A reading agrees within this share of what was computed.
    pub agrees: f64,
    /// Current that may flow while a contact of unknown rating is opened, A.
    pub idle_a: f64,
    /// Voltage capacitors are emptied to, V.
    pub empty_v: f64,
}

/// The electric side of a kind of source.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum SourceSide {
    /// Direct current.
    Dc,
    /// Alternating current.
    Ac,
}

/// A kind of source there is in converted vehicles.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SourceKind {
    /// Its key.
    pub key: String,
    /// What it is.
    pub what: String,
    /// Where to look for one.
    pub r#where: String,
    /// Its side.
    pub side: SourceSide,
    /// What it shows between its poles, from and to, V; of a 12 V vehicle.
    pub volts: [f64; 2],
    /// Kinds of devices in a record that are one.
    pub kinds: Vec<String>,
}

/// Everything about making dead that is no property of a vehicle.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct MakingDead {
    /// A switch or isolator turned.
    pub switch: OpeningRow,
    /// A breaker switched off.
    pub breaker: OpeningRow,
    /// A breaker of the mains side switched off.
    pub mains_breaker: OpeningRow,
    /// A fuse pulled by its body.
    pub pulled_fuse: OpeningRow,
    /// A fuse under nuts.
    pub bolted_fuse: OpeningRow,
    /// A plug pulled.
    pub plug: OpeningRow,
    /// A lug taken off.
    pub lug: OpeningRow,
    /// A lug on the minus post of a battery.
    pub battery: OpeningRow,
    /// Engine off, key out.
    pub engine: OpeningRow,
    /// The shore lead unplugged.
    pub shore: OpeningRow,
    /// A generator stopped and kept from starting.
    pub generator: OpeningRow,
    /// Something outside unplugged, taken away.
    pub outside: OpeningRow,
    /// A solar module covered from light.
    pub cover: OpeningRow,
    /// Capacitors emptied.
    pub capacitor: OpeningRow,
    /// Getting at what nobody wrote down how to get at.
    pub unknown_reach: OpeningRow,
    /// Limits of readings.
    pub limits: DeadLimits,
    /// Kinds of sources.
    #[serde(rename = "source")]
    pub sources: Vec<SourceKind>,
}

impl MakingDead {
    pub(crate) fn embedded() -> MakingDead {
        crate::embedded("dead.toml", include_str!("../data/dead.toml"))
    }
}
