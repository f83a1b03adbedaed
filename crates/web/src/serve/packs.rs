//! Hand-over packs of cases, kept while their case does not change.

use std::sync::{Arc, Mutex, PoisonError};

use analysis::{Case, RecordLine};
use pack::{Day, Options, Pack, PhotoFound, Request};
use store::{CaseState, PhotoOn, Store};

use super::work;

/// How many packs are kept; each has some megabytes.
const KEPT: usize = 4;

type Key = (String, u64, String);

/// Packs made before.
#[derive(Default)]
pub(crate) struct Packs(Mutex<Vec<(Key, Arc<Pack>)>>);

impl Packs {
    /// The pack of a case as it stands, dated today; made if it was not.
    pub(crate) fn of(&self, store: &Store, state: &CaseState) -> Result<Arc<Pack>, String> {
        let today: String = store.clock().text().chars().take(10).collect();
        let key = (state.id.clone(), state.head, today);
        if let Some(known) = self.known(&key) {
            return Ok(known);
        }
        let options = Options { dated: Day::of(&key.2), ..Options::default() };
        let made = Arc::new(make(store, state, &options)?);
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.len() >= KEPT {
            kept.remove(0);
        }
        kept.push((key, Arc::clone(&made)));
        Ok(made)
    }

    fn known(&self, key: &Key) -> Option<Arc<Pack>> {
        let kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        kept.iter().find(|(known, _)| known == key).map(|(_, pack)| Arc::clone(pack))
    }
}

/// The pack of a case as it stands, with the photos of its journal.
pub(crate) fn make(store: &Store, state: &CaseState, options: &Options) -> Result<Pack, String> {
    let text = with_photos(state);
    let case = Case::of(&text).with_proofs(state.proofs(), state.proof_order());
    let review = case.review();
    let work = work::work(state, &case);
    let case = case.with_claims(work::claims(state, &review)).with_work(work);
    let photos = case.handover().photos.into_iter().map(|view| {
        let sha = view.file.strip_prefix("photos/").and_then(|name| name.strip_suffix(".jpg"));
        let bytes = match sha {
            Some(sha) => store.photo(&state.id, sha).map_err(|fault| fault.to_string()),
            None => Err("it was never taken in".to_owned()),
        };
        PhotoFound { name: view.name, bytes }
    });
    let request = Request { record: &text, case: &case, review: &review, photos: photos.collect() };
    pack::make(&request, options).map_err(|fault| fault.to_string())
}

/// The record with the photos of the journal in it. One on something that the record does not know is
/// told in words.
fn with_photos(state: &CaseState) -> String {
    let faults = |text: &str| Case::of(text).record_faults().len();
    let with = |text: &str, of: bool| {
        state
            .photos
            .iter()
            .fold(text.to_owned(), |text, photo| analysis::with_line(&text, &photo_line(photo, of)))
    };
    let all = with(&state.text, true);
    if state.photos.is_empty() || faults(&all) == faults(&state.text) {
        return all;
    }
    let mut text = state.text.clone();
    for photo in &state.photos {
        let told = analysis::with_line(&text, &photo_line(photo, true));
        text = match faults(&told) > faults(&text) {
            true => analysis::with_line(&text, &photo_line(photo, false)),
            false => told,
        };
    }
    text
}

fn photo_line(photo: &PhotoOn, is_of: bool) -> RecordLine {
    let mut fields = vec![("file", format!("photos/{}.jpg", photo.sha))];
    let mut words = photo.words.clone().unwrap_or_default();
    match (&photo.on, is_of) {
        (Some(on), true) => fields.push(("of", on.clone())),
        (Some(on), false) => words = format!("{on}: {words}"),
        (None, _) => {}
    }
    fields.extend(photo.arrow.as_deref().and_then(tip).map(|tip| ("arrow", tip)));
    if !words.is_empty() {
        fields.push(("words", words));
    }
    let day: String = photo.said.at.chars().take(10).collect();
    fields.push(("seen", format!("by {} on {day}", photo.said.who)));
    let quoted = |text: &str| serde_json::Value::from(text.replace('\u{7f}', " ")).to_string();
    let fields: Vec<String> =
        fields.iter().map(|(key, value)| format!("{key} = {}", quoted(value))).collect();
    // A file may be kept twice, with other words or on something else.
    let name = &photo.sha[..photo.sha.len().min(12)];
    let line = format!("p{name}-{} = {{ {} }}", photo.said.seq, fields.join(", "));
    RecordLine { section: "photos".to_owned(), line }
}

