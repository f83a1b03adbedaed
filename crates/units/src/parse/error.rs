//! The refusal of a text: kind, place, sentence, advice.

use core::fmt;

use super::Span;

/// What is wrong with a text, for code that must tell the cases apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ParseErrorKind {
    /// Nothing was written.
    Empty,
    /// The text is longer than any quantity.
    TooLong,
    /// A character that cannot be part of a quantity, often a look-alike.
    StrangeCharacter,
    /// There is no number where one should be.
    NoNumber,
    /// There is a number, but not a proper one.
    BadNumber,
    /// The text can be read in two ways.
    Ambiguous,
    /// The number has no unit and needs one.
    MissingUnit,
    /// The unit is not known.
    UnknownUnit,
    /// The unit belongs to another quantity than the one expected.
    WrongDimension,
    /// Several numbers that do not belong together.
    BadCompound,
    /// A wire gauge that does not exist.
    BadGauge,
    /// The value is beyond what is believable.
    OutOfRange,
}

/// Why a text was refused. `start` and `end` are byte offsets into the text, on character
/// boundaries.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ParseError {
    /// Where the trouble begins.
    pub start: usize,
    /// Where it ends (just past the last byte).
    pub end: usize,
    /// Which trouble.
    pub kind: ParseErrorKind,
    /// What is wrong, as a sentence without full stop.
    pub message: String,
    /// What to do about it.
    pub help: Option<String>,
}

impl fmt::Display for ParseError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)?;
        match &self.help {
            Some(help) => write!(f, " ({help})"),
            None => Ok(()),
        }
    }
}

impl core::error::Error for ParseError {}

/// A refusal with advice.
pub(super) fn error(
    span: Span,
    kind: ParseErrorKind,
    message: impl Into<String>,
    help: impl Into<String>,
) -> ParseError {
    ParseError {
        start: span.start,
        end: span.end,
        kind,
        message: message.into(),
        help: Some(help.into()),
    }
}
