//! Sentences told in another language. The program makes its sentences in English from patterns with
//! gaps; here the pattern a sentence was made by is found again, and the same gaps are put into the
//! pattern of the other language.
//!
//! Names of the record and quantities stand in the gaps and stay as they are. What stands in a gap and
//! is itself made by a pattern is told anew too. Where a text may be a name of the record, only the
//! patterns of names are tried, so that a device called `paint` keeps its name.

use std::collections::BTreeMap;

use crate::catalog::filled;

/// How deep patterns may stand within patterns.
const DEEPEST: usize = 4;

/// A pattern that begins with a gap and has fewer letters of its own than this is weak: it tells how a
/// place is called (`{a} at {b}`). An instruction, which begins with a capital, was not made by it.
const FEW_LETTERS: usize = 10;

/// Longest text looked at, in bytes; no sentence of the program is as long.
const LONGEST: usize = 2000;

/// All patterns of a language, by where they may stand.
#[derive(Clone, Debug, Default)]
pub(crate) struct PhraseBook {
    /// How places of the record are called.
    pub(crate) names: Phrases,
    /// Short words of tables; names too.
    pub(crate) words: Phrases,
    /// Sentences; names too.
    pub(crate) sentences: Phrases,
    /// What stands on drawings; sentences and names too.
    pub(crate) drawings: Phrases,
}

impl PhraseBook {
    /// Reads a file of patterns: English on the left, the other language on the right.
    ///
    /// # Errors
    /// What is wrong with the file, and where: one English sentence twice, for example.
    pub(crate) fn of(source: &str) -> Result<PhraseBook, String> {
        let table: toml::Table =
            source.parse().map_err(|fault: toml::de::Error| fault.to_string())?;
        let section = |name: &str| table.get(name).and_then(toml::Value::as_table);
        let names = Phrases::of(&[section("names")]);
        Ok(PhraseBook {
            names,
            words: Phrases::of(&[section("words"), section("names")]),
            sentences: Phrases::of(&[section("sentences"), section("names")]),
            drawings: Phrases::of(&[section("drawings"), section("sentences"), section("names")]),
        })
    }
}

/// The patterns of one place.
#[derive(Clone, Debug, Default)]
pub(crate) struct Phrases {
    /// Sentences without a gap.
    whole: BTreeMap<String, String>,
    /// Patterns with gaps, those with the most letters of their own first.
    patterns: Vec<Pattern>,
}

#[derive(Clone, Debug)]
struct Pattern {
    /// The text before the first gap, then gap and text in turn.
    start: String,
    gaps: Vec<(String, String)>,
    told: String,
}

impl Phrases {
    /// The patterns of some tables; of two for the same English the first.
    fn of(tables: &[Option<&toml::Table>]) -> Phrases {
        let mut phrases = Phrases::default();
        for (english, told) in tables.iter().flatten().rev().copied().flatten() {
            let Some(told) = told.as_str() else { continue };
            let pattern = Pattern::of(english, told);
            if pattern.gaps.is_empty() {
                phrases.whole.insert(english.clone(), told.to_owned());
            } else {
                phrases.patterns.push(pattern);
            }
        }
        phrases.patterns.sort_by_key(|pattern| std::cmp::Reverse(pattern.letters()));
        phrases
    }

    /// The sentence in the other language; `None` when no pattern fits.
    pub(crate) fn tell(&self, text: &str) -> Option<String> {
        self.tell_within(text, 0)
    }

    fn tell_within(&self, text: &str, depth: usize) -> Option<String> {
        if let Some(told) = self.whole.get(text) {
            return Some(told.clone());
        }
        if depth >= DEEPEST || text.len() > LONGEST {
            return None;
        }
        let is_instruction = depth == 0 && text.starts_with(|c: char| c.is_ascii_uppercase());
        self.patterns.iter().find_map(|pattern| {
            let values = pattern.values(text)?;
            let is_name = |(_, value): &(&str, &str)| self.may_be_name(value, depth + 1);
            if pattern.is_weak() && (is_instruction || !values.iter().all(is_name)) {
                return None;
            }
            let told: Vec<(&str, String)> =
                values.iter().map(|(name, value)| (*name, self.gap(value, depth + 1))).collect();
            let told: Vec<(&str, &str)> = told.iter().map(|(n, v)| (*n, v.as_str())).collect();
            Some(filled(&pattern.told, &told))
        })
    }

    /// Whether it may be what a weak pattern joins: one word, a quantity, or words with a pattern of
    /// their own. What a record calls its things has more words, and stays as it is.
    fn may_be_name(&self, value: &str, depth: usize) -> bool {
        // A number with its unit, not what begins with one (`12 V converter`).
        let is_quantity = value.starts_with(|c: char| c.is_ascii_digit() || c == '-')
            && value.split(' ').count() <= 2;
        let is_one = !value.contains(' ') || (is_quantity && !value.contains(", "));
        is_one || self.tell_within(value, depth).is_some()
    }

    /// What stands in a gap: a sentence, a list of them, or words of the record.
    fn gap(&self, value: &str, depth: usize) -> String {
        if let Some(told) = self.tell_within(value, depth) {
            return told;
        }
        for separator in ["; ", ", "] {
            if value.contains(separator) {
                let pieces = value.split(separator);
                let told: Vec<String> = pieces
                    .map(|piece| self.tell_within(piece, depth).unwrap_or_else(|| piece.to_owned()))
                    .collect();
                return told.join(separator);
            }
        }
        value.to_owned()
    }
}

impl Pattern {
    fn of(english: &str, told: &str) -> Pattern {
        let mut pieces = english.split('{');
        let start = pieces.next().unwrap_or_default().to_owned();
        let gaps = pieces
            .map(|piece| {
                let (name, after) = piece.split_once('}').unwrap_or((piece, ""));
                (name.to_owned(), after.to_owned())
            })
            .collect();
        Pattern { start, gaps, told: told.to_owned() }
    }

