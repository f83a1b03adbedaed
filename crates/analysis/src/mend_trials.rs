//! Proposed repairs put into the record and looked at again: only what cures, raises nothing and leaves
//! nothing without supply is offered. Several are tried at a time; what comes of it does not depend on
//! the order.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use checks::Check;
use mend::{Draft, Proposed, Scene, Seen, Who};
use model::{Change, Finding, Place, Signal, Was};

use crate::burns_first::Burns;
use crate::case::{Case, points};
use crate::dead_view::Caution;
use crate::mend_shorts::ShortFails;
use crate::mend_view::{BeforeAfter, Cured, MendOffer, MendWork, PartLine};
use crate::mends::{FOLLOWS, Judged, Key, change_row};
use crate::supply::Supplied;

/// Threads that try repairs.
const THREADS: usize = 2;

/// Checks about getting at things, whose minutes are told.
const REACHING: [&str; 5] = [
    "service-needs-destruction",
    "service-too-slow",
    "protection-behind-panels",
    "joint-buried",
    "isolator-not-from-door",
];

/// A repair after it was put in.
pub(crate) enum Tried {
    Offered(Box<MendOffer>, BTreeSet<Key>),
    Not(String),
}

/// A vehicle on whose record repairs are tried.
pub(crate) struct Trials<'c> {
    pub(crate) case: &'c Case,
    pub(crate) judged: Judged,
    supplied: Supplied,
    burns: OnceLock<Burns>,
    shorts: ShortFails,
    /// What came of each set of changes.
    known: Mutex<BTreeMap<String, Arc<Tried>>>,
}

type Failure<'a> = (&'a Key, &'a (Signal, &'static Check, Finding));

