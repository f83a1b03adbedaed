//! The store as the rest of the program sees it: cases, their entries, what they look like.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, RwLock};

use rusqlite::{Connection, OptionalExtension as _, params};
use thiserror::Error;

use crate::clock::Clock;
use crate::entry::{Answer, Change, Draft, Entry, Outcome, Who};
use crate::journal;
use crate::state::{CaseRow, CaseState, HistoryRow};
use crate::tables;
use crate::writer::{Changed, Writer};

/// Name of the database in the data folder.
pub(crate) const DATABASE: &str = "unbury.db";

/// Connections for reading that are kept open.
const READERS: usize = 4;

/// States kept in memory.
const STATES: usize = 64;

/// Why the store could not do something.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum StoreError {
    /// There is no such case.
    #[error("there is no such case")]
    NoSuchCase,
    /// There is no such photo, person or link.
    #[error("there is no such {0}")]
    NoSuch(&'static str),
    /// What was asked for is not taken; the words say why.
    #[error("{0}")]
    Refused(String),
    /// The database failed.
    #[error("the database failed: {0}")]
    Database(String),
    /// A file could not be read or written.
    #[error("{0}")]
    File(String),
    /// What is kept is not what was put there.
    #[error("{0}")]
    Damaged(String),
    /// The store was closed.
    #[error("the store is closed")]
    Closed,
}

impl From<rusqlite::Error> for StoreError {
    fn from(error: rusqlite::Error) -> StoreError {
        StoreError::Database(error.to_string())
    }
}

/// Told after every change of a case: its id and the number of its last entry.
pub type Listener = Box<dyn Fn(&str, u64) + Send + Sync>;

/// What a workshop keeps. Cheap to clone; every method may block on the disk.
#[derive(Clone)]
pub struct Store(pub(crate) Arc<Inner>);

pub(crate) struct Inner {
    pub(crate) folder: PathBuf,
    pub(crate) clock: Clock,
    readers: Mutex<Vec<Connection>>,
    pub(crate) states: Arc<States>,
    pub(crate) writer: Writer,
    listeners: Arc<RwLock<Vec<Listener>>>,
    is_scratch: bool,
}

impl Drop for Inner {
    fn drop(&mut self) {
        if self.is_scratch {
            // Files of the database may still be open; what cannot be deleted stays in the folder for
            // temporary files.
            drop(std::fs::remove_dir_all(&self.folder));
        }
    }
}

/// What cases looked like when they were last read or written; good only for the head it says.
#[derive(Default)]
pub(crate) struct States(Mutex<BTreeMap<String, Arc<CaseState>>>);

impl States {
    pub(crate) fn get(&self, case: &str, head: u64) -> Option<Arc<CaseState>> {
        let states = lock(&self.0);
        states.get(case).filter(|state| state.head == head).cloned()
    }

    pub(crate) fn put(&self, state: Arc<CaseState>) {
        let mut states = lock(&self.0);
        while states.len() >= STATES && !states.contains_key(&state.id) {
            states.pop_first();
        }
        states.insert(state.id.clone(), state);
    }
}

impl Store {
    /// Opens the data folder; makes it if it is not there.
    ///
    /// # Errors
    /// When it cannot be written, or was written by a newer program.
    pub fn open(folder: &Path, clock: Clock) -> Result<Store, StoreError> {
        let failed = |fault: std::io::Error| {
            StoreError::File(format!("cannot make the folder `{}`: {fault}", folder.display()))
        };
        std::fs::create_dir_all(folder.join(crate::photos::FOLDER)).map_err(failed)?;
        let file = folder.join(DATABASE);
        let mut connection = tables::connect(&file)?;
        tables::bring_up(&mut connection)?;
        let states = Arc::new(States::default());
        let listeners: Arc<RwLock<Vec<Listener>>> = Arc::default();
        let told = Arc::clone(&listeners);
        let kept = Arc::clone(&states);
        let writer = Writer::start(connection, move |changed: Vec<Changed>| {
            for Changed { state } in changed {
                let (case, head) = (state.id.clone(), state.head);
                kept.put(state);
                let listeners = told.read().unwrap_or_else(PoisonError::into_inner);
                listeners.iter().for_each(|listener| listener(&case, head));
            }
        });
        Ok(Store(Arc::new(Inner {
            folder: folder.to_owned(),
            clock,
            readers: Mutex::default(),
            states,
            writer,
            listeners,
            is_scratch: false,
        })))
    }

    /// A store in a folder of its own that goes when the last copy of it goes.
    ///
    /// # Errors
    /// When no folder can be made.
    pub fn scratch(clock: Clock) -> Result<Store, StoreError> {
        let folder = std::env::temp_dir().join(format!("unbury-{}", crate::draft::new_id()));
        let mut store = Store::open(&folder, clock)?;
        if let Some(inner) = Arc::get_mut(&mut store.0) {
            inner.is_scratch = true;
        }
        Ok(store)
    }

    /// The clock it was opened with.
    pub fn clock(&self) -> &Clock {
        &self.0.clock
    }

    /// The folder it lies in.
    pub fn folder(&self) -> &Path {
        &self.0.folder
    }

    /// Has somebody told after every change of a case.
    pub fn listen(&self, listener: Listener) {
        self.0.listeners.write().unwrap_or_else(PoisonError::into_inner).push(listener);
    }

