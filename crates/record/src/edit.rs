//! Values of a record's text looked up, set and taken out by their path; everything else in the text
//! stays as it is: comments, order, spacing.
//!
//! Knows tables and values, not what they mean.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::patch::{PatchError, get, quoted, with_new_line};

/// Deepest nesting that is looked into.
const MAX_DEPTH: usize = 16;

/// The keys of a path: `devices.charger.limit`; a key with dots or spaces stands in quotes.
///
/// # Errors
/// In words, when it is no path.
pub fn split_path(path: &str) -> Result<Vec<String>, String> {
    let fault = || format!("`{path}` is no path; write one like `devices.charger.limit`");
    let mut keys = Vec::new();
    let mut rest = path;
    loop {
        let (key, after) = match rest.strip_prefix('"') {
            Some(quoted) => {
                let end = quoted.find('"').ok_or_else(fault)?;
                (&quoted[..end], &quoted[end + 1..])
            }
            None => rest.split_at(rest.find('.').unwrap_or(rest.len())),
        };
        if key.is_empty() || key.contains(['"', '\n']) || keys.len() == MAX_DEPTH {
            return Err(fault());
        }
        keys.push(key.to_owned());
        rest = match after.strip_prefix('.') {
            Some(rest) => rest,
            None if after.is_empty() => return Ok(keys),
            None => return Err(fault()),
        };
    }
}

/// The path of keys, as [`split_path`] reads it.
pub fn join_path(keys: &[impl AsRef<str>]) -> String {
    let written: Vec<String> = keys.iter().map(|key| written_key(key.as_ref())).collect();
    written.join(".")
}

/// The value at a path: the words of a text, the source of anything else. Nothing if there is none.
pub fn value(text: &str, path: &[&str]) -> Option<String> {
    Parsed::of(text).value(path)
}

/// A text with its values, parsed once.
pub(crate) struct Parsed<'t> {
    text: &'t str,
    table: Spanned<DeTable<'t>>,
}

impl<'t> Parsed<'t> {
    pub(crate) fn of(text: &'t str) -> Parsed<'t> {
        let (table, _) = DeTable::parse_recoverable(text);
        Parsed { text, table }
    }

    /// As [`value`] gives it.
    pub(crate) fn value(&self, path: &[&str]) -> Option<String> {
        let value = find(self.table.get_ref(), path)?;
        Some(as_words(self.text, value))
    }

    /// As [`set`] puts it in.
    pub(crate) fn set(&self, path: &[&str], new: &str) -> Result<String, PatchError> {
        let text = self.text;
        let Some(present) = find(self.table.get_ref(), path) else {
            return add(text, self.table.get_ref(), path, new);
        };
        let span = present.span();
        let source = match present.get_ref() {
            DeValue::String(_) => quoted(new),
            present => {
                let is_braced = text[span.clone()].starts_with('{');
                let is_table = matches!(present, DeValue::Table(_));
                if (is_table && !is_braced) || !is_like(present, new) {
                    return Err(PatchError::OtherSort { path: join_path(path) });
                }
                new.trim().to_owned()
            }
        };
        Ok(format!("{}{source}{}", &text[..span.start], &text[span.end..]))
    }

    /// As [`remove`] takes it out.
    pub(crate) fn remove(&self, path: &[&str]) -> Result<String, PatchError> {
        let (text, table) = (self.text, self.table.get_ref());
        let missing = || PatchError::NoSuchPath {
            found: join_path(&path[..path.len().saturating_sub(1)]),
            missing: path.last().map_or_else(String::new, |key| (*key).to_owned()),
        };
        let (last, above) = path.split_last().ok_or_else(missing)?;
        let parent = find_table(table, above).ok_or_else(missing)?;
        let (key, value) =
            parent.iter().find(|(key, _)| key.get_ref() == last).ok_or_else(missing)?;
        let parent_span = find(table, above).map(Spanned::span).unwrap_or_default();
        let gone = if text[parent_span.clone()].starts_with('{') {
            member(text, &parent_span, key.span().start..value.span().end)
        } else {
            lines(text, key.span().start, value, path)
                .ok_or_else(|| PatchError::NotOneValue { path: join_path(path) })?
        };
        Ok(format!("{}{}", &text[..gone.start], &text[gone.end..]))
    }
}

/// Every single value of a record by its path, as [`value`] gives it.
pub fn values(text: &str) -> BTreeMap<String, String> {
    let (table, _) = DeTable::parse_recoverable(text);
    let mut out = BTreeMap::new();
    collect(text, table.get_ref(), &mut Vec::new(), &mut out);
    out
}

/// The text with the value at `path` set to `new`, which is added where there was none.
///
/// Where a text stands, or nothing, `new` becomes a text; where a list, a table in braces, a number
/// or yes/no stands, `new` is the source of another. A new value that is a whole list or a whole table
/// in braces is taken as such.
///
/// # Errors
/// When there is no place for it, or it is not of the sort that stands there.
pub fn set(text: &str, path: &[&str], new: &str) -> Result<String, PatchError> {
    Parsed::of(text).set(path, new)
}

/// The text without the value, line or table at `path`.
///
/// # Errors
/// When there is none, or it is spread over several places.
pub fn remove(text: &str, path: &[&str]) -> Result<String, PatchError> {
    Parsed::of(text).remove(path)
}

/// A line as it is typed on a phone, as a record has it: typographic quotes become plain ones, and a name or
/// words without quotes get them. What can be read stays as it is, and so does what cannot be helped.
pub fn as_line(typed: &str) -> Cow<'_, str> {
    let reads = |line: &str| DeTable::parse(line).is_ok();
    if typed.contains(['\n', '\r']) || reads(typed) {
        return Cow::Borrowed(typed);
    }
    let plain = typed.replace(['\u{201c}', '\u{201d}', '\u{201e}', '\u{201f}'], "\"");
    if reads(&plain) {
        return Cow::Owned(plain);
    }
    let Some((key, value)) = plain.split_once('=') else { return Cow::Borrowed(typed) };
    let (key, value) = (key.trim(), value.trim());
    let is_bare = |text: &str| !text.is_empty() && !text.contains('"');
    if !is_bare(value) || value.starts_with(['{', '[', '\'']) {
        return Cow::Borrowed(typed);
    }
    let key = if is_bare(key) { written_key(key) } else { key.to_owned() };
    let line = format!("{key} = {}", quoted(value));
    if reads(&line) { Cow::Owned(line) } else { Cow::Borrowed(typed) }
}

