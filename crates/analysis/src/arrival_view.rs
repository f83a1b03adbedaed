//! What is written when a vehicle comes in: fields of the vehicle, what was noticed, how it began; and
//! the record with what it proposes put in.

use model::{Answer, Shows};
use schemars::JsonSchema;
use serde::Serialize;

use crate::case::Case;

/// What is written when a vehicle comes in.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ArrivalView {
    /// Fields of the vehicle as written, empty where nothing is: name, what it is, region, system,
    /// complaint, who saw it.
    pub fields: Vec<(String, String)>,
    /// What was noticed.
    pub symptoms: Vec<SymptomView>,
    /// What may be answered when asked how it began, and whether it was.
    pub answers: Vec<(String, bool)>,
    /// Places a probe could not get at.
    pub not_reached: Vec<String>,
    /// States: name, in words.
    pub states: Vec<(String, String)>,
}

/// What was noticed.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct SymptomView {
    /// Its name in the record.
    pub name: String,
    /// In words.
    pub words: String,
    /// The device it is about; empty when nobody said.
    pub device: String,
    /// The state it shows in; empty when nobody said.
    pub state: String,
    /// The same in one word of the list; empty when nobody said.
    pub shows: String,
    /// How that is known; empty when it is not.
    pub origin: String,
    /// It was noticed before a repair that may have changed it, and is no longer weighed.
    pub is_laid_aside: bool,
}

/// The record with what it proposes put in.
#[derive(Clone, Debug, PartialEq)]
pub struct Mended {
    /// The text.
    pub text: String,
    /// Values that could not be put in: which, and why.
    pub left_out: Vec<(String, String)>,
}

/// The fields of a vehicle that are asked for when it comes in.
const FIELDS: [&str; 6] = ["name", "is", "region", "system", "complaint", "seen"];

impl Case {
    /// What is written when a vehicle comes in.
    pub fn arrival(&self) -> ArrivalView {
        let vehicle = self.vehicle();
        let written = record::fields(&self.text, "vehicle");
        let field = |key: &str| {
            let found = written.iter().find(|(known, _)| known == key);
            (key.to_owned(), found.map(|(_, words)| words.clone()).unwrap_or_default())
        };
        let symptoms = vehicle.symptoms.iter().map(|symptom| SymptomView {
            name: symptom.name.clone(),
            words: symptom.words.clone(),
            device: symptom.device.map_or_else(String::new, |id| vehicle.devices[id].name.clone()),
            state: symptom.state.map_or_else(String::new, |id| vehicle.states[id].name.clone()),
            shows: symptom.shows.value().map_or("", |shows| shows.word()).to_owned(),
            origin: symptom.shows.origin().map_or("", |origin| origin.word()).to_owned(),
            is_laid_aside: vehicle.history.is_laid_aside(&symptom.name),
        });
        let given = &vehicle.history.answers;
        // Only what the record writes can be named by a reading.
        let states = self
            .states()
            .filter(|_| !self.states_added)
            .map(|(_, state, ..)| (state.name.clone(), crate::states::words(vehicle, state)));
        ArrivalView {
            fields: FIELDS.map(field).to_vec(),
            symptoms: symptoms.collect(),
            answers: Answer::ALL
                .iter()
                .map(|(answer, words)| ((*words).to_owned(), given.contains(answer)))
                .collect(),
            not_reached: vehicle
                .history
                .not_reached
                .iter()
                .map(|id| vehicle.terminal_name(*id))
                .collect(),
            states: states.collect(),
        }
    }

    /// The record with what it proposes put in, one proposal after the other; `None` when it proposes
    /// nothing.
    pub fn mended(&self) -> Option<Mended> {
        let mends = &self.vehicle().mends;
        if mends.is_empty() {
            return None;
        }
        let mut mended = Mended { text: self.text.clone(), left_out: Vec::new() };
        for mend in mends {
            match record::put_in(&mended.text, &mend.changes) {
                Ok(text) => mended.text = text,
                Err(why) => mended.left_out.push((mend.name.clone(), why.to_string())),
            }
        }
        Some(mended)
    }

    /// The record as it was before those of its repairs that are written into it already. One that cannot
    /// be thought away stays in.
    pub(crate) fn text_before_repairs(&self) -> String {
        let mends = self.vehicle().mends.iter().rev();
        mends.fold(self.text.clone(), |text, mend| {
            let is_in = record::put_in(&text, &mend.changes).is_ok_and(|same| same == text);
            let back = is_in.then(|| record::put_back(&text, &mend.changes).ok()).flatten();
            back.unwrap_or(text)
        })
    }
}

/// The words a symptom can be put in.
pub fn symptom_words() -> impl Iterator<Item = &'static str> {
    Shows::ALL.iter().map(|(_, word)| *word)
}

#[cfg(test)]
mod tests {
    use super::*;

    const RECORD: &str = "unbury = 1\n[vehicle]\nname = \"M\"\n[devices]\na = { kind = \"agm battery\", holds = \"90 Ah\" }\nb = { kind = \"busbar\" }\n[wires]\nw = \"a.- to b, 2.5 mm2\"\n[stacks]\n\"a.-\" = \"post, nut, w\"\n[mends]\nthick = { words = \"thicker\", sets = { \"wires.w\" = \"a.- to b, 35 mm2\", \"stacks.a.-\" = \"post, w, nut\", \"devices.a.holds\" = \"100 Ah\" } }\n";

    #[test]
    fn what_is_proposed_is_put_in() {
        let mended = Case::of(RECORD).mended();
        let mended = mended.as_ref().map(|mended| (mended.text.as_str(), mended.left_out.len()));
        let (text, left_out) = mended.unwrap_or_default();
        assert_eq!(left_out, 0);
        assert!(text.contains("w = \"a.- to b, 35 mm2\"\n"), "{text}");
        assert!(text.contains("[stacks]\n\"a.-\" = \"post, w, nut\"\n"), "{text}");
        assert!(text.contains("holds = \"100 Ah\" }\n"), "{text}");
        assert!(Case::of(&RECORD.replace("[mends]", "[photos]")).mended().is_none());
    }
}
