//! A stretch of words of the record that remembers where it stands, so that a fault deep inside a
//! shorthand line is underlined there and not at the whole line.

use diag::Span;

/// Words and their place.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Words<'t> {
    pub(crate) text: &'t str,
    /// The place of the whole string when it is not written verbatim (escapes), else of the words.
    span: Span,
    verbatim: bool,
}

impl<'t> Words<'t> {
    /// The words of a string value that stands at `span`, quotes included.
    pub(crate) fn of_value(record: &str, text: &'t str, span: Span) -> Words<'t> {
        let raw = record.get(span.start..span.end).unwrap_or("");
        let quotes = if raw.starts_with("\"\"\"") || raw.starts_with("'''") { 3 } else { 1 };
        // Quotes that are never closed leave no inner text to point into.
        let inner = raw.len().checked_sub(quotes).and_then(|end| raw.get(quotes..end));
        if inner == Some(text) {
            let start = span.start + quotes;
            Words { text, span: Span::new(start, start + text.len()), verbatim: true }
        } else {
            Words { text, span, verbatim: false }
        }
    }

    /// The words of a key, which may stand in quotes or without.
    pub(crate) fn of_key(record: &str, text: &'t str, span: Span) -> Words<'t> {
        if record.get(span.start..span.end) == Some(text) {
            Words { text, span, verbatim: true }
        } else {
            Words::of_value(record, text, span)
        }
    }

    /// Words of which only the whole place is known.
    pub(crate) fn at(text: &'t str, span: Span) -> Words<'t> {
        Words { text, span, verbatim: false }
    }

    /// Where the words stand.
    pub(crate) fn span(&self) -> Span {
        self.span
    }

    /// The place of a piece, by byte offsets into the words.
    pub(crate) fn span_of(&self, start: usize, end: usize) -> Span {
        if self.verbatim {
            Span::new(self.span.start + start, self.span.start + end.max(start))
        } else {
            self.span
        }
    }

    /// The piece between two byte offsets.
    pub(crate) fn slice(&self, start: usize, end: usize) -> Words<'t> {
        let text = self.text.get(start..end).unwrap_or("");
        Words { text, span: self.span_of(start, end), verbatim: self.verbatim }
    }

    /// Without white space at either end.
    pub(crate) fn trim(&self) -> Words<'t> {
        let start = self.text.len() - self.text.trim_start().len();
        let end = self.text.trim_end().len().max(start);
        self.slice(start, end)
    }

    /// The words without a prefix that is followed by white space or the end.
    pub(crate) fn strip_word(&self, word: &str) -> Option<Words<'t>> {
        let rest = self.text.strip_prefix(word)?;
        if rest.is_empty() || rest.starts_with(char::is_whitespace) {
            Some(self.slice(word.len(), self.text.len()).trim())
        } else {
            None
        }
    }

    /// True when the words begin like a number, whatever comes after.
    pub(crate) fn looks_like_number(&self) -> bool {
        let unsigned = self.text.trim_start_matches(['-', '+', '\u{2212}', '.', ',', ' ']);
        unsigned.starts_with(|c: char| c.is_ascii_digit())
    }

    /// Split at the first separator.
    pub(crate) fn split_once(&self, separator: &str) -> Option<(Words<'t>, Words<'t>)> {
        let at = self.text.find(separator)?;
        let after = at + separator.len();
        Some((self.slice(0, at).trim(), self.slice(after, self.text.len()).trim()))
    }

    /// Split at every separator.
    pub(crate) fn split(&self, separator: &str) -> Vec<Words<'t>> {
        let mut pieces = Vec::new();
        let mut start = 0;
        for (at, _) in self.text.match_indices(separator) {
            pieces.push(self.slice(start, at).trim());
            start = at + separator.len();
        }
        pieces.push(self.slice(start, self.text.len()).trim());
        pieces
    }
}