/// The key of a shorthand line, if it is one line with one key.
///
/// # Errors
/// In words, when it is not.
pub fn line_key(line: &str) -> Result<String, String> {
    const FORM: &str = "write one line like `w9 = \"box.3 to pump.+, 2.5 mm2, red\"`";
    if line.contains(['\n', '\r']) {
        return Err(format!("this is more than one line; {FORM}"));
    }
    let table = DeTable::parse(line)
        .map_err(|_| format!("`{}` is no line of a record; {FORM}", line.trim()))?;
    let mut keys = table.get_ref().iter();
    match (keys.next(), keys.next()) {
        (Some((key, value)), None) => match value.get_ref() {
            // `[x]` is a heading, `a.b = 1` hides a table.
            DeValue::Table(_) if !line[value.span()].starts_with('{') => {
                Err(format!("`{}` is a heading or a dotted name; {FORM}", line.trim()))
            }
            _ => Ok(key.get_ref().to_string()),
        },
        _ => Err(format!("there is nothing on this line; {FORM}")),
    }
}

/// What stands behind the `=` of a shorthand line, as [`value`] gives it, and its source.
pub fn line_value(line: &str) -> Option<(String, String)> {
    let (table, _) = DeTable::parse_recoverable(line);
    let (_, value) = table.get_ref().iter().next()?;
    Some((as_words(line, value), line[value.span()].to_owned()))
}

fn written_key(key: &str) -> String {
    let is_bare = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
    if !key.is_empty() && key.chars().all(is_bare) { key.to_owned() } else { quoted(key) }
}

fn find<'t, 'i>(table: &'t DeTable<'i>, path: &[&str]) -> Option<&'t Spanned<DeValue<'i>>> {
    let (last, above) = path.split_last()?;
    get(find_table(table, above)?, last, "").ok()
}

fn find_table<'t, 'i>(table: &'t DeTable<'i>, path: &[&str]) -> Option<&'t DeTable<'i>> {
    path.iter().try_fold(table, |table, key| match get(table, key, "").ok()?.get_ref() {
        DeValue::Table(table) => Some(table),
        _ => None,
    })
}

fn as_words(text: &str, value: &Spanned<DeValue<'_>>) -> String {
    match value.get_ref() {
        DeValue::String(words) => words.to_string(),
        _ => text[value.span()].to_owned(),
    }
}

