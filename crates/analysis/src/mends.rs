//! Proposed repairs put into the record and looked at again: only what cures and raises nothing is
//! offered.

use std::collections::{BTreeMap, BTreeSet};

use checks::Check;
use mend::{Draft, Proposed, Scene, Seen, Who};
use model::{Change, DeviceId, Finding, Signal, Verdict, Was};

use crate::case::{Case, points};
use crate::dead_view::Caution;
use crate::mend_view::{
    BeforeAfter, ChosenMend, Cured, MENDS_SCHEMA, MendList, MendOffer, MendWork, NoMend, PartLine,
    RecordChange,
};

/// A finding by its check and the name of its place: the same in a record and in the mended one.
type Key = (&'static str, String);

/// What fails, and what cannot be told.
struct Judged {
    fails: BTreeMap<Key, (Signal, &'static Check, Finding)>,
    cannot_tell: BTreeMap<Key, Vec<String>>,
}

/// Checks whose findings follow from other defects.
const FOLLOWS: [&str; 2] = ["equipment-starved", "conductor-too-small-for-drop"];

/// A repair after it was put in.
enum Tried {
    Offered(Box<MendOffer>, BTreeSet<Key>),
    Not(String),
}

impl Case {
    /// Repairs for everything that fails, each proven on the record.
    pub fn mends(&self) -> &MendList {
        self.mends.get_or_init(|| self.work_out_mends())
    }

    fn work_out_mends(&self) -> MendList {
        let judged = self.judged();
        let mut list =
            Listing { case: self, judged: &judged, tried: BTreeMap::new(), order: Vec::new() };
        let without = list.work();
        let mut offers = list.offers();
        for at in 0..offers.len() {
            let (offer, keys) = &offers[at];
            let rivals = offers.iter().filter(|(other, cured)| {
                other.id != offer.id && cured.intersection(keys).next().is_some()
            });
            let rivals: Vec<String> = rivals.map(|(other, _)| other.id.clone()).collect();
            offers[at].0.instead = rivals;
        }
        MendList {
            schema: MENDS_SCHEMA.to_owned(),
            offers: offers.into_iter().map(|(offer, _)| offer).collect(),
            without,
            chosen: self.chosen_mends(),
            fails: judged.fails.len(),
            fails_with_chosen: self
                .mended()
                .map(|mended| self.anew(&mended.text).judged().fails.len()),
        }
    }

    /// What the record's `[mends]` say, and how they stand to the rest of it.
    pub fn chosen_mends(&self) -> Vec<ChosenMend> {
        let of = |mend: &model::Mend| {
            let (stands, why) = match record::put_in(&self.text, &mend.changes) {
                Ok(text) if text == self.text => ("done", String::new()),
                Ok(_) => ("planned", String::new()),
                Err(refusal) => ("refused", refusal.to_string()),
            };
            ChosenMend {
                name: mend.name.clone(),
                words: mend.words.clone(),
                stands: stands.to_owned(),
                why,
                changes: mend.changes.iter().map(change_row).collect(),
            }
        };
        self.vehicle().mends.iter().map(of).collect()
    }

    /// The record with a repair put in: one that is offered, or one of `[mends]`, by its name.
    ///
    /// # Errors
    /// In words: there is none of that name, or the record has changed since.
    pub fn with_mend(&self, id: &str) -> Result<String, String> {
        if let Some(mend) = self.vehicle().mends.iter().find(|mend| mend.name == id) {
            return record::put_in(&self.text, &mend.changes).map_err(|why| why.to_string());
        }
        let offer = self.mends().offers.iter().find(|offer| offer.id == id);
        let offer = offer.ok_or_else(|| format!("no repair is called `{id}`"))?;
        let changes: Vec<Change> = offer.changes.iter().map(change_of).collect();
        record::put_in(&self.text, &changes).map_err(|why| why.to_string())
    }

    /// The record with an offered repair noted in `[mends]`.
    ///
    /// # Errors
    /// In words: none is offered of that name.
    pub fn with_chosen(&self, id: &str) -> Result<String, String> {
        let offer = self.mends().offers.iter().find(|offer| offer.id == id);
        let offer = offer.ok_or_else(|| format!("no repair called `{id}` is offered"))?;
        Ok(record::add_line(&self.text, "mends", &offer.line))
    }

    /// What stands in the record's text at a path.
    pub fn written_value(&self, path: &[&str]) -> Option<String> {
        record::value(&self.text, path)
    }

    /// What fails here and not in another record, by check and place.
    pub(crate) fn cured_in(&self, other: &Case) -> BTreeSet<(&'static str, String)> {
        let (before, after) = (self.judged(), other.judged());
        before.fails.into_keys().filter(|key| !after.fails.contains_key(key)).collect()
    }

    fn judged(&self) -> Judged {
        let mut judged = Judged { fails: BTreeMap::new(), cannot_tell: BTreeMap::new() };
        for (check, outcome) in self.outcomes_of_checks() {
            for finding in outcome.findings {
                let key = (check.slug, self.vehicle().place_name(finding.place));
                match &finding.verdict {
                    Verdict::Fails(_) => {
                        let signal = finding.signal;
                        let known = judged.fails.get(&key).map(|(signal, ..)| *signal);
                        if known.is_none_or(|known| signal < known) {
                            judged.fails.insert(key, (signal, check, finding));
                        }
                    }
                    Verdict::CannotTell(missing) => {
                        let words = missing.iter().map(|fact| fact.what.clone());
                        judged.cannot_tell.entry(key).or_default().extend(words);
                    }
                    Verdict::Holds => {}
                }
            }
        }
        judged
    }

    /// The parts that the cheapest way to a device destroys.
    fn destroyed_on_way_to(&self, id: DeviceId) -> Vec<String> {
        let Some(reach) = self.vehicle().devices[id].reach.value() else { return Vec::new() };
        let Ok(plan) = self.plan(reach, access::Permitted::Anything) else { return Vec::new() };
        let steps = plan.steps.iter();
        let destroys = steps.filter(|step| {
            self.problem.removals[step.removal.0].damage == access::Damage::Destroys
        });
        let ids = destroys.filter_map(|s| access::vehicle::removal_id(self.vehicle(), s.removal));
        let parts = ids.map(|id| self.vehicle().removals[id].part);
        parts.map(|part| self.vehicle().parts[part].name.clone()).collect()
    }
}

/// The list while it is made.
struct Listing<'c> {
    case: &'c Case,
    judged: &'c Judged,
    /// Every repair that was tried, by its name.
    tried: BTreeMap<String, Tried>,
    order: Vec<String>,
}

impl Listing<'_> {
    /// Goes through everything that fails, worst first; what is left without an offer.
    fn work(&mut self) -> Vec<NoMend> {
        let case = self.case;
        let seen: Vec<Seen<'_>> = case
            .states()
            .map(|(_, state, network, outcome)| Seen {
                name: &state.name,
                network,
                points: points(outcome),
            })
            .collect();
        let scene = Scene {
            text: &case.text,
            vehicle: case.vehicle(),
            catalog: &case.catalog,
            states: &seen,
            fault_level: &|terminal| case.most_a(terminal),
            destroyed: &|device| case.destroyed_on_way_to(device),
        };
        let mut fails: Vec<(&Key, &(Signal, &'static Check, Finding))> =
            self.judged.fails.iter().collect();
        // What follows from other defects comes last: their repair may cure it.
        fails.sort_by_key(|(key, (signal, ..))| (FOLLOWS.contains(&key.0), *signal));
        let mut without = Vec::new();
        for (key, (_, check, finding)) in fails {
            let why = match mend::propose(&scene, finding) {
                Proposed::None(why) => vec![why],
                Proposed::Choices(drafts) => self.try_all(drafts, key, Stop::Never),
                Proposed::FirstThatCures(_) if self.is_cured(key) => Vec::new(),
                Proposed::FirstThatCures(drafts) => self.try_all(drafts, key, Stop::AtFirst),
            };
            if !self.is_cured(key) {
                without.push(NoMend {
                    check: check.slug.to_owned(),
                    title: check.title().to_owned(),
                    place: case.place_view(finding.place),
                    message: finding.message.clone(),
                    remedy: finding.remedy.clone(),
                    why,
                });
            }
        }
        // What was tried later may cure something that had nothing of its own.
        without.retain(|no| {
            let known = self.judged.fails.keys();
            let mut own =
                known.filter(|(check, place)| *check == no.check && *place == no.place.name);
            own.next().is_none_or(|key| !self.is_cured(key))
        });
        without
    }

    fn is_cured(&self, key: &Key) -> bool {
        self.tried
            .values()
            .any(|tried| matches!(tried, Tried::Offered(_, cured) if cured.contains(key)))
    }

    fn try_all(
        &mut self,
        drafts: Vec<Result<Draft, String>>,
        key: &Key,
        stop: Stop,
    ) -> Vec<String> {
        let mut why = Vec::new();
        for draft in drafts {
            let draft = match draft {
                Ok(draft) => draft,
                Err(reason) => {
                    why.push(reason);
                    continue;
                }
            };
            let (mut id, title) = (draft.id.clone(), draft.title.clone());
            if let Some(same) = self.same(&draft) {
                id = same;
            } else if !self.tried.contains_key(&id) {
                let tried = self.try_out(draft, key);
                self.order.push(id.clone());
                self.tried.insert(id.clone(), tried);
            }
            match self.tried.get(&id) {
                Some(Tried::Offered(_, cured)) if cured.contains(key) && stop == Stop::AtFirst => {
                    break;
                }
                Some(Tried::Offered(_, cured)) if cured.contains(key) => {}
                Some(Tried::Offered(..)) => why.push(format!("{title}: it would not cure this")),
                Some(Tried::Not(reason)) => why.push(format!("{title}: {reason}")),
                None => {}
            }
        }
        why
    }

    /// The name of an offer that changes just the same.
    fn same(&self, draft: &Draft) -> Option<String> {
        let rows: Vec<RecordChange> = draft.changes.iter().map(change_row).collect();
        let mut offers = self.tried.iter().filter_map(|(id, tried)| match tried {
            Tried::Offered(offer, _) => Some((id, offer)),
            Tried::Not(_) => None,
        });
        offers.find(|(_, offer)| offer.changes == rows).map(|(id, _)| id.clone())
    }

    /// Puts a repair in and looks at the vehicle again.
    fn try_out(&self, draft: Draft, key: &Key) -> Tried {
        let case = self.case;
        let text = match record::put_in(&case.text, &draft.changes) {
            Ok(text) => text,
            Err(refusal) => return Tried::Not(refusal.to_string()),
        };
        let mended = case.anew(&text);
        if let Some(fault) = new_fault(case, &mended) {
            return Tried::Not(format!("the record would not be read in full: {fault}"));
        }
        let after = mended.judged();
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
        if !cured.contains(key) {
            return Tried::Not("it would not cure this".to_owned());
        }
        Tried::Offered(Box::new(self.offer(draft, &cured, &after, &mended)), cured)
    }

    fn offer(
        &self,
        draft: Draft,
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
        let mut figures: Vec<BeforeAfter> = draft.figures.iter().map(figure_row).collect();
        figures.extend(cured.iter().filter_map(|key| self.volts(key, mended)));
        figures.dedup();
        figures.push(BeforeAfter {
            what: "findings that fail".to_owned(),
            before: self.judged.fails.len().to_string(),
            after: after.fails.len().to_string(),
        });
        let minutes = draft
            .work
            .iter()
            .fold([0.0; 3], |sum, task| [0, 1, 2].map(|at| sum[at] + task.minutes[at]));
        MendOffer {
            line: record::mend_line(&draft.id, &draft.title, &draft.changes),
            id: draft.id,
            title: draft.title,
            cures: cures.collect(),
            instead: Vec::new(),
            changes: draft.changes.iter().map(change_row).collect(),
            work: draft.work.iter().map(work_row).collect(),
            minutes,
            reach: draft.reach,
            parts: draft.parts.iter().map(part_row).collect(),
            figures,
            then_find_out: then.collect(),
            cautions: draft.cautions.iter().map(caution_row).collect(),
            by: match draft.by {
                Who::Workshop => "workshop",
                Who::Licensed => "licensed",
            }
            .to_owned(),
            because: draft.because,
        }
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

    fn offers(mut self) -> Vec<(MendOffer, BTreeSet<Key>)> {
        let order = std::mem::take(&mut self.order);
        let offered = order.iter().filter_map(|id| match self.tried.remove(id)? {
            Tried::Offered(offer, cured) => Some((*offer, cured)),
            Tried::Not(_) => None,
        });
        let mut offers: Vec<(MendOffer, BTreeSet<Key>)> = offered.collect();
        let worst = |cured: &BTreeSet<Key>| {
            let signals = cured.iter().filter_map(|key| self.judged.fails.get(key));
            signals.map(|(signal, ..)| *signal).min()
        };
        offers.sort_by_key(|(_, cured)| worst(cured));
        offers
    }
}

/// When trying ends.
#[derive(Clone, Copy, PartialEq)]
enum Stop {
    AtFirst,
    Never,
}

/// A fault of the record that was not there before.
fn new_fault(before: &Case, after: &Case) -> Option<String> {
    let known: BTreeSet<&str> =
        before.record.diagnostics.iter().map(|fault| fault.message.as_str()).collect();
    let new = after.record.diagnostics.iter().find(|fault| !known.contains(fault.message.as_str()));
    new.map(|fault| fault.message.clone())
}

fn change_row(change: &Change) -> RecordChange {
    RecordChange {
        path: record::join_path(&change.path),
        was: match &change.was {
            Was::Value(was) => Some(was.clone()),
            Was::Nothing | Was::NotSaid => None,
        },
        is: change.is.clone(),
    }
}

/// What [`change_row`] shows, as a change again.
fn change_of(row: &RecordChange) -> Change {
    Change {
        path: record::split_path(&row.path).unwrap_or_default(),
        was: row.was.clone().map_or(Was::Nothing, Was::Value),
        is: row.is.clone(),
    }
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
        unit: if part.sort == mend::Sort::Wire { "m" } else { "piece" }.to_owned(),
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
