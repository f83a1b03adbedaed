//! What all requests share: the store, records that were looked at already, who listens.

use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use sha2::{Digest, Sha256};
use store::{CaseState, Change, Clock, Draft, Person, Role, Store, StoreError, Who};
use tokio::sync::{Semaphore, broadcast, watch};

use super::attempts::Attempts;
use super::packs::Packs;
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

/// How requests come in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Link {
    /// Readable for whoever is on the network.
    Plain,
    /// Through TLS.
    Tls,
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
    attempts: Attempts,
    changes: broadcast::Sender<(String, u64)>,
    closing: watch::Sender<bool>,
    photos: Semaphore,
    passwords: Semaphore,
    packs: Packs,
}

type Hash = [u8; 32];

/// Filled by whoever asks first.
type Slot = Arc<OnceLock<Arc<Study>>>;

/// A case in the list of cases.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CaseLine {
    /// Its id, as in its address.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// When it was last changed (RFC 3339, UTC).
    pub changed: String,
    /// By whom.
    pub changed_by: String,
    /// How many contradictions nobody has settled.
    pub conflicts: u64,
}

/// A case that is open.
#[derive(Clone)]
pub struct Opened {
    /// Its id.
    pub id: String,
    /// Number of its last entry.
    pub head: u64,
    /// The record.
    pub text: Arc<str>,
    /// The record, looked at.
    pub study: Arc<Study>,
    /// What was entered: notes, ticks, photos, contradictions, who said what.
    pub state: Arc<CaseState>,
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
            attempts: Attempts::default(),
            changes,
            closing: watch::Sender::new(false),
            photos: Semaphore::new(PHOTOS_AT_ONCE),
            passwords: Semaphore::new(PASSWORDS_AT_ONCE),
            packs: Packs::default(),
            store,
        })))
    }

    /// With these records, by id, in a folder that goes when the state goes; for trying things out.
    ///
    /// # Errors
    /// When no folder can be made.
    pub fn with_records(
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
    pub fn cases(&self) -> Result<Vec<CaseLine>, Problem> {
        let line = |row: store::CaseRow| CaseLine {
            id: row.id,
            name: row.title,
            changed: row.changed,
            changed_by: row.changed_by,
            conflicts: row.conflicts,
        };
        Ok(self.0.store.cases()?.into_iter().map(line).collect())
    }

    /// A case by its id, looked at; nothing if there is no such case or the store fails.
    pub fn open(&self, id: &str) -> Option<Opened> {
        let state = self.0.store.case(id).ok()?;
        Some(Opened {
            id: id.to_owned(),
            head: state.head,
            text: state.text.as_str().into(),
            study: self.study(&state.text),
            state,
        })
    }

    /// A record, looked at: once for each text, whoever asks first; the others wait.
    pub fn study(&self, text: &str) -> Arc<Study> {
        let hash: Hash = Sha256::digest(text.as_bytes()).into();
        let slot = {
            let mut studies = self.0.studies.lock().unwrap_or_else(PoisonError::into_inner);
            let found = studies.iter().position(|(of, _)| *of == hash);
            let kept = match found {
                Some(at) => studies.remove(at),
                None => (hash, Arc::default()),
            };
            if studies.len() >= KEPT {
                studies.remove(0);
            }
            // The last used stands last.
            studies.push(kept.clone());
            kept.1
        };
        Arc::clone(slot.get_or_init(|| Arc::new(Study::of(text))))
    }

    /// Ends what would go on for ever, so that the program can end.
    pub fn close(&self) {
        self.0.closing.send_replace(true);
    }

    pub(crate) fn door(&self) -> &Door {
        &self.0.door
    }

    pub(crate) fn link(&self) -> Link {
        self.0.link
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