    /// Every case, the last changed first.
    ///
    /// # Errors
    /// When the database fails.
    pub fn cases(&self) -> Result<Vec<CaseRow>, StoreError> {
        self.read(|connection| {
            let mut statement = connection.prepare_cached(
                "SELECT id, title, head, changed, changed_by, conflicts FROM cases
                 ORDER BY changed DESC, id",
            )?;
            let rows = statement.query_map([], |row| {
                Ok(CaseRow {
                    id: row.get(0)?,
                    title: row.get(1)?,
                    head: row.get(2)?,
                    changed: row.get(3)?,
                    changed_by: row.get(4)?,
                    conflicts: row.get(5)?,
                })
            })?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }

    /// Opens a case; its id is the id of the draft, so that the same draft twice is one case.
    ///
    /// # Errors
    /// When the draft is no [`Change::Open`] or not well-formed, or the database fails.
    pub fn new_case(&self, who: &Who, draft: Draft) -> Result<String, StoreError> {
        if !matches!(draft.change, Change::Open { .. }) {
            return Err(StoreError::Refused("a case begins with its title and record".to_owned()));
        }
        let id = draft.id.clone();
        let answers = self.append(&id, who, vec![draft])?;
        match answers.into_iter().next() {
            Some(Answer { outcome: Outcome::Refused, message, .. }) => {
                Err(StoreError::Refused(message))
            }
            _ => Ok(id),
        }
    }

    /// What a case looks like.
    ///
    /// # Errors
    /// When there is no such case, or the database fails.
    pub fn case(&self, case: &str) -> Result<Arc<CaseState>, StoreError> {
        self.read(|connection| journal::state(connection, &self.0.states, case))
    }

    /// Number of the last entry of a case.
    ///
    /// # Errors
    /// When there is no such case, or the database fails.
    pub fn head(&self, case: &str) -> Result<u64, StoreError> {
        self.read(|connection| journal::head(connection, case))?.ok_or(StoreError::NoSuchCase)
    }

    /// Takes drafts into the journal of a case, in order. When this returns they are on the disk.
    ///
    /// # Errors
    /// When there is no such case, or the database fails; then none was taken in.
    pub fn append(
        &self,
        case: &str,
        who: &Who,
        drafts: Vec<Draft>,
    ) -> Result<Vec<Answer>, StoreError> {
        if !crate::draft::is_case(case) {
            return Err(StoreError::NoSuchCase);
        }
        let (case, who, received) = (case.to_owned(), who.clone(), self.0.clock.text());
        let states = Arc::clone(&self.0.states);
        self.0.writer.write(move |connection, changed| {
            let mut desk = journal::Desk { connection, states: &states, changed };
            drafts.iter().map(|draft| desk.take_in(&case, &who, &received, draft)).collect()
        })
    }

    /// The entries of a case before number `before` (or all), newest first, at most `most`.
    ///
    /// # Errors
    /// When there is no such case, or the database fails.
    pub fn history(
        &self,
        case: &str,
        before: Option<u64>,
        most: usize,
    ) -> Result<Vec<HistoryRow>, StoreError> {
        self.read(|connection| {
            journal::head(connection, case)?.ok_or(StoreError::NoSuchCase)?;
            journal::history(connection, case, before, most)
        })
    }

    /// All entries of a case, oldest first, with their changes as they are kept.
    pub(crate) fn entries(&self, case: &str) -> Result<Vec<(Entry, String)>, StoreError> {
        self.read(|connection| journal::entries(connection, case, u64::MAX))
    }

    /// Reads with one of the connections for reading.
    pub(crate) fn read<T>(
        &self,
        job: impl FnOnce(&Connection) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        let idle = lock(&self.0.readers).pop();
        let connection = match idle {
            Some(connection) => connection,
            None => tables::connect(&self.0.folder.join(DATABASE))?,
        };
        let result = job(&connection);
        let mut readers = lock(&self.0.readers);
        if readers.len() < READERS {
            readers.push(connection);
        }
        result
    }

    /// Keeps a photo that was checked and made anew before, and says its SHA-256.
    ///
    /// # Errors
    /// When there is no such case, or the disk or the database fails.
    pub fn keep_photo(&self, case: &str, who: &Who, bytes: &[u8]) -> Result<String, StoreError> {
        self.head(case)?;
        let sha = crate::photos::write(&self.0.folder, bytes)?;
        let (case, who, received) = (case.to_owned(), who.name.clone(), self.0.clock.text());
        let kept = sha.clone();
        self.0.writer.write(move |connection, _| {
            connection
                .prepare_cached("INSERT OR IGNORE INTO photos VALUES (?1, ?2, ?3, ?4)")?
                .execute(params![case, kept, received, who])?;
            Ok(())
        })?;
        Ok(sha)
    }

    /// A photo of a case.
    ///
    /// # Errors
    /// When the case has no such photo, or its file is not there or not what was put there.
    pub fn photo(&self, case: &str, sha: &str) -> Result<Vec<u8>, StoreError> {
        let known = self.read(|connection| {
            let mut statement = connection
                .prepare_cached("SELECT 1 FROM photos WHERE case_id = ?1 AND sha = ?2")?;
            Ok(statement.query_row([case, sha], |_| Ok(())).optional()?)
        })?;
        known.ok_or(StoreError::NoSuch("photo"))?;
        crate::photos::read(&self.0.folder, sha)
    }
}

impl std::fmt::Debug for Store {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "Store({})", self.0.folder.display())
    }
}

/// What is held is whole between two calls, so a thread that ended while it held it did no harm.
pub(crate) fn lock<T>(held: &Mutex<T>) -> MutexGuard<'_, T> {
    held.lock().unwrap_or_else(PoisonError::into_inner)
}
