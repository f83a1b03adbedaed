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

/// A reading of a proof, as far as its time says something of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ReadAtProof<'r> {
    /// Name of its row.
    pub key: &'r str,
    /// It is a dead test.
    pub is_dead: bool,
    /// It passed.
    pub passed: bool,
    /// It was taken at all.
    pub is_read: bool,
}

/// What is said of a dead test that has to be read again.
pub const READ_TOO_EARLY: &str =
    "read before power came on: read it again before the work that is still to be proved";

/// Dead tests that say nothing of the work that is still ahead: they passed before power came on, and
/// another one was not read yet. `when` orders what was entered.
pub fn read_too_early<'r>(
    rows: &[ReadAtProof<'r>],
    when: impl Fn(&str) -> Option<u64>,
) -> Vec<&'r str> {
    let is_ahead = rows.iter().any(|row| row.is_dead && !row.is_read);
    let live = rows.iter().filter(|row| !row.is_dead);
    let Some(powered) = live.filter_map(|row| when(row.key)).max() else { return Vec::new() };
    let old = rows.iter().filter(|row| is_ahead && row.is_dead && row.passed);
    old.map(|row| row.key).filter(|key| when(key).is_some_and(|read| read < powered)).collect()
}

impl Case {
    /// Enters what was read at the proof, by the names of its rows, and the order in which it was entered;
    /// [`Case::handover`] carries it.
    #[must_use]
    pub fn with_proofs(
        mut self,
        entered: BTreeMap<String, String>,
        order: BTreeMap<String, u64>,
    ) -> Case {
        (self.entered, self.proof_order) = (entered, order);
        self
    }

    /// Says of dead tests that were read too early that they are read again.
    pub(crate) fn mark_read_too_early(&self, rows: &mut [ProofRow]) {
        let read = rows.iter().map(|row| ReadAtProof {
            key: &row.key,
            is_dead: row.phase == "dead",
            passed: row.verdict == "pass",
            is_read: row.measured.is_some() && !row.verdict.is_empty(),
        });
        let read: Vec<ReadAtProof<'_>> = read.collect();
        let old = read_too_early(&read, |key| self.proof_order.get(key).copied());
        let old: Vec<String> = old.into_iter().map(str::to_owned).collect();
        for row in rows.iter_mut().filter(|row| old.contains(&row.key)) {
            "repeat".clone_into(&mut row.verdict);
            READ_TOO_EARLY.clone_into(&mut row.decides);
        }
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
