//! Where everything stands in the text.

use std::collections::BTreeMap;

use diag::Span;
use model::Place;

/// From a place in the vehicle to the text that says so.
#[derive(Clone, Debug, Default)]
pub struct SourceMap {
    spans: BTreeMap<Place, Span>,
    fields: BTreeMap<(Place, &'static str), Span>,
    observed: Vec<Span>,
}

/// A position in a text, both counted from 1, columns in characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LineColumn {
    /// Line.
    pub line: usize,
    /// Column.
    pub column: usize,
}

impl SourceMap {
    /// The text a place stands in; the start of the record for what stands nowhere.
    pub fn span(&self, place: Place) -> Span {
        self.spans.get(&place).copied().unwrap_or_default()
    }

    /// The text of a field of a place: the value of its `box`, `behind`, `after`.
    pub fn field(&self, place: Place, key: &'static str) -> Option<Span> {
        self.fields.get(&(place, key)).copied()
    }

    /// Whether a place of the text is within what was observed or done, not within what the vehicle is:
    /// `[symptoms]`, `[readings]`, `[history]`, `[took]`, `[photos]`.
    pub fn is_observed(&self, at: Span) -> bool {
        self.observed.iter().any(|line| line.start <= at.start && at.end <= line.end)
    }

    pub(crate) fn set_observed(&mut self, lines: impl Iterator<Item = Span>) {
        self.observed.extend(lines);
    }

    pub(crate) fn set_field(&mut self, place: Place, key: &'static str, span: Span) {
        self.fields.insert((place, key), span);
    }

    pub(crate) fn set(&mut self, place: Place, span: Span) {
        self.spans.insert(place, span);
    }
}

/// The line and column of a byte. Bytes past the end count as the end.
pub fn line_column(text: &str, byte: usize) -> LineColumn {
    let mut end = byte.min(text.len());
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let before = &text[..end];
    let line_start = before.rfind('\n').map_or(0, |at| at + 1);
    LineColumn {
        line: before.matches('\n').count() + 1,
        column: before[line_start..].chars().count() + 1,
    }
}
