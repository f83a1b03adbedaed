//! What all requests share: the store, records that were looked at already, who listens.

use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use pack::{Options, Pack};
use sha2::{Digest, Sha256};
use store::{
    Answer, CaseRow, CaseState, Change, Clock, Draft, HistoryRow, Outcome, Person, Role, Store,
    StoreError, Ticked, Who,
};
use tokio::sync::{Semaphore, broadcast, watch};

use super::attempts::Attempts;
use super::packs::{self, Packs};
use super::problem::Problem;
use crate::study::Study;

/// How many records that were looked at are kept.
const KEPT: usize = 24;

/// Changes that wait for a slow listener; who misses some looks at the whole case anyway.
const WAITING: usize = 256;

/// Photos that are decoded at once: each may take a quarter of a gigabyte.
const PHOTOS_AT_ONCE: usize = 1;

/// Passwords that are checked at once: each takes 19 MiB.
const PASSWORDS_AT_ONCE: usize = 2;

/// Who gets in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Door {
    /// Whoever sits at this machine, under this name.
    Open {
        /// The name entries are made under.
        name: String,
    },
    /// Who logs in. Until there is anybody who may, whoever knows the code that was printed where the
    /// program was started may make themselves a lead.
    Login {
        /// The code.
        code: String,
    },
}

/// How long a page waits for what is worked out beside it.
const PATIENCE: core::time::Duration = core::time::Duration::from_millis(30);

/// Pages that are made at once. Making one may start further work on the same threads, of which there
/// are more.
const PAGES_AT_ONCE: usize = 12;

/// How requests come in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Link {
    /// Readable for whoever is on the network.
    Plain,
    /// Through TLS.
    Tls {
        /// The certificate of the authority that devices have to trust (DER).
        certificate: Vec<u8>,
        /// Its SHA-256, as devices show it.
        fingerprint: String,
    },
}

/// What all requests share. Cheap to clone.
#[derive(Clone)]
pub struct AppState(Arc<Shared>);

struct Shared {
    store: Store,
    door: Door,
    link: Link,
    /// What forms carry where there are no sessions.
    token: String,
    studies: Mutex<Vec<(Hash, Slot)>>,
    /// The record of each case that was looked at last.
    looked: Latest,
    /// The record of each case that was searched last.
    searched: Latest,
    /// The record of each case whose repairs were worked out last.
    repaired: Latest,
    attempts: Attempts,
    changes: broadcast::Sender<(String, u64)>,
    closing: watch::Sender<bool>,
    pages: Semaphore,
    photos: Semaphore,
    passwords: Semaphore,
    packs: Packs,
}

type Hash = [u8; 32];

/// One record of each case, by the id of the case; of so many cases as are kept.
#[derive(Default)]
struct Latest(Mutex<Vec<(String, Arc<Study>)>>);

impl Latest {
    fn get(&self, case: &str) -> Option<Arc<Study>> {
        let all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.iter().find(|(of, _)| of == case).map(|(_, study)| Arc::clone(study))
    }

    fn put(&self, case: &str, study: Arc<Study>) {
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.retain(|(of, _)| of != case);
        if all.len() >= KEPT {
            all.remove(0);
        }
        all.push((case.to_owned(), study));
    }
}

/// Filled by whoever asks first.
type Slot = Arc<OnceLock<Arc<Study>>>;

/// A case that is open.
#[derive(Clone)]
pub struct Opened {
    /// Its id.
    pub id: String,
    /// What was entered.
    pub kept: Arc<CaseState>,
    /// The record, looked at.
    pub study: Arc<Study>,
    standing: Arc<Study>,
    searched: Option<Arc<Study>>,
    repaired: Option<Arc<Study>>,
}

impl Opened {
    /// The record as the vehicle stands: with what the way in has taken out since.
    pub fn as_it_stands(&self) -> &Arc<Study> {
        &self.standing
    }

    /// The record as it was when it was last searched for the fault, while the present one is not.
    pub fn searched_before(&self) -> Option<&Study> {
        self.searched.as_deref().filter(|_| self.standing.advice().is_none())
    }

    /// The record as it was when its repairs were last worked out, while those of the present one are
    /// not.
    pub fn repaired_before(&self) -> Option<&Study> {
        self.repaired.as_deref().filter(|_| self.study.repairs().is_none())
    }

    /// A step as it stands.
    pub fn ticked(&self, list: &str, step: &str) -> Option<&Ticked> {
        self.kept.ticks.iter().find(|tick| tick.list == list && tick.step == step)
    }

    /// Whether a step is done.
    pub fn is_ticked(&self, list: &str, step: &str) -> bool {
        self.ticked(list, step).is_some_and(|tick| tick.done)
    }
}

