//! One change into the state of a case, and when it contradicts what stands there.
//!
//! Where two entries say different things of one place, what stood first stands, and the other is kept
//! as a [`Conflict`] until somebody chooses. Knows the form of a record through `record` only.

use std::collections::BTreeMap;

use crate::entry::{Authority, Change, Entry, Keep};
use crate::merge::{Clash, merge};
use crate::state::{CaseState, Conflict, Noted, PhotoOn, Said, Ticked};

/// Sections whose lines are events: their names are only labels, so a second line of the same name is
/// another event and gets a name of its own.
const EVENTS: [&str; 3] = ["readings", "symptoms", "photos"];

/// What became of a change.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Applied {
    /// It stands.
    Stands,
    /// It stands, except for places where somebody has to choose.
    Clashes,
}

/// Puts a change into the state. Nothing is changed when it is refused; the words say why.
pub(crate) fn apply(state: &mut CaseState, entry: &Entry) -> Result<Applied, String> {
    let said = said_in(entry);
    let before = state.conflicts.len();
    match &entry.change {
        Change::Open { .. } => return Err("this case is open already".to_owned()),
        Change::Undo { .. } => return Err("an undo stands for itself".to_owned()),
        Change::Line { section, text } => line(state, section, text, &said)?,
        Change::Value { path, is, was } => value(state, path, is, was.as_deref(), &said)?,
        Change::Remove { path, was } => remove(state, path, was.as_deref(), &said)?,
        Change::Text { is, was } => text(state, is, was.as_deref(), &said),
        Change::Lines { from, to } => lines(state, from, to, &said),
        Change::Note { on, words } => {
            state.notes.push(Noted { on: on.clone(), words: words.clone(), said: said.clone() });
        }
        Change::Tick { .. } => tick(state, entry, &said),
        Change::Photo { sha, on, arrow, words } => state.photos.push(PhotoOn {
            sha: sha.clone(),
            on: on.clone(),
            arrow: arrow.clone(),
            words: words.clone(),
            said: said.clone(),
        }),
        Change::Authority(authority) => agreed(state, authority, &said),
        Change::Choose { entry, place, keep } => choose(state, entry, *place, *keep, &said)?,
    }
    state.last = Some(said);
    let clashes = state.conflicts.len() > before;
    Ok(if clashes { Applied::Clashes } else { Applied::Stands })
}

/// Who says what an entry says.
pub(crate) fn said_in(entry: &Entry) -> Said {
    Said { entry: entry.id.clone(), seq: entry.seq, who: entry.who.clone(), at: entry.at.clone() }
}

/// Puts a new text in the place of the present one and notes who said what is different.
fn becomes(state: &mut CaseState, text: String, said: &Said) {
    let before = record::values(&state.text);
    let after = record::values(&text);
    for (path, value) in &after {
        if before.get(path) != Some(value) {
            state.said.insert(path.clone(), said.clone());
        }
    }
    for path in before.keys().filter(|path| !after.contains_key(*path)) {
        state.said.remove(path);
    }
    state.text = text;
}

fn line(state: &mut CaseState, section: &str, line: &str, said: &Said) -> Result<(), String> {
    let line = &*record::as_line(line.trim());
    let key = record::line_key(line)?;
    let present = record::value(&state.text, &[section, &key]);
    let (words, source) = record::line_value(line).ok_or("there is no value on this line")?;
    let joins = section == "joints"
        || (source.starts_with('[') && present.as_deref().is_some_and(|p| p.starts_with('[')));
    let text = match present {
        Some(present) if present == words => return Ok(()),
        Some(_) if EVENTS.contains(&section) => {
            let name = free_name(&state.text, section, &key);
            record::add_line(
                &state.text,
                section,
                &format!("{} = {source}", record::join_path(&[name])),
            )
        }
        Some(present) if !joins => {
            let path = record::join_path(&[section, &key]);
            let change =
                Change::Value { path: path.clone(), is: words, was: Some(present.clone()) };
            clash(state, path, Some(present), change, said);
            return Ok(());
        }
        _ => record::add_line(&state.text, section, line),
    };
    becomes(state, text, said);
    Ok(())
}

