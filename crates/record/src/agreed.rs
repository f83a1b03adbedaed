//! What somebody agreed to or declined, as a line of `[authority]`.
//!
//! Knows the form of the line; does not know who asks for it, nor what the repairs are.

use units::Money;

use crate::edit::value;
use crate::patch::quoted;

/// A yes or a no, piece by piece; an empty piece was not said.
#[derive(Clone, Copy, Debug, Default)]
pub struct Agreed<'a> {
    /// Who.
    pub by: &'a str,
    /// By which way.
    pub channel: &'a str,
    /// When.
    pub on: &'a str,
    /// What a yes is to: words, or names of repairs with commas between.
    pub allows: &'a str,
    /// What a no is to, the same way.
    pub declines: &'a str,
    /// Up to how much: a sum is the total that was agreed to, anything else stays words.
    pub up_to: &'a str,
    /// In their words.
    pub words: &'a str,
    /// Who wrote it down.
    pub recorder: &'a str,
}

/// The line under a name that no line of the text has: `agreed-2 = { by = "the owner", ... }`.
pub fn agreed_line(text: &str, agreed: &Agreed<'_>) -> String {
    let is_free = |name: &String| value(text, &["authority", name]).is_none();
    let name = (1_u32..).map(|number| format!("agreed-{number}")).find(is_free).unwrap_or_default();
    let is_sum = agreed.up_to.parse::<Money>().is_ok_and(|money| money.cents() >= 0);
    let up_to = match agreed.up_to {
        "" => String::new(),
        _ if is_sum => String::new(),
        words => format!("up to {words}"),
    };
    let said = [agreed.words, &up_to].into_iter().filter(|words| !words.is_empty());
    let said = said.collect::<Vec<_>>().join("; ");
    let pieces = [
        ("by", text_or_nothing(agreed.by)),
        ("channel", text_or_nothing(agreed.channel)),
        ("on", text_or_nothing(agreed.on)),
        ("allows", list(agreed.allows)),
        ("declines", list(agreed.declines)),
        ("total", text_or_nothing(if is_sum { agreed.up_to } else { "" })),
        ("words", text_or_nothing(&said)),
        ("recorder", text_or_nothing(agreed.recorder)),
    ];
    let pieces = pieces.into_iter().filter(|(_, value)| !value.is_empty());
    let pieces: Vec<String> = pieces.map(|(key, value)| format!("{key} = {value}")).collect();
    format!("{name} = {{ {} }}", pieces.join(", "))
}

/// Names one by one; words stay whole, whatever commas are in them.
fn list(words: &str) -> String {
    let pieces: Vec<&str> = words.split(',').map(str::trim).filter(|one| !one.is_empty()).collect();
    let is_name =
        |piece: &&str| piece.chars().all(|c| c.is_ascii_alphanumeric() || "-_/".contains(c));
    let pieces = if pieces.iter().all(is_name) { pieces } else { vec![words.trim()] };
    let quoted: Vec<String> = pieces.into_iter().map(quoted).collect();
    if quoted.is_empty() { String::new() } else { format!("[{}]", quoted.join(", ")) }
}

/// As a string of the record; nothing for nothing.
fn text_or_nothing(words: &str) -> String {
    let words = words.trim();
    if words.is_empty() { String::new() } else { quoted(words) }
}
