//! Makes every piece of text in the data printable and finds what cannot be printed.
//!
//! It does not change what is said: only characters that steer a device or turn the reading
//! direction by force are replaced, visibly; and units get the signs of print.

use std::collections::BTreeSet;

use serde_json::Value;

use crate::typeface::Shapes;

/// Stands where a character was taken out.
const REPLACEMENT: char = '\u{fffd}';

/// Replaces steering characters in every text of `value`, in place.
pub(crate) fn printable(value: &mut Value) {
    match value {
        Value::String(text) => {
            if text.chars().any(|c| replaced(c) != Some(c)) {
                *text = text.chars().filter_map(replaced).collect();
            }
            *text = wording::set_in_type(text);
        }
        Value::Array(items) => items.iter_mut().for_each(printable),
        Value::Object(fields) => fields.values_mut().for_each(printable),
        Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}

/// Code points in `value` for which the typefaces have no shape, as `U+8A9E`, in order.
pub(crate) fn without_shape(value: &Value, shapes: &Shapes) -> Vec<String> {
    let mut seen = BTreeSet::new();
    gather(value, &mut seen);
    seen.into_iter()
        .filter(|c| !c.is_whitespace() && !invisible(*c) && !shapes.has(*c))
        .map(|c| format!("U+{:04X}", u32::from(c)))
        .collect()
}

fn gather(value: &Value, seen: &mut BTreeSet<char>) {
    match value {
        Value::String(text) => seen.extend(text.chars()),
        Value::Array(items) => items.iter().for_each(|item| gather(item, seen)),
        Value::Object(fields) => fields.values().for_each(|field| gather(field, seen)),
        Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}

fn replaced(character: char) -> Option<char> {
    match character {
        '\n' => Some('\n'),
        '\r' => None,
        '\t' => Some(' '),
        '\u{2028}' | '\u{2029}' => Some('\n'),
        // Embeddings, overrides and isolates: they can make a line read as what it is not.
        '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => Some(REPLACEMENT),
        other if other.is_control() => Some(REPLACEMENT),
        other => Some(other),
    }
}

fn invisible(character: char) -> bool {
    matches!(character, '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{2060}' | '\u{feff}' | '\u{fe00}'..='\u{fe0f}')
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn a_forced_turn_of_the_reading_direction_is_shown_as_replaced() {
        let mut value = json!({ "a": ["x\u{202e}y\u{0}z\tq\r\n"] });
        printable(&mut value);
        assert_eq!(value, json!({ "a": ["x\u{fffd}y\u{fffd}z q\n"] }));
    }

    #[test]
    fn trade_text_is_left_as_it_is() {
        let text = "F3 → hob, 2.5 mm², ≤ 0.35 V at 20 °C #1 [x] $y * <z>";
        let mut value = json!(text);
        printable(&mut value);
        assert_eq!(value, json!(text));
    }

    #[test]
    fn characters_without_a_shape_are_named_once_and_in_order() {
        let value = json!(["語a語", "\u{1f527}", "b\u{200b}"]);
        assert_eq!(without_shape(&value, &Shapes::load()), ["U+8A9E", "U+1F527"]);
    }
}
