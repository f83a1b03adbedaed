//! Reading one number: digits, a decimal point or comma, groups of thousands, an exponent, or a
//! fraction of whole numbers. Refuses what can be read in two ways.

use super::Span;
use super::error::{ParseError, ParseErrorKind, error};
use crate::dimension::Dimension;

/// A number as it is written.
pub(super) struct Number {
    pub(super) span: Span,
    pub(super) negative: bool,
    form: Form,
}

enum Form {
    Decimal { whole: String, fraction: String, exponent: Option<i32> },
    Ratio { whole: u32, top: u32, bottom: u32 },
}

impl Number {
    /// The value, with its sign.
    pub(super) fn value(&self, text: &str) -> Result<f64, ParseError> {
        let size = match &self.form {
            Form::Decimal { whole, fraction, exponent } => {
                let plain = std::format!("{whole}.{fraction}e{}", exponent.unwrap_or(0));
                plain.parse().unwrap_or(f64::NAN)
            }
            Form::Ratio { whole, top, bottom } => {
                f64::from(*whole) + f64::from(*top) / f64::from(*bottom)
            }
        };
        if !f64::is_finite(size) {
            return Err(self.refuse(
                text,
                ParseErrorKind::OutOfRange,
                "is larger than any number held here",
                "check the exponent",
            ));
        }
        if size == 0.0 && self.has_nonzero_digit() {
            return Err(self.refuse(
                text,
                ParseErrorKind::OutOfRange,
                "is smaller than any number held here",
                "write 0 if it is nothing",
            ));
        }
        if size == 0.0 && self.negative {
            return Err(self.refuse(
                text,
                ParseErrorKind::BadNumber,
                "is minus nothing",
                "write 0",
            ));
        }
        Ok(if self.negative { -size } else { size })
    }

    /// Digits before and after the point, if it is a plain decimal number without exponent.
    pub(super) fn plain_digits(&self) -> Option<(&str, &str)> {
        match &self.form {
            Form::Decimal { whole, fraction, exponent: None } => Some((whole, fraction)),
            _ => None,
        }
    }

    /// Whether it is written with something behind the point, or as a fraction.
    pub(super) fn has_fraction_part(&self) -> bool {
        match &self.form {
            Form::Decimal { fraction, .. } => !fraction.is_empty(),
            Form::Ratio { .. } => true,
        }
    }

    fn has_nonzero_digit(&self) -> bool {
        match &self.form {
            Form::Decimal { whole, fraction, .. } => {
                whole.bytes().chain(fraction.bytes()).any(|b| b != b'0')
            }
            Form::Ratio { whole, top, .. } => *whole > 0 || *top > 0,
        }
    }

    fn refuse(&self, text: &str, kind: ParseErrorKind, what: &str, help: &str) -> ParseError {
        error(self.span, kind, std::format!("`{}` {what}", self.span.of(text)), help)
    }
}

/// Reads the number at the start of the span.
pub(super) fn scan(text: &str, span: Span, want: Option<Dimension>) -> Result<Number, ParseError> {
    let written = span.of(text);
    let unsigned = written.strip_prefix(['-', '+', '\u{2212}']).unwrap_or(written);
    let negative = written.starts_with(['-', '\u{2212}']);
    let unsigned = unsigned.trim_start();
    let start = span.end - unsigned.len();
    let body = leading(unsigned, |c| c.is_ascii_digit() || c == '.' || c == ',');
    if !body.contains(|c: char| c.is_ascii_digit()) {
        return Err(no_number(text, span, want));
    }
    let body_span = Span { start, end: start + body.len() };
    let rest = unsigned.get(body.len()..).unwrap_or_default();
    let (form, used) = if let Some((ratio, used)) = ratio(body, rest, body_span)? {
        (ratio, used)
    } else {
        let (whole, fraction) = decimal(body, body_span)?;
        let (exponent, used) = exponent(rest);
        (Form::Decimal { whole, fraction, exponent }, used)
    };
    Ok(Number { span: Span { start: span.start, end: body_span.end + used }, negative, form })
}

/// Digits before and after the decimal point or comma, with the marks between thousands taken out.
fn decimal(body: &str, span: Span) -> Result<(String, String), ParseError> {
    let point = body.rfind(['.', ',']);
    let marks = body.matches(['.', ',']).count();
    let Some(at) = point else { return Ok((body.to_owned(), String::new())) };
    let (whole, fraction) =
        (body.get(..at).unwrap_or_default(), body.get(at + 1..).unwrap_or_default());
    let comma = body.get(at..=at) == Some(",");
    if marks == 1 {
        if comma && fraction.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0')
        {
            let message =
                std::format!("`{body}` can be read as {whole}.{fraction} or as {whole}{fraction}");
            let help = std::format!("write `{whole}.{fraction}` or `{whole}{fraction}`");
            return Err(error(span, ParseErrorKind::Ambiguous, message, help));
        }
        if comma && fraction.is_empty() {
            return Err(bad_marks(body, span));
        }
        return Ok((whole.to_owned(), fraction.to_owned()));
    }
    let last = if comma { ',' } else { '.' };
    let other = if comma { '.' } else { ',' };
    if grouped(body, last) {
        Ok((body.replace(last, ""), String::new()))
    } else if grouped(whole, other) && !fraction.is_empty() {
        Ok((whole.replace(other, ""), fraction.to_owned()))
    } else {
        Err(bad_marks(body, span))
    }
}

