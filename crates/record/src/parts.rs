//! Parts, what holds them, the ways they come out, and what is behind what.

use std::collections::{BTreeMap, BTreeSet};

use diag::Diagnostic;
use model::{Damage, Fact, Fixing, Id, Minutes, Origin, Part, PartId, Place, Reach, Removal, Spot};
use units::{Dimension, Fraction, Money};

use crate::fact_text::{Stated, stated};
use crate::fields;
use crate::limits::MAX_FIXINGS;
use crate::names;
use crate::reader::Reader;
use crate::text::Words;
use crate::tree::{Entry, Value};

/// A single figure for minutes is taken as the likely one; the best and worst case are these
/// multiples of it. Common practice, no source.
const BEST_CASE: f64 = 0.8;
const WORST_CASE: f64 = 1.6;

/// Most parts of a circle named in a message.
const MAX_NAMED: usize = 6;

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
        self.circles();
    }

    /// Parts of which each wants the other out first can never come out.
    fn circles(&mut self) {
        let parts = &self.vehicle.parts;
        // A part without a recorded way may come out somehow; that is not known, but no circle.
        let mut free: Vec<bool> =
            parts.iter().map(|(_, part)| part.is_out || part.removals.is_empty()).collect();
        let comes_out = |part: &Part, free: &[bool]| {
            part.removals
                .iter()
                .any(|way| self.vehicle.removals[*way].needs.iter().all(|need| free[need.index()]))
        };
        let mut changed = true;
        while changed {
            changed = false;
            for (id, part) in parts.iter() {
                if !free[id.index()] && comes_out(part, &free) {
                    (free[id.index()], changed) = (true, true);
                }
            }
        }
        let stuck = |id: &PartId| !free[id.index()];
        let needs = |id: PartId| {
            let ways = &self.vehicle.parts[id].removals;
            ways.iter().flat_map(|way| &self.vehicle.removals[*way].needs).copied().find(stuck)
        };
        let faults: Vec<Diagnostic> = circles(parts.ids().filter(stuck), needs, parts.len())
            .into_iter()
            .map(|circle| self.circle_fault(&circle))
            .collect();
        for fault in faults {
            self.report(fault);
        }
    }

    fn circle_fault(&self, circle: &[PartId]) -> Diagnostic {
        let name = |id: &PartId| format!("`{}`", self.vehicle.parts[*id].name);
        let mut way: Vec<String> = circle.iter().take(MAX_NAMED).map(name).collect();
        if circle.len() > MAX_NAMED {
            way.push("...".to_owned());
        }
        way.extend(circle.first().map(name));
        let spans: Vec<_> = circle.iter().map(|id| self.sources.span(Place::Part(*id))).collect();
        let first = spans.first().copied().unwrap_or_default();
        let message = format!("these parts wait for each other: {}", way.join(" after "));
        let fault = Diagnostic::warning("part-circle", message, first)
            .help("one of them comes out some other way; write it with `or`, or mend `after`");
        spans.iter().skip(1).take(MAX_NAMED).fold(fault, |fault, span| fault.and_at(*span, ""))
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
        for other in self.other_ways(table) {
            if let Some(table) =
                self.table(&other, &fields::removal(), "a way of taking a part out")
            {
                self.removal(id, &table);
            }
        }
    }

    fn other_ways<'t>(&mut self, table: &Table<'t>) -> Vec<Value<'t>> {
        let Some(value) = table.get("or") else { return Vec::new() };
        let ways = value.items();
        if ways.is_none() {
            let message = format!("`or` wants a list of other ways, but this is {}", value.sort());
            self.report(
                Diagnostic::error("wrong-form", message, value.span())
                    .help("write `or = [{ how = \"from below\", out = \"20 min\" }]`"),
            );
        }
        ways.unwrap_or_default()
    }

    /// `8 screws, 2 clips`.
    fn fixings(&mut self, words: Words<'_>) -> Vec<Fixing> {
        let bare = self.bare.clone();
        let Some(Stated { value: words, .. }) = stated(words, &bare) else { return Vec::new() };
        let pieces = self.pieces(words, ",").unwrap_or_default();
        pieces.into_iter().filter_map(|piece| self.fixing(piece)).collect()
    }

    fn fixing(&mut self, piece: Words<'_>) -> Option<Fixing> {
        let digits = piece.text.chars().take_while(char::is_ascii_digit).count();
        let count = piece.slice(0, digits);
        let name = piece.slice(digits, piece.text.len()).trim();
        let catalog = self.catalog;
        let Some((kind, _)) = catalog.fixings.find(name.text) else {
            let message = format!("`{}` is no fixing known here", names::shown(name.text));
            let fault = Diagnostic::error("fixing", message, name.span());
            let all: Vec<&str> = catalog.fixings.names().collect();
            let otherwise = format!("known are: {}", all.join(", "));
            self.faults.suggest(fault, name.text, all, &otherwise);
            return None;
        };
        let (message, span) = match count.text.parse::<u32>() {
            Ok(number) if (1..=MAX_FIXINGS).contains(&number) => {
                return Some(Fixing { count: number, kind: kind.to_owned() });
            }
            _ if digits == 0 => ("say how many".to_owned(), piece.span()),
            _ => (format!("between 1 and {MAX_FIXINGS} of them are believed"), count.span()),
        };
        self.report(
            Diagnostic::error("fixing", message, span)
                .help("write for example `8 screws, 2 clips`"),
        );
        None
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
            if needs.contains(&part) {
                self.needs_itself(part, table);
                continue;
            }
            if !self.has_room(
                self.vehicle.removals.len(),
                1,
                "ways of taking parts out",
                self.sources.span(Place::Part(part)),
            ) {
                return;
            }
            let id = self.vehicle.removals.push(Removal {
                part,
                label: how.clone(),
                needs,
                out,
                back,
                origin: origin.clone(),
                breaks,
                price,
                damage,
            });
            self.vehicle.parts[part].removals.push(id);
        }
    }

    fn needs_itself(&mut self, part: PartId, table: &Table<'_>) {
        let span = table.get("after").map(Value::span).unwrap_or_default();
        let message = format!("`{}` cannot be out before itself", self.vehicle.parts[part].name);
        self.report(
            Diagnostic::error("part-needs-itself", message, span)
                .help("this way is left out; write the parts that must be out first"),
        );
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
                if table.contains_key("out") {
                    return None;
                }
                if fixings.is_empty() && !table.contains_key("how") {
                    self.no_minutes(part, table);
                    return None;
                }
                let why = "usual minutes of its fixings".to_owned();
                let back = written.map_or_else(|| around(usual.1), |(back, _)| back);
                Some((around(usual.0), back, Origin::Assumed { why }))
            }
        }
    }

    fn no_minutes(&mut self, part: PartId, table: &Table<'_>) {
        let name = &self.vehicle.parts[part].name;
        let span = table.values().next().map(Value::span).unwrap_or_default();
        self.faults.report(
            Diagnostic::warning(
                "no-minutes",
                format!("nothing says how long it takes to get `{name}` out this way"),
                span,
            )
            .help("write `out = \"10 min\"`, or its `fixings`; until then the way is left out"),
        );
    }

    /// `10 min`, `8 / 10 / 20 min`, `told 1 h 20 min`.
    fn minutes(&mut self, value: &Value<'_>) -> Option<(Minutes, Origin)> {
        let words = self.text_of(value)?;
        let bare = self.bare.clone();
        let Stated { value: words, origin, .. } = stated(words, &bare)?;
        let pieces = self.pieces(words, " / ")?;
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
            if let Some(other) = table.get("breaks") {
                self.report(
                    Diagnostic::error(
                        "wrong-field",
                        "what is destroyed this way cannot also perhaps break",
                        other.span(),
                    )
                    .help("keep `destroys` or `breaks`, not both"),
                );
            }
            let price = self.text_of(value).and_then(|words| self.money(words));
            return (Fraction::from_si(1.0), price, Damage::Destroys);
        }
        let Some(value) = table.get("breaks") else { return none };
        let Some(words) = self.text_of(value) else { return none };
        let bare = self.bare.clone();
        let Some(Stated { value: words, .. }) = stated(words, &bare) else { return none };
        let (share, price) = match words.split_once(" for ") {
            Some((share, price)) => (share, self.money(price)),
            None => (words, None),
        };
        match self.number(share, Dimension::Fraction) {
            Some(share) => (Fraction::from_si(share), price, Damage::MayBreak),
            None => none,
        }
    }

    /// A price; `unknown` when nobody asked yet.
    fn money(&mut self, words: Words<'_>) -> Option<Money> {
        let bare = self.bare.clone();
        let Stated { value: words, .. } = stated(words, &bare)?;
        match words.text.parse::<Money>() {
            Ok(money) if money.cents() >= 0 => Some(money),
            Ok(_) => {
                self.report(
                    Diagnostic::error(
                        "impossible-value",
                        "a price is never negative",
                        words.span(),
                    )
                    .help("write what a new one costs: `180 EUR`"),
                );
                None
            }
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
            format!("there is no part `{}`", names::shown(words.text)),
            words.span(),
        );
        let known = self.index.parts.keys().map(String::as_str);
        self.faults.suggest(fault, words.text, known, "write it under `[parts]`");
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
        for way in self.pieces(words, " or ").unwrap_or_default() {
            let Some(pieces) = self.pieces(way, " and ") else { continue };
            let named: Vec<Option<PartId>> =
                pieces.into_iter().map(|piece| self.part_named(piece)).collect();
            let parts: Option<Vec<PartId>> = named.into_iter().collect();
            if let Some(mut parts) = parts {
                let mut seen = BTreeSet::new();
                parts.retain(|part| seen.insert(*part));
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

/// The circles among the stuck parts: from each, `next` names another it waits for.
fn circles(
    stuck: impl Iterator<Item = PartId>,
    next: impl Fn(PartId) -> Option<PartId>,
    count: usize,
) -> Vec<Vec<PartId>> {
    let mut visit: Vec<Option<PartId>> = vec![None; count];
    let mut circles = Vec::new();
    for start in stuck {
        let (mut at, mut path) = (start, Vec::new());
        loop {
            match visit[at.index()] {
                None => {
                    visit[at.index()] = Some(start);
                    path.push(at);
                }
                Some(visitor) if visitor == start => {
                    let from = path.iter().position(|part| *part == at).unwrap_or(0);
                    circles.push(path.split_off(from));
                    break;
                }
                Some(_) => break,
            }
            let Some(then) = next(at) else { break };
            at = then;
        }
    }
    circles
}
