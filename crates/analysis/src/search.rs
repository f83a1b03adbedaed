//! The search for a fault: suspects ranked, the next check, and what every answer makes of them. A
//! search stays while readings come in; each is also a line of the record, so nothing is lost.

use access::Permitted;
use diagnose::{
    Advice, Asked, Benches, Observations, Offered, Ranking, What, advise, observations, rank,
};
use model::{
    Condition, DeviceId, Fact, Origin, Place, Reading, ReadingPoints, Shows, StateId, Symptom,
    TerminalId, Vehicle,
};
use units::Dimension;

use crate::case::Case;

/// Everything that may be wrong with the vehicle of a case.
#[derive(Debug)]
pub struct SuspectList(pub(crate) Vec<diagnose::Suspect>);

/// A search in progress.
pub struct Search<'c> {
    pub(crate) case: &'c Case,
    pub(crate) benches: Benches<'c>,
    /// The vehicle with what was observed since the search began.
    pub(crate) vehicle: Vehicle,
    about: Option<Vec<StateId>>,
    now: Option<StateId>,
    pub(crate) done: Vec<(What, Option<StateId>)>,
    answers: Vec<Answered>,
    /// The checks of the last card and its rivals.
    pub(crate) asked: Vec<Option<Offered>>,
    /// The places of the repair of the last card.
    pub(crate) cured_at: Vec<Place>,
}

/// An answer that was given, and how the search stood before it.
struct Answered {
    /// None where the record has no place for it.
    lines: Vec<RecordLine>,
    vehicle: Vehicle,
    now: Option<StateId>,
    done: Vec<(What, Option<StateId>)>,
}

/// A line of the record that keeps an answer.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize, schemars::JsonSchema)]
pub struct RecordLine {
    /// The section it belongs to.
    pub section: String,
    /// The line.
    pub line: String,
}

/// The record with a line added.
pub fn with_line(text: &str, line: &RecordLine) -> String {
    record::add_line(text, &line.section, &record::as_line(&line.line))
}

/// Why a line, as it is typed, is none; nothing where it is one, whether or not it is understood.
pub fn line_fault(line: &str) -> Option<String> {
    record::line_key(&record::as_line(line)).err()
}

/// The record with the value at a path changed; `None` when it cannot stand there.
pub fn with_value(text: &str, path: &str, new: &str) -> Option<String> {
    let keys = record::split_path(path).ok()?;
    let keys: Vec<&str> = keys.iter().map(String::as_str).collect();
    record::set(text, &keys, new).ok()
}

/// What came of a check.
#[derive(Clone, Debug, PartialEq)]
pub enum Found {
    /// An instrument showed this, V or A.
    Read(f64),
    /// Equipment did this.
    Did(Shows),
    /// The joint looked bad, or gave way.
    Bad,
    /// The joint looked good and held.
    Good,
    /// The place could not be reached.
    NotReached,
}

impl Case {
    /// Everything that may be wrong with the vehicle, with its odds before anything was observed.
    pub fn suspect_list(&self) -> SuspectList {
        SuspectList(diagnose::suspects(self.vehicle(), &self.catalog))
    }

    /// Starts a search on all that the record says was observed.
    pub fn search<'c>(&'c self, list: &'c SuspectList) -> Search<'c> {
        let vehicle = self.vehicle().clone();
        let now = vehicle
            .readings
            .last()
            .map(|reading| reading.state)
            .or_else(|| vehicle.symptoms.iter().find_map(|symptom| symptom.state));
        Search {
            case: self,
            benches: Benches::new(self.vehicle(), &self.catalog, &list.0),
            done: done(&vehicle),
            vehicle,
            about: None,
            now,
            answers: Vec::new(),
            asked: Vec::new(),
            cured_at: Vec::new(),
        }
    }
}

/// Checks that the record holds the outcome of. What an owner told can still be seen for oneself.
pub(crate) fn done(vehicle: &Vehicle) -> Vec<(What, Option<StateId>)> {
    let read = |reading: &Reading| (What::Read(reading.points), Some(reading.state));
    let watched = |symptom: &Symptom| {
        let told = matches!(symptom.shows.origin(), None | Some(Origin::Told { .. }));
        (!told).then_some((What::Watch(symptom.device?), Some(symptom.state?)))
    };
    let is_of_now = |name: &str| !vehicle.history.is_laid_aside(name);
    let looked = vehicle.joints.iter().filter(|(_, joint)| joint.condition.evidence().is_some());
    let readings = vehicle.readings.iter().filter(|reading| is_of_now(&reading.name));
    let symptoms = vehicle.symptoms.iter().filter(|symptom| is_of_now(&symptom.name));
    let mut done: Vec<(What, Option<StateId>)> = readings.map(read).collect();
    done.extend(symptoms.filter_map(watched));
    done.extend(looked.map(|(joint, _)| (What::Look(joint), None)));
    done
}

