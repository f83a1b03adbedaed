//! A quantity as pieces of number and unit: cutting the text apart, and adding `5 ft 6 in` up.

use super::error::{ParseError, ParseErrorKind, error};
use super::number::{self, Number};
use super::{Reading, Span, character, missing_unit};
use crate::dimension::Dimension;
use crate::symbol::{self, Unit, Unknown};

/// A number and the unit behind it.
pub(super) struct Piece {
    pub(super) number: Number,
    pub(super) unit: Span,
}

impl Span {
    pub(super) fn is_empty(self, text: &str) -> bool {
        self.of(text).is_empty()
    }
}

/// Cuts the text into numbers and units; at least one piece.
pub(super) fn pieces(
    text: &str,
    span: Span,
    want: Option<Dimension>,
) -> Result<Vec<Piece>, ParseError> {
    let mut found = Vec::new();
    let mut at = span.start;
    while at < span.end {
        let number = number::scan(text, Span { start: at, end: span.end }, want)?;
        let tail = Span { start: number.span.end, end: span.end };
        let run = unit_run(tail.of(text));
        let unit_start = tail.start + (run.len() - run.trim_start().len());
        let unit = Span { start: unit_start, end: unit_start + run.trim().len() };
        at = tail.start + run.len();
        found.push(Piece { number, unit });
    }
    Ok(found)
}

/// The sum of pieces that belong together, in the unit of their dimension.
pub(super) fn sum(
    text: &str,
    pieces: &[Piece],
    want: Option<Dimension>,
) -> Result<Reading, ParseError> {
    let mut total: Option<(f64, &'static Unit, Reading)> = None;
    for piece in pieces {
        if piece.unit.is_empty(text) {
            return Err(lonely(text, piece, pieces, want));
        }
        let unit = unit_of(text, piece.unit, want)?;
        let number = piece.number.value(text)?;
        let own = unit.conversion.to_own(number);
        total = Some(match total {
            None => {
                (number, unit, Reading { dimension: unit.dimension, value: own, unit: piece.unit })
            }
            Some((before, major, reading)) => {
                let minor = joined(text, piece, number, before, major, unit)?;
                let negative = pieces.first().is_some_and(|first| first.number.negative);
                let value = reading.value + if negative { -minor } else { minor };
                (number, unit, Reading { value, ..reading })
            }
        });
    }
    total.map(|(_, _, reading)| reading).ok_or_else(|| {
        let span = Span { start: 0, end: text.len() };
        error(span, ParseErrorKind::Empty, "there is no value here", "write a number and its unit")
    })
}

/// The size of a second piece in the dimension of the first; an error unless the two are written
/// together in the trade, the first is whole and the second less than one of the first.
fn joined(
    text: &str,
    piece: &Piece,
    number: f64,
    before: f64,
    major: &'static Unit,
    minor: &'static Unit,
) -> Result<f64, ParseError> {
    let span = Span { start: piece.number.span.start, end: piece.unit.end };
    let written = span.of(text);
    let refuse = |message: String, help: String| {
        Err(error(span, ParseErrorKind::BadCompound, message, help))
    };
    let (large, small) = (major.shown(), minor.shown());
    if major.minor != Some(small) {
        let message = std::format!("`{written}` does not belong behind a value in `{large}`");
        return refuse(message, "write one value with one unit".to_owned());
    }
    if before.fract().abs() > 0.0 || number < 0.0 {
        let message = std::format!("`{written}` cannot be added to what stands before it");
        return refuse(
            message,
            std::format!("write `5 {large} 6 {small}`, or one number with a point"),
        );
    }
    let size = super::same_time(minor.conversion.to_own(number), minor.dimension, major.dimension);
    let one_major = major.conversion.to_own(1.0);
    match size {
        Some(size) if size < one_major => Ok(size),
        _ => refuse(
            std::format!("`{written}` is not less than 1 {large}"),
            std::format!("carry it over into `{large}`"),
        ),
    }
}

/// A number without unit among others.
fn lonely(text: &str, piece: &Piece, pieces: &[Piece], want: Option<Dimension>) -> ParseError {
    let span = piece.number.span;
    if let ([_], Some(wanted)) = (pieces, want) {
        return missing_unit(span, wanted);
    }
    let message =
        std::format!("`{}` has no unit, and there is more than one number", span.of(text));
    let help = "write each number with its unit (`5 ft 6 in`), and thousands without a blank";
    error(span, ParseErrorKind::BadCompound, message, help)
}

fn unit_of(text: &str, span: Span, want: Option<Dimension>) -> Result<&'static Unit, ParseError> {
    let written = span.of(text);
    symbol::find(&respelled(written)).map_err(|unknown| {
        let (message, help) = match unknown {
            Unknown::PrefixCase(unit) => (
                std::format!("`{written}` is not a unit here: capital M is mega, small m is milli"),
                std::format!("write `{}` if that is meant", unit.shown()),
            ),
            Unknown::Nothing => (
                std::format!("`{written}` is not a unit known here"),
                trap(written).map_or_else(|| usual(want), str::to_owned),
            ),
        };
        error(span, ParseErrorKind::UnknownUnit, message, help)
    })
}

