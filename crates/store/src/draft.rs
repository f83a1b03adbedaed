//! Whether what a device sent is well-formed, before anything is looked up.

use crate::entry::{Change, Draft};
use crate::photos::is_sha;

/// Longest name, path or step.
const MAX_NAME: usize = 400;

/// Longest line, note or reading.
const MAX_WORDS: usize = 20_000;

/// Says what is wrong with a draft.
pub(crate) fn check(draft: &Draft) -> Result<(), String> {
    if !is_id(&draft.id) {
        return Err("the id of an entry is a UUID made on the device (version 4 or 7)".to_owned());
    }
    short("the name of the device", &draft.device, 100)?;
    if draft.at.parse::<jiff::Timestamp>().is_err() || draft.at.len() > 40 {
        return Err("the time of an entry is written as 2026-05-02T10:00:00Z".to_owned());
    }
    sizes(&draft.change)
}

/// Whether a text is a UUID of version 4 or 7 in lower case.
pub(crate) fn is_id(text: &str) -> bool {
    let read = uuid::Uuid::try_parse(text).ok();
    read.is_some_and(|id| {
        matches!(id.get_version_num(), 4 | 7) && id.as_hyphenated().to_string() == text
    })
}

/// A new id, as devices make them.
pub fn new_id() -> String {
    uuid::Uuid::new_v4().as_hyphenated().to_string()
}

/// Whether a text can name a case in an address: an id, or one word of lower-case letters, digits and
/// hyphens.
pub(crate) fn is_case(text: &str) -> bool {
    let is_letter = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-';
    (1..=60).contains(&text.len()) && text.bytes().all(is_letter)
}

fn sizes(change: &Change) -> Result<(), String> {
    match change {
        Change::Open { title, text } => {
            named("the title", title)?;
            record_text(text)
        }
        Change::Line { section, text } => {
            named("the section", section)?;
            if !section.chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-') {
                return Err("the section is one word, such as `wires`".to_owned());
            }
            short("the line", text, MAX_WORDS)
        }
        Change::Value { path, is, was } => {
            named("the path", path)?;
            short("the value", is, MAX_WORDS)?;
            short("the value before", was.as_deref().unwrap_or(""), MAX_WORDS)
        }
        Change::Remove { path, was } => {
            named("the path", path)?;
            short("the value before", was.as_deref().unwrap_or(""), MAX_WORDS)
        }
        Change::Text { is, was } => {
            record_text(is)?;
            record_text(was.as_deref().unwrap_or(""))
        }
        Change::Lines { from, to } => {
            record_text(from)?;
            record_text(to)
        }
        Change::Note { on, words } => {
            short("what the note is on", on.as_deref().unwrap_or(""), MAX_NAME)?;
            named_up_to("the note", words, MAX_WORDS)
        }
        Change::Tick { list, step, reading, .. } => {
            named("the list", list)?;
            named("the step", step)?;
            short("the reading", reading.as_deref().unwrap_or(""), MAX_NAME)
        }
        Change::Photo { sha, on, arrow, words } => {
            if !is_sha(sha) {
                return Err("a photo is named by the SHA-256 of its content".to_owned());
            }
            short("what the photo shows", on.as_deref().unwrap_or(""), MAX_NAME)?;
            marks(arrow.as_deref().unwrap_or(""))?;
            short("the words beside the photo", words.as_deref().unwrap_or(""), MAX_WORDS)
        }
        Change::Undo { entry } | Change::Choose { entry, .. } => match is_id(entry) {
            true => Ok(()),
            false => Err("the entry is named by its id".to_owned()),
        },
        Change::Authority(authority) => {
            named_up_to("what was agreed to", &authority.to, MAX_WORDS)?;
            named("who agreed", &authority.by)?;
            short("by which way", authority.how.as_deref().unwrap_or(""), MAX_NAME)?;
            short("up to how much", authority.up_to.as_deref().unwrap_or(""), MAX_NAME)?;
            short("their words", authority.words.as_deref().unwrap_or(""), MAX_WORDS)
        }
    }
}

/// Marks are points of an SVG path (W3C SVG 2, section 9.3): move, line, close, and numbers.
fn marks(path: &str) -> Result<(), String> {
    short("the marks", path, MAX_WORDS)?;
    let is_mark = |c: char| c.is_ascii_digit() || "MLZmlz,.- ".contains(c);
    match path.chars().all(is_mark) {
        true => Ok(()),
        false => Err("marks on a photo are points: `M 0.5 0.5 L 0.6 0.7`".to_owned()),
    }
}

fn named(what: &str, words: &str) -> Result<(), String> {
    named_up_to(what, words, MAX_NAME)
}

fn named_up_to(what: &str, words: &str, most: usize) -> Result<(), String> {
    if words.trim().is_empty() {
        return Err(format!("{what} is missing"));
    }
    short(what, words, most)
}

fn short(what: &str, words: &str, most: usize) -> Result<(), String> {
    if words.chars().any(|c| c.is_control() && c != '\n' && c != '\t' && c != '\r') {
        return Err(format!("{what} holds characters that cannot be printed"));
    }
    match words.len() <= most {
        true => Ok(()),
        false => Err(format!("{what} is longer than {most} bytes")),
    }
}

fn record_text(text: &str) -> Result<(), String> {
    match text.len() <= record::MAX_BYTES {
        true => Ok(()),
        false => Err("the record is longer than any vehicle needs".to_owned()),
    }
}
