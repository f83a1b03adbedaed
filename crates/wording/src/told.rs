//! A review told in a language and a system of units. Names of the record, words of people and the
//! program's own code words (`fails`, `hunts`, `DANGER`) stay; whoever shows them has texts for them.

use std::cell::RefCell;
use std::collections::BTreeSet;

use analysis::{
    AccessCost, FindingView, HeldAgainst, LivePath, MissingView, PlaceView, Review, StateView,
    WayIn,
};
use units::{System, restate};

use crate::phrases::PhraseBook;
use crate::signs::paired;
use crate::{Language, Texts};

const SPANISH: &str = include_str!("../texts/es-phrases.toml");

/// Tells reviews in one language and one system of units, and remembers what it had no words for.
#[derive(Debug)]
pub struct Teller {
    texts: Texts,
    system: System,
    phrases: Option<PhraseBook>,
    left: RefCell<BTreeSet<String>>,
}

impl Teller {
    /// Somebody who tells in this language and these units.
    pub fn new(language: Language, system: System) -> Teller {
        let read = match language {
            Language::English => Ok(None),
            Language::Spanish => PhraseBook::of(SPANISH).map(Some),
        };
        // Patterns that cannot be read are told of with what they leave in English.
        let (phrases, left) = match read {
            Ok(phrases) => (phrases, BTreeSet::new()),
            Err(fault) => (None, BTreeSet::from([fault])),
        };
        Teller { texts: Texts::of(language), system, phrases, left: RefCell::new(left) }
    }

    /// The texts of the language.
    pub fn texts(&self) -> &Texts {
        &self.texts
    }

    /// The system of units.
    pub fn system(&self) -> System {
        self.system
    }

    /// Sentences told so far for which there was no translation, in order.
    pub fn left(&self) -> Vec<String> {
        self.left.borrow().iter().cloned().collect()
    }

    /// A sentence of the program in the language and units.
    pub fn sentence(&self, text: &str) -> String {
        self.restated(&self.told(text))
    }

    /// Quantities told in the units, words as they are: for what people wrote with a quantity in it.
    pub fn quantity(&self, text: &str) -> String {
        self.restated(text)
    }

    /// A line of the record that the program may have written: told where a sentence of ours fits.
    pub(crate) fn written(&self, text: &str) -> String {
        let told = self.phrases.as_ref().and_then(|book| book.sentences.tell(text));
        self.restated(told.as_deref().unwrap_or(text))
    }

    /// A sentence of a drawing or a chart in the language and units.
    pub fn drawn(&self, text: &str) -> String {
        let told = self.phrases.as_ref().and_then(|book| book.drawings.tell(text));
        self.restated(&told.unwrap_or_else(|| self.told(text)))
    }

    /// Words that may be the program's or the record's: told where a pattern fits.
    pub fn perhaps(&self, text: &str) -> String {
        self.restated(self.words(text).as_deref().unwrap_or(text))
    }

    /// Short words in the language; nothing where no pattern fits.
    fn words(&self, text: &str) -> Option<String> {
        self.phrases.as_ref().and_then(|book| book.words.tell(text))
    }

    /// A name of the record, with the words the program puts to it (`wire w3`).
    pub(crate) fn name(&self, text: &str) -> String {
        let told = self.phrases.as_ref().and_then(|book| book.names.tell(text));
        told.unwrap_or_else(|| text.to_owned())
    }

    /// Quantities in the units; where they change, both of a pair.
    fn restated(&self, text: &str) -> String {
        match self.system {
            System::Metric => restate(text, self.system),
            System::Us => restate(&paired(text), self.system),
        }
    }

    fn told(&self, text: &str) -> String {
        let Some(phrases) = &self.phrases else { return text.to_owned() };
        if let Some(told) = phrases.sentences.tell(text) {
            return told;
        }
        if text.chars().any(char::is_alphabetic) {
            self.left.borrow_mut().insert(text.to_owned());
        }
        text.to_owned()
    }