    /// Letters that do not stand in a gap.
    fn letters(&self) -> usize {
        self.start.len() + self.gaps.iter().map(|(_, after)| after.len()).sum::<usize>()
    }

    fn is_weak(&self) -> bool {
        self.start.is_empty() && self.letters() < FEW_LETTERS
    }

    /// What stands in the gaps, each as short as it can be; `None` when the text was not made by this
    /// pattern.
    fn values<'p, 't>(&'p self, text: &'t str) -> Option<Vec<(&'p str, &'t str)>> {
        let mut rest = text.strip_prefix(self.start.as_str())?;
        let mut values = Vec::with_capacity(self.gaps.len());
        for (at, (name, after)) in self.gaps.iter().enumerate() {
            let is_last = at + 1 == self.gaps.len();
            let value = if is_last {
                rest.strip_suffix(after.as_str())?
            } else {
                // A gap holds at least one character.
                let first = rest.chars().next()?.len_utf8();
                &rest[..first + rest[first..].find(after.as_str())?]
            };
            if value.is_empty() {
                return None;
            }
            values.push((name.as_str(), value));
            rest = &rest[value.len()..];
            rest = rest.strip_prefix(after.as_str()).unwrap_or_default();
        }
        Some(values)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn phrases() -> Phrases {
        book().sentences
    }

    fn book() -> PhraseBook {
        PhraseBook::of(
            r#"
            [names]
            "state {a}" = "estado {a}"
            [sentences]
            "wire {a} is solid" = "el cable {a} es macizo"
            "{a} draws {b} at {c}" = "con {c}, {a} consume {b}"
            "seen" = "visto"
            "core: {a}" = "alma: {a}"
            "{a} min in, {b} min back" = "{a} min para abrir, {b} min para cerrar"
            "{a} min in, {b} min back, {c} expected breakage" = "{a} min para abrir, {b} min para cerrar, rotura esperada {c}"
            "#,
        )
        .expect("the patterns are TOML")
    }

    #[test]
    fn an_english_sentence_that_stands_there_twice_is_named_with_its_line() {
        let twice = "[sentences]\n\"a\" = \"uno\"\n\"b\" = \"dos\"\n\"a\" = \"tres\"\n";
        let fault = PhraseBook::of(twice).expect_err("one sentence twice");
        assert!(fault.contains("duplicate key") && fault.contains("line 4"), "{fault}");
    }

    #[test]
    fn words_of_the_record_that_look_like_a_pattern_stay() {
        let book = PhraseBook::of(
            "[names]\n\"{a} to {b}\" = \"{a} a {b}\"\n[sentences]\n\"behind {a}\" = \"tras {a}\"\n",
        );
        let phrases = book.expect("the patterns are TOML").sentences;
        assert_eq!(phrases.tell("house.+ to 12 V").as_deref(), Some("house.+ a 12 V"));
        let told = phrases.tell("behind foam ceiling, glued to the bows");
        assert_eq!(told.as_deref(), Some("tras foam ceiling, glued to the bows"));
    }

    #[test]
    fn an_instruction_is_not_taken_for_the_name_of_a_place() {
        let book = PhraseBook::of("[names]\n\"{a} at {b}\" = \"{a} en {b}\"\n[sentences]\n");
        let phrases = book.expect("the patterns are TOML").sentences;
        assert_eq!(phrases.tell("b1 at box.3").as_deref(), Some("b1 en box.3"));
        assert_eq!(phrases.tell("Remake the joint b1 at box.3"), None);
    }

    #[test]
    fn a_sentence_is_told_with_what_stands_in_its_gaps() {
        let told = |text: &str| phrases().tell(text);
        assert_eq!(told("wire l4 is solid").as_deref(), Some("el cable l4 es macizo"));
        assert_eq!(told("pump draws 4 A at 12 V").as_deref(), Some("con 12 V, pump consume 4 A"));
        assert_eq!(told("core: seen").as_deref(), Some("alma: visto"));
        assert_eq!(told("core: state night, seen").as_deref(), Some("alma: estado night, visto"));
        assert_eq!(told("wire l4 is red"), None);
    }

    #[test]
    fn the_pattern_with_the_most_letters_of_its_own_is_taken() {
        let told = phrases().tell("14 min in, 19 min back, 1.50 EUR expected breakage");
        let wanted = "14 min para abrir, 19 min para cerrar, rotura esperada 1.50 EUR";
        assert_eq!(told.as_deref(), Some(wanted));
    }

    #[test]
    fn a_name_that_is_a_word_elsewhere_keeps_its_name() {
        assert_eq!(book().names.tell("seen"), None);
        assert_eq!(book().names.tell("state night").as_deref(), Some("estado night"));
    }

    #[test]
    fn both_sides_of_every_pattern_put_the_same_things_in() {
        let source = include_str!("../texts/es-phrases.toml");
        let table: toml::Table = source.parse().expect("the patterns are TOML");
        let mut count = 0;
        for (english, told) in table.values().filter_map(toml::Value::as_table).flatten() {
            let told = told.as_str().expect("a text");
            assert_eq!(places(english), places(told), "{english}");
            assert!(!told.trim().is_empty(), "{english}");
            count += 1;
        }
        assert!(count > 250, "{count} patterns");
    }

    fn places(text: &str) -> std::collections::BTreeSet<&str> {
        text.split('{').skip(1).filter_map(|piece| piece.split('}').next()).collect()
    }

    #[test]
    fn a_gap_is_never_empty() {
        assert_eq!(phrases().tell("core: "), None);
    }
}
