//! Reads a whole record: names first, then what is said about them, so that anything may refer to
//! anything in any order. Faults are collected; what they do not touch is used.

use std::collections::BTreeMap;

use catalog::Catalog;
use diag::{Diagnostic, Span};
use model::{DeviceId, Origin, PartId, Place, Region, SeenBy, StateId, Vehicle, WireId};
use units::{Dimension, Volt};

use crate::broken;
use crate::fact_text::{Stated, stated, with_spread};
use crate::faults::Faults;
use crate::fields::{self, Field};
use crate::limits::{MAX_BYTES, MAX_ITEMS, MAX_PIECES};
use crate::names;
use crate::possible::Must;
use crate::source_map::SourceMap;
use crate::text::Words;
use crate::tree::{self, Entry, Value};

/// The form of record this reader understands.
const VERSION: &str = "1";

/// A record as it was understood.
#[derive(Clone, Debug, Default)]
pub struct Record {
    /// The vehicle.
    pub vehicle: Vehicle,
    /// Where everything stands.
    pub sources: SourceMap,
    /// What was wrong.
    pub diagnostics: Vec<Diagnostic>,
}

/// Reads a record. Never fails: what could not be used is in the diagnostics.
pub fn read(text: &str, catalog: &Catalog) -> Record {
    if text.len() > MAX_BYTES {
        let fault = Diagnostic::error("too-large", "the record is too large", Span::default())
            .help(format!("a record may hold {MAX_BYTES} bytes, this one has {}", text.len()));
        return Record { diagnostics: vec![fault], ..Record::default() };
    }
    broken::parse(text, |text, table, faults| {
        let mut reader = Reader::new(catalog, faults);
        reader.sections(&tree::entries(text, table.get_ref()));
        reader.finish()
    })
}

/// Names given so far, and what they mean.
#[derive(Default)]
pub(crate) struct Index {
    pub(crate) devices: BTreeMap<String, DeviceId>,
    pub(crate) wires: BTreeMap<String, Vec<WireId>>,
    pub(crate) parts: BTreeMap<String, PartId>,
    pub(crate) states: BTreeMap<String, StateId>,
    /// Names of readings and symptoms, also of those that could not be read.
    pub(crate) observed: Vec<String>,
}

pub(crate) struct Reader<'c> {
    pub(crate) catalog: &'c Catalog,
    pub(crate) vehicle: Vehicle,
    pub(crate) sources: SourceMap,
    pub(crate) index: Index,
    /// Origin of a value written bare.
    pub(crate) bare: Origin,
    pub(crate) faults: Faults,
}

impl<'c> Reader<'c> {
    fn new(catalog: &'c Catalog, faults: Faults) -> Reader<'c> {
        Reader {
            catalog,
            vehicle: Vehicle::default(),
            sources: SourceMap::default(),
            index: Index::default(),
            bare: Origin::seen(),
            faults,
        }
    }

    fn sections(&mut self, entries: &[Entry<'_>]) {
        if entries.is_empty() {
            self.report(
                Diagnostic::warning("empty-record", "nothing is written here", Span::default())
                    .help("start with `unbury = 1`, then `[vehicle]`, `[devices]`, `[wires]`"),
            );
        }
        for entry in entries {
            match entry.key.text {
                "unbury" => self.version(entry),
                key if fields::section(key).is_some() => {}
                key => {
                    let known = fields::SECTIONS.iter().map(|section| section.key);
                    let fault = Diagnostic::error(
                        "unknown-section",
                        format!("there is no section `{}`", names::shown(key)),
                        entry.key.span(),
                    );
                    self.faults.suggest(fault, key, known, "see the record guide");
                }
            }
        }
        let section = |key: &str| entries.iter().find(|entry| entry.key.text == key);
        let lines = |reader: &mut Reader<'c>, key: &str| -> Vec<Entry<'_>> {
            section(key).map_or_else(Vec::new, |entry| reader.lines(entry))
        };
        if let Some(entry) = section("vehicle") {
            self.vehicle_section(entry);
        }
        if let Some(entry) = section("workshop") {
            self.workshop_section(entry);
        }
        let parts = lines(self, "parts");
        self.declare_parts(&parts);
        let devices = lines(self, "devices");
        self.devices(&devices);
        self.parts(&parts);
        let wires = lines(self, "wires");
        self.wires(&wires);
        let joints = lines(self, "joints");
        self.joints(&joints);
        let stacks = lines(self, "stacks");
        self.stacks(&stacks);
        let usual = lines(self, "usual");
        self.usual(&usual);
        let spots = lines(self, "spots");
        self.spots(&spots);
        let states = lines(self, "states");
        self.states(&states);
        let symptoms = lines(self, "symptoms");
        self.symptoms(&symptoms);
        let readings = lines(self, "readings");
        self.index.observed = [&symptoms, &readings].into_iter().flatten().map(name_of).collect();
        self.readings(&readings);
        if let Some(entry) = section("history") {
            self.history(entry);
        }
        self.excuse_laid_aside(&readings);
        let took = lines(self, "took");
        self.took(&took);
        let mends = lines(self, "mends");
        self.mends(&mends, entries);
        let authority = lines(self, "authority");
        self.authority(&authority);
        let photos = lines(self, "photos");
        self.photos(&photos);
        let history = section("history").and_then(|entry| entry.value.entries());
        let lines = [symptoms, readings, history.unwrap_or_default(), took, photos].concat();
        self.sources.set_observed(lines.iter().map(whole));
    }

    /// The lines of a section, at most the limit.
    fn lines<'t>(&mut self, section: &Entry<'t>) -> Vec<Entry<'t>> {
        let Some(mut lines) = section.value.entries() else {
            let fault = Diagnostic::error(
                "wrong-form",
                format!(
                    "`{}` is a section, but this is {}",
                    section.key.text,
                    section.value.sort()
                ),
                section.value.span(),
            );
            self.report(fault.help(format!("write `[{}]` on a line of its own", section.key.text)));
            return Vec::new();
        };
        if lines.len() > MAX_ITEMS {
            let message = format!("`{}` has more than {MAX_ITEMS} lines", section.key.text);
            self.report(
                Diagnostic::error("too-many", message, lines[MAX_ITEMS].key.span())
                    .help("the lines from here on are left out"),
            );
            lines.truncate(MAX_ITEMS);
        }
        lines
    }

