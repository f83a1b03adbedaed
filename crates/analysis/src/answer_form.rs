//! How an answer to the check of a card is written into the record, so that a form can be filled
//! without the search at hand: a phone without a link, a page without script.

use diagnose::What;
use model::Shows;
use serde::Serialize;
use units::Dimension;

use crate::search::{RecordLine, Search, instrument};

/// How an answer to a check is written.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct AnswerForm {
    /// What is answered.
    pub kind: AnswerKind,
    /// The section of the record that keeps it.
    pub section: String,
    /// The line, with gaps: `%name%`, and `%value%` for the answer.
    pub line: String,
    /// What keeps that the place could not be reached; absent where the record has no place for that.
    pub not_reached: Option<RecordLine>,
}

/// What is answered.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum AnswerKind {
    /// A number of volts.
    Volts,
    /// A number of amperes.
    Amperes,
    /// One of these words.
    Word(Vec<String>),
    /// How a joint looks: the word that is written for `looks good` and for `looks bad`.
    Look {
        /// Looks good and holds.
        good: String,
        /// Looks bad or gives way.
        bad: String,
    },
}

impl Search<'_> {
    /// How an answer to the check of the last card (`0`) or of one of its rivals is written; `None` if
    /// there is no such check.
    pub fn answer_form(&self, which: usize) -> Option<AnswerForm> {
        let check = self.asked.get(which)?.as_ref()?;
        let not_reached = self.not_reached_line(&self.not_touched(check.what));
        let (kind, section, line) = match (check.what, check.state) {
            (What::Read(points), Some(state)) => {
                let (dimension, note) = instrument(points, false);
                let kind = match dimension {
                    Dimension::Current => AnswerKind::Amperes,
                    _ => AnswerKind::Volts,
                };
                (kind, "readings", self.reading_line("%name%", points, state, "%value%", &note))
            }
            (What::Watch(device), Some(state)) => {
                let words = Shows::ALL.iter().map(|(_, word)| (*word).to_owned());
                let line = self.watch_line("%name%", device, state, "%value%");
                (AnswerKind::Word(words.collect()), "symptoms", line)
            }
            (What::Look(joint), _) => {
                let line = format!("\"{}\" = \"%value%\"", self.vehicle.joint_name(joint));
                let kind = AnswerKind::Look { good: "good".to_owned(), bad: "loose".to_owned() };
                (kind, "joints", line)
            }
            _ => return None,
        };
        Some(AnswerForm { kind, section: section.to_owned(), line, not_reached })
    }
}
