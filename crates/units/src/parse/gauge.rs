//! Reading a wire gauge: `6 AWG`, `AWG 6`, `4/0`, `2/0awg`, `000 AWG`.

use super::Span;
use super::error::{ParseError, ParseErrorKind, error};
use crate::awg::Gauge;

/// The gauge, if the text is one; none if it is something else; an error if it is meant as a gauge
/// and is none.
pub(super) fn read(text: &str, span: Span) -> Result<Option<Gauge>, ParseError> {
    let written = span.of(text);
    let Some(number) = number_beside_awg(written) else {
        return if is_aught(written) { named(written, span).map(Some) } else { Ok(None) };
    };
    if !number.starts_with(|first: char| first.is_ascii_digit()) && !number.is_empty() {
        return Err(bad(span, written));
    }
    named(number, span).map(Some)
}

fn named(number: &str, span: Span) -> Result<Gauge, ParseError> {
    let gauge = if let Some((count, "0")) = number.split_once('/') {
        count.trim().parse().ok().and_then(Gauge::aught)
    } else if !number.is_empty() && number.len() <= 4 && number.bytes().all(|b| b == b'0') {
        u8::try_from(number.len()).ok().and_then(Gauge::aught)
    } else if number.bytes().all(|b| b.is_ascii_digit()) && !number.starts_with('0') {
        number.parse().ok().and_then(Gauge::new)
    } else {
        None
    };
    gauge.ok_or_else(|| bad(span, number))
}

fn bad(span: Span, written: &str) -> ParseError {
    let message = if written.is_empty() {
        "there is no number beside `AWG`".to_owned()
    } else {
        std::format!("`{written}` is not a wire gauge")
    };
    let help = "gauges run from `4/0 AWG` (thickest) over `1/0 AWG` and `1 AWG` to `40 AWG`";
    error(span, ParseErrorKind::BadGauge, message, help)
}

/// What stands beside the letters AWG; none without these letters at either end.
fn number_beside_awg(written: &str) -> Option<&str> {
    let letters = |part: &str| part.eq_ignore_ascii_case("awg");
    if let Some((number, last)) =
        written.len().checked_sub(3).and_then(|at| written.split_at_checked(at))
        && letters(last)
    {
        return Some(number.strip_suffix('-').unwrap_or(number).trim());
    }
    let (first, number) = written.split_at_checked(3)?;
    letters(first).then(|| number.strip_prefix('-').unwrap_or(number).trim())
}

/// `4/0`: digits, a stroke, a zero and nothing else.
fn is_aught(written: &str) -> bool {
    written.split_once('/').is_some_and(|(count, zero)| {
        zero == "0" && !count.is_empty() && count.bytes().all(|b| b.is_ascii_digit())
    })
}
