//! Proofs: for every chosen repair the readings that would refute it, computed from the mended record.
//!
//! Which rows a repair asks for stands in `proof_rows.rs`; here they are put in order, held against
//! what was read, and failing ones handed to the search for the fault.

use std::collections::BTreeMap;

use mend::{Decided, Limits, Uncertainty};
use model::{ReadingPoints, StateId};
use solve::Outcome;
use units::{Dimension, System};

use crate::case::Case;
use crate::dead_view::Caution;
use crate::proof_view::{PROOF_SCHEMA, ProofRow, ProofSheet};
use crate::suspects_view::SuspectsView;

/// How verdicts come about.
const RULE: &str = "guarded acceptance: pass within the limits less the guard band, fail outside by more than it, else read again; the guard band is the expanded uncertainty (95 %) of the instrument's accuracy (JCGM 100:2008 4.3.7; ILAC-G8:09/2019; both from memory)";

/// A row in the making.
#[derive(Clone, Debug)]
pub(crate) struct Row {
    pub(crate) key: String,
    pub(crate) mends: Vec<String>,
    pub(crate) is_dead: bool,
    pub(crate) what: String,
    pub(crate) points: String,
    pub(crate) state: Option<StateId>,
    /// Where the record has no such state: in words.
    pub(crate) state_words: String,
    pub(crate) asks: Asks,
    pub(crate) limit: String,
    pub(crate) source: String,
    pub(crate) cautions: Vec<Caution>,
}

/// What a row asks for.
#[derive(Clone, Debug)]
pub(crate) enum Asks {
    /// A figure.
    Reading(Figure),
    /// Yes or no: is it so?
    Look(String),
    /// A figure that the sums do not give.
    NoNumber(String),
}

/// A figure that is read.
#[derive(Clone, Debug)]
pub(crate) struct Figure {
    pub(crate) dimension: Dimension,
    /// Class of the catalog.
    pub(crate) instrument: &'static str,
    pub(crate) expected: f64,
    pub(crate) limits: Limits,
    /// Which way round the probes lie is not said.
    pub(crate) unsigned: bool,
    /// Where, for the search for the fault.
    pub(crate) at: Option<ReadingPoints>,
}

impl Case {
    /// The proof sheet with what may be wrong in the mended vehicle where a proof failed: the search
    /// for the fault on the mended record, with the readings that failed. Takes longer.
    pub fn proof_and_suspects(&self, entered: &BTreeMap<String, String>) -> ProofSheet {
        let mut sheet = self.proof(entered);
        let failed = sheet.rows.iter().filter(|row| row.verdict == "fail");
        let failed: Vec<&ProofRow> = failed.filter(|row| !row.reading.is_empty()).collect();
        if failed.is_empty() {
            return sheet;
        }
        // What stands in the record is weighed already.
        let new = failed.into_iter().filter(|row| entered.contains_key(&row.key));
        let new: Vec<String> = new.map(|row| row.reading.clone()).collect();
        sheet.reopened = self.mended().map(|mended| self.reopened(&mended.text, &new));
        sheet
    }

    /// The proof sheet of the record's `[mends]`, held against what was read: entries by the name of
    /// their row, and the record's readings whose note says `proof`.
    pub fn proof(&self, entered: &BTreeMap<String, String>) -> ProofSheet {
        let mut sheet = ProofSheet {
            schema: PROOF_SCHEMA.to_owned(),
            mends: Vec::new(),
            rows: Vec::new(),
            faults: Vec::new(),
            rule: RULE.to_owned(),
            reopened: None,
        };
        let Some(mended) = self.mended() else {
            sheet.faults.push("no repair is chosen: the record has no [mends]".to_owned());
            return sheet;
        };
        for (name, why) in &mended.left_out {
            sheet.faults.push(format!("repair {name} is not proved: {why}"));
        }
        let left_out = |name: &str| mended.left_out.iter().any(|(out, _)| out == name);
        let names = self.vehicle().mends.iter().map(|mend| mend.name.clone());
        sheet.mends = names.filter(|name| !left_out(name)).collect();
        let after = self.anew(&mended.text);
        let text = self.text_before_repairs();
        let undone = (text != self.text).then(|| self.anew(&text));
        let rows = crate::proof_rows::rows(undone.as_ref().unwrap_or(self), &after, &sheet.mends);
        for row in &rows {
            let read = entered.get(&row.key).cloned().or_else(|| after.written_proof(row));
            sheet.rows.push(after.proof_row(row, read.as_deref()));
        }
        let unread = |row: &&ProofRow| row.measured.is_some() && row.verdict.is_empty();
        let words = |row: &ProofRow| format!("{}: {}", row.key, row.words);
        let unread: Vec<String> = sheet.rows.iter().filter(unread).map(words).collect();
        sheet.faults.extend(unread);
        sheet.faults.extend(after.unsettled(&rows));
        for key in entered.keys().filter(|key| rows.iter().all(|row| row.key != **key)) {
            sheet.faults.push(format!("no row of the proof sheet is called `{key}`"));
        }
        sheet
    }

