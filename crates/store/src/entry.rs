//! Entries of a journal: who changed what, when, and what became of it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What a device sends: a change, with an id made on the device. The same id twice is one entry.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Draft {
    /// UUID (version 4 or 7), made on the device.
    pub id: String,
    /// What the device calls itself.
    pub device: String,
    /// When, by the clock of the device (RFC 3339).
    pub at: String,
    /// The last entry the device had seen; 0 before the first.
    pub base: u64,
    /// What changes.
    pub change: Change,
}

/// Who makes an entry, as the server knows it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Who {
    /// The name the person logs in with.
    pub name: String,
}

/// An entry of a journal, as it was taken.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Entry {
    /// The case.
    pub case: String,
    /// Its number in the journal, from 1 without gaps.
    pub seq: u64,
    /// UUID, made on the device.
    pub id: String,
    /// Who.
    pub who: String,
    /// What the device calls itself.
    pub device: String,
    /// When, by the clock of the device (RFC 3339).
    pub at: String,
    /// When it came in, by the clock of the server (RFC 3339, UTC).
    pub received: String,
    /// The last entry the device had seen.
    pub base: u64,
    /// What changed.
    pub change: Change,
    /// Hash of the entry before; 64 zeros for the first.
    pub previous: String,
    /// SHA-256 over all of the above, in hexadecimal digits.
    pub hash: String,
}

/// What an entry changes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase", deny_unknown_fields)]
pub enum Change {
    /// The first entry of a case.
    Open {
        /// What people call the case.
        title: String,
        /// The text of the record to begin with.
        text: String,
    },
    /// A shorthand line added to a section of the record.
    Line {
        /// The section: `devices`, `wires`, `readings` ...
        section: String,
        /// The line: `w9 = "box.3 to pump.+, 2.5 mm2, red"`.
        text: String,
    },
    /// A value of the record.
    Value {
        /// Where: `devices.charger.limit`; a key with dots stands in quotes.
        path: String,
        /// What it is now.
        is: String,
        /// What the device had seen there; nothing if there was no such value.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        was: Option<String>,
    },
    /// A value, a line or a table of the record taken out.
    Remove {
        /// Where.
        path: String,
        /// What the device had seen there, as it stands in the text; nothing if it did not look.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        was: Option<String>,
    },
    /// The whole text of the record, joined with what others changed since.
    Text {
        /// The new text.
        is: String,
        /// The text it was made from; put in by the server when the device leaves it out.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        was: Option<String>,
    },
    /// Lines of the record that stand there once, in the place of which others stand now.
    Lines {
        /// The lines, with their line ends.
        from: String,
        /// What stands there now.
        to: String,
    },
    /// A note.
    Note {
        /// On what; nothing for a note on the whole case.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        on: Option<String>,
        /// The words.
        words: String,
    },
    /// A step of a list done, or not done after all.
    Tick {
        /// The list: `way-in`, `dead`, `proof` ...
        list: String,
        /// The step.
        step: String,
        /// What was read at it.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        reading: Option<String>,
        /// Whether it is done.
        done: bool,
    },
    /// A photo, taken in before.
    Photo {
        /// SHA-256 of its content.
        sha: String,
        /// What it shows: a device, a wire, `w3 at house.+`.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        on: Option<String>,
        /// Marks on it: points of an SVG path, in shares of width and height.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        arrow: Option<String>,
        /// Words beside it.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        words: Option<String>,
    },
    /// An earlier entry taken back, as if it had never been made. An undo can be undone.
    Undo {
        /// Its id.
        entry: String,
    },
    /// A yes (or no) of somebody who may give it: a line of `[authority]` in the record.
    Authority(Authority),
    /// What stands where two entries contradicted each other.
    Choose {
        /// Id of the entry that was not taken into the record.
        entry: String,
        /// Which of its places, from 0.
        #[serde(default)]
        place: usize,
        /// What stands.
        keep: Keep,
    },
}

/// What stands after two entries contradicted each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Keep {
    /// What stands in the record.
    Present,
    /// What the later entry said.
    Other,
}

/// What somebody agreed to.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Authority {
    /// To what: words, or the name of a repair.
    pub to: String,
    /// Who gave it.
    pub by: String,
    /// By which way: on the telephone, in writing, in person.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub how: Option<String>,
    /// Up to how much, as said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub up_to: Option<String>,
    /// In their words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub words: Option<String>,
    /// Whether it was given (a refusal is worth recording too).
    pub given: bool,
}

/// What became of a draft.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Outcome {
    /// Taken in.
    Taken,
    /// It had been taken in before.
    Already,
    /// Taken into the journal, but it contradicts what stands there: somebody has to choose.
    Conflict,
    /// Not taken; the message says why.
    Refused,
}

/// The answer to a draft.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Answer {
    /// The id of the draft.
    pub id: String,
    /// Its number in the journal; 0 if it was refused.
    pub seq: u64,
    /// What became of it.
    pub outcome: Outcome,
    /// What to tell the person; empty if there is nothing to say.
    pub message: String,
}
