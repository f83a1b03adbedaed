//! What people noticed, held against the sums and the findings: what the sums give the equipment in that
//! state, whether that is what was said of it, and which findings lie at it.

use std::collections::BTreeSet;

use diagnose::{Benches, fits};
use model::{DeviceId, StateId, Symptom};
use schemars::JsonSchema;
use serde::Serialize;

use crate::case::Case;
use crate::view::Review;

/// How words begin that tell of harm to people or of fire, in the languages of the texts; what holds one
/// is told first (own choice).
const ALARMING: [&str; 16] = [
    "shock", "tingl", "smell", "smok", "burn", "spark", "flame", "hot", "gas", "descarga",
    "hormigue", "olor", "olía", "humo", "quem", "chispa",
];

/// Something that was noticed.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, JsonSchema)]
pub struct NoticedRow {
    /// Its name in the record.
    pub name: String,
    /// In the words of whoever noticed it.
    pub words: String,
    /// The equipment it was noticed at; may be empty.
    pub device: String,
    /// The state it was noticed in; may be empty.
    pub state: String,
    /// What the sums give that equipment in that state; empty where nothing is computed.
    pub computed: String,
    /// `fits`, `contradicts`, or empty: not put into a word that sums can be held against.
    pub verdict: String,
    /// Numbers of the findings at that equipment and its wires, from 1.
    pub findings: Vec<usize>,
}

impl Case {
    /// Everything noticed, what tells of harm or fire first.
    pub fn noticed(&self, review: &Review) -> Vec<NoticedRow> {
        let mut benches = Benches::new(self.vehicle(), &self.catalog, &[]);
        let symptoms = self.vehicle().symptoms.iter();
        let mut rows: Vec<NoticedRow> =
            symptoms.map(|symptom| self.noticed_row(symptom, review, &mut benches)).collect();
        rows.sort_by_key(|row| {
            let words = row.words.to_lowercase();
            let mut words = words.split(|c: char| !c.is_alphabetic());
            !words.any(|word| ALARMING.iter().any(|begin| word.starts_with(begin)))
        });
        rows
    }

    fn noticed_row(
        &self,
        symptom: &Symptom,
        review: &Review,
        benches: &mut Benches<'_>,
    ) -> NoticedRow {
        let vehicle = self.vehicle();
        let device = symptom.device.map_or("", |id| vehicle.devices[id].name.as_str());
        let state = symptom.state.map_or("", |id| vehicle.states[id].name.as_str());
        let sums = review.states.iter().find(|row| row.name == state);
        let at = sums.and_then(|sums| sums.rows.iter().find(|row| row.device == device));
        let computed = at.map_or_else(String::new, |row| {
            let all = [&row.voltage, &row.current, &row.note];
            let told: Vec<&str> =
                all.into_iter().map(String::as_str).filter(|t| !t.is_empty()).collect();
            told.join(", ")
        });
        let verdict = symptom.device.zip(symptom.state).and_then(|(device, state)| {
            let said = symptom.shows.value()?;
            fits(*said, does(benches, device, state)?)
        });
        NoticedRow {
            name: symptom.name.clone(),
            words: symptom.words.clone(),
            device: device.to_owned(),
            state: state.to_owned(),
            computed,
            verdict: match verdict {
                Some(true) => "fits",
                Some(false) => "contradicts",
                None => "",
            }
            .to_owned(),
            findings: symptom.device.map_or_else(Vec::new, |id| self.findings_at(id, review)),
        }
    }

    /// Numbers of the findings at a device, at its joints, and at the wires that land on it.
    fn findings_at(&self, device: DeviceId, review: &Review) -> Vec<usize> {
        let vehicle = self.vehicle();
        let name = &vehicle.devices[device].name;
        let landing = vehicle.devices[device].terminals.iter().flat_map(|terminal| {
            vehicle.wires_at(*terminal).map(|(wire, _)| vehicle.wires[wire].name.clone())
        });
        let mut at: BTreeSet<String> = landing.collect();
        at.insert(name.clone());
        let of_it = format!(" at {name}.");
        let is_here = |place: &str| at.contains(place) || place.contains(&of_it);
        let findings = review.findings.iter().enumerate();
        let here = findings.filter(|(_, finding)| {
            is_here(&finding.place.name) || finding.related.iter().any(|place| place.name == *name)
        });
        here.map(|(at, _)| at + 1).collect()
    }
}

/// What equipment does in a state by the sums.
fn does(benches: &mut Benches<'_>, device: DeviceId, state: StateId) -> Option<model::Shows> {
    if !benches.add(state) {
        return None;
    }
    let answered = benches.answer(state, &[])?;
    benches.shows(state, device, &answered)
}
