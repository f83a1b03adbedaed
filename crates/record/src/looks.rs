//! What was seen of wires, joints, devices, wood and papers: words in opposite pairs
//! ([`model::Look`]) and the few figures that go with them.

use std::collections::BTreeMap;

use diag::Diagnostic;
use model::{BodyMetal, Course, Fact, Look, LookedAt, Looks, Metal, Origin, Strands};
use units::{Celsius, Dimension, Fraction, Metre};

use crate::fact_text::{Stated, stated, with_spread};
use crate::names;
use crate::possible::Must;
use crate::reader::Reader;
use crate::text::Words;
use crate::tree::Value;

/// Temperatures of a place in a vehicle that are believed, degrees Celsius: from frost to a bare
/// exhaust. Our choice, no source.
const PLACE: Must = Must::Between(-50.0, 900.0, Dimension::Temperature);

/// Lengths of supports, bends, slack and distances that are believed, m: catches slips of units.
const NEARBY: Must = Must::Between(0.0, 20.0, Dimension::Length);

/// Words of a record that give the metal of a chassis point besides the metals.
const JOINED: [(&str, bool); 4] =
    [("welded", true), ("bolted", true), ("glued", false), ("hinged", false)];

/// Figures of the way of a wire, as the pieces of a wire line begin or end.
pub(crate) const WIRE_FIGURES: [&str; 5] =
    ["held every 25 cm", "bend 40 mm", "outside 12 mm", "hottest 85 C", "20 mm from mains"];

/// Figures of a joint, likewise.
pub(crate) const JOINT_FIGURES: [&str; 4] =
    ["slack 15 cm", "M8 lug", "3 of 19 strands broken", "2 of 19 strands nicked"];

