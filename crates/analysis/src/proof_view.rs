//! The proof sheet: readings that would show that a repair failed, for people and programs.

use schemars::JsonSchema;
use serde::Serialize;

use crate::dead_view::Caution;
use crate::suspects_view::SuspectsView;

/// Form and version of [`ProofSheet`].
pub const PROOF_SCHEMA: &str = "unbury.proof/1";

/// Readings that would show that a repair failed, dead tests first.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ProofSheet {
    /// Form and version.
    pub schema: String,
    /// Repairs that are proved.
    pub mends: Vec<String>,
    /// What is read, in order.
    pub rows: Vec<ProofRow>,
    /// What keeps something from being proved: a repair that does not fit the record any more, a
    /// reading of no row, a value that is none.
    pub faults: Vec<String>,
    /// How pass, fail and repeat are told apart, with the documents.
    pub rule: String,
    /// What may be wrong, by the mended record and the readings that failed.
    pub reopened: Option<SuspectsView>,
}

/// One reading, or one look.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct ProofRow {
    /// Its name, by which a reading is entered.
    pub key: String,
    /// Repairs it proves; none: all of them together.
    pub mends: Vec<String>,
    /// `dead`: with everything off; `live`: with power on.
    pub phase: String,
    /// `reading`: a figure; `look`: yes or no.
    pub asks: String,
    /// What is done.
    pub what: String,
    /// In which state of the vehicle; empty: made dead.
    pub state: String,
    /// That state in words.
    pub state_words: String,
    /// Where the probes go.
    pub points: String,
    /// Instrument and setting.
    pub instrument: String,
    /// What it should show.
    pub expected: String,
    /// The limit, in words.
    pub limit: String,
    /// What passes, what is read again, what fails.
    pub decides: String,
    /// Key of the source of the limit.
    pub source: String,
    /// What to mind before it.
    pub cautions: Vec<Caution>,
    /// What was read.
    pub measured: Option<String>,
    /// `pass`, `fail`, `repeat`; `read` where there is no limit; empty while nothing was read.
    pub verdict: String,
    /// What to make of the verdict, or why there is none.
    pub words: String,
    /// The unit it is usually read in; empty for a look.
    pub unit: String,
    /// What was read as a line of `[readings]`; empty where the record has no such state or points.
    pub reading: String,
}
