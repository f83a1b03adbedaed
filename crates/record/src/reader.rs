//! Reads a whole record: names first, then what is said about them, so that anything may refer to
//! anything in any order. Faults are collected; what they do not touch is used.

use std::collections::BTreeMap;

use catalog::Catalog;
use diag::{Diagnostic, Span};
use model::{DeviceId, Id, Origin, PartId, Place, Region, StateId, Vehicle, WireId};
use units::{Dimension, Volt};

use crate::fact_text::{Stated, stated, with_spread};
use crate::fields::{self, Field};
use crate::limits::{MAX_BYTES, MAX_DIAGNOSTICS, MAX_ITEMS};
use crate::names;
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
    let (table, faults) = tree::parse(text);
    let mut reader = Reader::new(catalog, faults);
    let sections = tree::entries(text, table.get_ref());
    reader.sections(&sections);
    reader.finish()
}

/// Names given so far, and what they mean.
#[derive(Default)]
pub(crate) struct Index {
    pub(crate) devices: BTreeMap<String, DeviceId>,
    pub(crate) wires: BTreeMap<String, Vec<WireId>>,
    pub(crate) parts: BTreeMap<String, PartId>,
    pub(crate) states: BTreeMap<String, StateId>,
}

pub(crate) struct Reader<'c> {
    pub(crate) catalog: &'c Catalog,
    pub(crate) vehicle: Vehicle,
    pub(crate) sources: SourceMap,
    pub(crate) index: Index,
    /// Origin of a value written bare.
    pub(crate) bare: Origin,
    diagnostics: Vec<Diagnostic>,
}

impl<'c> Reader<'c> {
    fn new(catalog: &'c Catalog, diagnostics: Vec<Diagnostic>) -> Reader<'c> {
        Reader {
            catalog,
            vehicle: Vehicle::default(),
            sources: SourceMap::default(),
            index: Index::default(),
            bare: Origin::seen(),
            diagnostics,
        }
    }

    fn sections(&mut self, entries: &[Entry<'_>]) {
        for entry in entries {
            match entry.key.text {
                "unbury" => self.version(entry),
                key if fields::section(key).is_some() => {}
                key => {
                    let known = fields::SECTIONS.iter().map(|section| section.key);
                    let fault = Diagnostic::error(
                        "unknown-section",
                        format!("there is no section `{}`", key.escape_debug()),
                        entry.key.span(),
                    );
                    self.report(names::suggest(fault, key, known, ""));
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
        self.readings(&readings);
        let mends = lines(self, "mends");
        self.mends(&mends);
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
        let written = entry.value.words_or_number().map_or("", |words| words.text);
        if written != VERSION {
            self.report(
                Diagnostic::warning(
                    "record-version",
                    format!("this record says form {written}, read as form {VERSION}"),
                    entry.value.span(),
                )
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
            let line = format!("seen x {}", words.text);
            let stated = stated(Words::at(&line, words.span()), &self.bare);
            self.bare = stated.map_or_else(Origin::seen, |stated| stated.origin);
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
            self.vehicle.nominal =
                self.quantity(value, Dimension::Voltage).map(|v| Volt::from_si(*v));
        }
        if let Some(value) = table.get("region") {
            self.vehicle.region = self.choice(value, fields::REGIONS, region).value().copied();
        }
    }

    fn finish(mut self) -> Record {
        self.diagnostics.sort_by_key(|fault| (fault.place(), std::cmp::Reverse(fault.severity)));
        Record { vehicle: self.vehicle, sources: self.sources, diagnostics: self.diagnostics }
    }

    // --- helpers for the sections ---------------------------------------------------------------

    pub(crate) fn report(&mut self, fault: Diagnostic) {
        if self.diagnostics.len() < MAX_DIAGNOSTICS {
            self.diagnostics.push(fault);
        } else if self.diagnostics.len() == MAX_DIAGNOSTICS {
            let span = fault.place();
            self.diagnostics.push(
                Diagnostic::error("too-many-faults", "there are more faults than are shown", span)
                    .help("mend the first ones and look again"),
            );
        }
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
                .help("write for example `{ kind = \"led lights\", at = \"roof\" }`"),
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
                        format!("{what} has no field `{}`", entry.key.text.escape_debug()),
                        entry.key.span(),
                    );
                    let keys = known.iter().map(|field| field.key);
                    self.report(names::suggest(fault, entry.key.text, keys, ""));
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
        let spread = spread.and_then(|words| self.number(words, dimension));
        with_spread(number, origin, spread)
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
                    format!("`{}` is not one of the words for this", value.text.escape_debug()),
                    value.span(),
                );
                self.report(names::suggest(fault, value.text, known.iter().copied(), ""));
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
    match &error.help {
        Some(help) => fault.help(help.clone()),
        None => fault,
    }
}

fn region(word: &str) -> Option<Region> {
    match word {
        "north america" => Some(Region::NorthAmerica),
        "europe" => Some(Region::EuropeUk),
        "australia" => Some(Region::AustraliaNz),
        _ => None,
    }
}

/// True while an arena may take one more thing.
pub(crate) fn has_room<I: Id, T>(arena: &model::Arena<I, T>) -> bool {
    arena.len() < 4 * MAX_ITEMS
}