/// A yes or a no becomes a line of the record, so that there is one list of them.
fn agreed(state: &mut CaseState, of: &Authority, said: &Said) {
    let on = minute(&said.at);
    let (allows, declines) = if of.given { (of.to.as_str(), "") } else { ("", of.to.as_str()) };
    let agreed = record::Agreed {
        by: &of.by,
        channel: of.how.as_deref().unwrap_or(""),
        on: &on,
        allows,
        declines,
        up_to: of.up_to.as_deref().unwrap_or(""),
        words: of.words.as_deref().unwrap_or(""),
        recorder: &said.who,
    };
    let line = record::agreed_line(&state.text, &agreed);
    becomes(state, record::add_line(&state.text, "authority", &line), said);
}

/// `2026-05-02 14:10 UTC` of a moment as devices write it (RFC 3339).
fn minute(at: &str) -> String {
    let zone = if at.ends_with('Z') { " UTC" } else { "" };
    match (at.get(..10), at.get(11..16)) {
        (Some(day), Some(time)) => format!("{day} {time}{zone}"),
        _ => at.to_owned(),
    }
}

/// `r7-2` where `r7` is taken.
fn free_name(text: &str, section: &str, key: &str) -> String {
    let is_free = |name: &String| record::value(text, &[section, name]).is_none();
    (2..).map(|n: u32| format!("{key}-{n}")).find(is_free).unwrap_or_else(|| key.to_owned())
}

fn value(
    state: &mut CaseState,
    path: &str,
    is: &str,
    was: Option<&str>,
    said: &Said,
) -> Result<(), String> {
    let keys = record::split_path(path)?;
    let keys: Vec<&str> = keys.iter().map(String::as_str).collect();
    let present = record::value(&state.text, &keys);
    if present.as_deref() == Some(is) {
        return Ok(());
    }
    if present.as_deref() == was {
        let text = record::set(&state.text, &keys, is).map_err(|fault| fault.to_string())?;
        becomes(state, text, said);
        return Ok(());
    }
    let change = Change::Value { path: path.to_owned(), is: is.to_owned(), was: present.clone() };
    clash(state, path.to_owned(), present, change, said);
    Ok(())
}

fn remove(state: &mut CaseState, path: &str, was: Option<&str>, said: &Said) -> Result<(), String> {
    let keys = record::split_path(path)?;
    let keys: Vec<&str> = keys.iter().map(String::as_str).collect();
    let present = record::value(&state.text, &keys);
    if present.is_none() && !is_there(&state.text, path) {
        return Ok(());
    }
    if was.is_some() && present.as_deref() != was {
        let change = Change::Remove { path: path.to_owned(), was: present.clone() };
        clash(state, path.to_owned(), present, change, said);
        return Ok(());
    }
    let text = record::remove(&state.text, &keys).map_err(|fault| fault.to_string())?;
    becomes(state, text, said);
    Ok(())
}

/// Whether anything stands at or below a path.
fn is_there(text: &str, path: &str) -> bool {
    let below = format!("{path}.");
    record::values(text).keys().any(|known| known.starts_with(&below))
}

fn text(state: &mut CaseState, is: &str, was: Option<&str>, said: &Said) {
    let merged = merge(was.unwrap_or(&state.text), &state.text, is);
    becomes(state, merged.text, said);
    for Clash { present, other } in merged.clashes {
        let change = Change::Lines { from: present.clone(), to: other };
        clash(state, lines_named(&state.text, &present), Some(present), change, said);
    }
}

/// `lines 12 to 14`.
fn lines_named(text: &str, lines: &str) -> String {
    let Some(at) = text.find(lines).filter(|_| !lines.is_empty()) else {
        return "lines taken out".to_owned();
    };
    let first = text[..at].matches('\n').count() + 1;
    match lines.trim_end().matches('\n').count() {
        0 => format!("line {first}"),
        more => format!("lines {first} to {}", first + more),
    }
}

fn lines(state: &mut CaseState, from: &str, to: &str, said: &Said) {
    let to = &*match to.strip_suffix('\n') {
        Some(line) => format!("{}\n", record::as_line(line)),
        None => record::as_line(to).into_owned(),
    };
    let mut places = state.text.match_indices(from);
    match (places.next(), places.next()) {
        (Some((at, _)), None) if !from.is_empty() => {
            let text = format!("{}{to}{}", &state.text[..at], &state.text[at + from.len()..]);
            becomes(state, text, said);
        }
        _ => {
            let change = Change::Lines { from: from.to_owned(), to: to.to_owned() };
            clash(state, "lines that are not there any more".to_owned(), None, change, said);
        }
    }
}

