//! Symptoms, readings and proposed mends.

use diag::Diagnostic;
use model::{Mend, Reading, ReadingPoints, Symptom};
use units::Dimension;

use crate::fact_text::split_spread;
use crate::fields;
use crate::reader::{Reader, quantity_fault};
use crate::text::Words;
use crate::tree::Entry;

impl Reader<'_> {
    pub(crate) fn symptoms(&mut self, lines: &[Entry<'_>]) {
        for line in lines {
            if line.value.entries().is_none() {
                if let Some(words) = self.text_of(&line.value) {
                    let words = words.text.to_owned();
                    self.vehicle.symptoms.push(Symptom { words, device: None, state: None });
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
            self.vehicle.symptoms.push(Symptom { words, device, state });
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

    /// `night: 10.7 V ± 0.1 V between fridge.+ and fridge.-, multimeter, RK`, or
    /// `night: 4.9 A in w12, clamp`.
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
        let (body, note) = match rest.split_once(",") {
            Some((body, note)) => (body, note.text.to_owned()),
            None => (rest, String::new()),
        };
        let (value, points) = if let Some((value, points)) = body.split_once(" between ") {
            let (red, black) = points.split_once(" and ").or_else(|| {
                self.report(
                    Diagnostic::error(
                        "reading-line",
                        "a voltage is read between two terminals",
                        points.span(),
                    )
                    .help("write `between fridge.+ and fridge.-`, the red probe first"),
                );
                None
            })?;
            (value, ReadingPoints::Between(self.terminal_named(red)?, self.terminal_named(black)?))
        } else if let Some((value, wire)) = body.split_once(" in ") {
            (value, ReadingPoints::In(*self.wires_named(wire).first()?))
        } else {
            self.report(
                Diagnostic::error("reading-line", "say where it was read", body.span())
                    .help("write `10.7 V between fridge.+ and fridge.-`, or `4.9 A in w12`"),
            );
            return None;
        };
        let (value, spread) = split_spread(value);
        let (number, dimension) = self.measured(value, points)?;
        let spread = spread.and_then(|words| self.number(words, dimension));
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

    /// The value of a reading, in the dimension its points ask for.
    fn measured(&mut self, words: Words<'_>, points: ReadingPoints) -> Option<(f64, Dimension)> {
        let dimension = match points {
            ReadingPoints::Between(..) => Dimension::Voltage,
            ReadingPoints::In(_) => Dimension::Current,
        };
        match units::parse(words.text, dimension) {
            Ok(number) => Some((number, dimension)),
            Err(error) => {
                self.report(quantity_fault(words, &error));
                None
            }
        }
    }

    pub(crate) fn mends(&mut self, lines: &[Entry<'_>]) {
        for line in lines {
            let Some(name) = self.name(&line.key) else { continue };
            let Some(table) = self.table(&line.value, &fields::mend(), "a mend") else { continue };
            let words = table.get("words").and_then(|value| self.text_of(value));
            let mut sets = Vec::new();
            for entry in table.get("sets").and_then(|value| value.entries()).unwrap_or_default() {
                if let Some(value) = self.text_of(&entry.value) {
                    sets.push((entry.key.text.to_owned(), value.text.to_owned()));
                }
            }
            let words = words.map_or_else(String::new, |words| words.text.to_owned());
            self.vehicle.mends.push(Mend { name: name.to_owned(), words, sets });
        }
    }
}
