//! Parts, what holds them, the ways they come out, and what is behind what.

use std::collections::{BTreeMap, BTreeSet};

use diag::{Diagnostic, Span};
use model::{Fact, Part, PartId, Place, Reach, Spot};
use units::{Dimension, Kilogram};

use crate::fact_text::{Stated, stated};
use crate::fields;
use crate::names;
use crate::possible::Must;
use crate::reader::Reader;
use crate::text::Words;
use crate::tree::{Entry, Value};

type Table<'t> = BTreeMap<&'static str, Value<'t>>;

impl Reader<'_> {
    /// Gives every part, and every position a part can be moved to, its id, so that parts may refer
    /// to parts written later.
    pub(crate) fn declare_parts(&mut self, lines: &[Entry<'_>]) {
        for line in lines {
            let Some(name) = self.name(&line.key) else { continue };
            let id = self.declare(name.to_owned(), name.replace('-', " "), line.key.span());
            for (to, span) in self.positions(&line.value) {
                let position = format!("{name} {to}");
                if self.index.parts.contains_key(&position) {
                    continue;
                }
                let moved = self.declare(position, to.replace('-', " "), span);
                self.vehicle.parts[moved].moved = Some(id);
            }
        }
    }

    fn declare(&mut self, name: String, label: String, span: Span) -> PartId {
        let id = self.vehicle.parts.push(Part {
            name: name.clone(),
            label,
            fixings: Vec::new(),
            removals: Vec::new(),
            is_out: false,
            moved: None,
            mass: Fact::Unknown,
            mounting: None,
            space: Fact::Unknown,
            damp: Fact::Unknown,
        });
        self.index.parts.insert(name, id);
        self.sources.set(Place::Part(id), span);
        id
    }

    /// The positions a part's line says it can be moved to, with their places.
    fn positions(&mut self, line: &Value<'_>) -> Vec<(String, Span)> {
        let entries = line.entries().unwrap_or_default();
        let moves = entries.iter().find(|entry| entry.key.text == "moves");
        let moves = moves.and_then(|entry| entry.value.items()).unwrap_or_default();
        let mut found = Vec::new();
        for one in moves.iter().filter_map(Value::entries) {
            let to = one.iter().find(|entry| entry.key.text == "to");
            let Some(words) = to.and_then(|entry| entry.value.words()) else { continue };
            if let Some(to) = self.name(&words) {
                found.push((to.to_owned(), words.span()));
            }
        }
        found
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
        self.never_out();
        self.fixings_on_nothing();
    }

    fn part(&mut self, id: PartId, table: &Table<'_>) {
        if let Some(words) = table.get("is").and_then(|value| self.text_of(value)) {
            self.vehicle.parts[id].label = words.text.to_owned();
        }
        if let Some(value) = table.get("mass") {
            let mass = self.quantity(value, Dimension::Mass);
            let mass = self.possible("mass", mass, Must::AboveZero, value.span());
            self.vehicle.parts[id].mass = mass.map(|kg| Kilogram::from_si(*kg));
        }
        let held = table.get("held").and_then(|value| self.mounting(value));
        self.vehicle.parts[id].mounting = held;
        self.vehicle.parts[id].space = self.space(table.get("box"), Place::Part(id));
        self.vehicle.parts[id].damp = self.damp("damp", table.get("damp"));
        for key in ["after", "fixings", "taken_out"] {
            if let Some(value) = table.get(key) {
                self.sources.set_field(Place::Part(id), key, value.span());
            }
        }
        let fixings = self.fixings_of(table);
        self.vehicle.parts[id].fixings = fixings.clone().unwrap_or_default();
        if let Some(yes) = table.get("taken_out").and_then(|value| self.yes_no(value)) {
            self.vehicle.parts[id].is_out = yes;
        }
        let says = |key: &str| key != "fixings" && table.contains_key(key);
        let says_a_way = fields::removal().iter().any(|field| says(field.key));
        if says_a_way || !self.vehicle.parts[id].fixings.is_empty() {
            self.removal(id, table, fixings);
        }
        for other in self.other_ways(table) {
            if let Some(table) =
                self.table(&other, &fields::removal(), "a way of taking a part out")
            {
                let own = self.fixings_of(&table);
                self.removal(id, &table, own);
            }
        }
        self.moves(id, table);
    }

    /// Positions the part can be moved to, and where it stands now.
    fn moves(&mut self, part: PartId, table: &Table<'_>) {
        let moves = match table.get("moves").map(|value| (value.items(), value)) {
            None => Vec::new(),
            Some((Some(items), _)) => items,
            Some((None, value)) => {
                self.report(
                    Diagnostic::error("wrong-form", "`moves` wants a list of positions", value.span())
                        .help("write `moves = [{ to = \"slid\", how = \"slide forward\", out = \"8 min\" }]`"),
                );
                Vec::new()
            }
        };
        let name = self.vehicle.parts[part].name.clone();
        for item in moves {
            let Some(table) = self.table(&item, &fields::moved(), "a position") else { continue };
            let Some(to) = table.get("to") else {
                self.report(
                    Diagnostic::error("missing-field", "a position wants a name", item.span())
                        .help("write for example `to = \"slid\"`; then `behind = \"fridge slid\"`"),
                );
                continue;
            };
            let Some(words) = self.text_of(to) else { continue };
            let Some(id) = self.index.parts.get(&format!("{name} {}", words.text)).copied() else {
                continue;
            };
            let label =
                format!("{}, {}", self.vehicle.parts[part].label, words.text.replace('-', " "));
            self.vehicle.parts[id].label = label;
            let own = self.fixings_of(&table);
            self.removal(id, &table, own);
        }
        let Some(words) = table.get("moved").and_then(|value| self.text_of(value)) else { return };
        match self.index.parts.get(&format!("{name} {}", words.text)).copied() {
            Some(id) => self.vehicle.parts[id].is_out = true,
            None => self.no_such_position(part, words),
        }
    }

    fn no_such_position(&mut self, part: PartId, words: Words<'_>) {
        let name = &self.vehicle.parts[part].name;
        let message = format!("`{name}` has no position `{}`", names::shown(words.text));
        let fault = Diagnostic::error("unknown-position", message, words.span());
        let of_part = self.vehicle.parts.iter().filter(|(_, other)| other.moved == Some(part));
        let known: Vec<String> =
            of_part.filter_map(|(_, p)| Some(p.name.rsplit_once(' ')?.1.to_owned())).collect();
        let known = known.iter().map(String::as_str);
        self.faults.suggest(fault, words.text, known, "write it under `moves` of the part");
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
            let id = self.vehicle.spots.next_id();
            self.sources.set(Place::Spot(id), line.key.span());
            let damp = self.damp("damp", table.get("damp"));
            let space = self.space(table.get("box"), Place::Spot(id));
            if let Some(value) = table.get("behind") {
                self.sources.set_field(Place::Spot(id), "behind", value.span());
            }
            self.vehicle.spots.push(Spot {
                name: name.to_owned(),
                label: label.map_or_else(|| name.replace('-', " "), |words| words.text.to_owned()),
                reach,
                space,
                damp,
            });
        }
    }
}