impl AppState {
    /// Over a store.
    ///
    /// # Errors
    /// When the operating system has no random numbers.
    pub fn new(store: Store, door: Door, link: Link) -> Result<AppState, StoreError> {
        let (changes, _) = broadcast::channel(WAITING);
        let told = changes.clone();
        // Nobody listening is no fault.
        store.listen(Box::new(move |case, head| drop(told.send((case.to_owned(), head)))));
        Ok(AppState(Arc::new(Shared {
            door,
            link,
            token: store::secret()?,
            studies: Mutex::default(),
            looked: Latest::default(),
            searched: Latest::default(),
            repaired: Latest::default(),
            attempts: Attempts::default(),
            changes,
            closing: watch::Sender::new(false),
            pages: Semaphore::new(PAGES_AT_ONCE),
            photos: Semaphore::new(PHOTOS_AT_ONCE),
            passwords: Semaphore::new(PASSWORDS_AT_ONCE),
            packs: Packs::default(),
            store,
        })))
    }

    /// With these records, by id, in a folder that goes when the state goes; for trying things out.
    ///
    /// # Panics
    /// When no folder can be made.
    pub fn with_records(records: impl IntoIterator<Item = (String, String)>) -> AppState {
        AppState::scratch(records).expect("a folder for temporary files")
    }

    fn scratch(
        records: impl IntoIterator<Item = (String, String)>,
    ) -> Result<AppState, StoreError> {
        let store = Store::scratch(Clock::system())?;
        let who = Who { name: "You".to_owned() };
        for (id, text) in records {
            open_case(&store, &who, &id, &text)?;
        }
        AppState::new(store, Door::Open { name: who.name }, Link::Plain)
    }

    /// The store. What it does may wait for the disk.
    pub fn store(&self) -> &Store {
        &self.0.store
    }

    /// Every case, the last changed first.
    ///
    /// # Errors
    /// When the store fails.
    pub fn cases(&self) -> Result<Vec<CaseRow>, Problem> {
        Ok(self.0.store.cases()?)
    }