impl Search<'_> {
    /// Looks only at what was observed in the state of one symptom.
    ///
    /// # Errors
    /// The names of the symptoms that have a state, if this is none of them.
    pub fn only_about(&mut self, symptom: &str) -> Result<(), Vec<String>> {
        let of = |name: &str| self.vehicle.symptoms.iter().find(|s| s.name == name)?.state;
        let Some(state) = of(symptom) else {
            let with_state = self.vehicle.symptoms.iter().filter(|s| s.state.is_some());
            return Err(with_state.map(|symptom| symptom.name.clone()).collect());
        };
        self.about = Some(vec![state]);
        self.now = Some(state);
        Ok(())
    }

    /// All that speaks for and against suspects.
    pub(crate) fn observations(&self) -> Observations {
        let mut seen = observations(&self.vehicle, &self.case.catalog);
        if let Some(states) = &self.about {
            let from = self.case.vehicle().readings.len();
            let later = |name: &str| {
                self.vehicle.readings[from..].iter().any(|reading| reading.name == name)
            };
            seen.taken.retain(|taken| states.contains(&taken.state) || later(&taken.name));
            let from = self.case.vehicle().symptoms.len();
            let noticed = |symptom: &Symptom| Some((symptom.device?, symptom.state?));
            let later: Vec<(DeviceId, StateId)> =
                self.vehicle.symptoms[from..].iter().filter_map(noticed).collect();
            seen.noticed.retain(|noticed| {
                states.contains(&noticed.state) || later.contains(&(noticed.device, noticed.state))
            });
        }
        seen
    }

    pub(crate) fn ranked(&mut self) -> (Observations, Ranking) {
        let seen = self.observations();
        let ranking = rank(&mut self.benches, &seen, &self.case.catalog);
        (seen, ranking)
    }

    pub(crate) fn advised(&mut self, seen: &Observations, ranking: &Ranking) -> Advice {
        let asked = Asked {
            catalog: &self.case.catalog,
            seen,
            ranking,
            furniture: &self.case.problem,
            costing: self.case.costing(Permitted::Anything),
            now: self.now,
            done: &self.done,
        };
        advise(&mut self.benches, &asked)
    }

    /// Takes in what came of a check. The line that keeps it, if the record has a place for it.
    pub(crate) fn take_in(
        &mut self,
        what: What,
        state: Option<StateId>,
        found: &Found,
        fine: bool,
    ) -> Option<String> {
        self.begin_answer();
        let line = self.keep(what, state, found, fine);
        let kept = line.as_ref().map(|line| line.line.clone());
        self.done.push((what, state));
        self.now = state.or(self.now);
        self.end_answer(line);
        kept
    }

    /// Remembers how the search stands before an answer.
    pub(crate) fn begin_answer(&mut self) {
        let (vehicle, now, done) = (self.vehicle.clone(), self.now, self.done.clone());
        self.answers.push(Answered { lines: Vec::new(), vehicle, now, done });
    }

    /// The lines that keep the answer last begun.
    pub(crate) fn end_answer(&mut self, lines: impl IntoIterator<Item = RecordLine>) {
        if let Some(last) = self.answers.last_mut() {
            last.lines.extend(lines);
        }
    }

    /// Takes back the last answer; `false` if there is none.
    pub fn undo(&mut self) -> bool {
        let Some(last) = self.answers.pop() else { return false };
        self.vehicle = last.vehicle;
        self.now = last.now;
        self.done = last.done;
        true
    }

    /// The answers so far as lines of the record.
    pub fn record_lines(&self) -> Vec<RecordLine> {
        self.answers.iter().flat_map(|answered| answered.lines.clone()).collect()
    }

    fn keep(
        &mut self,
        what: What,
        state: Option<StateId>,
        found: &Found,
        fine: bool,
    ) -> Option<RecordLine> {
        let name = self.free_name();
        match (what, state, found) {
            (_, _, Found::NotReached) => self.keep_not_reached(what),
            (What::Read(points), Some(state), Found::Read(value)) => {
                Some(self.keep_reading(name, points, state, *value, fine))
            }
            (What::Watch(device), Some(state), Found::Did(shows)) => {
                Some(self.keep_watched(name, device, state, *shows))
            }
            (What::Look(joint), _, found) => {
                let (condition, word) = match found {
                    Found::Bad => (Condition::Loose, "loose"),
                    _ => (Condition::Good, "good"),
                };
                self.vehicle.joints[joint].condition = Fact::known(condition, Origin::seen());
                let line = format!("\"{}\" = \"{word}\"", self.vehicle.joint_name(joint));
                Some(RecordLine { section: "joints".to_owned(), line })
            }
            // An answer of another sort than the question is refused before it comes here.
            _ => None,
        }
    }

    pub(crate) fn keep_watched(
        &mut self,
        name: String,
        device: DeviceId,
        state: StateId,
        shows: Shows,
    ) -> RecordLine {
        let line = self.watch_line(&name, device, state, shows.word());
        self.vehicle.symptoms.push(Symptom {
            name,
            words: format!("it {}", shows.word()),
            device: Some(device),
            state: Some(state),
            shows: Fact::known(shows, Origin::seen()),
            after_s: None,
        });
        RecordLine { section: "symptoms".to_owned(), line }
    }

    fn keep_reading(
        &mut self,
        name: String,
        points: ReadingPoints,
        state: StateId,
        value: f64,
        fine: bool,
    ) -> RecordLine {
        let (dimension, note) = instrument(points, fine);
        let unit = if dimension == Dimension::Current { "A" } else { "V" };
        let line = self.reading_line(&name, points, state, &format!("{value} {unit}"), &note);
        let spread = None;
        let reading = Reading { name, state, points, value, dimension, spread, note };
        self.vehicle.readings.push(reading);
        RecordLine { section: "readings".to_owned(), line }
    }

    /// The line that keeps what equipment was seen to do.
    pub(crate) fn watch_line(
        &self,
        name: &str,
        device: DeviceId,
        state: StateId,
        shows: &str,
    ) -> String {
        let (device, state) =
            (&self.vehicle.devices[device].name, &self.vehicle.states[state].name);
        format!(
            "{name} = {{ words = \"it {shows}\", device = \"{device}\", state = \"{state}\", shows = \
             \"seen {shows}\" }}"
        )
    }

    /// The line that keeps a reading; `value` with its unit.
    pub(crate) fn reading_line(
        &self,
        name: &str,
        points: ReadingPoints,
        state: StateId,
        value: &str,
        note: &str,
    ) -> String {
        let vehicle = &self.vehicle;
        let place = match points {
            ReadingPoints::Between(a, b) => {
                format!("between {} and {}", vehicle.terminal_name(a), vehicle.terminal_name(b))
            }
            ReadingPoints::Over(joint) => format!("over {}", vehicle.joint_name(joint)),
            ReadingPoints::In(wire) => format!("in {}", vehicle.wires[wire].name),
            ReadingPoints::On(device) => format!("on {}", vehicle.devices[device].name),
        };
        let state = &vehicle.states[state].name;
        format!("{name} = \"{state}: {value} {place}, {note}\"")
    }

    /// Keeps which terminals a probe could not touch.
    fn keep_not_reached(&mut self, what: What) -> Option<RecordLine> {
        let terminals = self.not_touched(what);
        let line = self.not_reached_line(&terminals);
        self.vehicle.history.not_reached.extend(terminals);
        line
    }

    /// The terminals that whoever cannot reach the places of a check did not touch: of several those
    /// that something hides. What was reached before can be reached again.
    pub(crate) fn not_touched(&self, what: What) -> Vec<TerminalId> {
        let vehicle = &self.vehicle;
        let mut terminals = match what {
            What::Read(ReadingPoints::Between(a, b)) => vec![a, b],
            What::Read(ReadingPoints::Over(joint)) | What::Look(joint) => {
                let of = &vehicle.joints[joint];
                vehicle.wires[of.wire].terminal(of.end).into_iter().collect()
            }
            _ => Vec::new(),
        };
        let is_open = |id: &TerminalId| {
            let device = &vehicle.devices[vehicle.terminals[*id].device];
            device.reach.value().is_some_and(|reach| reach.iter().any(Vec::is_empty))
        };
        if !terminals.iter().all(is_open) {
            terminals.retain(|id| !is_open(id));
        }
        let reached = |id: &TerminalId| {
            vehicle.readings.iter().any(|reading| match reading.points {
                ReadingPoints::Between(a, b) => a == *id || b == *id,
                _ => false,
            })
        };
        terminals.retain(|id| !reached(id));
        terminals
    }

    /// The line that keeps them; `None` for none.
    pub(crate) fn not_reached_line(&self, terminals: &[TerminalId]) -> Option<RecordLine> {
        let name = |id: &TerminalId| format!("\"{}\"", self.vehicle.terminal_name(*id));
        let names: Vec<String> = terminals.iter().map(name).collect();
        let line = format!("not_reached = [{}]", names.join(", "));
        (!names.is_empty()).then(|| RecordLine { section: "history".to_owned(), line })
    }

    /// A name that no reading and no symptom has.
    pub(crate) fn free_name(&self) -> String {
        self.free_names().next().unwrap_or_default()
    }

    /// Names that no reading and no symptom has.
    pub(crate) fn free_names(&self) -> impl Iterator<Item = String> {
        let taken = |name: &str| {
            self.vehicle.readings.iter().any(|reading| reading.name == name)
                || self.vehicle.symptoms.iter().any(|symptom| symptom.name == name)
        };
        (1_u32..).map(|k| format!("check-{k}")).filter(move |name| !taken(name))
    }
}

/// What a reading measures, and with what.
pub(crate) fn instrument(points: ReadingPoints, fine: bool) -> (Dimension, String) {
    let (dimension, tool) = match points {
        ReadingPoints::Between(..) | ReadingPoints::Over(_) => (Dimension::Voltage, "multimeter"),
        ReadingPoints::In(_) => (Dimension::Current, "clamp"),
        ReadingPoints::On(_) => (Dimension::Current, "display"),
    };
    (dimension, if fine { format!("{tool}, millivolt range") } else { tool.to_owned() })
}
