//! What a search learns from a repair that did not cure: nothing changed, or something did, and what was
//! observed before is about a vehicle that is no more.

use model::{Change, DeviceId, Place, Repaired, Shows, StateId, Vehicle};

use crate::case::Case;
use crate::search::{RecordLine, Search, done, with_line};
use crate::touched::called;

/// What a repair cured, by the sums.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WorksAgain {
    /// What keeps it.
    pub lines: Vec<RecordLine>,
    /// What works again, in words.
    pub works: Vec<String>,
}

/// Fields of a device that no reading depends on.
const NOT_READ: [&str; 7] = ["looks", "held", "held_by", "label", "at", "behind", "box"];

impl Case {
    /// A repair of `[mends]` goes into the record: the line that lays aside what was observed before it
    /// and what a defect there could have moved, which tells of a vehicle that is no more. Where a defect
    /// elsewhere explains it all and one there is out of the question, only readings that the repair itself
    /// moves. Nothing where nothing of the kind was observed.
    pub fn observed_before(&self, mend: &str) -> Option<RecordLine> {
        let mend = self.vehicle().mends.iter().find(|known| known.name == mend)?;
        let text = record::put_in(&self.text, &mend.changes).ok()?;
        let is_electric = |change: &&Change| match change.path.as_slice() {
            [section, _, field] => section == "devices" && !NOT_READ.contains(&field.as_str()),
            [section, _] => ["wires", "joints", "stacks", "devices"].contains(&section.as_str()),
            _ => false,
        };
        let names: Vec<&str> = mend.changes.iter().filter(is_electric).map(name).collect();
        let list = self.suspect_list();
        let mut search = self.search(&list);
        let is_there = |place| {
            called(self.vehicle(), place).iter().any(|called| names.contains(&called.as_str()))
        };
        let touched = search.touched(is_there);
        let mut before: Vec<String> = touched.into_iter().map(|observed| observed.name).collect();
        if !before.is_empty() && search.is_explained_elsewhere(is_there) {
            let moved = self.readings_of_before(&self.anew(&text));
            before.retain(|name| moved.contains(name));
        }
        if before.is_empty() {
            return None;
        }
        let line = |place: &str| RecordLine {
            section: "history".to_owned(),
            line: format!("changed = [\"{place}: {}\"]", before.join(", ")),
        };
        let known = self.vehicle().history.changed.len();
        let is_taken = |line: &RecordLine| {
            let record = record::read(&with_line(&text, line), &self.catalog);
            record.vehicle.history.changed.len() > known
        };
        let wires = names.iter().filter_map(|name| Some(name.split_once(" at ")?.0));
        names.iter().copied().chain(wires).map(line).find(is_taken)
    }
}

/// Below this probability nobody looks for a defect at a place.
const OUT_OF_THE_QUESTION: f64 = 0.02;

/// What a change is at, as its section names it.
fn name(change: &Change) -> &str {
    change.path.get(1).map_or("", String::as_str)
}

/// The names of readings and symptoms that are weighed.
fn observed(vehicle: &Vehicle) -> Vec<String> {
    let told = vehicle.symptoms.iter().filter(|symptom| {
        symptom.device.is_some() && symptom.state.is_some() && !symptom.shows.is_unknown()
    });
    let readings = vehicle.readings.iter().map(|reading| &reading.name);
    let names = readings.chain(told.map(|symptom| &symptom.name));
    names.filter(|name| !vehicle.history.is_laid_aside(name)).cloned().collect()
}

