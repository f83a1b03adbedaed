//! What holds a heavy thing: `strap, 2 screws 4 mm, into 9 mm lining`. Ways side by side stand apart by
//! `;`. Pieces that say nothing countable stay words.

use model::{
    BoardSide, Direction, Fact, FixingSort, HeldBy, HeldIn, HeldWay, Mounting, Origin, Promise,
    StatedForce,
};

use crate::fact_text::{Stated, stated};
use crate::possible::Must;
use crate::reader::Reader;
use crate::text::Words;
use crate::tree::Value;

/// What a piece may begin with beside a count, and what adhesives are called.
const ADHESIVES: [&str; 5] = ["glued", "adhesive", "glue", "hook tape", "sealant"];
const WORKING: [&str; 2] = ["working load", "lashing capacity"];

impl Reader<'_> {
    /// What holds a thing.
    pub(crate) fn mounting(&mut self, value: &Value<'_>) -> Option<Mounting> {
        let words = self.text_of(value)?;
        let mut ways = Vec::new();
        for way in self.pieces(words, ";")? {
            let mut held = empty(way.text);
            for piece in self.pieces(way, ",")? {
                let bare = self.bare.clone();
                if let Some(Stated { value, origin, .. }) = stated(piece, &bare) {
                    self.held_piece(value, &origin, &mut held);
                }
            }
            ways.push(held);
        }
        Some(Mounting { words: words.text.to_owned(), ways })
    }

    fn held_piece(&mut self, piece: Words<'_>, origin: &Origin, way: &mut HeldWay) {
        let spaced = piece.text.replace('\u{d7}', "x").replace('\u{b0}', " deg");
        let tokens: Vec<&str> = spaced.split_whitespace().collect();
        let mut say = Saying { reader: self, piece, origin };
        match tokens.as_slice() {
            ["into", rest @ ..] => way.into = say.held_in(rest).or(way.into.take()),
            ["driven", toward] => way.driven = say.known(direction(toward)),
            ["pulled", "at", angle, "deg"] => way.pull_deg = say.angle(angle),
            ["edge", size @ ..] => way.edge_mm = say.size(size),
            ["head" | "washer", size @ ..] => way.head_mm = say.size(size),
            ["bracket", size @ ..] => way.bracket_mm = say.size(size),
            ["holds", toward @ ..] => {
                way.acts.extend(toward.iter().filter_map(|word| direction(word)));
            }
            ["rated" | "breaks", "at", n, "N"] | ["rated" | "breaking", n, "N"] => {
                way.strength = Some(say.force(n, Promise::Breaks));
            }
            ["working", "load", n, "N"] => way.strength = Some(say.force(n, Promise::Working)),
            _ => way.fixings.extend(say.fixings(&spaced)),
        }
    }
}

/// A piece being read.
struct Saying<'r, 'c, 't> {
    reader: &'r mut Reader<'c>,
    piece: Words<'t>,
    origin: &'r Origin,
}

