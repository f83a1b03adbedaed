//! The entries of a journal into what the case looks like. The same entries give the same state,
//! whatever was kept beside them.

use std::collections::{BTreeMap, BTreeSet};

use crate::apply::{Applied, apply, said_in};
use crate::entry::{Change, Entry, Outcome};
use crate::state::{CaseState, Said};

/// A case with nothing in it.
pub(crate) fn empty(case: &str) -> CaseState {
    CaseState {
        id: case.to_owned(),
        title: String::new(),
        head: 0,
        text: String::new(),
        photos: Vec::new(),
        ticks: Vec::new(),
        notes: Vec::new(),
        conflicts: Vec::new(),
        said: BTreeMap::new(),
        last: None,
    }
}

/// The state after all of the entries.
pub(crate) fn fold(case: &str, entries: &[Entry]) -> CaseState {
    folded(case, entries).0
}

/// The same, with the numbers of entries that do not fit any more without one that was taken back.
fn folded(case: &str, entries: &[Entry]) -> (CaseState, BTreeSet<u64>) {
    let undone = undone(entries);
    let mut state = empty(case);
    let mut unfit = BTreeSet::new();
    for entry in entries {
        match &entry.change {
            _ if undone.contains_key(&entry.id) => {}
            Change::Undo { .. } => state.last = Some(said_in(entry)),
            _ if step(&mut state, entry).is_err() => {
                unfit.insert(entry.seq);
            }
            _ => {}
        }
        state.head = entry.seq;
    }
    (state, unfit)
}

/// One entry, which is no undo, into the state.
pub(crate) fn step(state: &mut CaseState, entry: &Entry) -> Result<Outcome, String> {
    match &entry.change {
        Change::Open { title, text } if state.head == 0 => {
            state.title.clone_from(title);
            state.text.clone_from(text);
            state.last = Some(said_in(entry));
        }
        _ => match apply(state, entry)? {
            Applied::Stands => {}
            Applied::Clashes => {
                state.head = entry.seq;
                return Ok(Outcome::Conflict);
            }
        },
    }
    state.head = entry.seq;
    Ok(Outcome::Taken)
}

/// The state after an undo, which is the last of the entries.
///
/// It is refused where later entries build on what it takes back: they would not fit or would
/// contradict what is left.
pub(crate) fn undo(case: &str, entries: &[Entry]) -> Result<CaseState, String> {
    let Some((Entry { change: Change::Undo { entry: target }, .. }, earlier)) =
        entries.split_last()
    else {
        return Err("this is no undo".to_owned());
    };
    let Some(known) = earlier.iter().find(|entry| entry.id == *target) else {
        return Err("there is no such entry in this case".to_owned());
    };
    if matches!(known.change, Change::Open { .. }) {
        return Err("the first entry of a case cannot be taken back".to_owned());
    }
    if undone(earlier).contains_key(target) {
        return Err("this entry was taken back already".to_owned());
    }
    let (before, unfit_before) = folded(case, earlier);
    let (state, unfit) = folded(case, entries);
    let clashing = |state: &CaseState| -> BTreeSet<u64> {
        state.conflicts.iter().map(|known| known.other_said.seq).collect()
    };
    let old = &clashing(&before) | &unfit_before;
    // What comes back with an undo of an undo, or of a choice, may contradict as it did before.
    let brings_back = matches!(known.change, Change::Undo { .. } | Change::Choose { .. });
    match (&clashing(&state) | &unfit).into_iter().find(|seq| !old.contains(seq)) {
        Some(seq) if !brings_back => {
            Err(format!("entry {seq} builds on it; take that one back first"))
        }
        _ => Ok(state),
    }
}

/// Entries that were taken back, with who did. An undo that was taken back does nothing.
pub(crate) fn undone(entries: &[Entry]) -> BTreeMap<String, Said> {
    let mut out: BTreeMap<String, Said> = BTreeMap::new();
    for entry in entries.iter().rev() {
        if let Change::Undo { entry: target } = &entry.change
            && !out.contains_key(&entry.id)
        {
            out.entry(target.clone()).or_insert_with(|| said_in(entry));
        }
    }
    out
}
