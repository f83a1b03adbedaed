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

fn get<'t, 'i>(
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
fn quoted(text: &str) -> String {
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
