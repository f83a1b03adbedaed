//! What all requests share: the cases, and records that were looked at already.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use sha2::{Digest, Sha256};

use crate::study::Study;

/// How many records that were looked at are kept.
const KEPT: usize = 24;

/// What all requests share. Cheap to clone.
#[derive(Clone, Default)]
pub struct AppState(Arc<Shared>);

#[derive(Default)]
struct Shared {
    cases: Mutex<BTreeMap<String, Arc<str>>>,
    studies: Mutex<Vec<(Hash, Arc<Study>)>>,
}

type Hash = [u8; 32];

/// A case in the list of cases.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CaseLine {
    /// Its id, as in its address.
    pub id: String,
    /// What people call the vehicle.
    pub name: String,
}

/// A case that is open.
#[derive(Clone)]
pub struct Opened {
    /// Its id.
    pub id: String,
    /// The record.
    pub text: Arc<str>,
    /// The record, looked at.
    pub study: Arc<Study>,
}

impl AppState {
    /// With these records, by id.
    pub fn with_records(records: impl IntoIterator<Item = (String, String)>) -> AppState {
        let state = AppState::default();
        lock(&state.0.cases).extend(records.into_iter().map(|(id, text)| (id, text.into())));
        state
    }

    /// Every case, by id.
    pub fn cases(&self) -> Vec<CaseLine> {
        let texts: Vec<_> = lock(&self.0.cases).clone().into_iter().collect();
        let line = |(id, text): (String, Arc<str>)| {
            let name = self.study(&text).case().vehicle_view().name;
            CaseLine { id, name }
        };
        texts.into_iter().map(line).collect()
    }

    /// A case by its id.
    pub fn open(&self, id: &str) -> Option<Opened> {
        let text = lock(&self.0.cases).get(id).cloned()?;
        Some(Opened { id: id.to_owned(), study: self.study(&text), text })
    }

    /// A record, looked at: once for each text.
    pub fn study(&self, text: &str) -> Arc<Study> {
        let hash: Hash = Sha256::digest(text.as_bytes()).into();
        let known = lock(&self.0.studies).iter().find(|(of, _)| *of == hash).cloned();
        if let Some((_, study)) = known {
            return study;
        }
        let study = Arc::new(Study::of(text));
        let mut studies = lock(&self.0.studies);
        if studies.len() >= KEPT {
            studies.remove(0);
        }
        studies.push((hash, Arc::clone(&study)));
        study
    }
}

/// What is held is whole between two calls, so a thread that ended while it held it did no harm.
fn lock<T>(held: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    held.lock().unwrap_or_else(PoisonError::into_inner)
}