impl Reader<'_> {
    /// A piece of a wire line that tells what was seen of its way; false if it is no such piece.
    pub(crate) fn course_piece(
        &mut self,
        words: Words<'_>,
        spread: Option<Words<'_>>,
        origin: &Origin,
        course: &mut Course,
    ) -> bool {
        if look(words.text, LookedAt::Wire, origin, &mut course.looks) {
            return true;
        }
        let length = |reader: &mut Self, figure| reader.nearby(figure, spread, origin);
        if let Some(figure) = words.strip_word("held every") {
            course.held_every = length(self, figure);
        } else if let Some(figure) = words.strip_word("bend") {
            course.bend = length(self, figure);
        } else if let Some(figure) = words.strip_word("outside") {
            course.outside = length(self, figure);
        } else if let Some((figure, _)) = ended(words, " from mains") {
            course.from_mains = length(self, figure);
        } else if let Some(figure) = words.strip_word("hottest") {
            course.hottest = self.hottest(figure, spread, origin);
        } else {
            return false;
        }
        true
    }

    /// A length near a wire or a joint.
    pub(crate) fn nearby(
        &mut self,
        figure: Words<'_>,
        spread: Option<Words<'_>>,
        origin: &Origin,
    ) -> Fact<Metre> {
        let spread = self.spread(spread, Dimension::Length);
        let Some(length_m) = self.number(figure, Dimension::Length) else { return Fact::Unknown };
        let fact = with_spread(length_m, origin.clone(), spread);
        self.possible("length", fact, NEARBY, figure.span()).map(|v| Metre::from_si(*v))
    }

    fn hottest(
        &mut self,
        figure: Words<'_>,
        spread: Option<Words<'_>>,
        origin: &Origin,
    ) -> Fact<Celsius> {
        let spread = self.spread(spread, Dimension::Temperature);
        let Some(celsius) = self.number(figure, Dimension::Temperature) else {
            return Fact::Unknown;
        };
        let fact = with_spread(celsius, origin.clone(), spread);
        self.possible("hottest", fact, PLACE, figure.span()).map(|v| Celsius::from_si(*v))
    }

    /// The pieces about its way of a wire that is written as a table.
    pub(crate) fn course_of(
        &mut self,
        table: &BTreeMap<&'static str, Value<'_>>,
        course: &mut Course,
    ) {
        if let Some(value) = table.get("looks") {
            course.looks = self.looks(value, LookedAt::Wire);
        }
        let mut length = |key: &str| match table.get(key) {
            Some(value) => {
                let fact = self.quantity(value, Dimension::Length);
                self.possible(key, fact, NEARBY, value.span()).map(|v| Metre::from_si(*v))
            }
            None => Fact::Unknown,
        };
        course.held_every = length("held_every");
        course.bend = length("bend");
        course.outside = length("outside");
        course.from_mains = length("from_mains");
        if let Some(value) = table.get("hottest") {
            let fact = self.quantity(value, Dimension::Temperature);
            let fact = self.possible("hottest", fact, PLACE, value.span());
            course.hottest = fact.map(|v| Celsius::from_si(*v));
        }
    }

    /// `looks = "no label, told vented outside by the owner"`.
    pub(crate) fn looks(&mut self, value: &Value<'_>, of: LookedAt) -> Looks {
        let mut looks = Looks::default();
        let Some(words) = self.text_of(value) else { return looks };
        for piece in self.pieces(words, ",").unwrap_or_default() {
            let bare = self.bare.clone();
            let Some(Stated { value, origin, .. }) = stated(piece, &bare) else { continue };
            if !look(value.text, of, &origin, &mut looks) {
                self.unknown_word(value, Look::answers(of));
            }
        }
        looks
    }

    /// `on = "steel, 1.5 mm, welded"`.
    pub(crate) fn body_metal(&mut self, value: &Value<'_>) -> BodyMetal {
        let mut on = BodyMetal::default();
        let Some(words) = self.text_of(value) else { return on };
        for piece in self.pieces(words, ",").unwrap_or_default() {
            let bare = self.bare.clone();
            let Some(Stated { value, spread, origin }) = stated(piece, &bare) else { continue };
            let metal = Metal::ALL.iter().find(|(_, word)| *word == value.text);
            let joined = JOINED.iter().find(|(word, _)| *word == value.text);
            if let Some((metal, _)) = metal {
                on.metal = Fact::known(*metal, origin);
            } else if let Some((_, joined)) = joined {
                on.joined = Fact::known(*joined, origin);
            } else if value.looks_like_number() {
                on.thickness = self.nearby(value, spread, &origin);
            } else {
                let metals = Metal::ALL.iter().map(|(_, word)| *word);
                self.unknown_word(value, metals.chain(JOINED.iter().map(|(word, _)| *word)));
            }
        }
        on
    }

    fn unknown_word(&mut self, words: Words<'_>, known: impl Iterator<Item = &'static str>) {
        let known: Vec<&str> = known.collect();
        let message = format!("`{}` is not one of the words for this", names::shown(words.text));
        let fault = Diagnostic::error("unknown-word", message, words.span());
        let otherwise = format!("write one of: {}", known.join(", "));
        self.faults.suggest(fault, words.text, known.iter().copied(), &otherwise);
    }

    /// Moisture of wood.
    pub(crate) fn damp(&mut self, key: &str, value: Option<&Value<'_>>) -> Fact<Fraction> {
        let Some(value) = value else { return Fact::Unknown };
        let fact = self.quantity(value, Dimension::Fraction);
        let fact = self.possible(key, fact, Must::Share, value.span());
        fact.map(|v| Fraction::from_si(*v))
    }

    /// `documents = "wiring diagram, fuse list"`, or `"none"`.
    pub(crate) fn documents(&mut self, value: &Value<'_>) -> Fact<Vec<String>> {
        let Some(words) = self.text_of(value) else { return Fact::Unknown };
        let bare = self.bare.clone();
        let Some(Stated { value, origin, .. }) = stated(words, &bare) else {
            return Fact::Unknown;
        };
        let papers = match value.text {
            "none" => Vec::new(),
            _ => value.split(",").iter().map(|paper| paper.text.to_owned()).collect(),
        };
        Fact::known(papers, origin)
    }

    /// A piece of a joint line with a figure: `slack 15 cm`; `None` if it is no such piece.
    pub(crate) fn slack(
        &mut self,
        words: Words<'_>,
        spread: Option<Words<'_>>,
        origin: &Origin,
    ) -> Option<Fact<Metre>> {
        let figure = words.strip_word("slack")?;
        Some(self.nearby(figure, spread, origin))
    }
}

/// Puts an answer in; false if the words are none.
pub(crate) fn look(words: &str, of: LookedAt, origin: &Origin, looks: &mut Looks) -> bool {
    let answer = Look::answered(words, of);
    if let Some((look, good)) = answer {
        looks.set(look, Fact::known(good, origin.clone()));
    }
    answer.is_some()
}

/// `3 of 19 strands broken`, `2 of 19 strands nicked`.
pub(crate) fn strands(text: &str) -> Option<Strands> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let [harmed, "of", of, "strands", how] = words.as_slice() else { return None };
    let broken = match *how {
        "broken" => true,
        "nicked" => false,
        _ => return None,
    };
    let strands = Strands { harmed: harmed.parse().ok()?, of: of.parse().ok()?, broken };
    (strands.harmed <= strands.of).then_some(strands)
}

/// `M8 lug`, `M8 stud`: the thread size before a word, mm.
pub(crate) fn thread_mm(text: &str) -> Option<(f64, &str)> {
    let (size, rest) = text.strip_prefix('M')?.split_once(' ')?;
    let size_mm: f64 = size.parse().ok()?;
    // The usual metric threads of electrical studs.
    (2.0..=24.0).contains(&size_mm).then_some((size_mm, rest))
}

fn ended<'t>(words: Words<'t>, end: &str) -> Option<(Words<'t>, Words<'t>)> {
    let cut = words.text.len().checked_sub(end.len())?;
    words
        .text
        .ends_with(end)
        .then(|| (words.slice(0, cut).trim(), words.slice(cut, words.text.len()).trim()))
}