    /// States of rows that have no one operating point, even with everything chosen put in.
    fn unsettled(&self, rows: &[Row]) -> Vec<String> {
        let asked = |id: StateId| rows.iter().any(|row| row.state == Some(id));
        let states = self.states().filter(|(id, ..)| asked(*id));
        let hunting = states.filter(|(.., outcome)| matches!(outcome, Outcome::Hunts { .. }));
        let words = |name: &str| {
            format!(
                "with all that is chosen put in, something still switches on and off in state {name}: the figures there are those while it runs. Read while it runs, and find out why before anything is closed"
            )
        };
        hunting.map(|(_, state, ..)| words(&state.name)).collect()
    }

    /// A reading of the record that says `proof` and was taken where a row wants it.
    fn written_proof(&self, row: &Row) -> Option<String> {
        let Asks::Reading(figure) = &row.asks else { return None };
        let readings = self.vehicle().readings.iter();
        let mut of_row = readings.filter(|reading| {
            crate::readings::is_proof(reading)
                && Some(reading.state) == row.state
                && Some(reading.points) == figure.at
        });
        let reading = of_row.next_back()?;
        Some(units::format(reading.value, reading.dimension, System::Metric))
    }

    pub(crate) fn proof_row(&self, row: &Row, read: Option<&str>) -> ProofRow {
        let state = row.state.map(|id| &self.vehicle().states[id]);
        let state_words = match state {
            Some(state) => crate::states::words(self.vehicle(), state),
            None => row.state_words.clone(),
        };
        let mut view = ProofRow {
            key: row.key.clone(),
            mends: row.mends.clone(),
            phase: if row.is_dead { "dead" } else { "live" }.to_owned(),
            asks: if matches!(row.asks, Asks::Look(_)) { "look" } else { "reading" }.to_owned(),
            what: row.what.clone(),
            state: state.map_or_else(String::new, |state| state.name.clone()),
            state_words,
            points: row.points.clone(),
            instrument: String::new(),
            expected: String::new(),
            limit: row.limit.clone(),
            decides: String::new(),
            source: row.source.clone(),
            cautions: row.cautions.clone(),
            measured: read.map(str::to_owned),
            verdict: String::new(),
            words: String::new(),
            unit: String::new(),
            reading: self.as_reading(row, read).unwrap_or_default(),
        };
        match &row.asks {
            Asks::Look(so) => look(so, read, &mut view),
            Asks::NoNumber(why) => view.words.clone_from(why),
            Asks::Reading(figure) => self.read(figure, read, &mut view),
        }
        view
    }

