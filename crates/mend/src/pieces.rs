//! Pieces of a shorthand line: what each says, and a line that says something else instead; and how one
//! thing of a kind is called.
//!
//! Knows commas and words of origin, not what is right.

use catalog::trade_name;

/// Words of origin before what a piece says.
const ORIGINS: [&str; 4] = ["seen", "told", "measured", "assumed"];

/// What stands behind what a piece says: a person, a reason, a day.
const BEHIND: [&str; 3] = [" by ", " because ", " on 2"];

/// What a piece says, without how it came to be known.
pub(crate) fn said(piece: &str) -> &str {
    let piece = piece.trim();
    let piece = match piece.split_once(' ') {
        Some((word, rest)) if ORIGINS.contains(&word) => rest,
        _ => piece,
    };
    let end = BEHIND.iter().filter_map(|words| piece.find(words)).min();
    piece[..end.unwrap_or(piece.len())].trim()
}

/// The line without the pieces that say what `gone` names, and with `new` behind the others. The first
/// `head` pieces are no pieces: where a wire begins and ends.
pub(crate) fn with_pieces(
    line: &str,
    head: usize,
    gone: impl Fn(&str) -> bool,
    new: &[String],
) -> String {
    let pieces = line.split(',').map(str::trim).enumerate();
    let kept = pieces.filter(|(at, piece)| *at < head || !(piece.is_empty() || gone(said(piece))));
    let kept = kept.map(|(_, piece)| piece.to_owned());
    kept.chain(new.iter().cloned()).collect::<Vec<_>>().join(", ")
}

/// One thing of a kind, as the trade writes it: `a Class T fuse`, `an isolator`.
pub(crate) fn one(kind: &str) -> String {
    let article = if kind.starts_with(['a', 'e', 'i', 'o']) { "an" } else { "a" };
    format!("{article} {}", trade_name(kind))
}

/// A size in words, where it is known.
pub(crate) fn size_of(words: &str) -> &str {
    if words.is_empty() { "the size of the wire" } else { words }
}

#[cfg(test)]
mod tests {
    use super::{one, said, with_pieces};

    #[test]
    fn one_of_a_kind_has_its_article() {
        assert_eq!(one("class t fuse"), "a Class T fuse");
        assert_eq!(one("anl fuse"), "an ANL fuse");
        assert_eq!(one("isolator"), "an isolator");
        assert_eq!(one("usb socket"), "a USB socket");
    }

    #[test]
    fn what_is_said_stands_without_how_it_is_known() {
        assert_eq!(said(" told near heat by the owner"), "near heat");
        assert_eq!(said("assumed no label because nothing has one"), "no label");
        assert_eq!(said("measured hottest 85 C on 2026-06-11"), "hottest 85 C");
        assert_eq!(said("on gas line"), "on gas line");
    }

    #[test]
    fn a_line_says_something_else_and_keeps_the_rest() {
        let line = "a to b, 4 mm2, told no grommet by the owner, red";
        let new = ["grommets".to_owned()];
        let is = with_pieces(line, 1, |said| said == "no grommet", &new);
        assert_eq!(is, "a to b, 4 mm2, red, grommets");
        assert_eq!(with_pieces("", 0, |_| false, &new), "grommets");
    }
}
