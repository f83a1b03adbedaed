//! The list of repairs: what is offered for each finding, what is not and why; and those that were chosen.
//! Trying them is for `mend_trials.rs`.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use checks::Check;
use mend::{Draft, OnWay, Proposed};
use model::{Change, DeviceId, Finding, Signal, Verdict, Was};

use crate::case::Case;
use crate::mend_trials::{Trials, Tried};
use crate::mend_view::{ChosenMend, MENDS_SCHEMA, MendList, MendOffer, NoMend, RecordChange};

/// A finding by its check and the name of its place: the same in a record and in the mended one.
pub(crate) type Key = (&'static str, String);

/// What fails, and what cannot be told.
pub(crate) struct Judged {
    pub(crate) fails: BTreeMap<Key, (Signal, &'static Check, Finding)>,
    pub(crate) cannot_tell: BTreeMap<Key, Vec<String>>,
}

/// Checks whose findings follow from other defects.
pub(crate) const FOLLOWS: [&str; 2] = ["equipment-starved", "conductor-too-small-for-drop"];

impl Case {
    /// Repairs for everything that fails, each proven on the record.
    pub fn mends(&self) -> &MendList {
        self.mends.get_or_init(|| self.work_out_mends())
    }

    fn work_out_mends(&self) -> MendList {
        let trials = Trials::of(self);
        let mut list = Listing { trials: &trials, tried: BTreeMap::new(), order: Vec::new() };
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
            fails: trials.judged.fails.len(),
            fails_with_chosen: self.mended().map(|mended| self.anew(&mended.text).failing().len()),
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
    /// In words: none is offered of that name, or one that was chosen changes the same.
    pub fn with_chosen(&self, id: &str) -> Result<String, String> {
        let list = self.mends();
        let offer = list.offers.iter().find(|offer| offer.id == id);
        let offer = offer.ok_or_else(|| format!("no repair called `{id}` is offered"))?;
        if let Some(other) = list.chosen_instead_of(offer) {
            return Err(format!(
                "`{id}` changes the same as `{0}`, which is chosen; take the line `{0}` out of \
                 [mends] first",
                other.id
            ));
        }
        Ok(record::add_line(&self.text, "mends", &offer.line))
    }

    /// What fails, by check and place, each with its worst signal.
    pub fn failing(&self) -> BTreeMap<(String, String), Signal> {
        let mut judged = self.judged();
        crate::mend_shorts::ShortFails::of(self, &mut judged);
        let fails = judged.fails.into_iter();
        fails.map(|((check, place), (signal, ..))| ((check.to_owned(), place), signal)).collect()
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

    pub(crate) fn judged(&self) -> Judged {
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

    /// What comes out on the cheapest way to a device.
    pub(crate) fn on_way_to(&self, id: DeviceId) -> Vec<OnWay> {
        let Some(reach) = self.vehicle().devices[id].reach.value() else { return Vec::new() };
        let plan = self.plan(reach, access::Permitted::NothingDestroyed);
        let Ok(plan) = plan.or_else(|_| self.plan(reach, access::Permitted::Anything)) else {
            return Vec::new();
        };
        let step = |step: &access::Step| {
            let removal = access::vehicle::removal_id(self.vehicle(), step.removal)?;
            let part = self.vehicle().removals[removal].part;
            let damage = self.problem.removals[step.removal.0].damage;
            Some(OnWay {
                part: self.vehicle().parts[part].name.clone(),
                minutes: removal_min(&self.problem.removals[step.removal.0]),
                destroyed: damage == access::Damage::Destroys,
            })
        };
        plan.steps.iter().filter_map(step).collect()
    }
}

fn removal_min(removal: &access::Removal) -> f64 {
    removal.minutes_out.mean_min() + removal.minutes_back.mean_min()
}

/// The list while it is made.
struct Listing<'c> {
    trials: &'c Trials<'c>,
    /// Every repair that was tried, by its name.
    tried: BTreeMap<String, Arc<Tried>>,
    order: Vec<String>,
}

impl Listing<'_> {
    /// Goes through everything that fails, worst first; what is left without an offer.
    fn work(&mut self) -> Vec<NoMend> {
        let trials = self.trials;
        let case = trials.case;
        let mut fails: Vec<(&Key, &(Signal, &'static Check, Finding))> =
            trials.judged.fails.iter().collect();
        // What follows from other defects comes last: their repair may cure it.
        fails.sort_by_key(|(key, (signal, ..))| (FOLLOWS.contains(&key.0), *signal));
        let proposed = trials.proposed(&fails);
        let mut without = Vec::new();
        for ((key, (signal, check, finding)), proposed) in fails.into_iter().zip(proposed) {
            let why = match proposed {
                Proposed::None(why) => vec![why],
                Proposed::Choices(drafts) => self.try_all(&drafts, key, Stop::Never),
                Proposed::FirstThatCures(_) if self.is_cured(key) => Vec::new(),
                Proposed::FirstThatCures(drafts) => self.try_all(&drafts, key, Stop::AtFirst),
                Proposed::Ladders(ladders) => {
                    let each =
                        ladders.iter().map(|drafts| self.try_all(drafts, key, Stop::AtFirst));
                    each.collect::<Vec<_>>().concat()
                }
            };
            if !self.is_cured(key) {
                without.push(NoMend {
                    check: check.slug.to_owned(),
                    signal: signal.word().to_owned(),
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
            let known = trials.judged.fails.keys();
            let mut own =
                known.filter(|(check, place)| *check == no.check && *place == no.place.name);
            own.next().is_none_or(|key| !self.is_cured(key))
        });
        without
    }

    fn is_cured(&self, key: &Key) -> bool {
        self.tried
            .values()
            .any(|tried| matches!(&**tried, Tried::Offered(_, cured) if cured.contains(key)))
    }

    fn try_all(&mut self, drafts: &[Result<Draft, String>], key: &Key, stop: Stop) -> Vec<String> {
        let mut why = Vec::new();
        for draft in drafts {
            let draft = match draft {
                Ok(draft) => draft,
                Err(reason) => {
                    why.push(reason.clone());
                    continue;
                }
            };
            let tried = self.trials.of_draft(draft);
            let title = &draft.title;
            match &*tried {
                Tried::Not(reason) => why.push(format!("{title}: {reason}")),
                Tried::Offered(_, cured) if !cured.contains(key) => {
                    why.push(format!("{title}: it would not cure this"));
                }
                Tried::Offered(offer, _) => {
                    self.keep(&offer.id, &tried);
                    if stop == Stop::AtFirst {
                        break;
                    }
                }
            }
        }
        why
    }

    /// Keeps an offer under a name of its own; one that changes just the same is the same.
    fn keep(&mut self, wanted: &str, tried: &Arc<Tried>) {
        if self.tried.values().any(|known| Arc::ptr_eq(known, tried)) {
            return;
        }
        let numbered = (2..).map(|number| format!("{wanted}-{number}"));
        let mut names = std::iter::once(wanted.to_owned()).chain(numbered);
        let Some(id) = names.find(|name| !self.tried.contains_key(name)) else { return };
        self.order.push(id.clone());
        self.tried.insert(id, Arc::clone(tried));
    }

    fn offers(self) -> Vec<(MendOffer, BTreeSet<Key>)> {
        let of = |id: &String| match &**self.tried.get(id)? {
            Tried::Offered(offer, cured) => Some((named(offer, id), cured.clone())),
            Tried::Not(_) => None,
        };
        let mut offers: Vec<(MendOffer, BTreeSet<Key>)> =
            self.order.iter().filter_map(of).collect();
        let worst = |cured: &BTreeSet<Key>| {
            let signals = cured.iter().filter_map(|key| self.trials.judged.fails.get(key));
            signals.map(|(signal, ..)| *signal).min()
        };
        offers.sort_by_key(|(_, cured)| worst(cured));
        offers
    }
}

fn named(offer: &MendOffer, id: &str) -> MendOffer {
    let mut offer = offer.clone();
    if offer.id != id {
        let changes: Vec<Change> = offer.changes.iter().map(change_of).collect();
        offer.line = record::mend_line(id, &offer.title, &changes);
        offer.id = id.to_owned();
    }
    offer
}

/// When trying ends.
#[derive(Clone, Copy, PartialEq)]
enum Stop {
    AtFirst,
    Never,
}

pub(crate) fn change_row(change: &Change) -> RecordChange {
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