impl<'c> Trials<'c> {
    pub(crate) fn of(case: &'c Case) -> Trials<'c> {
        let mut judged = case.judged();
        let shorts = ShortFails::of(case, &mut judged);
        Trials {
            case,
            judged,
            shorts,
            supplied: case.supplied(),
            burns: OnceLock::new(),
            known: Mutex::new(BTreeMap::new()),
        }
    }

    /// What is proposed for each failure; what will be asked for is tried meanwhile.
    pub(crate) fn proposed(&self, fails: &[Failure<'_>]) -> Vec<Proposed> {
        let case = self.case;
        let seen: Vec<Seen<'_>> = case
            .states()
            .map(|(_, state, network, outcome)| Seen {
                name: &state.name,
                network,
                points: points(outcome),
            })
            .collect();
        let values = mend::Values::of(&case.text);
        let scene = Scene {
            values: &values,
            vehicle: case.vehicle(),
            catalog: &case.catalog,
            states: &seen,
            fault_level: &|terminal| case.most_a(terminal),
            way: &|device| case.on_way_to(device),
        };
        let (next, done) = (AtomicUsize::new(0), Mutex::new(BTreeMap::new()));
        let work = || {
            while let Some((key, (.., finding))) = fails.get(next.fetch_add(1, Ordering::Relaxed)) {
                let proposed = mend::propose(&scene, finding);
                if !FOLLOWS.contains(&key.0) {
                    self.try_ahead(&proposed, key);
                }
                let mut done = done.lock().unwrap_or_else(PoisonError::into_inner);
                done.insert((*key).clone(), proposed);
            }
        };
        std::thread::scope(|scope| {
            for _ in 1..THREADS {
                scope.spawn(work);
            }
            work();
        });
        let mut done = done.into_inner().unwrap_or_else(PoisonError::into_inner);
        let of = |(key, _): &Failure<'_>| {
            done.remove(*key).unwrap_or_else(|| Proposed::None("nothing was proposed".to_owned()))
        };
        fails.iter().map(of).collect()
    }

    fn try_ahead(&self, proposed: &Proposed, key: &Key) {
        let until_cured = |drafts: &[Result<Draft, String>]| {
            drafts.iter().flatten().any(|draft| {
                matches!(&*self.of_draft(draft), Tried::Offered(_, cured) if cured.contains(key))
            });
        };
        match proposed {
            Proposed::None(_) => {}
            Proposed::Choices(drafts) => drafts.iter().flatten().for_each(|draft| {
                self.of_draft(draft);
            }),
            Proposed::FirstThatCures(drafts) => until_cured(drafts),
            Proposed::Ladders(ladders) => ladders.iter().for_each(|drafts| until_cured(drafts)),
        }
    }

    /// What comes of a repair; the same changes are tried once.
    pub(crate) fn of_draft(&self, draft: &Draft) -> Arc<Tried> {
        let changes = record::mend_line("", "", &draft.changes);
        let known = || self.known.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(tried) = known().get(&changes) {
            return Arc::clone(tried);
        }
        let tried = Arc::new(self.try_out(draft));
        Arc::clone(known().entry(changes).or_insert(tried))
    }

    /// Puts a repair in and looks at the vehicle again.
    fn try_out(&self, draft: &Draft) -> Tried {
        let case = self.case;
        let text = match record::put_in(&case.text, &draft.changes) {
            Ok(text) => text,
            Err(refusal) => return Tried::Not(refusal.to_string()),
        };
        let mended = case.anew(&text);
        if let Some(fault) = new_fault(case, &mended) {
            return Tried::Not(format!("the record would not be read in full: {fault}"));
        }
        let mut after = mended.judged();
        after.fails.extend(self.shorts.left_in(&mended, &draft.changes));
        let raised = after.fails.iter().find(|(key, (signal, ..))| {
            self.judged.fails.get(*key).is_none_or(|(before, ..)| signal < before)
        });
        if let Some((_, (signal, _, finding))) = raised {
            return Tried::Not(format!(
                "it would raise another finding: {}: {}",
                signal.word(),
                finding.message
            ));
        }
        let gone = self.judged.fails.keys().filter(|key| !after.fails.contains_key(*key));
        let cured: BTreeSet<Key> = gone.cloned().collect();
        if cured.is_empty() {
            return Tried::Not("it would not cure this".to_owned());
        }
        if let Some(load) = self.supplied.lost_in(&mended.supplied()) {
            return Tried::Not(format!("it would leave {load} without supply"));
        }
        if let Some(why) = self.burns(&draft.changes, &mended) {
            return Tried::Not(why);
        }
        Tried::Offered(Box::new(self.offer(draft, &cured, &after, &mended)), cured)
    }

    /// A wire that would be ruined in a short circuit before anything opens, and was not before.
    fn burns(&self, changes: &[Change], mended: &Case) -> Option<String> {
        if !changes.iter().any(changes_protection) {
            return None;
        }
        let before = self.burns.get_or_init(|| self.case.burns());
        before.raised_in(&mended.burns_by(changes))
    }

    fn offer(
        &self,
        draft: &Draft,
        cured: &BTreeSet<Key>,
        after: &Judged,
        mended: &Case,
    ) -> MendOffer {
        let cures = cured.iter().filter_map(|key| {
            let (signal, check, finding) = self.judged.fails.get(key)?;
            Some(Cured {
                check: check.slug.to_owned(),
                title: check.title().to_owned(),
                signal: signal.word().to_owned(),
                place: key.1.clone(),
                message: finding.message.clone(),
            })
        });
        let asked = cured.iter().filter_map(|key| Some((key, after.cannot_tell.get(key)?)));
        let then = asked
            .flat_map(|((_, place), what)| what.iter().map(move |what| format!("{place}: {what}")));
        let minutes = draft
            .work
            .iter()
            .fold([0.0; 3], |sum, task| [0, 1, 2].map(|at| sum[at] + task.minutes[at]));
        let mut figures: Vec<BeforeAfter> = draft.figures.iter().map(figure_row).collect();
        let mut because = draft.because.clone();
        for key in cured {
            figures.extend(self.volts(key, mended));
            if let Some((minutes_row, pays)) = self.minutes_to(key, mended, minutes[1]) {
                figures.extend(minutes_row);
                because.extend(pays);
            }
        }
        figures.dedup();
        figures.push(BeforeAfter {
            what: "findings that fail".to_owned(),
            before: self.judged.fails.len().to_string(),
            after: after.fails.len().to_string(),
        });
        MendOffer {
            line: record::mend_line(&draft.id, &draft.title, &draft.changes),
            id: draft.id.clone(),
            title: draft.title.clone(),
            cures: cures.collect(),
            instead: Vec::new(),
            changes: draft.changes.iter().map(change_row).collect(),
            work: draft.work.iter().map(work_row).collect(),
            minutes,
            reach: draft.reach.clone(),
            parts: draft.parts.iter().map(part_row).collect(),
            figures,
            then_find_out: then.collect(),
            cautions: draft.cautions.iter().map(caution_row).collect(),
            by: match draft.by {
                Who::Workshop => "workshop",
                Who::Licensed => "licensed",
            }
            .to_owned(),
            because,
        }
    }

    /// Minutes out and back to what could not be reached well, before and after, and when they pay.
    fn minutes_to(
        &self,
        (check, place): &Key,
        mended: &Case,
        work_min: f64,
    ) -> Option<(Vec<BeforeAfter>, Option<String>)> {
        if !REACHING.contains(check) {
            return None;
        }
        let (_, _, finding) = self.judged.fails.get(&(*check, place.clone()))?;
        let Place::Device(id) = finding.place else { return None };
        let minutes = |case: &Case| {
            let (device, _) = case.vehicle().devices.find(|device| device.name == *place)?;
            Some(case.minutes_out_and_back(device))
        };
        let (before, after) = (minutes(self.case)?, minutes(mended)?);
        let words = |min: Option<f64>| {
            min.map_or_else(|| "only by destroying".to_owned(), |min| format!("{min:.0} min"))
        };
        let row = BeforeAfter {
            what: format!("minutes to {place} and back"),
            before: words(before),
            after: words(after),
        };
        let service = self.case.vehicle().devices[id].service.as_ref();
        let per_year = service.and_then(|service| service.per_year.value().copied());
        let saved = before.zip(after).map(|(before, after)| before - after);
        let pays = saved.zip(per_year).filter(|(saved, per_year)| saved * per_year > 0.0);
        let pays = pays.map(|(saved, per_year)| {
            let years = work_min / (saved * per_year);
            format!("at {per_year} services a year it saves {:.0} min a year: its own minutes are back after {years:.1} years", saved * per_year)
        });
        Some((vec![row], pays))
    }

    /// The voltage of a load that had too little, at its lowest, in the state in which it gains most.
    fn volts(&self, (check, place): &Key, mended: &Case) -> Option<BeforeAfter> {
        if !FOLLOWS.contains(check) {
            return None;
        }
        let (before, after) = (self.case.state_views(), mended.state_views());
        let lowest = |rows: &[crate::view::LoadRow]| {
            let rows = rows.iter().filter(|row| row.device == *place && row.group == "load");
            let known = rows.filter_map(|row| Some((row.voltage.clone(), row.voltage_v?)));
            known.min_by(|a, b| a.1.total_cmp(&b.1))
        };
        let pairs = before.iter().zip(&after).filter_map(|(before, after)| {
            Some((&before.name, lowest(&before.rows)?, lowest(&after.rows)?))
        });
        let gain = |(_, was, is): &(&String, (String, f64), (String, f64))| is.1 - was.1;
        let (state, (was, _), (is, _)) = pairs.max_by(|a, b| gain(a).total_cmp(&gain(b)))?;
        let what = format!("volts at {place}, at the lowest, state {state}");
        Some(BeforeAfter { what, before: was, after: is })
    }
}

/// Whether a change may let more through to a wire, or let a wire land elsewhere: a line that says the
/// same ends is a wire in another size, which the checks judge.
fn changes_protection(change: &Change) -> bool {
    let way = |line: &str| line.split(',').next().unwrap_or_default().trim().to_owned();
    match change.path.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        ["wires", _] => match (&change.was, &change.is) {
            (Was::Value(was), Some(is)) => way(was) != way(is),
            _ => true,
        },
        ["wires", _, field] => ["from", "to"].contains(field),
        ["devices", _] => true,
        ["devices", _, field] => ["rated", "ways", "kind"].contains(field),
        _ => false,
    }
}

