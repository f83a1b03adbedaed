//! What is wrong with a record, where, and what to do about it: plain data, no rendering.

/// A half-open range of bytes in the text of a record.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

impl Span {
    /// The span from `start` up to, not including, `end`.
    pub fn new(start: usize, end: usize) -> Span {
        Span { start, end: end.max(start) }
    }
}

impl From<std::ops::Range<usize>> for Span {
    fn from(range: std::ops::Range<usize>) -> Span {
        Span::new(range.start, range.end)
    }
}

/// How bad a diagnostic is. Ordered: the worst is the greatest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Worth knowing; nothing was left out.
    Note,
    /// Doubtful; it was used as far as it goes.
    Warning,
    /// Wrong; this piece of the record was left out, the rest is used.
    Error,
}

impl Severity {
    /// The word printed before the message.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Note => "note",
            Severity::Warning => "warning",
            Severity::Error => "error",
        }
    }
}

/// A piece of text pointed at, with a few words beside it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    /// Where.
    pub span: Span,
    /// What about it; may be empty.
    pub text: String,
}

/// One thing wrong with a record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// Stable name of this kind of trouble, in kebab case.
    pub slug: &'static str,
    /// How bad it is.
    pub severity: Severity,
    /// One sentence that stands alone.
    pub message: String,
    /// Where: the first label is the place, the others are related.
    pub labels: Vec<Label>,
    /// What to do, one line each.
    pub help: Vec<String>,
}

impl Diagnostic {
    /// An error at a place.
    pub fn error(slug: &'static str, message: impl Into<String>, span: Span) -> Diagnostic {
        Diagnostic::new(slug, Severity::Error, message, span)
    }

    /// A warning at a place.
    pub fn warning(slug: &'static str, message: impl Into<String>, span: Span) -> Diagnostic {
        Diagnostic::new(slug, Severity::Warning, message, span)
    }

    fn new(
        slug: &'static str,
        severity: Severity,
        message: impl Into<String>,
        span: Span,
    ) -> Diagnostic {
        let labels = vec![Label { span, text: String::new() }];
        Diagnostic { slug, severity, message: message.into(), labels, help: Vec::new() }
    }

    /// Puts words beside the place.
    #[must_use]
    pub fn here(mut self, text: impl Into<String>) -> Diagnostic {
        if let Some(first) = self.labels.first_mut() {
            first.text = text.into();
        }
        self
    }

    /// Points at a related place.
    #[must_use]
    pub fn and_at(mut self, span: Span, text: impl Into<String>) -> Diagnostic {
        self.labels.push(Label { span, text: text.into() });
        self
    }

    /// Says what to do.
    #[must_use]
    pub fn help(mut self, text: impl Into<String>) -> Diagnostic {
        self.help.push(text.into());
        self
    }

    /// The place the diagnostic is about.
    pub fn place(&self) -> Span {
        self.labels.first().map_or_else(Span::default, |label| label.span)
    }
}