/// Where the last stroke of the marks ends, as a record writes it: `62 %, 40 %`.
fn tip(path: &str) -> Option<String> {
    let last = path.rsplit(['M', 'L']).find(|point| !point.trim().is_empty())?;
    let numbers = last.split([' ', ',']).filter(|number| !number.is_empty());
    let numbers: Vec<f64> = numbers.filter_map(|number| number.parse().ok()).collect();
    let [left, top] = numbers[..] else { return None };
    let is_inside = |share: f64| (0.0..=1.0).contains(&share);
    let percent = |share: f64| (share * 1000.0).round() / 10.0;
    (is_inside(left) && is_inside(top)).then(|| format!("{} %, {} %", percent(left), percent(top)))
}

#[cfg(test)]
mod tests {
    use store::{Change, Draft, Said, Who};

    use super::*;
    use crate::serve::AppState;
    use crate::station::put_right;

    const DUNLIN: &str = include_str!("../../../../records/dunlin/dunlin.toml");

    fn tick(step: &str, done: bool) -> Draft {
        let change =
            Change::Tick { list: "mend".to_owned(), step: step.to_owned(), reading: None, done };
        let at = "2026-06-12T08:00:00Z".to_owned();
        Draft { id: store::new_id(), device: "phone".to_owned(), at, base: 0, change }
    }

    #[test]
    fn a_photo_that_was_kept_twice_is_handed_over_twice() {
        let state = AppState::with_records([("dunlin".to_owned(), DUNLIN.to_owned())]);
        let kept = state.store().case("dunlin").expect("the case");
        let mut kept = CaseState::clone(&kept);
        let photo = |seq, words: &str| PhotoOn {
            sha: "3d6af92aa3a03d6af92aa3a0".to_owned(),
            on: Some("fridge".to_owned()),
            words: Some(words.to_owned()),
            arrow: None,
            said: Said {
                entry: String::new(),
                seq,
                who: "Ana".to_owned(),
                at: "2026-06-12T08:00:00Z".to_owned(),
            },
        };
        kept.photos = vec![photo(7, "from above"), photo(9, "the plug")];
        let before = Case::of(DUNLIN).handover().photos.len();
        let case = Case::of(&with_photos(&kept));
        assert_eq!(case.review().record_faults, Case::of(DUNLIN).review().record_faults);
        let photos = case.handover().photos;
        assert_eq!(photos.len(), before + 2);
        assert!(["from above", "the plug"].iter().all(|of| photos.iter().any(|p| p.words == *of)));
    }

    /// One finding that still fails by the record, one that is in it no more, and one ticked off again.
    #[test]
    fn what_was_ticked_as_put_right_is_handed_over_with_who_said_so() {
        let state = AppState::with_records([("dunlin".to_owned(), DUNLIN.to_owned())]);
        let review = Case::of(DUNLIN).review();
        let fails = put_right::key(&review.findings[0]);
        let ticks = vec![
            tick(&fails, true),
            tick("Loose cover, box 7", true),
            tick("A mistake, box 8", true),
            tick("A mistake, box 8", false),
        ];
        let who = Who { name: "Ana".to_owned() };
        state.store().append("dunlin", &who, ticks).expect("entries");
        let kept = state.store().case("dunlin").expect("the case");
        let handover = Case::of(DUNLIN).with_claims(work::claims(&kept, &review)).handover();
        let said = |words: &str| handover.mends.iter().find(|mend| mend.words == words);
        let still = said(&fails).expect("the finding that fails");
        assert_eq!(still.stands, "said");
        assert!(still.why.starts_with("Ana says so, 2026-"), "{}", still.why);
        assert!(still.why.contains("still fails"), "{}", still.why);
        assert_eq!(said("Loose cover, box 7").expect("what is gone").stands, "done");
        assert_eq!(said("A mistake, box 8"), None);
    }
}
