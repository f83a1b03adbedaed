//! Names people give to devices, wires, parts and states: what is allowed, and what was meant.

use diag::{Diagnostic, Span};

use crate::limits::{MAX_COMPARED, MAX_NAME, MAX_RELATED, MAX_SHOWN};

/// Checks a name that is being given. Letters, digits and `- _ /` only, so that a name can be
/// typed on any keyboard, spoken, and never be mistaken for another that looks the same.
pub(crate) fn check(name: &str, span: Span) -> Option<Diagnostic> {
    if name.is_empty() {
        return Some(
            Diagnostic::error("bad-name", "a name is empty", span)
                .help("give it a short name such as `fridge` or `w12`"),
        );
    }
    if name.len() > MAX_NAME {
        return Some(
            Diagnostic::error("bad-name", "a name is too long", span)
                .help(format!("keep names to {MAX_NAME} characters; put more in `label`")),
        );
    }
    let odd = name.chars().find(|c| !(c.is_ascii_alphanumeric() || "-_/".contains(*c)))?;
    let fault = Diagnostic::error(
        "bad-name",
        format!("the name `{}` holds {}", shown(name), character(odd)),
        span,
    );
    Some(match (look_alike(odd), is_invisible(odd)) {
        (Some(plain), _) => fault.help(format!("it only looks like `{plain}`; type that")),
        (None, true) => fault.help("it cannot be seen; delete it and type the name again"),
        (None, false) => fault.help("use letters a to z, digits, `-`, `_` and `/` only"),
    })
}

/// Words of the record as they go into a message: on one line, and not too many.
pub(crate) fn shown(text: &str) -> String {
    let short: String = text.chars().take(MAX_SHOWN).collect();
    let more = if short.len() < text.len() { "..." } else { "" };
    format!("{}{more}", short.escape_debug())
}

/// Says which known name may have been meant.
fn did_you_mean<'a>(wanted: &str, known: &[&'a str]) -> Option<&'a str> {
    if wanted.len() > 2 * MAX_NAME {
        return None;
    }
    let plain: String = wanted
        .chars()
        .filter(|c| !is_invisible(*c))
        .map(|c| look_alike(c).unwrap_or(c))
        .collect::<String>()
        .to_lowercase();
    let mut best: Option<(usize, &str)> = None;
    for name in known.iter().copied().take(MAX_COMPARED) {
        let longer = plain.len().max(name.len());
        let allowed = (longer / 3).max(1);
        if plain.len().abs_diff(name.len()) > allowed {
            continue;
        }
        let distance = strsim::osa_distance(&plain, &name.to_lowercase());
        if distance <= allowed
            && distance < longer
            && best.is_none_or(|(least, _)| distance < least)
        {
            best = Some((distance, name));
        }
    }
    best.map(|(_, name)| name)
}

/// Adds to a diagnostic what may have been meant, or the list of what exists when it is short, or
/// else the help given.
pub(crate) fn suggest<'a>(
    fault: Diagnostic,
    wanted: &str,
    known: impl IntoIterator<Item = &'a str>,
    otherwise: &str,
) -> Diagnostic {
    let known: Vec<&str> = known.into_iter().collect();
    let fault = match wanted.chars().find(|c| look_alike(*c).is_some() || is_invisible(*c)) {
        Some(odd) => match look_alike(odd) {
            Some(plain) => {
                fault.help(format!("it holds {}, which only looks like `{plain}`", character(odd)))
            }
            None => fault.help(format!("it holds {}, which cannot be seen", character(odd))),
        },
        None => fault,
    };
    if let Some(name) = did_you_mean(wanted, &known) {
        return fault.help(format!("did you mean `{name}`?"));
    }
    let related = related(wanted, &known);
    if !related.is_empty() {
        return fault.help(format!("did you mean {}?", related.join(" or ")));
    }
    match known.as_slice() {
        [] => fault.help(otherwise),
        few if few.len() <= 12 => fault.help(format!("known here: {}", few.join(", "))),
        _ => fault.help(otherwise),
    }
}

/// Known names that share a whole word with the wanted one (`fridge`, `compressor fridge`), in
/// backticks; none when there are many.
fn related(wanted: &str, known: &[&str]) -> Vec<String> {
    if wanted.len() > 2 * MAX_NAME {
        return Vec::new();
    }
    let word = |text: &str| text.to_lowercase().trim_end_matches('s').to_owned();
    let wanted: Vec<String> = wanted.split([' ', '-']).map(word).filter(|w| w.len() > 2).collect();
    let shares = |name: &&&str| name.split(' ').any(|part| wanted.contains(&word(part)));
    let related: Vec<String> =
        known.iter().take(MAX_COMPARED).filter(shares).map(|name| format!("`{name}`")).collect();
    if related.len() <= MAX_RELATED { related } else { Vec::new() }
}

fn character(odd: char) -> String {
    format!("`{}` (U+{:04X})", odd.escape_debug(), odd as u32)
}

/// The plain letter or sign a character of another script looks like. Pairs after the Unicode
/// confusables data (UTS 39), from memory.
fn look_alike(odd: char) -> Option<char> {
    const STRANGE: &str = "аеорсухіѕјһАВЕКМНОРСТХЅІЈΑΒΕΖΗΙΚΜΝΟΡΤΥΧονα–—−‐‑";
    const PLAIN: &str = "aeopcyxisjhABEKMHOPCTXSIJABEZHIKMNOPTYXova-----";
    if ('\u{ff01}'..='\u{ff5e}').contains(&odd) {
        // Full-width forms stand in the order of ASCII from `!`.
        return char::from_u32(odd as u32 - 0xff01 + 0x21);
    }
    let place = STRANGE.chars().position(|strange| strange == odd)?;
    PLAIN.chars().nth(place)
}

/// Zero-width and direction marks, the byte-order mark, control characters, blanks that are not
/// the space bar's.
fn is_invisible(odd: char) -> bool {
    odd.is_control()
        || (odd.is_whitespace() && odd != ' ')
        || matches!(odd, '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{feff}')
}

#[cfg(test)]
mod tests {
    use super::look_alike;

    #[test]
    fn every_look_alike_has_its_plain_sign_and_is_not_plain_itself() {
        for c in "аеорсухіѕјһАВЕКМНОРСТХЅІЈΑΒΕΖΗΙΚΜΝΟΡΤΥΧονα–—−‐‑".chars()
        {
            let plain = look_alike(c).expect("a pair");
            assert!(plain.is_ascii_alphabetic() || plain == '-', "{c} {plain}");
            assert!(!c.is_ascii());
        }
        assert_eq!(look_alike('Н'), Some('H'), "Cyrillic En");
        assert_eq!(look_alike('Η'), Some('H'), "Greek Eta");
        assert_eq!(look_alike('Χ'), Some('X'), "Greek Chi");
        assert_eq!(look_alike('α'), Some('a'));
        assert_eq!(look_alike('−'), Some('-'), "minus sign");
        assert_eq!(look_alike('ａ'), Some('a'), "full width");
        assert_eq!(look_alike('a'), None);
    }
}
