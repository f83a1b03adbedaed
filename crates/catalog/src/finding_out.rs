//! What the order of finding out rests on: weights of signal words, minutes of looks and readings.

use model::Signal;
use serde::Deserialize;

/// How a missing fact is found out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Means {
    /// By looking, following or reading a label.
    Look,
    /// With an instrument.
    Reading,
    /// By writing down what is known.
    Note,
}

impl Means {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Means::Look => "look",
            Means::Reading => "reading",
            Means::Note => "note",
        }
    }
}

/// Weights and minutes.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FindingOut {
    /// Key of the source.
    pub source: String,
    risk: Risk,
    look_min: f64,
    reading_min: f64,
    note_min: f64,
    /// Minutes that count for a place without a recorded way in.
    pub unknown_way_min: f64,
    reading: Vec<String>,
    note: Vec<String>,
}

#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Risk {
    danger: f64,
    warning: f64,
    caution: f64,
    notice: f64,
}

impl FindingOut {
    pub(crate) fn embedded() -> FindingOut {
        crate::embedded("finding_out.toml", include_str!("../data/finding_out.toml"))
    }

    /// How much a question may turn out to matter.
    pub fn risk(&self, signal: Signal) -> f64 {
        match signal {
            Signal::Danger => self.risk.danger,
            Signal::Warning => self.risk.warning,
            Signal::Caution => self.risk.caution,
            Signal::Notice => self.risk.notice,
        }
    }

    /// By what an instruction is carried out.
    pub fn means(&self, instruction: &str) -> Means {
        let says = |words: &[String]| words.iter().any(|word| instruction.contains(word.as_str()));
        if says(&self.note) {
            Means::Note
        } else if says(&self.reading) {
            Means::Reading
        } else {
            Means::Look
        }
    }

    /// Minutes of it at a place that lies open.
    pub fn minutes(&self, means: Means) -> f64 {
        match means {
            Means::Look => self.look_min,
            Means::Reading => self.reading_min,
            Means::Note => self.note_min,
        }
    }
}