impl Search<'_> {
    /// Whether what was observed speaks for a defect elsewhere, and not for one at some places.
    fn is_explained_elsewhere(&mut self, is_there: impl Fn(Place) -> bool) -> bool {
        let (seen, ranking) = self.ranked();
        if seen.is_empty() {
            return false;
        }
        let suspects = self.benches.suspects().iter().zip(&ranking.part);
        let (there, elsewhere): (Vec<_>, Vec<_>) =
            suspects.partition(|(suspect, _)| is_there(suspect.place));
        let at_stake: f64 = there.iter().map(|(_, part)| **part).sum();
        let is_defect = |suspect: &diagnose::Suspect| suspect.fault != diagnose::Fault::AsBuilt;
        let likely = elsewhere.iter().any(|(suspect, part)| **part > 0.5 && is_defect(suspect));
        at_stake < OUT_OF_THE_QUESTION && likely
    }

    /// The repair of the last card was made, and everything complained of is as it was. The line that
    /// keeps it; `None` if the last card was no repair.
    pub fn no_cure(&mut self) -> Option<String> {
        let line = self.no_cure_line()?;
        let kept = line.line.clone();
        self.begin_answer();
        self.vehicle.history.no_cure.append(&mut self.cured_at);
        self.end_answer([line]);
        Some(kept)
    }

    /// The line that keeps that the repair of the last card did not cure.
    pub(crate) fn no_cure_line(&self) -> Option<RecordLine> {
        self.history_line("no_cure", "")
    }

    /// The repair of the last card was made, and something is different without being cured: what each of
    /// [`Search::complained_of`] does now, a word each with commas between. What was observed before is
    /// laid aside. The lines that keep it.
    ///
    /// # Errors
    /// The last card was no repair, a word is none, or there are more or fewer than what is complained of.
    pub fn changed(&mut self, now: &str) -> Result<String, String> {
        let line = self.changed_line().ok_or("no repair was proposed")?;
        let complained = self.complained();
        let words = now.split(',').map(str::trim).filter(|word| !word.is_empty());
        let now: Vec<Shows> = words.map(shows).collect::<Result<_, _>>()?;
        if now.len() != complained.len() {
            let names = self.complained_of().join(", then ");
            return Err(format!("say what each does now, a word each: {names}"));
        }
        self.begin_answer();
        let before = observed(&self.vehicle);
        let repaired = |place: Place| Repaired { place, before: before.clone() };
        let places = std::mem::take(&mut self.cured_at);
        self.vehicle.history.changed.extend(places.into_iter().map(repaired));
        let mut lines = vec![line];
        for ((device, state), shows) in complained.into_iter().zip(now) {
            let name = self.free_name();
            lines.push(self.keep_watched(name, device, state, shows));
        }
        self.done = done(&self.vehicle);
        let kept: Vec<&str> = lines.iter().map(|line| line.line.as_str()).collect();
        let kept = kept.join("; ");
        self.end_answer(lines);
        Ok(kept)
    }

    /// The line that keeps that the repair of the last card changed something.
    pub(crate) fn changed_line(&self) -> Option<RecordLine> {
        self.history_line("changed", &format!(": {}", observed(&self.vehicle).join(", ")))
    }

    /// Equipment complained of and in which state, in words, in the order in which it was noticed.
    pub fn complained_of(&self) -> Vec<String> {
        self.complained().into_iter().map(|here| self.complaint_words(here)).collect()
    }

    fn complaint_words(&self, (device, state): (DeviceId, StateId)) -> String {
        format!("{} in {}", self.vehicle.devices[device].name, self.vehicle.states[state].name)
    }

    fn complained(&self) -> Vec<(DeviceId, StateId)> {
        let mut complained = Vec::new();
        for noticed in self.observations().noticed {
            let here = (noticed.device, noticed.state);
            if noticed.shows != Shows::Works && !complained.contains(&here) {
                complained.push(here);
            }
        }
        complained
    }

    /// That the repair of the last card was made and what it cures works: what was observed before and the
    /// repair touches is laid aside. Nothing where the sums do not say that anything complained of is
    /// cured.
    pub fn cured(&mut self) -> Option<WorksAgain> {
        let places = self.cured_at.clone();
        let touched = self.touched(|place| places.contains(&place));
        let works = self.works_again(&touched);
        if works.is_empty() {
            return None;
        }
        let names: Vec<&str> = touched.iter().map(|observed| observed.name.as_str()).collect();
        let laid_aside = self.history_line("changed", &format!(": {}", names.join(", ")))?;
        let words = works.iter().map(|here| self.complaint_words(*here)).collect();
        let works = self.free_names().zip(works).map(|(name, (device, state))| {
            let line = self.watch_line(&name, device, state, "works");
            RecordLine { section: "symptoms".to_owned(), line }
        });
        Some(WorksAgain { lines: std::iter::once(laid_aside).chain(works).collect(), works: words })
    }

    /// The devices and wires that the repair of the last card is about.
    pub(crate) fn worked_on(&self) -> Vec<String> {
        let vehicle = &self.vehicle;
        let device = |id: DeviceId| Some(vehicle.devices[id].name.clone());
        let of = |place: &Place| match *place {
            Place::Device(id) => device(id),
            Place::Terminal(id) => device(vehicle.terminals[id].device),
            Place::Wire(id) => Some(vehicle.wires[id].name.clone()),
            Place::Joint(id) => {
                let joint = &vehicle.joints[id];
                let wire = &vehicle.wires[joint.wire];
                match wire.terminal(joint.end) {
                    Some(terminal) => device(vehicle.terminals[terminal].device),
                    None => Some(wire.name.clone()),
                }
            }
            _ => None,
        };
        let names: std::collections::BTreeSet<String> =
            self.cured_at.iter().filter_map(of).collect();
        names.into_iter().collect()
    }

    /// A list of the history with the places of the repair of the last card, the last with words behind it.
    fn history_line(&self, key: &str, behind_last: &str) -> Option<RecordLine> {
        let mut names: Vec<String> =
            self.cured_at.iter().map(|place| self.vehicle.place_name(*place)).collect();
        names.last_mut()?.push_str(behind_last);
        let names: Vec<String> = names.into_iter().map(|name| format!("\"{name}\"")).collect();
        let line = format!("{key} = [{}]", names.join(", "));
        Some(RecordLine { section: "history".to_owned(), line })
    }
}

fn shows(word: &str) -> Result<Shows, String> {
    let known = || Shows::ALL.map(|row| row.1).join(", ");
    Shows::of_word(word).ok_or_else(|| format!("`{word}` is no word of the list: {}", known()))
}
