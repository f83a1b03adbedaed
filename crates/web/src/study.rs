//! A record looked at once: everything the pages ask of the engines, computed when first asked for
//! and kept.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use analysis::{
    AnswerForm, Case, DeadPlan, DeadRequest, HandoverView, ItemView, MendList, NextView,
    NoDeadPlan, Opening, PriceAsked, PriceView, ProofRow, ProofSheet, RecordFault, Review,
    WorksAgain,
};
use depict::{Overlay, Paper, Picture};

/// A record, looked at.
#[derive(Debug)]
pub struct Study {
    case: Case,
    text: Arc<str>,
    review: OnceLock<Review>,
    handover: OnceLock<HandoverView>,
    price: OnceLock<Option<Result<PriceView, String>>>,
    pictures: OnceLock<Vec<Picture>>,
    places: OnceLock<Vec<Picture>>,
    advice: OnceLock<Advice>,
    is_searched: std::sync::atomic::AtomicBool,
    worked_out: OnceLock<()>,
    is_working_out: std::sync::atomic::AtomicBool,
    mended: OnceLock<Option<Arc<Study>>>,
    proofs: Mutex<BTreeMap<Entered, Arc<ProofSheet>>>,
    failed: Mutex<BTreeMap<Entered, Arc<ProofSheet>>>,
    further: OnceLock<Vec<ProofRow>>,
    dead: Mutex<DeadPlans>,
}

/// Plans for making dead, by area and what was read.
type DeadPlans = BTreeMap<(Vec<String>, Vec<(usize, String)>), DeadAnswer>;

type DeadAnswer = Arc<Result<DeadPlan, NoDeadPlan>>;

/// What was read for a proof sheet, by the name of the row.
pub(crate) type Entered = BTreeMap<String, String>;

/// Most plans, or proof sheets, kept for one record.
const MOST_PLANS: usize = 32;

/// What the search for the fault says: takes longer than all the rest together.
#[derive(Debug)]
pub struct Advice {
    /// The next check or repair, with the suspects.
    pub next: NextView,
    /// How answers to it and its rivals are written.
    pub forms: Vec<Option<AnswerForm>>,
    /// How strongly each element is suspected.
    pub shading: BTreeMap<String, f64>,
    /// What the repair that it proposes would have cured.
    pub cured: Option<WorksAgain>,
}

impl Study {
    /// Reads a record and solves its states.
    pub fn of(text: &str) -> Study {
        Study::from_parts(text, Case::of(text))
    }

    /// The same for a record much like this one: what is the same in both is not solved or planned again.
    pub fn anew(&self, text: &str) -> Study {
        Study::from_parts(text, self.case.anew(text))
    }

    /// The same with parts that are out, beyond those the record says are.
    pub fn with_out(mut self, out: &[String]) -> Study {
        let known = self.case.part_names().into_iter().map(ToOwned::to_owned).collect::<Vec<_>>();
        let out: Vec<String> = out.iter().filter(|name| known.contains(name)).cloned().collect();
        // Only names that are there are given, so nothing is refused.
        let _ = self.case.with_out(&out);
        self
    }

    fn from_parts(text: &str, case: Case) -> Study {
        Study {
            case,
            text: text.into(),
            review: OnceLock::new(),
            handover: OnceLock::new(),
            price: OnceLock::new(),
            pictures: OnceLock::new(),
            places: OnceLock::new(),
            advice: OnceLock::new(),
            is_searched: std::sync::atomic::AtomicBool::new(false),
            worked_out: OnceLock::new(),
            is_working_out: std::sync::atomic::AtomicBool::new(false),
            mended: OnceLock::new(),
            proofs: Mutex::default(),
            failed: Mutex::default(),
            further: OnceLock::new(),
            dead: Mutex::default(),
        }
    }

    /// The case.
    pub fn case(&self) -> &Case {
        &self.case
    }

    /// The record.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Everything a look at the record says.
    pub fn review(&self) -> &Review {
        self.review.get_or_init(|| self.case.review())
    }

    /// What a hand-over says beyond it.
    pub fn handover(&self) -> &HandoverView {
        self.handover.get_or_init(|| self.case.handover())
    }

    /// What the repairs cost; nothing where the record has no rate, words where there is no price.
    pub fn price(&self) -> Option<Result<&PriceView, &str>> {
        let price = self.price.get_or_init(|| {
            let asked = PriceAsked::default();
            let wanted = self.case.wants_price();
            wanted.then(|| self.case.price(&asked).map_err(|fault| fault.to_string()))
        });
        price.as_ref().map(|price| price.as_ref().map_err(String::as_str))
    }

