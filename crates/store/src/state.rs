//! What a case looks like after its entries: plain data.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::entry::{Change, Entry, Outcome};

/// A case in the list of cases.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct CaseRow {
    /// Its id.
    pub id: String,
    /// What people call it.
    pub title: String,
    /// Number of its last entry.
    pub head: u64,
    /// When the last entry came in.
    pub changed: String,
    /// Who made it.
    pub changed_by: String,
    /// How many conflicts nobody has settled.
    pub conflicts: u64,
}

/// Who said something, and when.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Said {
    /// The entry.
    pub entry: String,
    /// Its number.
    pub seq: u64,
    /// Who.
    pub who: String,
    /// When, by the clock of the device.
    pub at: String,
}

/// What a case looks like. One that was kept in another form is folded anew.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CaseState {
    /// Its id.
    pub id: String,
    /// What people call it.
    pub title: String,
    /// Number of its last entry.
    pub head: u64,
    /// The record.
    pub text: String,
    /// Photos, in the order they came.
    pub photos: Vec<PhotoOn>,
    /// Steps, as they stand now.
    pub ticks: Vec<Ticked>,
    /// Notes, in the order they came.
    pub notes: Vec<Noted>,
    /// Contradictions nobody has settled.
    pub conflicts: Vec<Conflict>,
    /// Who last said each value of the record, by its path; values of the first text are not in it.
    pub said: BTreeMap<String, Said>,
    /// The last entry that changed something, for going on after an interruption.
    pub last: Option<Said>,
}

/// A line of a case's history.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct HistoryRow {
    /// The entry.
    pub entry: Entry,
    /// What became of it when it came in.
    pub outcome: Outcome,
    /// Who took it back, if somebody did.
    pub undone: Option<Said>,
}

/// A photo and what it is on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct PhotoOn {
    /// SHA-256 of its content.
    pub sha: String,
    /// What it shows.
    pub on: Option<String>,
    /// Marks on it.
    pub arrow: Option<String>,
    /// Words beside it.
    pub words: Option<String>,
    /// Who took it in.
    pub said: Said,
}

/// A step as it stands.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Ticked {
    /// The list.
    pub list: String,
    /// The step.
    pub step: String,
    /// What was read at it.
    pub reading: Option<String>,
    /// Whether it is done.
    pub done: bool,
    /// Who.
    pub said: Said,
}

/// A note.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Noted {
    /// On what.
    pub on: Option<String>,
    /// The words.
    pub words: String,
    /// Who.
    pub said: Said,
}

/// Two entries that say different things of one place. What stood there first stands until somebody
/// chooses; the other is kept here.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Conflict {
    /// The entry that was not taken into the record.
    pub entry: String,
    /// Which of its places, from 0: a whole text can contradict at several.
    pub place: usize,
    /// The path of the value, the step, or the lines, for people.
    pub what: String,
    /// What stands; nothing if it was taken out.
    pub present: Option<String>,
    /// Who said that; nothing if it is from the first text.
    pub present_said: Option<Said>,
    /// What the other entry says; nothing if it takes it out.
    pub other: Option<String>,
    /// Who said the other.
    pub other_said: Said,
    /// What happens if the other is chosen.
    pub change: Change,
}

impl CaseState {
    /// What was read at the proof, by the names of its rows.
    pub fn proofs(&self) -> BTreeMap<String, String> {
        let read = self.proof_ticks();
        read.filter_map(|tick| Some((tick.step.clone(), tick.reading.clone()?))).collect()
    }

    /// By the name of a reading of the proof the number of its entry: later ones have larger numbers.
    pub fn proof_order(&self) -> BTreeMap<String, u64> {
        self.proof_ticks().map(|tick| (tick.step.clone(), tick.said.seq)).collect()
    }

    fn proof_ticks(&self) -> impl Iterator<Item = &Ticked> {
        self.ticks.iter().filter(|tick| tick.list == PROOF && tick.done)
    }
}

/// The list whose steps are readings of the proof.
const PROOF: &str = "proof";
