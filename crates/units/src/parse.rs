//! Reading a quantity as people write it. Every refusal says what was found, where in the text it
//! stands (byte offsets) and what to write instead. Knows nothing of the record around the text.
//!
//! What is accepted: a number with a unit (`12.8 V`, `12,8 V`), two numbers where the trade writes
//! two (`5 ft 6 in`, `1 h 20 min`), fractions (`1/2 in`, `5 1/2 in`), gauges (`6 AWG`, `4/0`),
//! money (`180.50 EUR`). What could be read in two ways is refused (`1,200`).

mod character;
mod error;
mod gauge;
mod money;
mod number;
mod pieces;

pub use error::{ParseError, ParseErrorKind};
pub(crate) use money::read_money;

use crate::dimension::{Dimension, MIN_SIZE};
use crate::print::{System, format};
use error::error;
use pieces::{Piece, pieces};

/// Longest text that is read as a quantity, in bytes.
pub const MAX_TEXT_BYTES: usize = 64;

/// A part of the text, in bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Span {
    start: usize,
    end: usize,
}

impl Span {
    fn of(self, text: &str) -> &str {
        text.get(self.start..self.end).unwrap_or_default()
    }
}

/// What was read, before anyone asked whether it fits.
struct Reading {
    dimension: Dimension,
    value: f64,
    unit: Span,
}

/// Reads a value of the given dimension, in the unit the [`Dimension`] names.
///
/// A bare number is taken for [`Dimension::Number`], and for [`Dimension::Fraction`] when it is
/// below one or written with a point; money comes back as whole cents, without its currency (read
/// a [`crate::Money`] to keep it).
pub fn parse(text: &str, dimension: Dimension) -> Result<f64, ParseError> {
    if dimension == Dimension::Money {
        #[allow(clippy::cast_precision_loss, reason = "cents are bounded to 1e13, exact in f64")]
        return read_money(text).map(|money| money.cents() as f64);
    }
    let span = character::checked(text)?;
    let reading = read(text, span, Some(dimension))?;
    let value = same_time(reading.value, reading.dimension, dimension)
        .ok_or_else(|| wrong_dimension(text, &reading, dimension))?;
    in_range(text, span, value, dimension)
}

/// Reads a value whose unit tells its dimension. A gauge is an area, a code of three letters from
/// the usual currencies is money, a number without unit is a [`Dimension::Number`]; hours and
/// minutes are [`Dimension::Minutes`], seconds [`Dimension::Seconds`].
pub fn parse_any(text: &str) -> Result<(Dimension, f64), ParseError> {
    let span = character::checked(text)?;
    if money::names_usual_currency(span.of(text)) {
        return parse(text, Dimension::Money).map(|cents| (Dimension::Money, cents));
    }
    let reading = read(text, span, None)?;
    let value = in_range(text, span, reading.value, reading.dimension)?;
    Ok((reading.dimension, value))
}

fn read(text: &str, span: Span, want: Option<Dimension>) -> Result<Reading, ParseError> {
    if let Some(gauge) = gauge::read(text, span)? {
        let value = gauge.area().square_millimetres();
        return Ok(Reading { dimension: Dimension::Area, value, unit: span });
    }
    let pieces = pieces(text, span, want)?;
    match pieces.as_slice() {
        [only] if only.unit.is_empty(text) => bare(text, only, want),
        several => pieces::sum(text, several, want),
    }
}

/// A number without unit.
fn bare(text: &str, piece: &Piece, want: Option<Dimension>) -> Result<Reading, ParseError> {
    let value = piece.number.value(text)?;
    let span = piece.number.span;
    let reading = |dimension| Ok(Reading { dimension, value, unit: span });
    match want {
        None | Some(Dimension::Number) => reading(Dimension::Number),
        Some(Dimension::Fraction) if value < 1.0 || piece.number.has_fraction_part() => {
            reading(Dimension::Fraction)
        }
        Some(Dimension::Fraction) if value < 1.5 => Err(error(
            span,
            ParseErrorKind::Ambiguous,
            std::format!("`{}` can be 1 % or the whole", span.of(text)),
            "write `1 %` or `100 %`",
        )),
        Some(wanted) => Err(missing_unit(span, wanted)),
    }
}

/// A time read in minutes serves where seconds are wanted, and the other way round.
fn same_time(value: f64, read: Dimension, wanted: Dimension) -> Option<f64> {
    match (read, wanted) {
        (Dimension::Minutes, Dimension::Seconds) => Some(value * 60.0),
        (Dimension::Seconds, Dimension::Minutes) => Some(value / 60.0),
        _ => (read == wanted).then_some(value),
    }
}

fn in_range(text: &str, span: Span, value: f64, dimension: Dimension) -> Result<f64, ParseError> {
    let (low, high) = dimension.believable_range();
    let limit = |value| format(value, dimension, System::Metric);
    let told = span.of(text);
    let name = dimension.with_article();
    let refuse =
        |message, help: String| Err(error(span, ParseErrorKind::OutOfRange, message, help));
    if value.is_nan() || value > high {
        let help = std::format!("the largest value read here is {}", limit(high));
        return refuse(std::format!("`{told}` is too large for {name}"), help);
    }
    if value < low {
        let help = std::format!("the smallest value read here is {}", limit(low));
        return refuse(std::format!("`{told}` is too small for {name}"), help);
    }
    if value.abs() < MIN_SIZE && value.abs() > 0.0 {
        let help = "write 0 if it is nothing".to_owned();
        return refuse(std::format!("`{told}` is smaller than anything measured"), help);
    }
    Ok(value)
}

fn missing_unit(span: Span, wanted: Dimension) -> ParseError {
    let (name, examples) = (wanted.with_article(), wanted.examples());
    let message = std::format!("{name} needs a unit: {examples}");
    error(span, ParseErrorKind::MissingUnit, message, "write the unit after the number")
}

fn wrong_dimension(text: &str, reading: &Reading, wanted: Dimension) -> ParseError {
    let (found, expected) = (reading.dimension.with_article(), wanted.with_article());
    let written = reading.unit.of(text);
    let message = if reading.dimension == Dimension::Number {
        std::format!("`{written}` is {found}, but {expected} is expected here")
    } else {
        std::format!("`{written}` makes this {found}, but {expected} is expected here")
    };
    let metre_for_minute = matches!(wanted, Dimension::Minutes | Dimension::Seconds)
        && reading.dimension == Dimension::Length;
    let help = if metre_for_minute {
        "`m` is metre; minutes are written `25 min`".to_owned()
    } else {
        std::format!("write {}", wanted.examples())
    };
    error(reading.unit, ParseErrorKind::WrongDimension, message, help)
}

#[cfg(test)]
mod tests;