/// A fault of the record that was not there before.
/// What can no more be read of how the vehicle is. What was observed before may name what the repair takes
/// away.
fn new_fault(before: &Case, after: &Case) -> Option<String> {
    let known: BTreeSet<&str> =
        before.record.diagnostics.iter().map(|fault| fault.message.as_str()).collect();
    let is_new = |fault: &&diag::Diagnostic| {
        !known.contains(fault.message.as_str()) && !after.record.sources.is_observed(fault.place())
    };
    after.record.diagnostics.iter().find(is_new).map(|fault| fault.message.clone())
}

fn work_row(task: &mend::Task) -> MendWork {
    MendWork {
        what: task.what.clone(),
        times: task.times,
        minutes: task.minutes,
        source: task.source.to_owned(),
    }
}

fn part_row(part: &mend::Part) -> PartLine {
    PartLine {
        sort: part.sort.word().to_owned(),
        what: part.what.clone(),
        quantity: part.quantity,
        unit: if part.sort.is_by_metre() { "m" } else { "piece" }.to_owned(),
        why: part.why.clone(),
        size_mm2: part.size_mm2,
        rated_a: part.rated_a,
    }
}

fn figure_row(figure: &mend::Figure) -> BeforeAfter {
    let mend::Figure { what, before, after } = figure.clone();
    BeforeAfter { what, before, after }
}

fn caution_row(caution: &mend::Caution) -> Caution {
    Caution { signal: caution.signal.word().to_owned(), words: caution.words.clone() }
}
