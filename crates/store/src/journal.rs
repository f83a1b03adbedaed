//! Journals in the database: entries read, states kept beside them, drafts taken in.

use std::sync::Arc;

use rusqlite::{Connection, OptionalExtension as _, Row, params};

use crate::chain;
use crate::draft;
use crate::entry::{Answer, Change, Draft, Entry, Outcome, Who};
use crate::fold;
use crate::lock;
use crate::state::{CaseState, HistoryRow};
use crate::store::{States, StoreError};
use crate::writer::Changed;

/// A state is kept in the database after this many entries.
const KEEP_EVERY: u64 = 16;

const COLUMNS: &str =
    "case_id, seq, id, who, device, at, received, base, change, previous, hash, outcome";

/// Number of the last entry of a case, if there is such a case.
pub(crate) fn head(connection: &Connection, case: &str) -> Result<Option<u64>, StoreError> {
    let mut statement = connection.prepare_cached("SELECT head FROM cases WHERE id = ?1")?;
    Ok(statement.query_row([case], |row| row.get(0)).optional()?)
}

/// What a case looks like, from memory, or from what was kept and the entries after it.
pub(crate) fn state(
    connection: &Connection,
    states: &States,
    case: &str,
) -> Result<Arc<CaseState>, StoreError> {
    let head = head(connection, case)?.ok_or(StoreError::NoSuchCase)?;
    if let Some(known) = states.get(case, head) {
        return Ok(known);
    }
    let state = Arc::new(read_state(connection, case, head)?);
    states.put(Arc::clone(&state));
    Ok(state)
}

fn read_state(connection: &Connection, case: &str, head: u64) -> Result<CaseState, StoreError> {
    let kept: Option<String> = connection
        .prepare_cached("SELECT state FROM states WHERE case_id = ?1 AND head <= ?2")?
        .query_row(params![case, head], |row| row.get(0))
        .optional()?;
    // What was kept by another version of the program may not be readable, and is not needed.
    let kept: Option<CaseState> = kept.and_then(|kept| serde_json::from_str(&kept).ok());
    if let Some(mut state) = kept {
        let later = rows(connection, case, state.head + 1, head)?;
        let is_undo =
            |(entry, ..): &(Entry, String, Outcome)| matches!(entry.change, Change::Undo { .. });
        if !later.iter().any(is_undo) {
            for (entry, ..) in &later {
                // It fitted when it came in.
                let _ = fold::step(&mut state, entry);
            }
            return Ok(state);
        }
    }
    Ok(fold::fold(case, &changes(entries(connection, case, head)?)))
}

/// The entries of a case up to a number, oldest first, with their changes as they are kept.
pub(crate) fn entries(
    connection: &Connection,
    case: &str,
    last: u64,
) -> Result<Vec<(Entry, String)>, StoreError> {
    let rows = rows(connection, case, 1, last)?;
    Ok(rows.into_iter().map(|(entry, change, _)| (entry, change)).collect())
}

fn changes(entries: Vec<(Entry, String)>) -> Vec<Entry> {
    entries.into_iter().map(|(entry, _)| entry).collect()
}

fn rows(
    connection: &Connection,
    case: &str,
    first: u64,
    last: u64,
) -> Result<Vec<(Entry, String, Outcome)>, StoreError> {
    let mut statement = connection.prepare_cached(&format!(
        "SELECT {COLUMNS} FROM entries WHERE case_id = ?1 AND seq BETWEEN ?2 AND ?3 ORDER BY seq"
    ))?;
    let last = i64::try_from(last).unwrap_or(i64::MAX);
    let rows = statement.query_map(params![case, first, last], kept_row)?;
    rows.map(|row| whole(row?)).collect()
}

/// The newest entries before a number, with what became of them.
pub(crate) fn history(
    connection: &Connection,
    case: &str,
    before: Option<u64>,
    most: usize,
) -> Result<Vec<HistoryRow>, StoreError> {
    let all = rows(connection, case, 1, u64::MAX)?;
    let undone = fold::undone(&all.iter().map(|(entry, ..)| entry.clone()).collect::<Vec<_>>());
    let wanted = all.into_iter().rev().filter(|(entry, ..)| before.is_none_or(|b| entry.seq < b));
    let row = |(entry, _, outcome): (Entry, String, Outcome)| HistoryRow {
        undone: undone.get(&entry.id).cloned(),
        entry,
        outcome,
    };
    Ok(wanted.take(most).map(row).collect())
}

type KeptRow = (Entry, String, String);

fn kept_row(row: &Row<'_>) -> rusqlite::Result<KeptRow> {
    let entry = Entry {
        case: row.get(0)?,
        seq: row.get(1)?,
        id: row.get(2)?,
        who: row.get(3)?,
        device: row.get(4)?,
        at: row.get(5)?,
        received: row.get(6)?,
        base: row.get(7)?,
        change: Change::Note { on: None, words: String::new() },
        previous: row.get(9)?,
        hash: row.get(10)?,
    };
    Ok((entry, row.get(8)?, row.get(11)?))
}

