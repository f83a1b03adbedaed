//! In which language and units a drawing is told.

use draw::Speech;
use draw::chart::Heading;
use wording::{Teller, set_in_type};

/// Tells what a drawing says. Names of the record and words of people stay as they are.
#[derive(Clone, Debug, Default)]
pub(crate) struct Voice<'t> {
    /// Whoever tells it; without one it stays as it was written: in English, in metric units.
    teller: Option<&'t Teller>,
    speech: Speech,
}

impl<'t> Voice<'t> {
    pub(crate) fn of(teller: &'t Teller) -> Voice<'t> {
        let speech = Speech::told(teller.system(), |word| teller.drawn(word));
        Voice { teller: Some(teller), speech }
    }

    /// The words a drawing puts in by itself.
    pub(crate) fn speech(&self) -> Speech {
        self.speech.clone()
    }

    /// A sentence of the program.
    pub(crate) fn say(&self, text: &str) -> String {
        let told = self.teller.map_or_else(|| text.to_owned(), |teller| teller.drawn(text));
        set_in_type(&told)
    }

    /// What fails, as the review tells it: words that only drawings have are names there.
    pub(crate) fn finding(&self, text: &str) -> String {
        let told = self.teller.map_or_else(|| text.to_owned(), |teller| teller.sentence(text));
        set_in_type(&told)
    }

    /// A sentence with `{}` for a name of the record, which stays even where it is a word elsewhere.
    pub(crate) fn say_of(&self, text: &str, name: &str) -> String {
        /// A character that no text has.
        const STAND_IN: &str = "\u{e000}";
        self.say(&text.replace("{}", STAND_IN)).replace(STAND_IN, name)
    }

    /// Sentences of the program side by side, each told by itself.
    pub(crate) fn each(&self, texts: &[String], between: &str) -> String {
        let told: Vec<String> = texts.iter().map(|text| self.say(text)).collect();
        told.join(between)
    }

    /// Words that may be the program's or the record's, piece by piece.
    pub(crate) fn perhaps(&self, text: &str, between: &str) -> String {
        let Some(teller) = self.teller else { return set_in_type(text) };
        let whole = teller.perhaps(text);
        if whole != teller.quantity(text) {
            return set_in_type(&whole);
        }
        let told: Vec<String> = text.split(between).map(|piece| teller.perhaps(piece)).collect();
        set_in_type(&told.join(between))
    }

    /// A figure as it is in the units, or the words that stand in its place.
    pub(crate) fn figure(&self, text: &str) -> String {
        let is_number = |words: &str| words.parse::<f64>().is_ok();
        let is_figure =
            text.split_once(' ').is_some_and(|(of, unit)| is_number(of) && unit.len() < 4);
        if is_figure { self.quantity(text) } else { self.say(text) }
    }

    /// Words of people, with quantities in the units.
    pub(crate) fn quantity(&self, text: &str) -> String {
        let told = self.teller.map_or_else(|| text.to_owned(), |teller| teller.quantity(text));
        set_in_type(&told)
    }

    /// What stands over a chart and below it, all of it told already.
    pub(crate) fn heading(&self, title: &str, about: String, notes: Vec<String>) -> Heading {
        Heading { title: title.to_owned(), about, notes, speech: self.speech() }
    }
}
