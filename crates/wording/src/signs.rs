//! Units and signs as they are set in type: `2.5 mm2` is `2.5 mm²`. Names and words stay as they are
//! written; only what follows a figure is touched.

/// What stands for a sign after a figure and a space, and the sign.
const UNITS: [(&str, &str); 8] = [
    ("mm2", "mm²"),
    ("mm3", "mm³"),
    ("m2", "m²"),
    ("m3", "m³"),
    ("uOhm", "µΩ"),
    ("mOhm", "mΩ"),
    ("Ohm", "Ω"),
    ("C", "°C"),
];

/// The text with the signs of print: `mm²`, `mΩ`, `°C`, and `×` between two figures.
pub fn set_in_type(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find(' ') {
        let (before, after) = rest.split_at(at + 1);
        out.push_str(before);
        rest = after;
        let word = before.trim_end();
        let follows_length = ["mm", "cm", "m", "in", "ft"].contains(&word);
        let bare = word.trim_start_matches(['(', '-', '−', '~']);
        let follows_figure = bare.starts_with(|c: char| c.is_ascii_digit())
            && word.ends_with(|c: char| c.is_ascii_digit() || c == '?');
        if !follows_figure && !follows_length {
            continue;
        }
        let unit = UNITS.iter().find(|(plain, _)| {
            follows_figure
                && rest
                    .strip_prefix(plain)
                    .is_some_and(|left| !left.starts_with(char::is_alphanumeric))
        });
        if let Some((plain, sign)) = unit {
            out.push_str(sign);
            rest = &rest[plain.len()..];
        } else if let Some(left) = rest.strip_prefix("x ")
            && left.starts_with(|c: char| c.is_ascii_digit())
        {
            out.push('×');
            rest = &rest[1..];
        }
    }
    out.push_str(rest);
    out
}

/// Lengths of a pair each with its unit, so that both are restated: `about 110 x 80 mm` is
/// `about 110 mm x 80 mm`.
pub(crate) fn paired(text: &str) -> String {
    let words: Vec<&str> = text.split(' ').collect();
    let is_figure = |word: &str| word.parse::<f64>().is_ok();
    let unit = |word: &str| {
        let bare = word.trim_end_matches([',', '.', ';', ')']);
        ["mm", "cm", "m"].into_iter().find(|unit| *unit == bare)
    };
    let mut out: Vec<String> = Vec::with_capacity(words.len());
    for (at, word) in words.iter().enumerate() {
        out.push((*word).to_owned());
        // A number before a length may count pieces; only what is measured across has `about`, in the
        // languages of the texts.
        if at == 0 || !["about", "unos", "unas"].contains(&words[at - 1]) {
            continue;
        }
        if let Some([x, second, last]) = words.get(at + 1..at + 4)
            && is_figure(word)
            && (*x == "x" || *x == "×")
            && is_figure(second)
            && let Some(unit) = unit(last)
        {
            out.push(unit.to_owned());
        }
    }
    out.join(" ")
}

#[cfg(test)]
mod tests {
    use super::{paired, set_in_type};

    #[test]
    fn both_lengths_of_a_pair_have_their_unit() {
        assert_eq!(paired("about 110 x 80 mm (of 2)"), "about 110 mm x 80 mm (of 2)");
        assert_eq!(paired("unos 110 x 80 mm (de 2)"), "unos 110 mm x 80 mm (de 2)");
        assert_eq!(paired("3 x 1.5 mm2"), "3 x 1.5 mm2");
        assert_eq!(paired("4 x 30 mm"), "4 x 30 mm");
    }

    #[test]
    fn units_after_figures_get_their_signs() {
        for (plain, set) in [
            ("25 mm2, 90 C insulation", "25 mm², 90 °C insulation"),
            ("35 mOhm at 25 C.", "35 mΩ at 25 °C."),
            ("6 x 0.1 s", "6 × 0.1 s"),
            ("3 x 1.5 mm2", "3 × 1.5 mm²"),
            ("at most 2.5 m2", "at most 2.5 m²"),
        ] {
            assert_eq!(set_in_type(plain), set);
        }
    }

    #[test]
    fn names_and_words_stay() {
        for text in [
            "wire C 5",
            "2 C5",
            "2 Cm",
            "m2, m3",
            "box 3 x pump",
            "x 3",
            "b1 x2",
            "16 mm2x",
            "wire b1 C",
        ] {
            assert_eq!(set_in_type(text), text);
        }
    }
}