fn tick(state: &mut CaseState, entry: &Entry, said: &Said) {
    let Change::Tick { list, step, reading, done } = &entry.change else { return };
    let new = Ticked {
        list: list.clone(),
        step: step.clone(),
        reading: reading.clone(),
        done: *done,
        said: said.clone(),
    };
    let Some(known) =
        state.ticks.iter_mut().find(|known| known.list == *list && known.step == *step)
    else {
        state.ticks.push(new);
        return;
    };
    let same = known.reading == *reading && known.done == *done;
    let of_another = known.said.who != entry.who;
    if same && of_another {
        return;
    }
    if same || !of_another || known.said.seq <= entry.base {
        *known = new;
        return;
    }
    let what = format!("{list}: {step}");
    let present = Some(ticked_words(known));
    clash(state, what, present, entry.change.clone(), said);
}

fn ticked_words(ticked: &Ticked) -> String {
    let done = if ticked.done { "done" } else { "not done" };
    match &ticked.reading {
        Some(reading) => format!("{done}, {reading}"),
        None => done.to_owned(),
    }
}

/// Keeps a conflict: `change` is what happens if somebody chooses the other.
fn clash(
    state: &mut CaseState,
    what: String,
    present: Option<String>,
    change: Change,
    said: &Said,
) {
    let place = state.conflicts.iter().filter(|known| known.entry == said.entry).count();
    let other = match &change {
        Change::Value { is, .. } => Some(is.clone()),
        Change::Lines { to, .. } if !to.is_empty() => Some(to.clone()),
        Change::Tick { list, step, reading, done } => Some(ticked_words(&Ticked {
            list: list.clone(),
            step: step.clone(),
            reading: reading.clone(),
            done: *done,
            said: said.clone(),
        })),
        _ => None,
    };
    let present_said = match &change {
        Change::Tick { list, step, .. } => state
            .ticks
            .iter()
            .find(|known| known.list == *list && known.step == *step)
            .map(|known| known.said.clone()),
        _ => last_said(&state.said, &what),
    };
    state.conflicts.push(Conflict {
        entry: said.entry.clone(),
        place,
        what,
        present,
        present_said,
        other,
        other_said: said.clone(),
        change,
    });
}

/// Who said the value at a path, or last said something below it.
fn last_said(said: &BTreeMap<String, Said>, path: &str) -> Option<Said> {
    let below = format!("{path}.");
    let here = said.iter().filter(|(known, _)| *known == path || known.starts_with(&below));
    here.map(|(_, said)| said).max_by_key(|said| said.seq).cloned()
}

fn choose(
    state: &mut CaseState,
    entry: &str,
    place: usize,
    keep: Keep,
    said: &Said,
) -> Result<(), String> {
    let is_it = |known: &Conflict| known.entry == entry && known.place == place;
    let Some(index) = state.conflicts.iter().position(is_it) else {
        return Err("nothing is left to choose here; somebody may have chosen already".to_owned());
    };
    let conflict = state.conflicts[index].clone();
    if keep == Keep::Other {
        take_other(state, &conflict, said)?;
    }
    state.conflicts.remove(index);
    Ok(())
}

fn take_other(state: &mut CaseState, conflict: &Conflict, said: &Said) -> Result<(), String> {
    let text = match &conflict.change {
        Change::Value { path, is, .. } => {
            let keys = record::split_path(path)?;
            let keys: Vec<&str> = keys.iter().map(String::as_str).collect();
            record::set(&state.text, &keys, is).map_err(|fault| fault.to_string())?
        }
        Change::Remove { path, .. } => {
            let keys = record::split_path(path)?;
            let keys: Vec<&str> = keys.iter().map(String::as_str).collect();
            record::remove(&state.text, &keys).map_err(|fault| fault.to_string())?
        }
        Change::Lines { from, to } => swapped(&state.text, from, to)?,
        Change::Tick { list, step, reading, done } => {
            let known =
                state.ticks.iter_mut().find(|known| known.list == *list && known.step == *step);
            if let Some(known) = known {
                known.reading.clone_from(reading);
                known.done = *done;
                known.said = said.clone();
            }
            return Ok(());
        }
        _ => return Err("this cannot be chosen".to_owned()),
    };
    becomes(state, text, said);
    Ok(())
}

fn swapped(text: &str, from: &str, to: &str) -> Result<String, String> {
    const GONE: &str = "these lines changed again since; edit the record and keep what stands";
    let mut places = text.match_indices(from);
    match (places.next(), places.next()) {
        (Some((at, _)), None) if !from.is_empty() => {
            Ok(format!("{}{to}{}", &text[..at], &text[at + from.len()..]))
        }
        _ => Err(GONE.to_owned()),
    }
}