fn collect<'i>(
    text: &str,
    table: &DeTable<'i>,
    path: &mut Vec<String>,
    out: &mut BTreeMap<String, String>,
) {
    for (key, value) in table {
        path.push(key.get_ref().to_string());
        match value.get_ref() {
            DeValue::Table(inner) if path.len() < MAX_DEPTH => collect(text, inner, path, out),
            _ => {
                out.insert(join_path(path), as_words(text, value));
            }
        }
        path.pop();
    }
}

/// Whether the source of a value is of the sort that stands there, on one line.
fn is_like(present: &DeValue<'_>, new: &str) -> bool {
    let line = format!("x = {}", new.trim());
    let Ok(table) = DeTable::parse(&line) else { return false };
    let mut values = table.get_ref().iter().map(|(_, value)| value.get_ref());
    let (Some(value), None) = (values.next(), values.next()) else { return false };
    !new.contains('\n') && std::mem::discriminant(value) == std::mem::discriminant(present)
}

/// The source of a new value: a whole list or table as it is, anything else as a text.
fn source(new: &str) -> String {
    let is_whole = new.starts_with(['{', '[']) && line_key(&format!("x = {new}")).is_ok();
    if is_whole { new.to_owned() } else { quoted(new) }
}

fn add(text: &str, table: &DeTable<'_>, path: &[&str], new: &str) -> Result<String, PatchError> {
    let missing = |found: &[&str], missing: &str| PatchError::NoSuchPath {
        found: join_path(found),
        missing: missing.to_owned(),
    };
    let Some((key, above @ [section, ..])) = path.split_last() else {
        return Err(missing(&[], path.first().unwrap_or(&"")));
    };
    let line = format!("{} = {}", written_key(key), source(new));
    let Some(parent) = find(table, above) else {
        return match above {
            [section] => Ok(with_new_line(text, section, &line)),
            _ => Err(missing(&above[..above.len() - 1], above[above.len() - 1])),
        };
    };
    let span = parent.span();
    match parent.get_ref() {
        DeValue::Table(inner) if text[span.clone()].starts_with('{') => {
            let (at, before, after) = match inner.iter().map(|(_, value)| value.span().end).max() {
                Some(end) => (end, ", ", ""),
                None => (span.start + 1, " ", " "),
            };
            Ok(format!("{}{before}{line}{after}{}", &text[..at], &text[at..]))
        }
        DeValue::Table(_) if above.len() == 1 => Ok(with_new_line(text, section, &line)),
        DeValue::Table(_) => Ok(with_new_line(text, &join_path(above), &line)),
        _ => Err(PatchError::OneLine { path: join_path(above) }),
    }
}

/// A member of a table in braces with the comma that goes with it.
fn member(text: &str, braces: &Range<usize>, member: Range<usize>) -> Range<usize> {
    let after = &text[member.end..braces.end];
    let behind = after.trim_start();
    if let Some(rest) = behind.strip_prefix(',') {
        let rest = rest.trim_start_matches([' ', '\t']);
        return member.start..braces.end - rest.len();
    }
    let before = text[braces.start..member.start].trim_end();
    match before.strip_suffix(',') {
        Some(before) => braces.start + before.len()..member.end,
        None => member,
    }
}

/// The whole lines of a value, or of a table with its heading.
fn lines(
    text: &str,
    key_at: usize,
    value: &Spanned<DeValue<'_>>,
    path: &[&str],
) -> Option<Range<usize>> {
    let start = text[..key_at].rfind('\n').map_or(0, |at| at + 1);
    let line_end = |at: usize| text[at..].find('\n').map_or(text.len(), |more| at + more + 1);
    let is_table = matches!(value.get_ref(), DeValue::Table(_));
    if !is_table || text[value.span()].starts_with('{') {
        return Some(start..line_end(value.span().end));
    }
    if !text[start..].trim_start().starts_with('[') {
        return None;
    }
    // To the last line before the next heading that is not below this one; a remark or an empty line
    // at the end belongs to what follows.
    let below = format!("[{}.", join_path(path));
    let (mut at, mut end) = (line_end(start), line_end(start));
    for line in text[at..].split_inclusive('\n') {
        let words = line.trim();
        if words.starts_with('[') && !words.starts_with(&below) {
            break;
        }
        at += line.len();
        if !words.is_empty() && !words.starts_with('#') {
            end = at;
        }
    }
    Some(start..end)
}

#[cfg(test)]
mod tests;
