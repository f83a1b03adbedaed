//! What work takes besides the fixings: tools to fetch, positions to take, a second person.

use std::collections::BTreeMap;

use model::{Minutes, WorkPosition};
use serde::Deserialize;

/// Best and worst case as multiples of a single figure, which counts as the likely one. Common
/// practice, no source.
const BEST_CASE: f64 = 0.8;
const WORST_CASE: f64 = 1.6;

/// A single figure for minutes as a three-point estimate.
///
/// `(0.8 m, m, 1.6 m)` with m the likely minutes. Common practice, no source. Range: m of 0 or more.
/// Tests: `minutes_come_from_the_fixings_when_nobody_wrote_them` in `record`.
pub fn around(likely: f64) -> Minutes {
    Minutes { low: BEST_CASE * likely, likely, high: WORST_CASE * likely }
}

/// Minutes paid once for a whole way in.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OnceRow {
    /// Minutes before.
    pub out: f64,
    /// Minutes afterwards.
    pub back: f64,
    /// Key of the source.
    pub source: String,
}

/// Tools, positions and the second person.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Work {
    tool: BTreeMap<String, OnceRow>,
    position: BTreeMap<String, OnceRow>,
    second_person: OnceRow,
}

impl Work {
    pub(crate) fn embedded() -> Work {
        crate::embedded("work.toml", include_str!("../data/work.toml"))
    }

    /// Fetching a tool and putting it away; `None` for a tool that is not known.
    pub fn tool(&self, name: &str) -> Option<&OnceRow> {
        self.tool.get(name)
    }

    /// All tools.
    pub fn tools(&self) -> impl Iterator<Item = &str> {
        self.tool.keys().map(String::as_str)
    }

    /// Getting into a position and out of it.
    ///
    /// # Panics
    /// Only if the embedded data lacks a row; a test reads all of them.
    pub fn position(&self, position: WorkPosition) -> &OnceRow {
        &self.position[position.word()]
    }

    /// Calling a second person.
    pub fn second_person(&self) -> &OnceRow {
        &self.second_person
    }

    /// Every row's source key.
    pub fn sources(&self) -> impl Iterator<Item = &str> {
        let rows = self.tool.values().chain(self.position.values()).chain([&self.second_person]);
        rows.map(|row| row.source.as_str())
    }
}