/// Whether `digits` are groups of three (the first one to three long) with `mark` between them.
fn grouped(digits: &str, mark: char) -> bool {
    let mut groups = digits.split(mark);
    let all_digits = |group: &str| group.bytes().all(|b| b.is_ascii_digit());
    let first =
        groups.next().is_some_and(|group| (1..=3).contains(&group.len()) && all_digits(group));
    first && groups.all(|group| group.len() == 3 && all_digits(group))
}

fn bad_marks(body: &str, span: Span) -> ParseError {
    let message = std::format!("`{body}` is not a number: its points and commas do not fit");
    error(span, ParseErrorKind::BadNumber, message, "write one point: `1200.5`")
}

/// `e-3` behind the digits, and how many bytes it takes.
fn exponent(rest: &str) -> (Option<i32>, usize) {
    let Some(after) = rest.strip_prefix(['e', 'E']) else { return (None, 0) };
    let unsigned = after.strip_prefix(['+', '-']).unwrap_or(after);
    let digits = leading(unsigned, |c| c.is_ascii_digit());
    if digits.is_empty() {
        return (None, 0);
    }
    let size = digits.parse::<i32>().unwrap_or(i32::MAX).min(MAX_EXPONENT);
    let value = if after.starts_with('-') { -size } else { size };
    (Some(value), rest.len() - unsigned.len() + digits.len())
}

/// Exponents beyond this are all the same: past every number an `f64` holds, whatever the digits.
const MAX_EXPONENT: i32 = 9999;

/// `1/2`, or `1/2` behind a whole number (`5 1/2`), and how many bytes of `rest` it takes.
fn ratio(body: &str, rest: &str, span: Span) -> Result<Option<(Form, usize)>, ParseError> {
    let is_whole = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    if !is_whole(body) {
        return Ok(None);
    }
    let blank = rest.len() - rest.trim_start().len();
    let second = leading(rest.trim_start(), |c| c.is_ascii_digit());
    let mixed = blank > 0 && !second.is_empty();
    let (whole, top) = if mixed { (body, second) } else { ("0", body) };
    let before_stroke = if mixed { blank + second.len() } else { 0 };
    let Some(after) = rest.get(before_stroke..).and_then(|tail| tail.strip_prefix('/')) else {
        return Ok(None);
    };
    let bottom = leading(after, |c| c.is_ascii_digit());
    if bottom.is_empty() {
        return Ok(None);
    }
    let used = before_stroke + 1 + bottom.len();
    let full = Span { start: span.start, end: span.end + used };
    let numbers = (whole.parse(), top.parse(), bottom.parse());
    match numbers {
        (Ok(whole), Ok(top), Ok(bottom)) if bottom > 0 => {
            Ok(Some((Form::Ratio { whole, top, bottom }, used)))
        }
        (Ok(_), Ok(_), Ok(_)) => {
            let help = "a wire gauge is written alone: `4/0` or `4/0 AWG`";
            Err(error(full, ParseErrorKind::BadNumber, "nothing can be divided by 0", help))
        }
        _ => {
            let message = "the numbers of this fraction are too long";
            Err(error(full, ParseErrorKind::BadNumber, message, "write it as `0.5`"))
        }
    }
}

fn no_number(text: &str, span: Span, want: Option<Dimension>) -> ParseError {
    let written = span.of(text);
    let lower = written.to_ascii_lowercase();
    let unsigned = lower.trim_start_matches(['-', '+', '\u{2212}']);
    let examples = want.map_or("12.8 V, 16 mm2, 4 m", Dimension::examples);
    if unsigned.starts_with("nan") || unsigned.starts_with("inf") {
        let message = std::format!("`{written}` is not a number that can be measured");
        let help = "leave the entry out if the value is not known";
        return error(span, ParseErrorKind::BadNumber, message, help);
    }
    let message = std::format!("`{written}` does not begin with a number");
    error(span, ParseErrorKind::NoNumber, message, std::format!("write {examples}"))
}

fn leading(text: &str, accept: impl Fn(char) -> bool) -> &str {
    let end = text.find(|c| !accept(c)).unwrap_or(text.len());
    text.get(..end).unwrap_or_default()
}
