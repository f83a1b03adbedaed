//! Reading an amount of money: digits, at most two of them after the point, and a currency code
//! before or after. Works on digits; no float takes part.

use super::error::{ParseError, ParseErrorKind, error};
use super::number::{self, Number};
use super::{Span, character};
use crate::dimension::{Dimension, MAX_MONEY_CENTS};
use crate::money::{CENTS_PER_UNIT, Currency, Money, amount_text};

/// Codes that tell [`super::parse_any`] that an amount of money is meant (ISO 4217, from memory).
const USUAL_CODES: [&str; 16] = [
    "EUR", "USD", "GBP", "CAD", "AUD", "NZD", "CHF", "SEK", "NOK", "DKK", "ISK", "PLN", "CZK",
    "HUF", "RON", "ZAR",
];

/// Reads an amount of money.
pub(crate) fn read_money(text: &str) -> Result<Money, ParseError> {
    let span = character::checked(text)?;
    let (first, start) = code_before(text, span);
    let amount = number::scan(text, Span { start, end: span.end }, Some(Dimension::Money))?;
    let rest = trimmed(text, Span { start: amount.span.end, end: span.end });
    let currency = match (first, rest.is_empty(text)) {
        (code, true) => code,
        (None, false) => Some(Currency::new(rest.of(text)).ok_or_else(|| no_code(text, rest))?),
        (Some(_), false) => return Err(no_code(text, rest)),
    };
    let cents = cents(text, &amount)?;
    Ok(Money::from_cents(cents, currency))
}

/// Whether the text begins or ends with one of the usual currency codes.
pub(super) fn names_usual_currency(written: &str) -> bool {
    let (first, last) =
        (written.get(..3), written.len().checked_sub(3).and_then(|at| written.get(at..)));
    [first, last].into_iter().flatten().any(|code| USUAL_CODES.contains(&code))
}

fn code_before(text: &str, span: Span) -> (Option<Currency>, usize) {
    let written = span.of(text);
    match written.get(..3).and_then(Currency::new) {
        Some(code) => {
            let after = written.get(3..).unwrap_or_default();
            (Some(code), span.end - after.trim_start().len())
        }
        None => (None, span.start),
    }
}

fn cents(text: &str, amount: &Number) -> Result<i64, ParseError> {
    let refuse = |message: String, help: &str| {
        Err(error(amount.span, ParseErrorKind::BadNumber, message, help))
    };
    let written = amount.span.of(text);
    let Some((whole, fraction)) = amount.plain_digits() else {
        return refuse(std::format!("`{written}` is not an amount"), "write it as `180.50`");
    };
    if fraction.len() > 2 {
        let message = std::format!("`{written}` is finer than a cent");
        return refuse(message, "write at most two digits after the point");
    }
    let size = std::format!("{whole}{fraction:0<2}").parse::<i64>().ok();
    #[allow(clippy::cast_possible_truncation, reason = "the limit is whole and far inside i64")]
    let limit = MAX_MONEY_CENTS as i64;
    let Some(size) = size.filter(|size| *size <= limit) else {
        let message = std::format!("`{written}` is too large for an amount of money");
        let help = std::format!("the largest amount read here is {}", amount_text(limit));
        return Err(error(amount.span, ParseErrorKind::OutOfRange, message, help));
    };
    if size == 0 && amount.negative {
        return refuse(std::format!("`{written}` is minus nothing"), "write 0");
    }
    debug_assert_eq!(CENTS_PER_UNIT, 100, "two digits after the point are cents");
    Ok(if amount.negative { -size } else { size })
}

fn no_code(text: &str, span: Span) -> ParseError {
    let message = std::format!("`{}` is not a currency", span.of(text));
    let help = "write one currency as three capital letters: `180.50 EUR`, `CAD 90`";
    error(span, ParseErrorKind::UnknownUnit, message, help)
}

fn trimmed(text: &str, span: Span) -> Span {
    let part = span.of(text);
    let start = span.end - part.trim_start().len();
    Span { start, end: start + part.trim().len() }
}
