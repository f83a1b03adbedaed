//! Whether what is kept is what was put there: the chain of every journal, the state beside it, the
//! photos, and the database itself.

use serde::{Deserialize, Serialize};

use crate::chain;
use crate::fold;
use crate::store::{Store, StoreError};

/// What was found in the journal of one case.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Verified {
    /// The case.
    pub case: String,
    /// What people call it.
    pub title: String,
    /// How many entries it has.
    pub entries: u64,
    /// Hash of the last one; who wrote it down elsewhere can show that nothing before it was changed.
    pub last_hash: String,
    /// What is wrong; empty if nothing is.
    pub faults: Vec<String>,
}

impl Store {
    /// Holds one journal against its hashes, and what is kept beside it against the journal.
    ///
    /// # Errors
    /// When there is no such case, or the database fails.
    pub fn verify(&self, case: &str) -> Result<Verified, StoreError> {
        let row = self.cases()?.into_iter().find(|row| row.id == case);
        let row = row.ok_or(StoreError::NoSuchCase)?;
        let mut out = Verified {
            case: case.to_owned(),
            title: row.title.clone(),
            entries: row.head,
            last_hash: String::new(),
            faults: Vec::new(),
        };
        let entries = match self.entries(case) {
            Ok(entries) => entries,
            Err(StoreError::Damaged(fault)) => {
                out.faults.push(fault);
                return Ok(out);
            }
            Err(fault) => return Err(fault),
        };
        out.faults.extend(chain::fault(&entries).map(|(_, fault)| fault));
        let last = entries.last().map(|(entry, _)| entry);
        out.last_hash = last.map_or_else(String::new, |entry| entry.hash.clone());
        if last.map(|entry| entry.seq) != Some(row.head) || self.kept_hash(case)? != out.last_hash {
            out.faults.push(format!("the journal does not end at entry {}", row.head));
        }
        out.entries = entries.len() as u64;
        let entries: Vec<_> = entries.into_iter().map(|(entry, _)| entry).collect();
        let state = fold::fold(case, &entries);
        if out.faults.is_empty() && self.case(case)?.as_ref() != &state {
            out.faults.push("what is shown of the case is not what its journal says".to_owned());
        }
        for photo in &state.photos {
            out.faults.extend(self.photo(case, &photo.sha).err().map(|fault| fault.to_string()));
        }
        Ok(out)
    }

    /// Whether an entry of a case has this hash.
    ///
    /// # Errors
    /// When the database fails.
    pub fn holds_hash(&self, case: &str, hash: &str) -> Result<bool, StoreError> {
        self.read(|connection| {
            let mut statement = connection
                .prepare_cached("SELECT 1 FROM entries WHERE case_id = ?1 AND hash = ?2")?;
            Ok(statement.exists([case, hash])?)
        })
    }

    /// What the database says of itself: nothing if it is whole.
    ///
    /// # Errors
    /// When it cannot even be asked.
    pub fn database_faults(&self) -> Result<Vec<String>, StoreError> {
        self.read(|connection| {
            let mut statement = connection.prepare("PRAGMA integrity_check")?;
            let rows: Vec<String> =
                statement.query_map([], |row| row.get(0))?.collect::<Result<_, _>>()?;
            Ok(rows.into_iter().filter(|row| row != "ok").collect())
        })
    }

    fn kept_hash(&self, case: &str) -> Result<String, StoreError> {
        self.read(|connection| {
            let mut statement =
                connection.prepare_cached("SELECT hash FROM cases WHERE id = ?1")?;
            Ok(statement.query_row([case], |row| row.get(0))?)
        })
    }
}
