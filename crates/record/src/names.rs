//! Names people give to devices, wires, parts and states: what is allowed, and what was meant.

use diag::{Diagnostic, Span};

use crate::limits::MAX_NAME;

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
                .help(format!("keep names below {MAX_NAME} characters; put more in `label`")),
        );
    }
    let odd = name.chars().find(|c| !(c.is_ascii_alphanumeric() || "-_/".contains(*c)))?;
    let fault = Diagnostic::error(
        "bad-name",
        format!("the name `{}` holds {}", name.escape_debug(), character(odd)),
        span,
    );
    Some(match look_alike(odd) {
        Some(plain) => fault.help(format!("it looks like the plain letter `{plain}`; type that")),
        None => fault.help("use letters a to z, digits and `-` only"),
    })
}

/// Says which known name may have been meant.
pub(crate) fn did_you_mean<'a>(
    wanted: &str,
    known: impl IntoIterator<Item = &'a str>,
) -> Option<String> {
    let plain: String =
        wanted.chars().map(|c| look_alike(c).unwrap_or(c)).collect::<String>().to_lowercase();
    let mut best: Option<(usize, &str)> = None;
    for name in known {
        let distance = strsim::osa_distance(&plain, &name.to_lowercase());
        let allowed = (plain.chars().count().max(name.chars().count()) / 3).max(1);
        if distance <= allowed && best.is_none_or(|(least, _)| distance < least) {
            best = Some((distance, name));
        }
    }
    best.map(|(_, name)| format!("did you mean `{name}`?"))
}

/// Adds the suggestion, or a list of what exists, to a diagnostic.
pub(crate) fn suggest<'a>(
    fault: Diagnostic,
    wanted: &str,
    known: impl IntoIterator<Item = &'a str>,
    none_known: &str,
) -> Diagnostic {
    let known: Vec<&str> = known.into_iter().collect();
    let fault = match wanted.chars().find(|c| look_alike(*c).is_some()) {
        Some(odd) => {
            fault.help(format!("it holds {}, which looks like a plain letter", character(odd)))
        }
        None => fault,
    };
    if let Some(words) = did_you_mean(wanted, known.iter().copied()) {
        return fault.help(words);
    }
    match known.as_slice() {
        [] => fault.help(none_known),
        few if few.len() <= 12 => fault.help(format!("known here: {}", few.join(", "))),
        _ => fault,
    }
}

fn character(odd: char) -> String {
    format!("`{}` (U+{:04X})", odd.escape_debug(), odd as u32)
}

/// The plain letter a character of another script looks like.
fn look_alike(odd: char) -> Option<char> {
    let pairs = [
        ('а', 'a'),
        ('е', 'e'),
        ('о', 'o'),
        ('р', 'p'),
        ('с', 'c'),
        ('у', 'y'),
        ('х', 'x'),
        ('і', 'i'),
        ('ѕ', 's'),
        ('А', 'A'),
        ('В', 'B'),
        ('Е', 'E'),
        ('К', 'K'),
        ('М', 'M'),
        ('Н', 'H'),
        ('О', 'O'),
        ('Р', 'P'),
        ('С', 'C'),
        ('Т', 'T'),
        ('Х', 'X'),
        ('ο', 'o'),
        ('α', 'a'),
        ('ν', 'v'),
        ('–', '-'),
        ('—', '-'),
        ('−', '-'),
        ('‐', '-'),
        ('‑', '-'),
    ];
    pairs.iter().find(|(from, _)| *from == odd).map(|(_, to)| *to)
}