fn whole((mut entry, change, outcome): KeptRow) -> Result<(Entry, String, Outcome), StoreError> {
    let unread = |fault: serde_json::Error| {
        StoreError::Damaged(format!(
            "entry {} of case {} cannot be read: {fault}",
            entry.seq, entry.case
        ))
    };
    let read = serde_json::from_str(&change).map_err(unread)?;
    let outcome = serde_json::from_value(serde_json::Value::String(outcome)).map_err(unread)?;
    entry.change = read;
    Ok((entry, change, outcome))
}

/// Where drafts become entries, inside one transaction.
pub(crate) struct Desk<'a> {
    pub(crate) connection: &'a Connection,
    pub(crate) states: &'a States,
    pub(crate) changed: &'a mut Vec<Changed>,
}

impl Desk<'_> {
    /// Takes a draft in, or says why not.
    pub(crate) fn take_in(
        &mut self,
        case: &str,
        who: &Who,
        received: &str,
        draft: &Draft,
    ) -> Result<Answer, StoreError> {
        let answer = |seq, outcome, message: String| {
            Ok(Answer { id: draft.id.clone(), seq, outcome, message })
        };
        if let Err(why) = draft::check(draft) {
            return answer(0, Outcome::Refused, why);
        }
        if let Some((known, seq)) = self.known(&draft.id)? {
            return match known == case {
                true => answer(seq, Outcome::Already, String::new()),
                false => answer(0, Outcome::Refused, "this id belongs to another case".to_owned()),
            };
        }
        let before = self.before(case, draft)?;
        let mut entry = Entry {
            case: case.to_owned(),
            seq: before.head + 1,
            id: draft.id.clone(),
            who: who.name.clone(),
            device: draft.device.clone(),
            at: draft.at.clone(),
            received: received.to_owned(),
            base: draft.base.min(before.head),
            change: draft.change.clone(),
            previous: self.last_hash(case)?,
            hash: String::new(),
        };
        self.complete(&mut entry, &before)?;
        match self.after(&entry, &before)? {
            Err(why) => answer(0, Outcome::Refused, why),
            Ok((state, outcome)) => {
                self.keep(&mut entry, &state, outcome)?;
                let message = match outcome {
                    Outcome::Conflict => conflict(&state, &entry),
                    _ => String::new(),
                };
                self.changed.push(Changed { state: Arc::new(state) });
                answer(entry.seq, outcome, message)
            }
        }
    }

    fn known(&self, id: &str) -> Result<Option<(String, u64)>, StoreError> {
        let mut statement =
            self.connection.prepare_cached("SELECT case_id, seq FROM entries WHERE id = ?1")?;
        Ok(statement.query_row([id], |row| Ok((row.get(0)?, row.get(1)?))).optional()?)
    }

    /// The state before the draft: of this transaction, of memory, of the database.
    fn before(&self, case: &str, draft: &Draft) -> Result<Arc<CaseState>, StoreError> {
        if let Some(changed) = self.changed.iter().rev().find(|changed| changed.state.id == case) {
            return Ok(Arc::clone(&changed.state));
        }
        match state(self.connection, self.states, case) {
            Err(StoreError::NoSuchCase) if matches!(draft.change, Change::Open { .. }) => {
                Ok(Arc::new(fold::empty(case)))
            }
            found => found,
        }
    }

    fn last_hash(&self, case: &str) -> Result<String, StoreError> {
        let mut statement =
            self.connection.prepare_cached("SELECT hash FROM cases WHERE id = ?1")?;
        let hash: Option<String> = statement.query_row([case], |row| row.get(0)).optional()?;
        Ok(hash.unwrap_or_else(|| chain::BEGINNING.to_owned()))
    }

    /// Puts in the text that a whole text was made from, so that the entry says all by itself.
    fn complete(&self, entry: &mut Entry, before: &CaseState) -> Result<(), StoreError> {
        let Change::Text { was: was @ None, .. } = &mut entry.change else { return Ok(()) };
        *was = Some(match entry.base == before.head {
            true => before.text.clone(),
            false => {
                let seen = entries(self.connection, &entry.case, entry.base)?;
                fold::fold(&entry.case, &changes(seen)).text
            }
        });
        Ok(())
    }

    /// The state after an entry, or why it is refused.
    fn after(
        &self,
        entry: &Entry,
        before: &CaseState,
    ) -> Result<Result<(CaseState, Outcome), String>, StoreError> {
        let after = match self.folded(entry, before)? {
            Ok(after) => after,
            Err(why) => return Ok(Err(why)),
        };
        if after.0.text.len() > record::MAX_BYTES {
            return Ok(Err("the record would be longer than any vehicle needs".to_owned()));
        }
        let refused = lock::refused(self.connection, before, &after.0, &entry.who)?;
        Ok(refused.map_or(Ok(after), Err))
    }

    fn folded(
        &self,
        entry: &Entry,
        before: &CaseState,
    ) -> Result<Result<(CaseState, Outcome), String>, StoreError> {
        if matches!(entry.change, Change::Undo { .. }) {
            let mut all = changes(entries(self.connection, &entry.case, before.head)?);
            all.push(entry.clone());
            return Ok(fold::undo(&entry.case, &all).map(|state| (state, Outcome::Taken)));
        }
        if let Change::Photo { sha, .. } = &entry.change
            && !self.has_photo(&entry.case, sha)?
        {
            return Ok(Err("the photo itself has not arrived; send it first".to_owned()));
        }
        let mut state = before.clone();
        let outcome = fold::step(&mut state, entry);
        Ok(outcome.map(|outcome| (state, outcome)))
    }

    fn has_photo(&self, case: &str, sha: &str) -> Result<bool, StoreError> {
        let mut statement = self
            .connection
            .prepare_cached("SELECT 1 FROM photos WHERE case_id = ?1 AND sha = ?2")?;
        Ok(statement.exists([case, sha])?)
    }

    fn keep(
        &self,
        entry: &mut Entry,
        state: &CaseState,
        outcome: Outcome,
    ) -> Result<(), StoreError> {
        let change = serde_json::to_string(&entry.change)
            .map_err(|fault| StoreError::Refused(fault.to_string()))?;
        entry.hash = chain::hash(entry, &change);
        keep_case(self.connection, entry, state)?;
        insert(self.connection, entry, &change, outcome)?;
        if entry.seq % KEEP_EVERY == 1 || matches!(entry.change, Change::Undo { .. }) {
            keep_state(self.connection, state)?;
        }
        Ok(())
    }
}

