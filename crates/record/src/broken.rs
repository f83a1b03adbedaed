//! Lines so broken that the parser would stop at them, or take all that follows for their inside:
//! a bracket never closed, a name without `=`. A record has one thing on a line, so such a line
//! is blanked out and reported, and everything around it is read.

use std::borrow::Cow;
use std::ops::Range;

use diag::{Diagnostic, Span};
use toml::Spanned;
use toml::de::DeTable;

use crate::faults::Faults;
use crate::limits::{MAX_DIAGNOSTICS, MAX_UNCLOSED};
use crate::syntax;

/// Most points in a name before the parser gives up.
const MAX_POINTS: usize = 80;

/// Parses a text and hands on its table, its faults, and the text that was parsed (the same but for
/// blanked lines; every byte stands where it stood).
pub(crate) fn parse<R>(
    record: &str,
    then: impl FnOnce(&str, &Spanned<DeTable<'_>>, Faults) -> R,
) -> R {
    let mut faults = Faults::default();
    let mut text = Cow::Borrowed(record);
    let (table, errors) = DeTable::parse_recoverable(record);
    if errors.is_empty() {
        return then(record, &table, faults);
    }
    if errors.iter().any(|error| syntax::is_unclosed(error.message())) {
        for (line, opener) in unclosed(&text) {
            faults.report(syntax::unclosed(record, opener));
            blank(text.to_mut(), line);
        }
    }
    let stops: Vec<(Range<usize>, Diagnostic)> = stops(&text);
    for (line, fault) in stops {
        faults.report(fault);
        blank(text.to_mut(), line);
    }
    let (table, errors) = DeTable::parse_recoverable(&text);
    for error in errors.iter().take(MAX_DIAGNOSTICS + 1) {
        faults.report(syntax::fault(&text, error));
    }
    then(&text, &table, faults)
}

/// Lines at which the parser would stop reading.
fn stops(text: &str) -> Vec<(Range<usize>, Diagnostic)> {
    let mut stops: Vec<(Range<usize>, Diagnostic)> = Vec::new();
    for error in DeTable::parse_recoverable(text).1 {
        let Some(span) = error.span().filter(|_| syntax::stops(error.message())) else { continue };
        let line = line_at(text, span.start);
        if stops.last().is_none_or(|(last, _)| *last != line) {
            stops.push((line, syntax::fault(text, &error)));
        }
    }
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        let name = line.split(['=', '"', '\'', '#']).next().unwrap_or("");
        if name.matches('.').count() >= MAX_POINTS {
            let range = start..start + line.trim_end_matches(['\n', '\r']).len();
            let fault = syntax::too_deep(Span::new(start, start + name.trim_end().len()));
            stops.push((range, fault));
        }
        start += line.len();
    }
    stops
}

/// The line a byte stands in, without its end.
fn line_at(text: &str, byte: usize) -> Range<usize> {
    let bytes = text.as_bytes();
    let byte = byte.min(bytes.len());
    let start = bytes[..byte].iter().rposition(|b| *b == b'\n').map_or(0, |at| at + 1);
    let end = bytes[byte..].iter().position(|b| *b == b'\n').map_or(bytes.len(), |at| byte + at);
    let end = if bytes[..end].ends_with(b"\r") && end > start { end - 1 } else { end };
    start..end
}

/// Puts blanks in place of a line, byte for byte.
fn blank(text: &mut String, line: Range<usize>) {
    let blanks = " ".repeat(line.len());
    text.replace_range(line, &blanks);
}

/// What stands open where a line ends.
#[derive(Clone, Copy, PartialEq)]
enum Open {
    Nothing,
    Brackets(usize),
    Quotes(&'static str),
}

/// The lines on which a bracket, or three quotes, are opened that no later line closes before the
/// next section, with the place of the opener.
fn unclosed(text: &str) -> Vec<(Range<usize>, Span)> {
    let mut found = Vec::new();
    let mut from = 0;
    while found.len() < MAX_UNCLOSED {
        let Some((line, opener)) = first_unclosed(text, from) else { break };
        from = line.end;
        found.push((line, opener));
    }
    found
}

fn first_unclosed(text: &str, from: usize) -> Option<(Range<usize>, Span)> {
    let mut open = Open::Nothing;
    let mut opened: Option<(Range<usize>, Span)> = None;
    let mut start = from;
    for line in text[from..].split_inclusive('\n') {
        if open != Open::Nothing && is_section(line) {
            return opened;
        }
        let (after, opener) = end_of(line, open);
        if open == Open::Nothing && after != Open::Nothing {
            let end = start + line.trim_end_matches(['\n', '\r']).len();
            let at = start + opener.unwrap_or(0);
            opened = Some((start..end, Span::new(at, at + 1)));
        }
        open = after;
        start += line.len();
    }
    opened.filter(|_| open != Open::Nothing)
}

/// What stands open behind a line, and where in it the outermost was opened.
fn end_of(line: &str, before: Open) -> (Open, Option<usize>) {
    let mut open = before;
    let mut opener = None;
    let mut at = 0;
    while let Some(sign) = line[at..].chars().next() {
        let rest = &line[at..];
        let mut step = sign.len_utf8();
        match open {
            Open::Quotes(quotes) if rest.starts_with(quotes) => {
                (open, step) = (Open::Nothing, quotes.len());
            }
            Open::Quotes(_) => {}
            Open::Nothing | Open::Brackets(_) => {
                let depth = if let Open::Brackets(depth) = open { depth } else { 0 };
                match sign {
                    '#' => break,
                    '"' | '\'' => match three_quotes(rest) {
                        Some(quotes) => {
                            opener = opener.or(Some(at));
                            (open, step) = (Open::Quotes(quotes), quotes.len());
                        }
                        None => match quoted(rest, sign) {
                            Some(length) => step = length,
                            // Whatever was to be closed on this line is inside these quotes.
                            None => return (open, Some(at)),
                        },
                    },
                    '{' | '[' => {
                        if depth == 0 {
                            opener = Some(at);
                        }
                        open = Open::Brackets(depth + 1);
                    }
                    '}' | ']' if depth > 1 => open = Open::Brackets(depth - 1),
                    '}' | ']' => open = Open::Nothing,
                    _ => {}
                }
            }
        }
        at += step;
    }
    (open, opener)
}

fn three_quotes(text: &str) -> Option<&'static str> {
    ["\"\"\"", "'''"].into_iter().find(|quotes| text.starts_with(quotes))
}

/// The length of a text in quotes at the start of a line's rest; `None` if they are not closed.
fn quoted(rest: &str, quote: char) -> Option<usize> {
    let mut escaped = false;
    for (at, sign) in rest.char_indices().skip(1) {
        if sign == quote && !escaped {
            return Some(at + 1);
        }
        escaped = quote == '"' && sign == '\\' && !escaped;
    }
    None
}

/// `[wires]`, alone on its line.
fn is_section(line: &str) -> bool {
    let line = line.split('#').next().unwrap_or("").trim();
    let name = line.strip_prefix('[').and_then(|rest| rest.strip_suffix(']'));
    name.is_some_and(|name| crate::fields::section(name.trim()).is_some())
}