fn usual(want: Option<Dimension>) -> String {
    match want {
        Some(wanted) => std::format!("{} is written {}", wanted.with_article(), wanted.examples()),
        None => "write for example 12.8 V, 16 mm2, 6 AWG, 4 m, 20 A".to_owned(),
    }
}

/// Spellings people try that mean two things, and what to write.
fn trap(written: &str) -> Option<&'static str> {
    match written.to_ascii_lowercase().as_str() {
        "ga" | "ga." | "gauge" | "g." => {
            Some("an American wire gauge is written `6 AWG`, an area `16 mm2`")
        }
        "va" | "kva" => Some("apparent power is not read here; write the real power in `W`"),
        "hp" => Some("horsepower means two things; write `W`"),
        "k" => Some("write `C` or `F` for a temperature, `kOhm` for a resistance"),
        "e" => Some("an exponent needs digits: `1e3`"),
        text if text.starts_with('-') || text.starts_with('+') => {
            Some("write one value; ranges and sums are not read here")
        }
        _ => None,
    }
}

/// The unit as the table spells it: signs as letters, one dot between joined words.
fn respelled(written: &str) -> String {
    let mut out = String::new();
    let mut joint = false;
    for found in written.chars() {
        let letter = match character::spelled(found) {
            character::Spelled::Joint => {
                joint = true;
                continue;
            }
            character::Spelled::Nothing => continue,
            character::Spelled::As(text) => text.to_owned(),
            character::Spelled::Itself(other) => other.to_string(),
        };
        if joint && (out.is_empty() || !starts_word(&letter)) {
            // A joint before the first letter, or before a sign: keep it, so that nothing matches.
            out.push(if out.is_empty() { '.' } else { ' ' });
        } else if joint && !out.ends_with("deg") {
            out.push('.');
        }
        joint = false;
        out.push_str(&letter);
    }
    if joint && !written.ends_with('.') {
        out.push('.');
    }
    out
}

fn starts_word(letter: &str) -> bool {
    letter.starts_with(|first: char| first.is_ascii_alphabetic())
}

/// The part of `tail` before the next number.
fn unit_run(tail: &str) -> &str {
    let mut before = ' ';
    let mut signs = tail.char_indices().peekable();
    while let Some((at, sign)) = signs.next() {
        let next = signs.peek().map(|(_, next)| *next);
        let digit_next = next.is_some_and(|next| next.is_ascii_digit());
        let square = sign == '2' && matches!(before, 'm' | 'M' | '^') && !digit_next;
        let after_blank = before.is_whitespace() && at > 0;
        let begins_number = (sign.is_ascii_digit() && !square && at > 0)
            || (after_blank && digit_next && matches!(sign, '.' | ',' | '-' | '+' | '\u{2212}'));
        if begins_number {
            return tail.get(..at).unwrap_or(tail);
        }
        before = sign;
    }
    tail
}
