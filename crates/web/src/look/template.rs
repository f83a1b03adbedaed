//! Lines of the record with gaps, filled from the fields of a form.
//!
//! `%name%` is the field `name` as it may stand between double quotes; `(?` and `?)` hold what is left
//! out when a gap in it stays empty. `"%name*%"` is a list: what commas part stands between quotes of its
//! own. The script on the page fills the same templates.

use std::fmt::Write as _;

/// The line, or the name of the first field that has to be there and is not.
pub(crate) fn fill(
    template: &str,
    field: &dyn Fn(&str) -> Option<String>,
) -> Result<String, String> {
    let mut out = String::new();
    let mut rest = template;
    while let Some(at) = rest.find("(?") {
        out.push_str(&filled(&rest[..at], field)?);
        let inner = &rest[at + 2..];
        let Some(end) = inner.find("?)") else { return Err("template".to_owned()) };
        if let Ok(piece) = filled(&inner[..end], field) {
            out.push_str(&piece);
        }
        rest = &inner[end + 2..];
    }
    out.push_str(&filled(rest, field)?);
    Ok(out)
}

fn filled(piece: &str, field: &dyn Fn(&str) -> Option<String>) -> Result<String, String> {
    let mut out = String::new();
    for (number, part) in piece.split('%').enumerate() {
        if number % 2 == 0 {
            out.push_str(part);
            continue;
        }
        let (name, is_list) = part.strip_suffix('*').map_or((part, false), |name| (name, true));
        let value = field(name).unwrap_or_default();
        let parts = match is_list {
            true => value.split(',').map(str::trim).filter(|part| !part.is_empty()).collect(),
            false => vec![value.trim()],
        };
        if parts.concat().is_empty() {
            return Err(name.to_owned());
        }
        let parts: Vec<String> = parts.into_iter().map(escaped).collect();
        out.push_str(&parts.join("\", \""));
    }
    Ok(out)
}

/// As it may stand between double quotes in TOML.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            letter if letter.is_control() => {
                let _ = write!(out, "\\u{:04X}", u32::from(letter));
            }
            letter => out.push(letter),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn with<'a>(pairs: &'a [(&'a str, &'a str)]) -> impl Fn(&str) -> Option<String> + 'a {
        |name| pairs.iter().find(|(key, _)| *key == name).map(|(_, value)| (*value).to_owned())
    }

    #[test]
    fn what_is_not_said_is_left_out() {
        let template = "%name% = \"%from% to %to%(?, %size%?)(?, %length%?)\"";
        let full =
            with(&[("name", "w1"), ("from", "a"), ("to", "b"), ("size", " "), ("length", "2 m")]);
        assert_eq!(fill(template, &full), Ok("w1 = \"a to b, 2 m\"".to_owned()));
        let lacking = with(&[("name", "w1"), ("from", "a")]);
        assert_eq!(fill(template, &lacking), Err("to".to_owned()));
    }

    #[test]
    fn what_commas_part_becomes_a_list() {
        let filled = |typed| fill("x = 1(?, on = [\"%on*%\"]?)", &with(&[("on", typed)]));
        assert_eq!(filled("fridge, pump ,"), Ok("x = 1, on = [\"fridge\", \"pump\"]".to_owned()));
        assert_eq!(filled(" , "), Ok("x = 1".to_owned()));
    }

    /// TOML 1.0.0, "String": quotation mark, backslash and control characters have to be escaped.
    #[test]
    fn what_was_typed_stays_inside_its_quotes() {
        let typed = "\" }\nowner = \"x\\";
        let line = fill("n = \"%v%\"", &with(&[("v", typed)])).unwrap_or_default();
        let read: toml::Table = line.parse().unwrap_or_default();
        assert_eq!(read.get("n").and_then(|v| v.as_str()), Some(typed));
        assert_eq!(read.len(), 1);
    }
}
