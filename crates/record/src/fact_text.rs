//! How a value came to be known, written before it: `told 0.4 m by the owner`,
//! `measured 180 mOhm ± 10 mOhm by RK on 2026-05-02`, `assumed 6 mm2 because it matches its
//! neighbour`, `unknown`. A bare value was seen.

use model::{Fact, Origin};

use crate::text::Words;

/// A value's words with its origin; the spread is still words.
pub(crate) struct Stated<'t> {
    pub(crate) value: Words<'t>,
    pub(crate) spread: Option<Words<'t>>,
    pub(crate) origin: Origin,
}

/// Reads the origin off a value. `None`: written as unknown. `bare` is the origin of a value
/// without a word before it.
pub(crate) fn stated<'t>(words: Words<'t>, bare: &Origin) -> Option<Stated<'t>> {
    let words = words.trim();
    if words.text == "unknown" || words.text == "?" {
        return None;
    }
    let plain = |value, origin| Some(Stated { value, spread: None, origin });
    if let Some(rest) = words.strip_word("assumed") {
        let (value, why) = match rest.split_once(" because ") {
            Some((value, why)) => (value, why.text.to_owned()),
            None => (rest, "assumed in the record".to_owned()),
        };
        return plain(value, Origin::Assumed { why });
    }
    if let Some(rest) = words.strip_word("told") {
        let (value, by, on) = by_and_on(rest);
        return plain(value, Origin::Told { by, on });
    }
    if let Some(rest) = words.strip_word("seen") {
        let (value, by, on) = by_and_on(rest);
        return plain(value, Origin::Seen { by, on });
    }
    if let Some(rest) = words.strip_word("measured") {
        let (value, by, on) = by_and_on(rest);
        let (value, spread) = split_spread(value);
        return Some(Stated { value, spread, origin: Origin::Measured { spread: None, by, on } });
    }
    plain(words, bare.clone())
}

/// Splits `12.4 V ± 0.1 V` (also `+-`).
pub(crate) fn split_spread(words: Words<'_>) -> (Words<'_>, Option<Words<'_>>) {
    for sign in ["±", "+-", "+/-"] {
        if let Some((value, spread)) = words.split_once(sign) {
            return (value, Some(spread));
        }
    }
    (words, None)
}

/// A fact with the spread filled in.
pub(crate) fn with_spread<T>(value: T, origin: Origin, spread_si: Option<f64>) -> Fact<T> {
    let origin = match origin {
        Origin::Measured { by, on, .. } => Origin::Measured { spread: spread_si, by, on },
        other => other,
    };
    Fact::known(value, origin)
}

fn by_and_on(words: Words<'_>) -> (Words<'_>, Option<String>, Option<String>) {
    let (words, on) = match words.split_once(" on ") {
        Some((before, date)) => (before, Some(date.text.to_owned())),
        None => (words, None),
    };
    match words.split_once(" by ") {
        Some((value, name)) => (value, Some(name.text.to_owned()), on),
        None => (words, None, on),
    }
}
