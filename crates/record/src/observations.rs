//! Symptoms, how they began, readings and proposed mends.

use std::collections::BTreeMap;

use diag::Diagnostic;
use model::{
    Answer, Change, Fact, JointId, Mend, Reading, ReadingPoints, Repaired, Role, Shows, Symptom,
    Was, Wire, WireEnd,
};
use units::Dimension;

use crate::fact_text::split_spread;
use crate::fields;
use crate::names;
use crate::reader::{Reader, quantity_fault, whole};
use crate::text::Words;
use crate::tree::{Entry, Value};

impl Reader<'_> {
    pub(crate) fn symptoms(&mut self, lines: &[Entry<'_>]) {
        for line in lines {
            let Some(name) = self.name(&line.key).map(str::to_owned) else { continue };
            if line.value.entries().is_none() {
                if let Some(words) = self.text_of(&line.value) {
                    let words = words.text.to_owned();
                    self.vehicle.symptoms.push(Symptom {
                        name,
                        words,
                        device: None,
                        state: None,
                        shows: Fact::Unknown,
                        after_s: None,
                    });
                }
                continue;
            }
            let Some(table) = self.table(&line.value, &fields::symptom(), "a symptom") else {
                continue;
            };
            let mut text = |key: &str| table.get(key).and_then(|value| self.text_of(value));
            let (words, device, state) = (text("words"), text("device"), text("state"));
            let words = words.map_or_else(String::new, |words| words.text.to_owned());
            let device = device.and_then(|words| self.device_named(words));
            let state = state.and_then(|words| self.state_named(words));
            let shows = table
                .get("shows")
                .map_or(Fact::Unknown, |value| self.choice(value, fields::SHOWS, Shows::of_word));
            let after_s = table.get("after").and_then(|value| self.seconds(value));
            self.vehicle.symptoms.push(Symptom { name, words, device, state, shows, after_s });
        }
    }

    fn seconds(&mut self, value: &Value<'_>) -> Option<f64> {
        let words = self.text_of(value)?;
        match units::parse(words.text, Dimension::Seconds) {
            Ok(seconds) => Some(seconds),
            Err(error) => {
                self.report(quantity_fault(words, &error));
                None
            }
        }
    }

    pub(crate) fn history(&mut self, section: &Entry<'_>) {
        let Some(table) = self.table(&section.value, &fields::history(), "the history") else {
            return;
        };
        let list = |reader: &mut Self, key: &str| {
            table.get(key).map_or_else(Vec::new, |value| reader.list_of(value))
        };
        for words in list(self, "answers") {
            let Some(answer) = Answer::of_words(words.text) else {
                let message = format!("`{}` is no answer of the list", names::shown(words.text));
                let fault = Diagnostic::error("unknown-word", message, words.span());
                let known = Answer::ALL.iter().map(|row| row.1);
                self.faults.suggest(fault, words.text, known, "see the record guide");
                continue;
            };
            self.vehicle.history.answers.push(answer);
        }
        for words in list(self, "not_reached") {
            let terminal = self.terminal_named(words);
            self.vehicle.history.not_reached.extend(terminal);
        }
        for words in list(self, "no_cure") {
            let place = self.place_named(words);
            self.vehicle.history.no_cure.extend(place);
        }
        for words in list(self, "changed") {
            let (place, before) = match words.split_once(":") {
                Some((place, before)) => (place, before.split(",")),
                None => (words, Vec::new()),
            };
            let before = before.into_iter().filter_map(|name| self.observed(name)).collect();
            if let Some(place) = self.place_named(place) {
                self.vehicle.history.changed.push(Repaired { place, before });
            }
        }
    }

    /// The name of a reading or a symptom.
    fn observed(&mut self, name: Words<'_>) -> Option<String> {
        if self.index.observed.iter().any(|known| known == name.text) {
            return Some(name.text.to_owned());
        }
        let message = format!("`{}` is neither a reading nor a symptom", names::shown(name.text));
        let fault = Diagnostic::error("unknown-word", message, name.span());
        let known = self.index.observed.iter().map(String::as_str);
        let otherwise = "name what stands in [readings] or [symptoms]";
        self.faults.suggest(fault, name.text, known, otherwise);
        None
    }

    /// A reading from before a repair may name what the repair took away: that is worth knowing, and no
    /// fault of the record.
    pub(crate) fn excuse_laid_aside(&mut self, readings: &[Entry<'_>]) {
        for line in readings {
            if self.vehicle.history.is_laid_aside(line.key.text) {
                let of_before = format!(
                    "`{}` was taken before a repair and is kept as it was written",
                    names::shown(line.key.text)
                );
                self.faults.excuse(whole(line), &of_before);
            }
        }
    }

    pub(crate) fn readings(&mut self, lines: &[Entry<'_>]) {
        for line in lines {
            let Some(name) = self.name(&line.key) else { continue };
            let Some(words) = self.text_of(&line.value) else { continue };
            if let Some(reading) = self.reading(name, words) {
                self.vehicle.readings.push(reading);
            }
        }
    }

    /// `night: 10.7 V ± 0.1 V between fridge.+ and fridge.-, multimeter, RK`,
    /// `night: 4.9 A in w12, clamp`, `night: 4.2 A on monitor, display`, or
    /// `night: 3 mV over w3 at box.1, millivolt range`.
    fn reading(&mut self, name: &str, words: Words<'_>) -> Option<Reading> {
        let Some((state, rest)) = words.split_once(":") else {
            self.report(
                Diagnostic::error(
                    "reading-line",
                    "a reading starts with the state it was taken in",
                    words.span(),
                )
                .help("write `night: 10.7 V between fridge.+ and fridge.-, multimeter`"),
            );
            return None;
        };
        let state = self.state_named(state)?;
        if self.decimal_comma(rest) {
            return None;
        }
        let (body, note) = match rest.split_once(",") {
            Some((body, note)) => (body, note.text.to_owned()),
            None => (rest, String::new()),
        };
        let (value, points) = self.points(body)?;
        let (value, spread) = split_spread(value);
        let (number, dimension) = self.measured(value, points)?;
        let spread = self.spread(spread, dimension);
        Some(Reading {
            name: name.to_owned(),
            state,
            points,
            value: number,
            dimension,
            spread,
            note,
        })
    }

    /// Splits `10.7 V between fridge.+ and fridge.-`, or `4.9 A in w12`.
    fn points<'t>(&mut self, body: Words<'t>) -> Option<(Words<'t>, ReadingPoints)> {
        if let Some((value, points)) = body.split_once(" between ") {
            let Some((red, black)) = points.split_once(" and ") else {
                let fault = Diagnostic::error(
                    "reading-line",
                    "a voltage is read between two terminals",
                    points.span(),
                );
                self.report(
                    fault.help("write `between fridge.+ and fridge.-`, the red probe first"),
                );
                return None;
            };
            let probes = (self.terminal_named(red)?, self.terminal_named(black)?);
            if probes.0 == probes.1 {
                let message = "both probes are on the same terminal";
                self.report(
                    Diagnostic::error("reading-line", message, points.span())
                        .help("write `between fridge.+ and fridge.-`, the red probe first"),
                );
                return None;
            }
            Some((value, ReadingPoints::Between(probes.0, probes.1)))
        } else if let Some((value, wire)) = body.split_once(" in ") {
            let wires = self.wires_named(wire);
            let first = *wires.first()?;
            if wires.len() > 1 {
                let names: Vec<&str> =
                    wires.iter().map(|id| self.vehicle.wires[*id].name.as_str()).collect();
                let help = format!("the clamp goes round one core: {}", names.join(", "));
                let message = format!("`{}` has several cores", wire.text);
                self.report(Diagnostic::error("reading-line", message, wire.span()).help(help));
                return None;
            }
            Some((value, ReadingPoints::In(first)))
        } else if let Some((value, device)) = body.split_once(" on ") {
            let id = self.device_named(device)?;
            if self.vehicle.devices[id].role != Role::Monitor {
                let message = format!("`{}` has no display of a current", device.text);
                let fault = Diagnostic::error("reading-line", message, device.span());
                self.report(fault.help("name the monitor: `4.2 A on monitor`"));
                return None;
            }
            Some((value, ReadingPoints::On(id)))
        } else if let Some((value, joint)) = body.split_once(" over ") {
            Some((value, ReadingPoints::Over(self.joint_named(joint)?)))
        } else {
            self.report(
                Diagnostic::error("reading-line", "say where it was read", body.span()).help(
                    "write `10.7 V between fridge.+ and fridge.-`, `4.9 A in w12`, \
                         `4.2 A on monitor` or `3 mV over w3 at box.1`",
                ),
            );
            None
        }
    }

    /// The joint of `w3 at box.1`.
    fn joint_named(&mut self, words: Words<'_>) -> Option<JointId> {
        let Some((wire, terminal)) = words.split_once(" at ") else {
            let message = "a joint is a wire at a terminal";
            let fault = Diagnostic::error("reading-line", message, words.span());
            self.report(fault.help("write `3 mV over w3 at box.1`"));
            return None;
        };
        let (wires, terminal) = (self.wires_named(wire), self.terminal_named(terminal)?);
        let lands = |wire: &Wire, end: &WireEnd| wire.terminal(*end) == Some(terminal);
        let joint = wires.iter().find_map(|id| {
            let wire = &self.vehicle.wires[*id];
            let end = WireEnd::BOTH.into_iter().find(|end| lands(wire, end))?;
            Some(wire.end(end).joint)
        });
        if joint.is_none() && !wires.is_empty() {
            let message = format!("`{}` does not land there", wire.text);
            self.report(Diagnostic::error("reading-line", message, words.span()));
        }
        joint
    }

    /// The value of a reading, in the dimension its points ask for.
    fn measured(&mut self, words: Words<'_>, points: ReadingPoints) -> Option<(f64, Dimension)> {
        let dimension = match points {
            ReadingPoints::Between(..) | ReadingPoints::Over(_) => Dimension::Voltage,
            ReadingPoints::In(_) | ReadingPoints::On(_) => Dimension::Current,
        };
        match units::parse(words.text, dimension) {
            Ok(number) => Some((number, dimension)),
            Err(error) => {
                self.report(quantity_fault(words, &error));
                None
            }
        }
    }

    pub(crate) fn mends(&mut self, lines: &[Entry<'_>], record: &[Entry<'_>]) {
        for line in lines {
            let Some(name) = self.name(&line.key) else { continue };
            let Some(table) = self.table(&line.value, &fields::mend(), "a mend") else { continue };
            let words = table.get("words").and_then(|value| self.text_of(value));
            let words = words.map_or_else(String::new, |words| words.text.to_owned());
            let was = table.get("was").map_or_else(Vec::new, |value| self.pairs("was", value));
            let was: BTreeMap<&str, String> =
                was.into_iter().map(|(at, is)| (at.text, is)).collect();
            let sets = table.get("sets").map_or_else(Vec::new, |value| self.pairs("sets", value));
            let adds = table.get("adds").map_or_else(Vec::new, |value| self.pairs("adds", value));
            let removes = table
                .get("removes")
                .map_or_else(Vec::new, |value| value.items().unwrap_or_else(|| vec![*value]));
            let mut changes = Vec::new();
            for (at, is) in sets {
                changes.extend(self.changed(record, at, was.get(at.text), Some(is)));
            }
            for (at, is) in adds {
                let path = path_to(record, at.text);
                changes.push(Change { path, was: Was::Nothing, is: Some(is) });
            }
            for item in &removes {
                let Some(at) = self.text_of(item) else { continue };
                changes.extend(self.changed(record, at, was.get(at.text), None));
            }
            self.vehicle.mends.push(Mend { name: name.to_owned(), words, changes });
        }
    }

    /// A value that changes or goes. What once stood there may be gone by now; without it being said
    /// what that was, the value has to be there.
    fn changed(
        &mut self,
        record: &[Entry<'_>],
        at: Words<'_>,
        was: Option<&String>,
        is: Option<String>,
    ) -> Option<Change> {
        if was.is_none() && !is_one_value(record, at.text) {
            self.report(
                Diagnostic::error(
                    "mend-path",
                    format!("the record has no value `{}`", names::shown(at.text)),
                    at.span(),
                )
                .help("write section, name and field: `wires.w12`, `devices.fridge.power`"),
            );
            return None;
        }
        let was = was.map_or(Was::NotSaid, |was| Was::Value(was.clone()));
        Some(Change { path: path_to(record, at.text), was, is })
    }

    /// `{ "wires.w12" = "..." }`: paths with values.
    fn pairs<'t>(&mut self, key: &str, value: &Value<'t>) -> Vec<(Words<'t>, String)> {
        let Some(entries) = value.entries() else {
            let message = format!("`{key}` wants values in braces, but this is {}", value.sort());
            self.report(
                Diagnostic::error("wrong-form", message, value.span()).help(format!(
                    "write `{key} = {{ \"devices.fridge-fuse.rated\" = \"10 A\" }}`"
                )),
            );
            return Vec::new();
        };
        let mut pairs = Vec::new();
        for entry in entries {
            let words = entry.value.words_or_number();
            if words.is_none() {
                let _ = self.text_of(&entry.value);
            }
            pairs.extend(words.map(|words| (entry.key, words.text.to_owned())));
        }
        pairs
    }
}

/// The keys of a dotted path. Names may hold points themselves (`joints.w12 at fridge.+`): the longest
/// name that is there is taken; of one that is not, everything behind the section.
fn path_to(record: &[Entry<'_>], path: &str) -> Vec<String> {
    let Some((section, rest)) = path.split_once('.') else { return vec![path.to_owned()] };
    let lines = record.iter().find(|entry| entry.key.text == section);
    let lines = lines.and_then(|entry| entry.value.entries()).unwrap_or_default();
    let fields = lines.iter().filter(|line| line.value.entries().is_some()).filter_map(|line| {
        let field = rest.strip_prefix(line.key.text)?.strip_prefix('.')?;
        Some((line.key.text, field))
    });
    let is_whole = lines.iter().any(|line| line.key.text == rest);
    match fields.max_by_key(|(name, _)| name.len()).filter(|_| !is_whole) {
        Some((name, field)) => [section, name, field].map(str::to_owned).to_vec(),
        None => [section, rest].map(str::to_owned).to_vec(),
    }
}

/// Whether a dotted path names one value of the record. Names may hold points themselves
/// (`joints.w12 at fridge.+`), so every cut is tried.
fn is_one_value(entries: &[Entry<'_>], path: &str) -> bool {
    entries.iter().any(|entry| {
        let Some(rest) = path.strip_prefix(entry.key.text) else { return false };
        match (rest.strip_prefix('.'), entry.value.entries()) {
            (Some(rest), Some(inner)) => is_one_value(&inner, rest),
            (None, None) => rest.is_empty() && entry.value.items().is_none(),
            _ => false,
        }
    })
}