    /// A case by its id, looked at.
    ///
    /// # Errors
    /// When there is no such case, or the store fails.
    pub fn open(&self, id: &str) -> Result<Opened, Problem> {
        let kept = self.0.store.case(id)?;
        let study = self.study(id, &kept.text, &[]);
        self.0.looked.put(id, Arc::clone(&study));
        let done = |list: &'static str| {
            kept.ticks.iter().filter(move |tick| tick.list == list && tick.done)
        };
        let is_back = |step: &str| done("way-back").any(|tick| tick.step == step);
        let out = done("way-in").map(|tick| tick.step.clone()).filter(|step| !is_back(step));
        let out: Vec<String> = out.collect();
        let standing =
            if out.is_empty() { Arc::clone(&study) } else { self.study(id, &kept.text, &out) };
        let (searched, repaired) = (self.0.searched.get(id), self.0.repaired.get(id));
        Ok(Opened { id: id.to_owned(), kept, study, standing, searched, repaired })
    }

    /// Opens a new case. Its id.
    ///
    /// # Errors
    /// Why not.
    pub fn make(&self, title: &str, text: &str, who: &Who) -> Result<String, String> {
        let draft = Draft {
            id: self.new_id(),
            device: "form".to_owned(),
            at: self.now(),
            base: 0,
            change: Change::Open { title: title.to_owned(), text: text.to_owned() },
        };
        self.0.store.new_case(who, draft).map_err(|fault| fault.to_string())
    }

    /// Takes a change in.
    pub fn enter(&self, case: &str, who: &Who, draft: &Draft) -> Answer {
        let refused = |fault: &dyn std::fmt::Display| Answer {
            id: draft.id.clone(),
            seq: 0,
            outcome: Outcome::Refused,
            message: fault.to_string(),
        };
        match self.0.store.append(case, who, vec![draft.clone()]) {
            Ok(mut answers) => answers.pop().unwrap_or_else(|| refused(&"nothing was sent")),
            Err(fault) => refused(&fault),
        }
    }

    /// The journal of a case, oldest first.
    ///
    /// # Errors
    /// When it cannot be read.
    pub fn entries(&self, case: &str) -> Result<Vec<HistoryRow>, Problem> {
        let rows = self.0.store.history(case, None, usize::MAX)?;
        Ok(rows.into_iter().rev().collect())
    }

    /// A new id for a change that a form without script makes.
    pub fn new_id(&self) -> String {
        store::new_id()
    }

    /// The time, as entries carry it.
    pub fn now(&self) -> String {
        self.0.store.clock().text()
    }

    /// The hand-over pack of a case as it stands.
    ///
    /// # Errors
    /// Why it cannot be made.
    pub(crate) fn pack(&self, kept: &CaseState, options: &Options) -> Result<Pack, String> {
        packs::make(&self.0.store, kept, options)
    }

    /// Searches for the fault of a case apart from any request, once for each record; tells those who
    /// listen when it is done.
    pub fn search(&self, opened: &Opened) {
        let study = Arc::clone(opened.as_it_stands());
        if study.advice().is_some() || !study.wants_search() {
            return;
        }
        let (id, head, state) = (opened.id.clone(), opened.kept.head, self.clone());
        tokio::task::spawn_blocking(move || {
            study.search();
            state.0.searched.put(&id, study);
            // Nobody need listen.
            drop(state.0.changes.send((id, head)));
        });
    }

    /// Looks at a case that has changed before the pages that show it ask for it.
    pub(crate) fn look_ahead(&self, case: &str) {
        if self.0.changes.receiver_count() == 0 {
            return;
        }
        let (state, case) = (self.clone(), case.to_owned());
        tokio::task::spawn_blocking(move || {
            if let Ok(opened) = state.open(&case) {
                opened.study.review();
            }
        });
    }

    /// Works the repairs of a case out apart from any request, once for each record; waits for them no
    /// longer than a page may take, and tells those who listen when they are there.
    pub async fn work_out(&self, opened: &Opened) {
        let study = Arc::clone(&opened.study);
        if study.repairs().is_some() || !study.wants_repairs() {
            return;
        }
        let (id, head, state) = (opened.id.clone(), opened.kept.head, self.clone());
        let work = tokio::task::spawn_blocking(move || {
            study.work_out();
            state.0.repaired.put(&id, study);
            // Nobody need listen.
            drop(state.0.changes.send((id, head)));
        });
        // Late is no fault: the page says that they are worked out.
        drop(tokio::time::timeout(PATIENCE, work).await);
    }

    /// A record of a case, looked at, with parts that are out: once for each, whoever asks first; the others
    /// wait.
    pub fn study(&self, case: &str, text: &str, out: &[String]) -> Arc<Study> {
        let mut hash = Sha256::new_with_prefix(text.as_bytes());
        for name in out {
            hash.update([0]);
            hash.update(name.as_bytes());
        }
        let slot = self.slot(hash.finalize().into());
        let look = || match self.0.looked.get(case) {
            Some(known) => known.anew(text),
            None => Study::of(text),
        };
        Arc::clone(slot.get_or_init(|| Arc::new(look().with_out(out))))
    }

    /// Where a record that was looked at is kept. The last used stands last.
    fn slot(&self, hash: Hash) -> Slot {
        let mut studies = self.0.studies.lock().unwrap_or_else(PoisonError::into_inner);
        let found = studies.iter().position(|(of, _)| *of == hash);
        let (_, slot) = found.map_or_else(|| (hash, Slot::default()), |at| studies.remove(at));
        if studies.len() >= KEPT {
            studies.remove(0);
        }
        studies.push((hash, Arc::clone(&slot)));
        slot
    }

    /// Ends what would go on for ever, so that the program can end.
    pub fn close(&self) {
        self.0.closing.send_replace(true);
    }

    pub(crate) fn door(&self) -> &Door {
        &self.0.door
    }

    pub(crate) fn link(&self) -> &Link {
        &self.0.link
    }

    /// Who works where nobody has to log in, and what their forms carry.
    pub(crate) fn whoever(&self, name: &str) -> (Person, String) {
        (Person { name: name.to_owned(), role: Role::Lead }, self.0.token.clone())
    }

    pub(crate) fn attempts(&self) -> &Attempts {
        &self.0.attempts
    }

    pub(crate) fn changes(&self) -> broadcast::Receiver<(String, u64)> {
        self.0.changes.subscribe()
    }

    pub(crate) fn closing(&self) -> watch::Receiver<bool> {
        self.0.closing.subscribe()
    }

    pub(crate) fn pages(&self) -> &Semaphore {
        &self.0.pages
    }

    pub(crate) fn photos(&self) -> &Semaphore {
        &self.0.photos
    }

    pub(crate) fn passwords(&self) -> &Semaphore {
        &self.0.passwords
    }

    pub(crate) fn packs(&self) -> &Packs {
        &self.0.packs
    }
}

/// Opens a case under a name of our own choosing, if it is not there.
///
/// # Errors
/// When the store fails or the record is too long.
pub fn open_case(store: &Store, who: &Who, id: &str, text: &str) -> Result<(), StoreError> {
    if store.head(id).is_ok() {
        return Ok(());
    }
    let case = analysis::Case::of(text);
    let named = case.vehicle_view().name;
    let title = if named.trim().is_empty() { id.to_owned() } else { named };
    let draft = Draft {
        id: store::new_id(),
        device: "server".to_owned(),
        at: store.clock().text(),
        base: 0,
        change: Change::Open { title, text: text.to_owned() },
    };
    let answers = store.append(id, who, vec![draft])?;
    match answers.into_iter().next() {
        Some(answer) if answer.outcome == store::Outcome::Refused => {
            Err(StoreError::Refused(answer.message))
        }
        _ => Ok(()),
    }
}
