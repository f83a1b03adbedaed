//! How wide words are on paper, and how a long label breaks. The widths are upper estimates, so that
//! what is laid out to fit does fit in any of the typefaces a viewer may put in.

/// Typefaces asked for, in order.
pub(crate) const TYPEFACE: &str = "Inter, Helvetica, Arial, sans-serif";

/// Width of one line of words, upper estimate, in the unit of `size`.
pub(crate) fn width(text: &str, size: f64) -> f64 {
    let share = |letter: char| match letter {
        'i' | 'j' | 'l' | 't' | 'f' | 'r' | '.' | ',' | ':' | ';' | '\'' | '|' | ' ' => 0.38,
        'm' | 'w' | 'M' | 'W' | '@' => 0.95,
        'A'..='Z' | '0'..='9' => 0.70,
        letter if letter.is_ascii() => 0.60,
        _ => 1.05,
    };
    size * text.chars().map(share).sum::<f64>()
}

/// Breaks a label into at most `most` lines no wider than `room`; what does not fit ends in a mark.
pub(crate) fn lines(text: &str, size: f64, room: f64, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    // A space that must not break keeps a figure beside its unit.
    let words = text.split(|letter: char| letter.is_whitespace() && letter != '\u{a0}');
    for word in words.filter(|word| !word.is_empty()) {
        let joined = lines.last().map(|line| format!("{line} {word}"));
        match joined.filter(|joined| width(joined, size) <= room) {
            Some(joined) => *lines.last_mut().expect("a line was there to join") = joined,
            None => lines.push(word.to_owned()),
        }
    }
    let is_cut = lines.len() > most;
    lines.truncate(most);
    for line in &mut lines {
        *line = shortened(line, size, room);
    }
    if let Some(last) = lines.last_mut().filter(|_| is_cut) {
        *last = shortened(&format!("{} …", last.trim_end_matches(" …")), size, room);
    }
    lines
}

/// One line cut so that it fits.
pub(crate) fn shortened(text: &str, size: f64, room: f64) -> String {
    if width(text, size) <= room {
        return text.to_owned();
    }
    let mut kept = String::new();
    for letter in text.trim_end_matches([' ', '…']).chars() {
        if width(&kept, size) + width(&letter.to_string(), size) + width("…", size) > room {
            break;
        }
        kept.push(letter);
    }
    kept.push('…');
    kept
}
