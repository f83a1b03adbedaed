//! A text catalog: words by key, with places for what is put in.

use std::collections::BTreeMap;

use crate::Language;

const ENGLISH: &str = include_str!("../texts/en.toml");
const SPANISH: &str = include_str!("../texts/es.toml");

/// The texts of one language.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Texts {
    language: Language,
    texts: BTreeMap<String, String>,
}

impl Texts {
    /// The texts of a language.
    pub fn of(language: Language) -> Texts {
        let source = match language {
            Language::English => ENGLISH,
            Language::Spanish => SPANISH,
        };
        Texts { language, texts: flat(source) }
    }

    /// Their language.
    pub fn language(&self) -> Language {
        self.language
    }

    /// The text of a key such as `table.findings.place`. A key that is not there is shown itself, so
    /// that the gap is seen; the test of the catalogs keeps both languages complete.
    pub fn get<'t>(&'t self, key: &'t str) -> &'t str {
        self.texts.get(key).map_or(key, String::as_str)
    }

    /// The text of a key with what is put in, by name: `{n}`.
    pub fn fill(&self, key: &str, values: &[(&str, &str)]) -> String {
        filled(self.get(key), values)
    }

    /// Whether there is a text of that key.
    pub fn has(&self, key: &str) -> bool {
        self.texts.contains_key(key)
    }

    /// All keys with their texts, in order.
    pub fn all(&self) -> &BTreeMap<String, String> {
        &self.texts
    }
}

/// A text with what is put in.
pub(crate) fn filled(text: &str, values: &[(&str, &str)]) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(start) = rest.find('{') {
        let (before, from) = rest.split_at(start);
        out.push_str(before);
        let found = from.find('}').and_then(|end| {
            let value = values.iter().find(|(name, _)| *name == &from[1..end])?;
            Some((value.1, end))
        });
        match found {
            Some((value, end)) => {
                out.push_str(value);
                rest = &from[end + 1..];
            }
            None => {
                out.push('{');
                rest = &from[1..];
            }
        }
    }
    out.push_str(rest);
    out
}

/// Tables within tables become keys with dots. The catalogs are part of the program and tested; one
/// that cannot be read would show keys.
fn flat(source: &str) -> BTreeMap<String, String> {
    let mut texts = BTreeMap::new();
    let table: toml::Table = source.parse().unwrap_or_default();
    gather(&table, "", &mut texts);
    texts
}

fn gather(table: &toml::Table, above: &str, texts: &mut BTreeMap<String, String>) {
    for (key, value) in table {
        let key = if above.is_empty() { key.clone() } else { format!("{above}.{key}") };
        match value {
            toml::Value::String(text) => {
                texts.insert(key, text.clone());
            }
            toml::Value::Table(inner) => gather(inner, &key, texts),
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    fn places(text: &str) -> BTreeSet<&str> {
        text.split('{').skip(1).filter_map(|piece| piece.split('}').next()).collect()
    }

    #[test]
    fn no_key_is_missing_in_either_language() {
        let keys = |language| {
            let texts = Texts::of(language);
            texts.all().keys().cloned().collect::<BTreeSet<String>>()
        };
        let (english, spanish) = (keys(Language::English), keys(Language::Spanish));
        assert!(english.len() > 150, "the catalog was not read");
        let only = |a: &BTreeSet<String>, b: &BTreeSet<String>| {
            a.difference(b).cloned().collect::<Vec<_>>()
        };
        assert_eq!(only(&english, &spanish), Vec::<String>::new(), "missing in Spanish");
        assert_eq!(only(&spanish, &english), Vec::<String>::new(), "missing in English");
    }

    #[test]
    fn both_languages_put_the_same_things_in() {
        let (english, spanish) = (Texts::of(Language::English), Texts::of(Language::Spanish));
        for (key, text) in english.all() {
            assert_eq!(places(text), places(spanish.get(key)), "{key}");
            assert!(!text.trim().is_empty(), "{key} is empty");
        }
    }

    #[test]
    fn spanish_is_not_english_left_standing() {
        let (english, spanish) = (Texts::of(Language::English), Texts::of(Language::Spanish));
        let words = |text: &str| text.split_whitespace().filter(|w| !w.starts_with('{')).count();
        let same: Vec<&String> = english
            .all()
            .iter()
            .filter(|(key, text)| spanish.get(key) == text.as_str())
            .filter(|(_, text)| words(text) > 1)
            .map(|(key, _)| key)
            .collect();
        assert_eq!(same, Vec::<&String>::new());
    }

    #[test]
    fn what_is_put_in_is_not_read_as_a_place_again() {
        assert_eq!(filled("{a} of {b}", &[("a", "{b}"), ("b", "2")]), "{b} of 2");
        assert_eq!(filled("{c} { }", &[("a", "1")]), "{c} { }");
    }
}