    /// Faults of the record.
    pub fn faults(&self) -> &[RecordFault] {
        &self.review().record_faults
    }

    /// A thing of the record.
    pub fn item(&self, name: &str) -> Option<ItemView> {
        self.case.item(name)
    }

    /// The wiring drawing with an overlay.
    pub fn wiring(&self, overlay: Overlay<'_>) -> Vec<Picture> {
        depict::wiring(&self.case, overlay, Paper::Whole)
    }

    /// Where everything is.
    pub fn places(&self) -> &[Picture] {
        self.places.get_or_init(|| depict::vehicle(&self.case))
    }

    /// All drawings.
    pub fn pictures(&self) -> &[Picture] {
        self.pictures.get_or_init(|| depict::pictures(&self.case, Paper::Whole))
    }

    /// The way in to some things. An empty one if there is no such thing.
    pub fn way_in(&self, to: &[String]) -> Opening {
        self.case.opening(to).unwrap_or_default()
    }

    /// How to make a work area dead, with what was read at steps.
    pub fn dead_plan(&self, area: &[String], read: &[(usize, String)]) -> DeadAnswer {
        kept(&self.dead, &(area.to_vec(), read.to_vec()), || {
            self.case.dead_plan(&DeadRequest { area: area.to_vec(), read: read.to_vec() })
        })
    }

    /// What the search for the fault says, if it is done.
    pub fn advice(&self) -> Option<&Advice> {
        self.advice.get()
    }

    /// Whether somebody has to start the search: true once.
    pub fn wants_search(&self) -> bool {
        !self.is_searched.swap(true, std::sync::atomic::Ordering::Relaxed)
    }

    /// Searches for the fault. Takes a while; not for a request to wait for.
    pub fn search(&self) -> &Advice {
        self.advice.get_or_init(|| {
            let list = self.case.suspect_list();
            let mut search = self.case.search(&list);
            let next = search.next_step();
            let forms = (0..=next.rivals.len()).map(|which| search.answer_form(which)).collect();
            let shading = search.shading();
            let cured = search.cured();
            Advice { next, forms, shading, cured }
        })
    }

    /// Repairs for everything that fails, each proven on the record.
    pub fn mends(&self) -> &MendList {
        self.case.mends()
    }

    /// The same, if they are worked out by now, with their price.
    pub fn repairs(&self) -> Option<&MendList> {
        self.worked_out.get().map(|()| self.case.mends())
    }

    /// Whether somebody has to start working them out: true once.
    pub fn wants_repairs(&self) -> bool {
        !self.is_working_out.swap(true, std::sync::atomic::Ordering::Relaxed)
    }

    /// Works repairs and their price out. Takes a while; not for a request to wait for.
    pub fn work_out(&self) {
        self.case.mends();
        self.price();
        self.worked_out.get_or_init(|| ());
    }

    /// The proof sheet of what is chosen, held against what was read.
    pub fn proof(&self, entered: &Entered) -> Arc<ProofSheet> {
        kept(&self.proofs, entered, || self.case.proof(entered))
    }

    /// The same with what may be wrong where a proof failed. Takes as long as a search for the fault.
    pub fn failed_proof(&self, entered: &Entered) -> Arc<ProofSheet> {
        kept(&self.failed, entered, || self.case.proof_and_suspects(entered))
    }

    /// Readings to take at the end that follow from no single repair.
    pub fn further_proofs(&self) -> &[ProofRow] {
        let after = || self.mended().unwrap_or(self).case();
        let isolation = &self.handover().isolation;
        self.further.get_or_init(|| self.case.further_proofs(isolation, after()))
    }

    /// The record with what it proposes put in, looked at; nothing when it proposes nothing.
    pub fn mended(&self) -> Option<&Study> {
        let of = || self.case.mended().map(|mended| Arc::new(Study::of(&mended.text)));
        self.mended.get_or_init(of).as_deref()
    }
}

/// What was worked out for a key before, else worked out and kept: of all at most so many.
fn kept<K: Ord + Clone, V>(
    all: &Mutex<BTreeMap<K, Arc<V>>>,
    key: &K,
    work: impl FnOnce() -> V,
) -> Arc<V> {
    let held = || all.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some(known) = held().get(key) {
        return Arc::clone(known);
    }
    // Not while it is held: it takes its time.
    let made = Arc::new(work());
    let mut held = held();
    if held.len() >= MOST_PLANS {
        held.clear();
    }
    held.insert(key.clone(), Arc::clone(&made));
    made
}