    /// The review in the language and units.
    pub fn review(&self, review: &Review) -> Review {
        let mut told = review.clone();
        told.vehicle.system = self.perhaps(&told.vehicle.system);
        told.vehicle.region = self.sentence(&told.vehicle.region);
        for fault in &mut told.record_faults {
            fault.message = self.perhaps(&fault.message);
        }
        for assumption in &mut told.assumptions {
            assumption.what = self.sentence(&assumption.what);
            assumption.why = self.perhaps(&assumption.why);
            self.names(&mut assumption.items);
        }
        told.states.iter_mut().for_each(|state| self.state(state));
        for reading in &mut told.readings {
            reading.points = self.name(&reading.points);
            reading.computed = self.perhaps(&reading.computed);
            reading.words = self.sentence(&reading.words);
        }
        told.findings.iter_mut().chain(&mut told.cannot_tell).for_each(|f| self.finding(f));
        for tally in &mut told.tallies {
            tally.title = self.sentence(&tally.title);
        }
        for row in &mut told.live {
            row.from.iter_mut().for_each(|way| self.live_path(way));
        }
        self.wires(&mut told);
        told.service_access.iter_mut().for_each(|way| self.way_in(way));
        for caution in &mut told.cautions {
            *caution = self.sentence(caution);
        }
        for source in &mut told.sources {
            // A document is quoted in its own units.
            source.words = self.words(&source.words).unwrap_or_else(|| source.words.clone());
            source.standing = self.sentence(&source.standing);
        }
        told
    }

    fn state(&self, state: &mut StateView) {
        let pieces = state.words.split("; ").map(|piece| self.perhaps(piece));
        state.words = pieces.collect::<Vec<_>>().join("; ");
        state.notes.iter_mut().for_each(|note| *note = self.sentence(note));
        for row in &mut state.rows {
            row.voltage = self.perhaps(&row.voltage);
            let pieces = row.note.split("; ").map(|piece| self.perhaps(piece));
            row.note = pieces.collect::<Vec<_>>().join("; ");
        }
    }

    fn finding(&self, finding: &mut FindingView) {
        finding.title = self.sentence(&finding.title);
        self.place(&mut finding.place);
        finding.related.iter_mut().for_each(|place| self.place(place));
        finding.message = self.sentence(&finding.message);
        finding.evidence.iter_mut().for_each(|words| *words = self.sentence(words));
        if let Some(HeldAgainst { words, .. }) = &mut finding.limit {
            *words = self.sentence(words);
        }
        finding.hazard = self.sentence(&finding.hazard);
        finding.grade = self.grade(&finding.grade);
        if let Some(from) = &mut finding.follows_from {
            // The check keeps its name, the place is told as it is told everywhere.
            if let Some((check, place)) = from.split_once(" at ") {
                *from = format!("{check} at {}", self.name(place));
            }
        }
        finding.remedy = self.sentence(&finding.remedy);
        for MissingView { what, items, access } in &mut finding.find_out {
            *what = self.sentence(what);
            self.names(items);
            self.access(access.as_mut());
        }
        self.access(finding.access.as_mut());
    }

    /// Consequence times likelihood, and the reason.
    fn grade(&self, grade: &str) -> String {
        match grade.split_once(": ") {
            Some((product, because)) if product.contains(" x ") => {
                format!("{}: {}", self.sentence(product), self.sentence(because))
            }
            _ => self.sentence(grade),
        }
    }

    pub(crate) fn place(&self, place: &mut PlaceView) {
        place.name = self.name(&place.name);
        place.label = self.name(&place.label);
        self.names(&mut place.things);
    }

    pub(crate) fn names(&self, names: &mut [String]) {
        names.iter_mut().for_each(|name| *name = self.name(name));
    }

    pub(crate) fn access(&self, cost: Option<&mut AccessCost>) {
        if let Some(cost) = cost {
            cost.words = self.sentence(&cost.words);
        }
    }

    fn live_path(&self, way: &mut LivePath) {
        way.doubt = self.sentence(&way.doubt);
        self.names(&mut way.path);
    }

    fn wires(&self, review: &mut Review) {
        for wire in &mut review.wires {
            wire.from = self.name(&wire.from);
            wire.to = self.name(&wire.to);
            wire.size = self.perhaps(&wire.size);
            wire.length = self.perhaps(&wire.length);
            let pieces = wire.make.split(", ").map(|piece| self.perhaps(piece));
            wire.make = pieces.collect::<Vec<_>>().join(", ");
            wire.most_current = self.perhaps(&wire.most_current);
            wire.drop = self.perhaps(&wire.drop);
        }
    }

    fn way_in(&self, way: &mut WayIn) {
        way.service = self.perhaps(&way.service);
        way.words = self.sentence(&way.words);
        way.proof = self.sentence(&way.proof);
        self.access(way.cost.as_mut());
        for step in &mut way.steps {
            step.how = self.perhaps(&step.how);
            let pieces = step.fixings.split(", ").map(|piece| self.perhaps(piece));
            step.fixings = pieces.collect::<Vec<_>>().join(", ");
            step.damage = self.perhaps(&step.damage);
            step.refined = self.perhaps(&step.refined);
            let pieces = step.because.split("; ").map(|piece| self.perhaps(piece));
            step.because = pieces.collect::<Vec<_>>().join("; ");
        }
    }
}