impl Saying<'_, '_, '_> {
    fn number(&mut self, text: &str) -> Fact<f64> {
        let origin = self.origin.clone();
        let fact = text.parse().map_or(Fact::Unknown, |n| Fact::known(n, origin));
        self.reader.possible("held", fact, Must::Countable, self.piece.span())
    }

    fn known<T>(&self, value: Option<T>) -> Fact<T> {
        value.map_or(Fact::Unknown, |value| Fact::known(value, self.origin.clone()))
    }

    /// `4 mm`, `4mm`.
    fn size(&mut self, tokens: &[&str]) -> Fact<f64> {
        match tokens {
            [size, "mm"] => self.number(size),
            [size] if size.ends_with("mm") => self.number(size.trim_end_matches("mm")),
            _ => Fact::Unknown,
        }
    }

    fn angle(&mut self, text: &str) -> Fact<f64> {
        let angle = text.parse().ok().filter(|deg| (0.0..=90.0).contains(deg));
        if angle.is_none() {
            let message = "an angle to the surface lies between 0 and 90 degrees";
            let fault = diag::Diagnostic::error("impossible-value", message, self.piece.span());
            self.reader.report(fault.help("0 is along the surface, 90 straight out of it"));
        }
        self.known(angle)
    }

    fn force(&mut self, text: &str, promise: Promise) -> StatedForce {
        StatedForce { n: self.number(text), promise }
    }

    /// What stands behind `into`: `9 mm lining`, `structure`, `edge of 15 mm ply`, `0.8 mm skin 270 MPa`.
    fn held_in(&mut self, tokens: &[&str]) -> Option<HeldIn> {
        let (side, tokens) = match tokens {
            ["edge", "of", rest @ ..] | ["the", "edge", "of", rest @ ..] => (BoardSide::Edge, rest),
            rest => (BoardSide::Face, rest),
        };
        let (tokens, strength_mpa) = match tokens {
            [rest @ .., mpa, "MPa"] => (rest, self.number(mpa)),
            rest => (rest, Fact::Unknown),
        };
        let (thick_mm, name) = match tokens {
            [size, "mm", rest @ ..] => (self.number(size), rest),
            rest => (Fact::Unknown, rest),
        };
        let name = name.join(" ");
        let figures = &self.reader.catalog.restraint;
        let is_material = figures.wood.contains_key(&name) || figures.metal.contains_key(&name);
        let is_known = is_material || name == STRUCTURE;
        is_known.then(|| HeldIn { material: self.known(Some(name)), thick_mm, strength_mpa, side })
    }

    /// `2 screws 4 mm`, `4 bolts M8 8.8`, `2 straps breaking 8000 N`, `glued`.
    fn fixings(&mut self, text: &str) -> Option<HeldBy> {
        if ADHESIVES.iter().any(|word| text == *word || text.starts_with(&format!("{word} "))) {
            return Some(held_by(FixingSort::Adhesive, Fact::Unknown));
        }
        let (count, rest) = match text.split_once(' ') {
            Some((count, rest)) if count.parse::<f64>().is_ok() => (Some(count), rest),
            _ => (None, text),
        };
        let (sort, rest) = sort_of(rest)?;
        let count = match count {
            Some(count) => self.number(count),
            None if sort == FixingSort::Strap => Fact::known(1.0, self.origin.clone()),
            None => Fact::Unknown,
        };
        let mut held = held_by(sort, count);
        let tokens: Vec<&str> = rest.split_whitespace().collect();
        match tokens.as_slice() {
            ["breaking", n, "N"] => held.each = Some(self.force(n, Promise::Breaks)),
            [n, "N"] => held.each = Some(self.force(n, Promise::Working)),
            [thread, rest @ ..] if thread.starts_with('M') && sort == FixingSort::Bolt => {
                held.diameter_mm = self.number(thread.trim_start_matches('M'));
                held.class = self.known(rest.first().map(|class| (*class).to_owned()));
            }
            [d, "x", l, "mm"] => {
                held.diameter_mm = self.number(d);
                held.length_mm = self.number(l);
            }
            size => held.diameter_mm = self.size(size),
        }
        if WORKING.iter().any(|word| rest.starts_with(word)) {
            let n = rest.split_whitespace().rev().nth(1).unwrap_or("");
            held.each = Some(self.force(n, Promise::Working));
        }
        Some(held)
    }
}

/// The vehicle's own members, whatever they are: nothing is known of their strength.
const STRUCTURE: &str = "structure";

/// The sort at the front of a piece, longest word first, and what follows it.
fn sort_of(text: &str) -> Option<(FixingSort, &str)> {
    let mut found: Option<(usize, FixingSort)> = None;
    for (one, several, sort) in FixingSort::WORDS {
        for word in [several, one] {
            let fits = text
                .strip_prefix(word)
                .is_some_and(|rest| rest.is_empty() || rest.starts_with(' '));
            if fits && found.is_none_or(|(length, _)| word.len() > length) {
                found = Some((word.len(), sort));
            }
        }
    }
    found.map(|(length, sort)| (sort, text[length..].trim()))
}

fn direction(word: &str) -> Option<Direction> {
    let word = if word == "rearward" { "back" } else { word };
    Direction::ALL.into_iter().find(|direction| direction.word() == word)
}

fn held_by(sort: FixingSort, count: Fact<f64>) -> HeldBy {
    HeldBy {
        sort,
        count,
        diameter_mm: Fact::Unknown,
        length_mm: Fact::Unknown,
        class: Fact::Unknown,
        each: None,
    }
}

fn empty(words: &str) -> HeldWay {
    HeldWay {
        words: words.to_owned(),
        fixings: Vec::new(),
        into: None,
        driven: Fact::Unknown,
        pull_deg: Fact::Unknown,
        edge_mm: Fact::Unknown,
        head_mm: Fact::Unknown,
        bracket_mm: Fact::Unknown,
        acts: Vec::new(),
        strength: None,
    }
}