/// Writes entries that were made elsewhere as they are, with the state after the last of them.
pub(crate) fn adopt(
    connection: &Connection,
    state: &CaseState,
    entries: &[(Entry, String)],
    outcomes: &[Outcome],
) -> Result<(), StoreError> {
    let Some((last, _)) = entries.last() else { return Ok(()) };
    keep_case(connection, last, state)?;
    for ((entry, change), outcome) in entries.iter().zip(outcomes) {
        insert(connection, entry, change, *outcome)?;
    }
    keep_state(connection, state)
}

/// The line of a case in the list, after its last entry.
fn keep_case(connection: &Connection, last: &Entry, state: &CaseState) -> Result<(), StoreError> {
    let conflicts = state.conflicts.len();
    connection
        .prepare_cached(
            "INSERT INTO cases VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)
             ON CONFLICT (id) DO UPDATE SET title = ?2, head = ?3, hash = ?4, changed = ?5,
             changed_by = ?6, conflicts = ?7",
        )?
        .execute(params![
            last.case,
            state.title,
            last.seq,
            last.hash,
            last.received,
            last.who,
            conflicts
        ])?;
    Ok(())
}

/// Writes an entry as it is.
fn insert(
    connection: &Connection,
    entry: &Entry,
    change: &str,
    outcome: Outcome,
) -> Result<(), StoreError> {
    let outcome = match outcome {
        Outcome::Conflict => "conflict",
        _ => "taken",
    };
    connection
        .prepare_cached(&format!(
            "INSERT INTO entries ({COLUMNS}) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)"
        ))?
        .execute(params![
            entry.case,
            entry.seq,
            entry.id,
            entry.who,
            entry.device,
            entry.at,
            entry.received,
            entry.base,
            change,
            entry.previous,
            entry.hash,
            outcome
        ])?;
    Ok(())
}

/// Keeps a state, so that the entries before it need not be read again.
fn keep_state(connection: &Connection, state: &CaseState) -> Result<(), StoreError> {
    let json =
        serde_json::to_string(state).map_err(|fault| StoreError::Refused(fault.to_string()))?;
    connection
        .prepare_cached("INSERT OR REPLACE INTO states VALUES (?1, ?2, ?3)")?
        .execute(params![state.id, state.head, json])?;
    Ok(())
}

/// What to tell somebody whose entry contradicts what stands.
fn conflict(state: &CaseState, entry: &Entry) -> String {
    let places = state.conflicts.iter().filter(|known| known.entry == entry.id);
    let tell = |known: &crate::state::Conflict| {
        let who =
            known.present_said.as_ref().map_or(String::new(), |said| format!(" ({})", said.who));
        let present = known.present.as_deref().unwrap_or("nothing").trim_end();
        let other = known.other.as_deref().unwrap_or("nothing").trim_end();
        format!("{}: there stands {present}{who}, you say {other}; choose one", known.what)
    };
    places.map(tell).collect::<Vec<_>>().join(". ")
}
