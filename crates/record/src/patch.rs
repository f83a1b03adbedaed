//! Changes one value of a record's text and nothing else: comments, order and spacing stay.

use std::fmt;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Why a value could not be changed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PatchError {
    /// The record has no value at this path.
    NoSuchPath {
        /// The path as far as it exists.
        found: String,
        /// The first key that does not.
        missing: String,
    },
    /// The path names a table or a list, not a single value.
    NotOneValue {
        /// The path.
        path: String,
    },
    /// What stands at the path is of another sort than what should stand there.
    OtherSort {
        /// The path.
        path: String,
    },
    /// The path names one line, which has no values inside.
    OneLine {
        /// The path.
        path: String,
    },
}

impl fmt::Display for PatchError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PatchError::NoSuchPath { found, missing } if found.is_empty() => {
                write!(out, "the record has no `{missing}`")
            }
            PatchError::NoSuchPath { found, missing } => {
                write!(out, "`{found}` has no `{missing}` in the record")
            }
            PatchError::NotOneValue { path } => write!(out, "`{path}` is not a single value"),
            PatchError::OtherSort { path } => {
                write!(
                    out,
                    "what stands at `{path}` is of another sort: a list, a number or a table"
                )
            }
            PatchError::OneLine { path } => {
                write!(out, "`{path}` is one line; give the whole line anew")
            }
        }
    }
}

impl std::error::Error for PatchError {}

/// The text with the value at `path` replaced by the text value `new`.
///
/// # Errors
/// When there is no single value at the path.
pub fn patch(text: &str, path: &[&str], new: &str) -> Result<String, PatchError> {
    let (table, _) = DeTable::parse_recoverable(text);
    let (first, rest) = path
        .split_first()
        .ok_or_else(|| PatchError::NoSuchPath { found: String::new(), missing: String::new() })?;
    let mut found = String::new();
    let mut value = get(table.get_ref(), first, &found)?;
    found.push_str(first);
    for key in rest {
        let DeValue::Table(table) = value.get_ref() else {
            return Err(PatchError::NoSuchPath { found, missing: (*key).to_owned() });
        };
        value = get(table, key, &found)?;
        found = format!("{found}.{key}");
    }
    if matches!(value.get_ref(), DeValue::Table(_) | DeValue::Array(_)) {
        return Err(PatchError::NotOneValue { path: found });
    }
    let span = value.span();
    Ok(format!("{}{}{}", &text[..span.start], quoted(new), &text[span.end..]))
}

/// The text with a line added at the end of a section; the section is added if it is not there. A
/// list that the section has already (`not_reached = [...]`) gets the new members; words that it has
/// already (of a joint that was described before) get the new ones, and lose a condition they name.
///
/// Comments, order and spacing stay as they are.
pub fn add_line(text: &str, section: &str, line: &str) -> String {
    extended(text, section, line).unwrap_or_else(|| with_new_line(text, section, line))
}

/// The text with what a line says joined to a value that is there; `None` if there is none.
fn extended(text: &str, section: &str, line: &str) -> Option<String> {
    let (new, _) = DeTable::parse_recoverable(line);
    let (key, new) = new.get_ref().iter().next()?;
    let (table, _) = DeTable::parse_recoverable(text);
    let DeValue::Table(known) = get(table.get_ref(), section, "").ok()?.get_ref() else {
        return None;
    };
    let known = get(known, key.get_ref(), "").ok()?;
    match (known.get_ref(), new.get_ref()) {
        (DeValue::Array(_), DeValue::Array(more)) if more.is_empty() => Some(text.to_owned()),
        (DeValue::Array(members), DeValue::Array(more)) => {
            let more = &line[more[0].span().start..more[more.len() - 1].span().end];
            // Behind the last member, so that a comma or a remark after it stays where it is.
            let (at, comma) = match members.last() {
                Some(last) => (last.span().end, ", "),
                None => (known.span().end - 1, ""),
            };
            Some(format!("{}{comma}{more}{}", &text[..at], &text[at..]))
        }
        (DeValue::String(words), DeValue::String(more)) => {
            let is_kept = |word: &&str| !word.is_empty() && !CONDITIONS.contains(word);
            let mut pieces: Vec<&str> = words.split(',').map(str::trim).filter(is_kept).collect();
            pieces.push(more);
            let span = known.span();
            let words = quoted(&pieces.join(", "));
            Some(format!("{}{words}{}", &text[..span.start], &text[span.end..]))
        }
        _ => None,
    }
}

/// Words of a joint that a new look replaces.
const CONDITIONS: [&str; 5] = ["good", "loose", "corroded", "burnt", "unknown"];

pub(crate) fn with_new_line(text: &str, section: &str, line: &str) -> String {
    let end = if text.contains("\r\n") { "\r\n" } else { "\n" };
    match section_end(text, section) {
        Some(at) => {
            let gap = if text[..at].ends_with('\n') || at == 0 { "" } else { end };
            format!("{}{gap}{line}{end}{}", &text[..at], &text[at..])
        }
        None => {
            let gap = if text.is_empty() || text.ends_with('\n') { "" } else { end };
            format!("{text}{gap}{end}[{section}]{end}{line}{end}")
        }
    }
}

/// Where a section's last line ends.
fn section_end(text: &str, section: &str) -> Option<usize> {
    let (mut at, mut inside, mut last) = (0, false, None);
    for line in text.split_inclusive('\n') {
        let words = line.trim();
        at += line.len();
        let is_header = words.starts_with('[')
            && words.split('#').next().is_some_and(|w| w.trim_end().ends_with(']'));
        if is_header && !line.starts_with([' ', '\t']) {
            let name = words.split(']').next().unwrap_or("").trim_start_matches('[').trim();
            inside = name == section;
        }
        // A remark at the end may belong to the next section.
        if inside && !words.is_empty() && !words.starts_with('#') {
            last = Some(at);
        }
    }
    last
}

pub(crate) fn get<'t, 'i>(
    table: &'t DeTable<'i>,
    key: &str,
    found: &str,
) -> Result<&'t Spanned<DeValue<'i>>, PatchError> {
    table
        .iter()
        .find(|(name, _)| name.get_ref() == key)
        .map(|(_, value)| value)
        .ok_or_else(|| PatchError::NoSuchPath { found: found.to_owned(), missing: key.to_owned() })
}

/// A TOML basic string.
pub(crate) fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            c if c.is_control() => out.push_str(&format!("\\u{:04X}", c as u32)),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}
