//! Faults of the TOML itself, in the words of somebody who never heard of TOML.

use diag::{Diagnostic, Span};

/// What the parser says (the beginning of it), what we say, and what to do.
const PLAIN: &[(&str, &str, &str)] = &[
    ("invalid basic string, expected `\"`", "these quotes are not closed on this line", CLOSE),
    ("invalid literal string, expected `'`", "these quotes are not closed on this line", CLOSE),
    ("invalid multi-line", "the three quotes are never closed", "close them with three again"),
    (
        "invalid basic string",
        "this character cannot stand inside quotes",
        "delete it and type the words again",
    ),
    ("invalid literal string", "this character cannot stand inside quotes", RETYPE),
    ("invalid comment character", "this character cannot stand in a remark", RETYPE),
    (
        "missing escaped value",
        "a backslash inside quotes must be written twice",
        "write `\\\\`, or leave it out",
    ),
    ("too few unicode value digits", "this is no character's number", RETYPE),
    ("invalid value", "this is no character's number, or no value", RETYPE),
    ("string values must be quoted", "a value stands in quotes", QUOTES),
    ("missing opening quote", "the quotes are closed but never opened", QUOTES),
    ("missing value for key", "there is no `=` after this name", LINE),
    ("missing value", "there is no value after `=`", QUOTES),
    ("key with no value", "there is no `=` after this name", LINE),
    ("missing assignment", "there is no `=` between name and value", LINE),
    ("extra assignment", "there are two `=` here", LINE),
    ("extra `=`", "there are two `=` here", LINE),
    ("unexpected `=` in array", "a list holds values only, no names", "use `{ }` for names"),
    ("unquoted keys cannot be empty", "a name is missing here", LINE),
    ("missing key for inline table element", "a name is missing here", FIELDS),
    (
        "invalid unquoted key",
        "a name with this in it must stand in quotes",
        "write for example `\"w12 at fridge.+\" = \"lug\"`",
    ),
    ("keys cannot be multi-line", "a name is written on one line", LINE),
    ("missing comma between key-value pairs", "a comma is missing between two fields", FIELDS),
    ("missing comma between array", "a comma is missing between two values", LIST),
    ("extra comma in inline table", "there is a comma too many", FIELDS),
    ("extra comma in array", "there is a comma too many", LIST),
    ("unclosed inline table", "a `{` is never closed", FIELDS),
    ("invalid inline table element", "this is no field", FIELDS),
    ("unclosed array table", "a `]` is missing after the section's name", SECTION),
    ("unclosed table", "a `]` is missing after the section's name", SECTION),
    ("unclosed array", "a `[` is never closed", LIST),
    (
        "unexpected content between comment and newline",
        "there is something after the remark",
        "start a new line",
    ),
    ("unexpected content", "there is something more on this line", "start a new line"),
    ("unexpected key or value", "there is something more on this line", "start a new line"),
    (
        "carriage return must be followed",
        "a line ends in half of a line end",
        "save the file with ordinary line ends",
    ),
    (
        "cannot extend value",
        "this name already has a value, so nothing can be added inside it",
        "write it once, with all its fields in `{ }`",
    ),
];

const CLOSE: &str = "put the closing quotes at the end of the words";
const RETYPE: &str = "delete it and type the words again";
const QUOTES: &str = "write for example `w12 = \"box.1 to fridge.+, 4 mm2\"`";
const LINE: &str = "a line reads `name = \"value\"`";
const FIELDS: &str = "write for example `{ kind = \"led lights\", at = \"roof\" }`";
const LIST: &str = "write for example `[\"15 A fridge\", \"10 A pump\"]`";
const SECTION: &str = "write for example `[devices]`, on a line of its own";

const LEFT_OUT: &str = "this line is left out";
const REST: &str = "what can still be read is used";

/// The diagnostic of a fault of the parser.
pub(crate) fn fault(record: &str, error: &toml::de::Error) -> Diagnostic {
    let span = error.span().map_or_else(Span::default, Span::from);
    let message = error.message();
    if message.starts_with("duplicate key") {
        return duplicate(record, span);
    }
    if message.contains("recurs") {
        return too_deep(span);
    }
    let (words, help) = PLAIN
        .iter()
        .find(|(start, ..)| message.starts_with(start))
        .map_or((message, LINE), |(_, words, help)| (*words, *help));
    Diagnostic::error("syntax", words, span).help(help).help(if stops(message) {
        LEFT_OUT
    } else {
        REST
    })
}

/// Whether a fault of the parser is that it missed an end, perhaps long after.
pub(crate) fn is_unclosed(message: &str) -> bool {
    let starts = ["unclosed inline table", "unclosed array", "invalid multi-line"];
    let header = message.starts_with("unclosed array table");
    !header && starts.iter().any(|start| message.starts_with(start))
}

/// Whether a fault of the parser makes it leave out all that follows.
pub(crate) fn stops(message: &str) -> bool {
    ["key with no value", "missing value for key", "unclosed array table"]
        .iter()
        .any(|start| message.starts_with(start))
}

/// A bracket, or three quotes, opened on a line and never closed.
pub(crate) fn unclosed(record: &str, opener: Span) -> Diagnostic {
    let rest = record.get(opener.start..).unwrap_or("");
    let (words, help) = if rest.starts_with('{') {
        ("this `{` is never closed", FIELDS)
    } else if rest.starts_with('[') {
        ("this `[` is never closed", LIST)
    } else if rest.starts_with("\"\"\"") || rest.starts_with("'''") {
        ("these three quotes are never closed", "close them with three again")
    } else {
        ("these quotes are not closed on this line", CLOSE)
    };
    Diagnostic::error("syntax", words, opener).help(help).help(LEFT_OUT)
}

/// More brackets, or more points in a name, than the parser follows.
pub(crate) fn too_deep(span: Span) -> Diagnostic {
    Diagnostic::error("too-deep", "this goes too deep: brackets in brackets, or points", span)
        .help("no record needs more than three levels; look for a bracket never closed")
}

/// A section written twice is read on; of a name written twice only the first counts.
fn duplicate(record: &str, span: Span) -> Diagnostic {
    let name = crate::names::shown(record.get(span.start..span.end).unwrap_or(""));
    let before = record.get(..span.start).unwrap_or("");
    if before.ends_with('[') {
        return Diagnostic::error("duplicate", format!("the section `{name}` starts twice"), span)
            .help("its lines are read all the same; put them together");
    }
    Diagnostic::error("duplicate", format!("`{name}` is written twice"), span)
        .help("only the first one is used; give the second a name of its own")
}
