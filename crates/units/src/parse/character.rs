//! Which characters may stand in a quantity. Refuses look-alikes by name, so that a Cyrillic letter
//! pasted from a web page is not hunted for an hour.

use super::error::{ParseError, ParseErrorKind, error};
use super::{MAX_TEXT_BYTES, Span};

/// The span of the text without the blanks around it, once length and characters are in order.
pub(super) fn checked(text: &str) -> Result<Span, ParseError> {
    let whole = Span { start: 0, end: text.len() };
    if text.len() > MAX_TEXT_BYTES {
        let message = std::format!(
            "{} bytes are too many for one quantity (at most {MAX_TEXT_BYTES})",
            text.len()
        );
        return Err(error(
            whole,
            ParseErrorKind::TooLong,
            message,
            "write one value with its unit",
        ));
    }
    for (start, found) in text.char_indices() {
        if !is_allowed(found) {
            return Err(strange(Span { start, end: start + found.len_utf8() }, found));
        }
    }
    let start = text.len() - text.trim_start().len();
    let end = text.trim_end().len();
    if start >= end {
        let help = "write a number and its unit, or leave the whole entry out";
        return Err(error(whole, ParseErrorKind::Empty, "there is no value here", help));
    }
    Ok(Span { start, end })
}

/// The character as the unit table spells it: the signs people use for the same thing become one.
/// None where the sign only joins two words (a blank, a multiplication dot) or says nothing (`^`).
pub(super) fn spelled(found: char) -> Spelled {
    match found {
        'Ω' | '\u{2126}' => Spelled::As("Ohm"),
        'µ' | '\u{3bc}' => Spelled::As("u"),
        '²' => Spelled::As("2"),
        '°' | 'º' => Spelled::As("deg"),
        '℃' => Spelled::As("degC"),
        '℉' => Spelled::As("degF"),
        '′' | '’' => Spelled::As("'"),
        '″' | '”' => Spelled::As("\""),
        '^' => Spelled::Nothing,
        '·' | '⋅' | '•' | '×' | '*' | '-' | '\u{2011}' | '.' => Spelled::Joint,
        blank if blank.is_whitespace() => Spelled::Joint,
        other => Spelled::Itself(other),
    }
}

/// See [`spelled`].
pub(super) enum Spelled {
    As(&'static str),
    Itself(char),
    Joint,
    Nothing,
}

fn is_allowed(found: char) -> bool {
    const SIGNS: &str = "Ω\u{2126}µ\u{3bc}²°º℃℉′’″”·⋅•×\u{2212}\u{2011}\u{a0}\u{202f}\u{2009}";
    (' '..='~').contains(&found) || found == '\t' || SIGNS.contains(found)
}

fn strange(span: Span, found: char) -> ParseError {
    let code = std::format!("U+{:04X}", u32::from(found));
    let (message, help) = if let Some((script, latin)) = look_alike(found) {
        (
            std::format!("`{found}` ({code}) is a {script} that only looks like `{latin}`"),
            std::format!("type `{latin}` on the keyboard"),
        )
    } else if found.is_control() || is_invisible(found) {
        (std::format!("there is an invisible character ({code}) here"), "delete it".to_owned())
    } else {
        let help = match found {
            '€' | '£' => "write the currency as three letters: `180 EUR`, `90 GBP`",
            '∞' => "write a finite number, or leave the entry out if it is not known",
            '½' | '¼' | '¾' => "write fractions as `1/2`, `1/4`, `3/4`",
            '±' | '–' | '—' | '~' | '≈' => "write one value",
            _ => "write a number and a unit, for example `12.8 V`",
        };
        (std::format!("`{found}` ({code}) cannot be part of a quantity"), help.to_owned())
    };
    error(span, ParseErrorKind::StrangeCharacter, message, help)
}

/// Zero-width and direction marks, and the byte-order mark.
const fn is_invisible(found: char) -> bool {
    matches!(found, '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fe00}'..='\u{fe0f}')
}

/// The script of a letter or digit that looks like a Latin one, and that Latin one.
/// Pairs after the Unicode confusables data (UTS 39), from memory; the letters units are made of.
fn look_alike(found: char) -> Option<(&'static str, char)> {
    const CYRILLIC: (&str, &str) =
        ("АВСЕНКМОРТХаеосрхуіѕјһЅІЈԝԜѴѵӏ", "ABCEHKMOPTXaeocpxyisjhSIJwWVvl");
    const GREEK: (&str, &str) = ("ΑΒΕΖΗΙΚΜΝΟΡΤΥΧονικρυ", "ABEZHIKMNOPTYXovikpu");
    let pair = |(strange, latin): (&str, &str)| {
        strange.chars().position(|sign| sign == found).and_then(|place| latin.chars().nth(place))
    };
    if let Some(latin) = pair(CYRILLIC) {
        return Some(("Cyrillic letter", latin));
    }
    if let Some(latin) = pair(GREEK) {
        return Some(("Greek letter", latin));
    }
    full_width(found).map(|latin| ("full-width character", latin))
}

/// Full-width forms U+FF01 to U+FF5E stand in the order of ASCII from `!`.
fn full_width(found: char) -> Option<char> {
    let code = u32::from(found);
    (0xff01..=0xff5e).contains(&code).then(|| char::from_u32(code - 0xff01 + 0x21)).flatten()
}