    fn read(&self, figure: &Figure, read: Option<&str>, view: &mut ProofRow) {
        let text = |value: f64| units::format(value, figure.dimension, System::Metric);
        let Some(class) = self.catalog.instruments.get(figure.instrument) else { return };
        view.instrument.clone_from(&class.words);
        view.unit = match (figure.dimension, figure.instrument) {
            (Dimension::Voltage, "multimeter millivolts") => "mV",
            (Dimension::Voltage, _) => "V",
            (Dimension::Current, _) => "A",
            _ => "Ohm",
        }
        .to_owned();
        view.expected = text(figure.expected);
        let of = |value: f64| Uncertainty::of_instrument(value, class.gain, class.zero);
        let at_limit = figure.limits.high.or(figure.limits.low).unwrap_or(figure.expected);
        view.decides = decides(&figure.limits, of(at_limit), text);
        if !figure.limits.can_pass(of(at_limit)) {
            view.words = "this class of instrument cannot pass it: take a better one".to_owned();
        }
        let Some(read) = read else { return };
        let is_bare = read.trim().parse::<f64>().is_ok();
        let with_unit = if is_bare { format!("{read} {}", view.unit) } else { read.to_owned() };
        let value = match units::parse(&with_unit, figure.dimension) {
            Ok(value) => value,
            Err(error) => {
                view.words = format!("`{read}` is not read: {}", error.message);
                return;
            }
        };
        let value = if figure.unsigned { value.abs() } else { value };
        let (verdict, words) = match figure.limits.decide(value, of(value)) {
            Decided::Pass => ("pass", String::new()),
            Decided::Fail if view.phase == "dead" && figure.dimension == Dimension::Voltage => (
                "fail",
                "it is live: touch nothing, find what feeds it, and make it dead first".to_owned(),
            ),
            Decided::Fail => (
                "fail",
                "the repair is not proved: look again before anything is closed".to_owned(),
            ),
            Decided::Repeat => (
                "repeat",
                format!(
                    "within {} of a limit nothing is decided: read again, or with a better instrument",
                    text(of(value).expanded)
                ),
            ),
        };
        view.verdict = verdict.to_owned();
        view.words = words;
    }

    /// What may be wrong with the mended vehicle by readings that failed. What was read before of
    /// something that is mended says nothing of it now.
    fn reopened(&self, mended: &str, failed: &[String]) -> SuspectsView {
        let before = self.readings_of_before(&self.anew(mended));
        let left = before.iter().try_fold(mended.to_owned(), |text, name| {
            record::remove(&text, &["readings", name]).ok()
        });
        let text = left.as_deref().unwrap_or(mended);
        let text = (1..).zip(failed).fold(text.to_owned(), |text, (number, line)| {
            let line = format!("proof-failed-{number} = \"{line}\"");
            record::add_line(&text, "readings", &line)
        });
        let case = Case::of(&text);
        let list = case.suspect_list();
        let mut view = case.search(&list).suspects();
        view.warnings.extend(before.iter().map(|name| {
            format!("reading `{name}` was taken before the repair, of what is mended: it was not weighed")
        }));
        view
    }

    /// A failed reading as a line of `[readings]`.
    fn as_reading(&self, row: &Row, read: Option<&str>) -> Option<String> {
        let Asks::Reading(figure) = &row.asks else { return None };
        let vehicle = self.vehicle();
        let state = &vehicle.states[row.state?].name;
        let at = match figure.at? {
            ReadingPoints::Between(a, b) => {
                format!("between {} and {}", vehicle.terminal_name(a), vehicle.terminal_name(b))
            }
            ReadingPoints::In(wire) => format!("in {}", vehicle.wires[wire].name),
            ReadingPoints::On(device) => format!("on {}", vehicle.devices[device].name),
            ReadingPoints::Over(joint) => format!("over {}", vehicle.joint_name(joint)),
        };
        let how =
            if figure.instrument.contains("millivolts") { "millivolt range" } else { "proof" };
        Some(format!("{state}: {} {at}, {how}", read?))
    }
}

fn look(so: &str, read: Option<&str>, view: &mut ProofRow) {
    view.expected = so.to_owned();
    let Some(read) = read else { return };
    match read.trim().to_lowercase().as_str() {
        "yes" | "done" | "so" | "ok" => view.verdict = "pass".to_owned(),
        "no" => {
            view.verdict = "fail".to_owned();
            view.words = "not as it has to be: put it right before anything is closed".to_owned();
        }
        _ => view.words = format!("`{read}` is not read: write yes or no"),
    }
}

/// What passes, what is read again and what fails.
fn decides(limits: &Limits, uncertainty: Uncertainty, text: impl Fn(f64) -> String) -> String {
    let guard = uncertainty.expanded;
    match (limits.low, limits.high) {
        (None, Some(high)) => format!(
            "pass up to {}, fail from {}, between them read again",
            text((high - guard).max(0.0)),
            text(high + guard)
        ),
        (Some(low), None) => format!(
            "pass from {}, fail up to {}, between them read again",
            text(low + guard),
            text(low - guard)
        ),
        (Some(low), Some(high)) => format!(
            "pass from {} to {}, fail below {} and above {}, else read again",
            text(low + guard),
            text(high - guard),
            text(low - guard),
            text(high + guard)
        ),
        (None, None) => String::new(),
    }
}
