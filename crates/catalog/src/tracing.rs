//! Where wires end that vanish, and what tells it.

use serde::Deserialize;

/// A way of tracing.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TraceCheck {
    /// In words.
    pub words: String,
    /// Minutes, opening apart.
    pub minutes: f64,
    /// How often it says the contrary.
    pub error: f64,
    /// Key of its source.
    pub source: String,
}

/// The four ways.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TraceChecks {
    /// Volts on the freed end.
    pub volts: TraceCheck,
    /// Ohms from the freed end to minus.
    pub ohms: TraceCheck,
    /// Continuity to a terminal.
    pub continuity: TraceCheck,
    /// Tone.
    pub tone: TraceCheck,
}

/// Minutes to end a trace.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TraceFinish {
    /// Labelling and writing down.
    pub label_minutes: f64,
    /// Making off an end that goes nowhere.
    pub nowhere_minutes: f64,
    /// Following the wire by opening everything on its way, opening apart.
    pub search_minutes: f64,
}

/// All of it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tracing {
    /// Factor of a terminal that wants a wire.
    pub wants_a_wire: f64,
    /// Factor of a device behind the part at which the wire vanishes.
    pub behind_the_part: f64,
    /// Factor of a device that the near end's label names.
    pub named: f64,
    /// Factor of a side that suits the colour.
    pub colour: f64,
    /// Factor of the device the near end is on.
    pub same_device: f64,
    /// Share of wires that end nowhere.
    pub nowhere: f64,
    /// Terminals that are looked at.
    pub most: usize,
    /// Ways of tracing.
    pub check: TraceChecks,
    /// Minutes to end it.
    pub finish: TraceFinish,
}

impl Tracing {
    pub(crate) fn embedded() -> Tracing {
        crate::embedded("tracing.toml", include_str!("../data/tracing.toml"))
    }
}
