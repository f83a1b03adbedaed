//! Readings to take at the end that follow from no single repair: what was switched off is dead, every
//! reading of before once more, and what each device that was complained of has at its terminals.
//!
//! What was switched off is judged; the others have no limit and get no verdict: what was expected
//! stands beside what was read.

use std::collections::BTreeMap;

use units::Dimension;

use crate::case::Case;
use crate::handover_view::IsolationView;
use crate::proof_rows::made_dead;
use crate::proof_view::ProofRow;

impl Case {
    /// Enters what was read at the proof, by the names of its rows; [`Case::handover`] carries it.
    #[must_use]
    pub fn with_proofs(mut self, entered: BTreeMap<String, String>) -> Case {
        self.entered = entered;
        self
    }

    /// Rows beside those of the proof sheet, from how this vehicle is switched off. `after` is the vehicle
    /// as it will be: mended, or this one.
    pub fn further_proofs(&self, isolation: &IsolationView, after: &Case) -> Vec<ProofRow> {
        let dead = made_dead(self, isolation);
        let mut rows: Vec<ProofRow> = dead.iter().map(|row| self.proof_row(row, None)).collect();
        rows.extend(after.read_again());
        rows.extend(after.at_terminals());
        let mut seen = std::collections::BTreeSet::new();
        rows.retain(|row| seen.insert(row.key.clone()));
        rows
    }

    /// Of those the ones that were taken, with what was read.
    pub(crate) fn further_taken(&self, isolation: &IsolationView) -> Vec<ProofRow> {
        if self.entered.is_empty() {
            return Vec::new();
        }
        let mended = self.mended().map(|mended| self.anew(&mended.text));
        let rows = self.further_proofs(isolation, mended.as_ref().unwrap_or(self)).into_iter();
        rows.filter_map(|row| {
            let read = self.entered.get(&row.key)?;
            self.judged_dead(isolation, &row.key, read).or_else(|| {
                let (measured, verdict) = (Some(read.clone()), "read".to_owned());
                Some(ProofRow { measured, verdict, ..row })
            })
        })
        .collect()
    }

    /// What a reading says of whether a place is dead that was switched off; `None` for other rows.
    pub fn judged_dead(
        &self,
        isolation: &IsolationView,
        key: &str,
        read: &str,
    ) -> Option<ProofRow> {
        let rows = made_dead(self, isolation);
        rows.iter().find(|row| row.key == key).map(|row| self.proof_row(row, Some(read)))
    }

    /// Whether a reading, a bare figure in volt, is more than what is called dead: what a tester has to
    /// show on a known source.
    pub fn is_above_dead(&self, read: &str) -> bool {
        let read = read.trim().replace(',', ".").replace('\u{2212}', "-");
        let bare = read.parse::<f64>().ok();
        let volts = bare.or_else(|| units::parse(&read, Dimension::Voltage).ok());
        volts.is_some_and(|volts| volts.abs() > self.catalog.dead.limits.dead_v)
    }

    /// What was read before, as it should be now.
    fn read_again(&self) -> Vec<ProofRow> {
        let dimensions = self.vehicle().readings.iter().map(|reading| reading.dimension);
        let of = |(reading, dimension): (crate::view::ReadingRow, Dimension)| ProofRow {
            points: reading.points,
            state: reading.state,
            expected: reading.computed,
            unit: unit_of(dimension).to_owned(),
            ..row(format!("again {}", reading.name), "Read before, read again")
        };
        self.reading_rows().into_iter().zip(dimensions).map(of).collect()
    }

    /// What reaches the devices that were complained of.
    fn at_terminals(&self) -> Vec<ProofRow> {
        let states = self.state_views();
        let of = |symptom: crate::arrival_view::SymptomView| {
            let state = states.iter().find(|state| state.name == symptom.state)?;
            let at = state.rows.iter().find(|row| row.device == symptom.device)?;
            Some(ProofRow {
                points: format!("volts at the terminals of {}", at.device),
                state: symptom.state,
                expected: format!("{}, {}", at.voltage, at.current),
                unit: "V".to_owned(),
                ..row(format!("at {} in {}", at.device, state.name), "It gets what it needs")
            })
        };
        self.arrival().symptoms.into_iter().filter_map(of).collect()
    }
}

fn unit_of(dimension: Dimension) -> &'static str {
    match dimension {
        Dimension::Voltage => "V",
        Dimension::Current => "A",
        _ => "",
    }
}

fn row(key: String, what: &str) -> ProofRow {
    ProofRow {
        key,
        phase: "live".to_owned(),
        asks: "reading".to_owned(),
        what: what.to_owned(),
        ..ProofRow::default()
    }
}
