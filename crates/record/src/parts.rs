//! Parts, what holds them, the ways they come out, and what is behind what.

use std::collections::BTreeMap;

use diag::Diagnostic;
use model::{Damage, Fact, Fixing, Minutes, Origin, Part, PartId, Place, Reach, Removal, Spot};
use units::{Dimension, Fraction, Money};

use crate::fact_text::{Stated, stated};
use crate::fields;
use crate::limits::MAX_ALTERNATIVES;
use crate::names;
use crate::reader::Reader;
use crate::text::Words;
use crate::tree::{Entry, Value};

/// A single figure for minutes is taken as the likely one; the best and worst case are these
/// multiples of it. Common practice, no source.
const BEST_CASE: f64 = 0.8;
const WORST_CASE: f64 = 1.6;

type Table<'t> = BTreeMap<&'static str, Value<'t>>;

impl Reader<'_> {
    /// Gives every part its id, so that parts may refer to parts written later.
    pub(crate) fn declare_parts(&mut self, lines: &[Entry<'_>]) {
        for line in lines {
            let Some(name) = self.name(&line.key) else { continue };
            let id = self.vehicle.parts.push(Part {
                name: name.to_owned(),
                label: name.replace('-', " "),
                fixings: Vec::new(),
                removals: Vec::new(),
                is_out: false,
            });
            self.index.parts.insert(name.to_owned(), id);
            self.sources.set(Place::Part(id), line.key.span());
        }
    }

    pub(crate) fn parts(&mut self, lines: &[Entry<'_>]) {
        for line in lines {
            let Some(id) = self.index.parts.get(line.key.text).copied() else { continue };
            if line.value.entries().is_none() {
                if let Some(words) = self.text_of(&line.value) {
                    self.vehicle.parts[id].label = words.text.to_owned();
                }
                continue;
            }
            let Some(table) = self.table(&line.value, &fields::part(), "a part") else { continue };
            self.part(id, &table);
        }
    }

    fn part(&mut self, id: PartId, table: &Table<'_>) {
        if let Some(words) = table.get("is").and_then(|value| self.text_of(value)) {
            self.vehicle.parts[id].label = words.text.to_owned();
        }
        if let Some(words) = table.get("fixings").and_then(|value| self.text_of(value)) {
            self.vehicle.parts[id].fixings = self.fixings(words);
        }
        if let Some(yes) = table.get("taken_out").and_then(|value| self.yes_no(value)) {
            self.vehicle.parts[id].is_out = yes;
        }
        let says_a_way = fields::removal().iter().any(|field| table.contains_key(field.key));
        if says_a_way || !self.vehicle.parts[id].fixings.is_empty() {
            self.removal(id, table);
        }
        for other in table.get("or").and_then(Value::items).unwrap_or_default() {
            if let Some(table) =
                self.table(&other, &fields::removal(), "a way of taking a part out")
            {
                self.removal(id, &table);
            }
        }
    }

    /// `8 screws, 2 clips`.
    fn fixings(&mut self, words: Words<'_>) -> Vec<Fixing> {
        let mut fixings = Vec::new();
        for piece in words.split(",") {
            let digits = piece.text.chars().take_while(char::is_ascii_digit).count();
            let count = piece.text[..digits].parse::<u32>().ok();
            let name = piece.slice(digits, piece.text.len()).trim();
            let catalog = self.catalog;
            match (count, catalog.fixings.find(name.text)) {
                (Some(count), Some((kind, _))) => {
                    fixings.push(Fixing { count, kind: kind.to_owned() });
                }
                (None, Some(_)) => self.report(
                    Diagnostic::error("fixing", "say how many", piece.span())
                        .help("write for example `8 screws, 2 clips`"),
                ),
                (_, None) => {
                    let message = format!("`{}` is no fixing", name.text.escape_debug());
                    let fault = Diagnostic::error("fixing", message, name.span());
                    self.report(names::suggest(fault, name.text, catalog.fixings.names(), ""));
                }
            }
        }
        fixings
    }

    /// One way of taking a part out; an `or` in what must be out first makes several.
    fn removal(&mut self, part: PartId, table: &Table<'_>) {
        let Some((out, back, origin)) = self.times(part, table) else { return };
        let (breaks, price, damage) = self.damage(table);
        let how = table
            .get("how")
            .and_then(|value| self.text_of(value))
            .map_or_else(|| "take out".to_owned(), |words| words.text.to_owned());
        let needs = match table.get("after").map(|value| self.reach(value)) {
            Some(Fact::Known { value, .. }) => value,
            Some(Fact::Unknown) => return,
            None => vec![Vec::new()],
        };
        for needs in needs {
            let id = self.vehicle.removals.push(Removal {
                part,
                label: how.clone(),
                needs,
                out,
                back,
                origin: origin.clone(),
                breaks,
                price: price.clone(),
                damage,
            });
            self.vehicle.parts[part].removals.push(id);
        }
    }

    /// Minutes out and back: written, or from the fixings.
    fn times(&mut self, part: PartId, table: &Table<'_>) -> Option<(Minutes, Minutes, Origin)> {
        let written_out = table.get("out").and_then(|value| self.minutes(value));
        let written_back = table.get("back").and_then(|value| self.minutes(value));
        let fixings = &self.vehicle.parts[part].fixings;
        let usual =
            self.catalog.fixings.minutes(fixings.iter().map(|f| (f.count, f.kind.as_str())));
        match (written_out, written_back) {
            (Some((out, origin)), Some((back, _))) => Some((out, back, origin)),
            (Some((out, origin)), None) => Some((out, out, origin)),
            (None, written) => {
                if table.contains_key("out") || fixings.is_empty() && !table.contains_key("how") {
                    return None;
                }
                let why = "usual minutes of its fixings".to_owned();
                let back = written.map_or_else(|| around(usual.1), |(back, _)| back);
                Some((around(usual.0), back, Origin::Assumed { why }))
            }
        }
    }

    /// `10 min`, `8 / 10 / 20 min`, `told 1 h 20 min`.
    fn minutes(&mut self, value: &Value<'_>) -> Option<(Minutes, Origin)> {
        let words = self.text_of(value)?;
        let bare = self.bare.clone();
        let Stated { value: words, origin, .. } = stated(words, &bare)?;
        let pieces = words.split(" / ");
        let minutes = match pieces.as_slice() {
            [one] => around(self.number(*one, Dimension::Minutes)?),
            [low, likely, high] => {
                let unit = high.text.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
                let mut read = |words: &Words<'_>| {
                    let text = if words.text.ends_with(|c: char| c.is_ascii_digit()) {
                        format!("{}{unit}", words.text)
                    } else {
                        words.text.to_owned()
                    };
                    self.number(Words::at(&text, words.span()), Dimension::Minutes)
                };
                Minutes { low: read(low)?, likely: read(likely)?, high: read(high)? }
            }
            _ => {
                self.report(
                    Diagnostic::error("minutes", "one figure or three are wanted", words.span())
                        .help("write `10 min`, or best / likely / worst: `8 / 10 / 20 min`"),
                );
                return None;
            }
        };
        if !(0.0 <= minutes.low && minutes.low <= minutes.likely && minutes.likely <= minutes.high)
        {
            self.report(
                Diagnostic::error(
                    "minutes",
                    "best, likely and worst are not in this order",
                    words.span(),
                )
                .help("write the smallest first"),
            );
            return None;
        }
        Some((minutes, origin))
    }

    fn damage(&mut self, table: &Table<'_>) -> (Fraction, Option<Money>, Damage) {
        let none = (Fraction::from_si(0.0), None, Damage::None);
        if let Some(value) = table.get("destroys") {
            let Some(words) = self.text_of(value) else { return none };
            return (Fraction::from_si(1.0), self.money(words), Damage::Destroys);
        }
        let Some(value) = table.get("breaks") else { return none };
        let Some(words) = self.text_of(value) else { return none };
        let (share, price) = match words.split_once(" for ") {
            Some((share, price)) => (share, self.money(price)),
            None => (words, None),
        };
        match self.number(share, Dimension::Fraction) {
            Some(share) if (0.0..=1.0).contains(&share) => {
                (Fraction::from_si(share), price, Damage::MayBreak)
            }
            Some(_) => {
                self.report(
                    Diagnostic::error(
                        "impossible-value",
                        "a likelihood lies between 0 % and 100 %",
                        words.span(),
                    )
                    .help("write for example `30 % for 180 EUR`"),
                );
                none
            }
            None => none,
        }
    }

    fn money(&mut self, words: Words<'_>) -> Option<Money> {
        match words.text.parse::<Money>() {
            Ok(money) => Some(money),
            Err(error) => {
                self.report(crate::reader::quantity_fault(words, &error));
                None
            }
        }
    }

    /// A part by name.
    pub(crate) fn part_named(&mut self, words: Words<'_>) -> Option<PartId> {
        if let Some(id) = self.index.parts.get(words.text) {
            return Some(*id);
        }
        let fault = Diagnostic::error(
            "unknown-part",
            format!("there is no part `{}`", words.text.escape_debug()),
            words.span(),
        );
        let known = self.index.parts.keys().map(String::as_str);
        let fault = names::suggest(fault, words.text, known, "no part is written yet");
        self.report(fault);
        None
    }

    /// `splash`, `drawer and back or splash`, `nothing`: alternatives of sets of parts.
    pub(crate) fn reach(&mut self, value: &Value<'_>) -> Fact<Reach> {
        let Some(words) = self.text_of(value) else { return Fact::Unknown };
        let bare = self.bare.clone();
        let Some(Stated { value: words, origin, .. }) = stated(words, &bare) else {
            return Fact::Unknown;
        };
        if words.text == "nothing" {
            return Fact::known(vec![Vec::new()], origin);
        }
        let mut reach = Reach::new();
        for way in words.split(" or ").into_iter().take(MAX_ALTERNATIVES) {
            let mut parts = Vec::new();
            let mut complete = true;
            for piece in way.split(" and ").into_iter().take(MAX_ALTERNATIVES) {
                match self.part_named(piece) {
                    Some(part) => parts.push(part),
                    None => complete = false,
                }
            }
            if complete {
                reach.push(parts);
            }
        }
        if reach.is_empty() { Fact::Unknown } else { Fact::known(reach, origin) }
    }

    pub(crate) fn spots(&mut self, lines: &[Entry<'_>]) {
        for line in lines {
            let Some(name) = self.name(&line.key) else { continue };
            let Some(table) = self.table(&line.value, &fields::spot(), "a spot") else { continue };
            let label = table.get("is").and_then(|value| self.text_of(value));
            let reach = table.get("behind").map_or(Fact::Unknown, |value| self.reach(value));
            self.vehicle.spots.push(Spot {
                name: name.to_owned(),
                label: label.map_or_else(|| name.replace('-', " "), |words| words.text.to_owned()),
                reach,
            });
        }
    }
}

fn around(likely: f64) -> Minutes {
    Minutes { low: BEST_CASE * likely, likely, high: WORST_CASE * likely }
}