    fn version(&mut self, entry: &Entry<'_>) {
        let written = entry.value.words_or_number().map(|words| words.text);
        if written != Some(VERSION) {
            let message = match written {
                Some(written) => format!(
                    "this record says form {}, read as form {VERSION}",
                    names::shown(written)
                ),
                None => format!("the form of a record is a number, read as form {VERSION}"),
            };
            self.report(
                Diagnostic::warning("record-version", message, entry.value.span())
                    .help(format!("write `unbury = {VERSION}`")),
            );
        }
    }

    fn vehicle_section(&mut self, entry: &Entry<'_>) {
        let Some(table) = self.table(&entry.value, &fields::vehicle(), "the vehicle") else {
            return;
        };
        self.sources.set(Place::Vehicle, entry.key.span());
        if let Some(words) = table.get("seen").and_then(|value| self.text_of(value)) {
            self.bare = self.seen_by(words);
            if let Origin::Seen { by, on } = &self.bare {
                let said = |words: &Option<String>| words.clone().unwrap_or_default();
                self.vehicle.seen = SeenBy { by: said(by), on: said(on) };
            }
        }
        let text = |reader: &mut Reader<'_>, key: &str| {
            table
                .get(key)
                .and_then(|value| reader.text_of(value))
                .map(|words| words.text.to_owned())
        };
        self.vehicle.name = text(self, "name").unwrap_or_default();
        self.vehicle.words = text(self, "is").unwrap_or_default();
        self.vehicle.complaint = text(self, "complaint").unwrap_or_default();
        if let Some(value) = table.get("system") {
            let nominal = self.quantity(value, Dimension::Voltage);
            let nominal = self.possible("system", nominal, Must::AboveZero, value.span());
            self.vehicle.nominal = nominal.map(|v| Volt::from_si(*v));
        }
        if let Some(value) = table.get("documents") {
            self.vehicle.documents = self.documents(value);
        }
        self.vehicle.dry = self.damp("dry", table.get("dry"));
        if let Some(value) = table.get("inside") {
            self.vehicle.inside = self.space(Some(value), Place::Vehicle);
        }
        if let Some(value) = table.get("region") {
            self.vehicle.region = self.choice(value, fields::REGIONS, region).value().copied();
        }
    }

    fn workshop_section(&mut self, entry: &Entry<'_>) {
        let Some(table) = self.table(&entry.value, &fields::workshop(), "the workshop") else {
            return;
        };
        if let Some(value) = table.get("tools") {
            let words = self.list_of(value);
            let tools = words.into_iter().filter_map(|words| self.tool_named(words)).collect();
            self.vehicle.tools = Some(tools);
        }
        self.rates(&table);
    }

    /// `by RK on 2026-05-02`: who saw what is written bare.
    pub(crate) fn seen_by(&mut self, words: Words<'_>) -> Origin {
        let line = format!("seen x {}", words.text);
        let origin = stated(Words::at(&line, words.span()), &self.bare).map(|said| said.origin);
        match origin {
            Some(origin) if origin != Origin::seen() => origin,
            _ => {
                self.report(
                    Diagnostic::error(
                        "seen-by",
                        "who saw it, and when, cannot be read here",
                        words.span(),
                    )
                    .help("write `by RK on 2026-05-02`"),
                );
                Origin::seen()
            }
        }
    }

    fn finish(self) -> Record {
        Record { vehicle: self.vehicle, sources: self.sources, diagnostics: self.faults.sorted() }
    }

    // --- helpers for the sections ---------------------------------------------------------------

    pub(crate) fn report(&mut self, fault: Diagnostic) {
        self.faults.report(fault);
    }

    /// The pieces of a line; `None`, reported, when there are more than any line needs.
    pub(crate) fn pieces<'t>(
        &mut self,
        words: Words<'t>,
        separator: &str,
    ) -> Option<Vec<Words<'t>>> {
        let pieces = words.split(separator);
        if let Some(first_over) = pieces.get(MAX_PIECES) {
            let message = format!("there are more than {MAX_PIECES} pieces here");
            self.report(
                Diagnostic::error("too-many", message, first_over.span())
                    .help("the whole line is left out"),
            );
            return None;
        }
        if separator == "," && self.decimal_comma(words) {
            return None;
        }
        Some(pieces)
    }

    /// `2,5 mm2` would be read as a number and a size of 5 mm2: commas stand between pieces.
    pub(crate) fn decimal_comma(&mut self, words: Words<'_>) -> bool {
        let found = words.text.match_indices(',').find_map(|(at, _)| {
            let (before, after) = (&words.text[..at], &words.text[at + 1..]);
            let whole = before.len() - before.trim_end_matches(|c: char| c.is_ascii_digit()).len();
            let part = after.len() - after.trim_start_matches(|c: char| c.is_ascii_digit()).len();
            let alone =
                before[..at - whole].chars().next_back().is_none_or(|c| " ±,-:".contains(c));
            (whole > 0 && part > 0 && alone).then_some((at - whole, at, at + 1 + part))
        });
        let Some((start, comma, end)) = found else { return false };
        let written = words.slice(start, end);
        self.report(
            Diagnostic::error(
                "decimal-comma",
                format!("`{}` would be read as two pieces", names::shown(written.text)),
                written.span(),
            )
            .help(format!(
                "write `{}.{}`, or a blank after the comma if they are two",
                names::shown(&words.text[start..comma]),
                names::shown(&words.text[comma + 1..end])
            ))
            .help("the whole line is left out"),
        );
        true
    }

    /// True while an arena may take `more` things; a full one is reported.
    pub(crate) fn has_room(&mut self, held: usize, more: usize, what: &str, span: Span) -> bool {
        let room = held + more <= 4 * MAX_ITEMS;
        if !room {
            let message = format!("the record has more than {} {what}", 4 * MAX_ITEMS);
            self.report(
                Diagnostic::error("too-many", message, span)
                    .help("what is written from here on is left out"),
            );
        }
        room
    }

    /// A table with known fields only; unknown ones are reported.
    pub(crate) fn table<'t>(
        &mut self,
        value: &Value<'t>,
        known: &[Field],
        what: &str,
    ) -> Option<BTreeMap<&'static str, Value<'t>>> {
        let Some(entries) = value.entries() else {
            self.report(
                Diagnostic::error(
                    "wrong-form",
                    format!("{what} wants fields in braces, but this is {}", value.sort()),
                    value.span(),
                )
                .help(wanted_fields(known)),
            );
            return None;
        };
        let mut table = BTreeMap::new();
        for entry in entries {
            match known.iter().find(|field| field.key == entry.key.text) {
                Some(field) => {
                    table.insert(field.key, entry.value);
                }
                None => {
                    let fault = Diagnostic::error(
                        "unknown-field",
                        format!("{what} has no field `{}`", names::shown(entry.key.text)),
                        entry.key.span(),
                    );
                    let all: Vec<&str> = known.iter().map(|field| field.key).collect();
                    let otherwise = format!("it may have: {}", all.join(", "));
                    self.faults.suggest(fault, entry.key.text, all, &otherwise);
                }
            }
        }
        Some(table)
    }

    /// The words of a value that must be text.
    pub(crate) fn text_of<'t>(&mut self, value: &Value<'t>) -> Option<Words<'t>> {
        let words = value.words();
        if words.is_none() {
            self.report(
                Diagnostic::error(
                    "wrong-form",
                    format!("text is wanted here, but this is {}", value.sort()),
                    value.span(),
                )
                .help("put it in quotes"),
            );
        }
        words
    }

    /// The texts of a list.
    pub(crate) fn list_of<'t>(&mut self, value: &Value<'t>) -> Vec<Words<'t>> {
        match value.items() {
            Some(items) => items.iter().filter_map(|item| self.text_of(item)).collect(),
            None => self.text_of(value).into_iter().collect(),
        }
    }

    pub(crate) fn yes_no(&mut self, value: &Value<'_>) -> Option<bool> {
        let answer = value.boolean();
        if answer.is_none() {
            self.report(
                Diagnostic::error(
                    "wrong-form",
                    format!("`true` or `false` is wanted here, but this is {}", value.sort()),
                    value.span(),
                )
                .help("leave the field out when you do not know"),
            );
        }
        answer
    }

    /// A quantity with its origin.
    pub(crate) fn quantity(&mut self, value: &Value<'_>, dimension: Dimension) -> model::Fact<f64> {
        match value.words_or_number() {
            Some(words) => self.quantity_in(words, dimension),
            None => {
                let _ = self.text_of(value);
                model::Fact::Unknown
            }
        }
    }

    /// A quantity with its origin, out of words.
    pub(crate) fn quantity_in(
        &mut self,
        words: Words<'_>,
        dimension: Dimension,
    ) -> model::Fact<f64> {
        let bare = self.bare.clone();
        let Some(Stated { value, spread, origin }) = stated(words, &bare) else {
            return model::Fact::Unknown;
        };
        let Some(number) = self.number(value, dimension) else { return model::Fact::Unknown };
        let spread = self.spread(spread, dimension);
        with_spread(number, origin, spread)
    }

    /// The half width behind a `±`.
    pub(crate) fn spread(&mut self, words: Option<Words<'_>>, dimension: Dimension) -> Option<f64> {
        let words = words?;
        let spread = self.number(words, dimension)?;
        if spread < 0.0 {
            self.report(
                Diagnostic::error("impossible-value", "a spread is never negative", words.span())
                    .help("write it without its sign: `12.4 V \u{b1} 0.1 V`"),
            );
            return None;
        }
        Some(spread)
    }

    /// A bare quantity; a fault is reported at the piece that is wrong.
    pub(crate) fn number(&mut self, words: Words<'_>, dimension: Dimension) -> Option<f64> {
        match units::parse(words.text, dimension) {
            Ok(value) => Some(value),
            Err(error) => {
                self.report(quantity_fault(words, &error));
                None
            }
        }
    }

    /// One of a list of words, with its origin.
    pub(crate) fn choice<T>(
        &mut self,
        value: &Value<'_>,
        known: &[&str],
        meaning: fn(&str) -> Option<T>,
    ) -> model::Fact<T> {
        let Some(words) = self.text_of(value) else { return model::Fact::Unknown };
        let bare = self.bare.clone();
        let Some(Stated { value, origin, .. }) = stated(words, &bare) else {
            return model::Fact::Unknown;
        };
        match meaning(&value.text.to_lowercase()) {
            Some(meaning) => model::Fact::known(meaning, origin),
            None => {
                let fault = Diagnostic::error(
                    "unknown-word",
                    format!("`{}` is not one of the words for this", names::shown(value.text)),
                    value.span(),
                );
                let otherwise = format!("write one of: {}", known.join(", "));
                self.faults.suggest(fault, value.text, known.iter().copied(), &otherwise);
                model::Fact::Unknown
            }
        }
    }

    /// Checks a name that is being given; a bad one is reported and not used.
    pub(crate) fn name<'t>(&mut self, key: &Words<'t>) -> Option<&'t str> {
        match names::check(key.text, key.span()) {
            Some(fault) => {
                self.report(fault.help("everything that refers to it is left out too"));
                None
            }
            None => Some(key.text),
        }
    }
}

/// A fault of a quantity, underlined at the piece.
pub(crate) fn quantity_fault(words: Words<'_>, error: &units::ParseError) -> Diagnostic {
    let span = words.span_of(error.start, error.end.min(words.text.len()));
    let fault = Diagnostic::error("bad-quantity", error.message.clone(), span);
    fault.help(error.help.clone().unwrap_or_else(|| "write a number with its unit".to_owned()))
}

fn wanted_fields(known: &[Field]) -> String {
    let keys: Vec<&str> = known.iter().map(|field| field.key).collect();
    format!("put `{{ }}` around fields such as {}", keys[..keys.len().min(4)].join(", "))
}

fn region(word: &str) -> Option<Region> {
    match word {
        "north america" => Some(Region::NorthAmerica),
        "europe" => Some(Region::EuropeUk),
        "australia" => Some(Region::AustraliaNz),
        _ => None,
    }
}

/// The name a line begins with.
fn name_of(line: &Entry<'_>) -> String {
    line.key.text.to_owned()
}

/// All that a line is written in.
pub(crate) fn whole(line: &Entry<'_>) -> Span {
    Span { start: line.key.span().start, end: line.value.span().end }
}
