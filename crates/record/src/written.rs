//! What stands in the text about one thing, word for word, so that it can be shown and changed.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::fact_text::stated;
use crate::patch::get;
use crate::text::Words;
use crate::wires::{core_of, is_colour};

/// What stands in the text about one thing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Written {
    /// A shorthand line.
    Line(String),
    /// Fields with what is written in each; lists and tables as they stand in the text.
    Fields(Vec<(String, String)>),
}

/// What stands under a name in a section; `None` if nothing does.
pub fn written(text: &str, section: &str, name: &str) -> Option<Written> {
    let (table, _) = DeTable::parse_recoverable(text);
    let DeValue::Table(things) = get(table.get_ref(), section, "").ok()?.get_ref() else {
        return None;
    };
    match get(things, name, "").ok()?.get_ref() {
        DeValue::Table(fields) => Some(Written::Fields(fields_of(text, fields))),
        DeValue::String(line) => Some(Written::Line(line.to_string())),
        _ => None,
    }
}

/// The fields of a section that is one table, as they stand; empty if there is no such section.
pub fn fields(text: &str, section: &str) -> Vec<(String, String)> {
    let (table, _) = DeTable::parse_recoverable(text);
    match get(table.get_ref(), section, "").map(Spanned::get_ref) {
        Ok(DeValue::Table(fields)) => fields_of(text, fields),
        _ => Vec::new(),
    }
}

fn fields_of(text: &str, fields: &DeTable<'_>) -> Vec<(String, String)> {
    fields.iter().map(|(key, value)| (key.get_ref().to_string(), words(text, value))).collect()
}

fn words(text: &str, value: &Spanned<DeValue<'_>>) -> String {
    match value.get_ref() {
        DeValue::String(words) => words.to_string(),
        _ => text.get(value.span()).unwrap_or_default().to_owned(),
    }
}

/// A wire line with a gap where it says something: what stands before and after it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WirePiece {
    /// The field of a wire that the piece is about: `size`, `length`, `core`, `colour`, `insulation`.
    pub key: &'static str,
    /// What the line says of it.
    pub is: String,
    /// The line up to it.
    pub before: String,
    /// The line from after it.
    pub after: String,
}

/// The pieces of a wire line that say something of its size, length, core, colour and insulation.
pub fn wire_pieces(line: &str) -> Vec<WirePiece> {
    let mut pieces = Vec::new();
    let mut at = 0;
    for (number, piece) in line.split(',').enumerate() {
        let start = at + piece.len() - piece.trim_start().len();
        let end = start + piece.trim().len();
        at += piece.len() + 1;
        let key = if number == 0 { None } else { piece_key(piece.trim()) };
        pieces.extend(key.map(|key| WirePiece {
            key,
            is: line[start..end].to_owned(),
            before: line[..start].to_owned(),
            after: line[end..].to_owned(),
        }));
    }
    pieces
}

fn piece_key(piece: &str) -> Option<&'static str> {
    if let Some(what) = piece.strip_prefix("unknown ") {
        return ["size", "length", "core", "colour", "insulation"].into_iter().find(|k| *k == what);
    }
    let words = Words::at(piece, diag::Span::default());
    let value = stated(words, &model::Origin::seen())?.value.text;
    if core_of(value).is_some() {
        return Some("core");
    }
    if is_colour(value) {
        return Some("colour");
    }
    let size = value.rsplit_once(" x ").map_or(value, |(_, size)| size);
    match units::parse_any(size).ok()?.0 {
        units::Dimension::Area => Some("size"),
        units::Dimension::Length => Some("length"),
        units::Dimension::Temperature => Some("insulation"),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_and_fields_are_given_as_they_stand() {
        let text = "[wires]\nw1 = \"a to b, told 3 m by the \\\"owner\\\"\"\n[devices]\nbox = { kind = \"blade fuse box\", ways = [\"15 A fridge\"] }\n";
        let line = Written::Line("a to b, told 3 m by the \"owner\"".to_owned());
        assert_eq!(written(text, "wires", "w1"), Some(line));
        let fields = [("kind", "blade fuse box"), ("ways", "[\"15 A fridge\"]")];
        let fields = fields.map(|(key, words)| (key.to_owned(), words.to_owned())).to_vec();
        assert_eq!(written(text, "devices", "box"), Some(Written::Fields(fields)));
        assert_eq!(written(text, "devices", "none"), None);
        assert_eq!(written("devices = 3", "devices", "box"), None);
    }

    #[test]
    fn pieces_of_a_wire_line_leave_gaps_that_fill_again() {
        let line = "x to unknown, assumed 2.5 mm2 because its neighbour is, red, told 3.4 m by RK, fine, 105 C, sheathed, unknown size";
        let pieces = wire_pieces(line);
        let keys: Vec<&str> = pieces.iter().map(|piece| piece.key).collect();
        assert_eq!(keys, ["size", "colour", "length", "core", "insulation", "size"]);
        for piece in pieces {
            assert_eq!(format!("{}{}{}", piece.before, piece.is, piece.after), line);
        }
    }
}
