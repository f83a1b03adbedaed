//! Photos beside the record: `{ file = "photos/lug.jpg", of = "w3 at house.+", arrow = "62 %, 40 %" }`.
//! Knows the words about a picture, never the picture.

use std::collections::BTreeMap;

use diag::Diagnostic;
use model::{Photo, Place};
use units::Dimension;

use crate::fields;
use crate::limits::MAX_NAME;
use crate::names;
use crate::reader::Reader;
use crate::text::Words;
use crate::tree::{Entry, Value};

/// Longest path of a photo.
const MAX_PATH: usize = 4 * MAX_NAME;

impl Reader<'_> {
    pub(crate) fn photos(&mut self, lines: &[Entry<'_>]) {
        for line in lines {
            let Some(name) = self.name(&line.key) else { continue };
            let Some(table) = self.table(&line.value, &fields::photo(), "a photo") else {
                continue;
            };
            let photo = self.photo(name, &table, line.key);
            self.vehicle.photos.extend(photo);
        }
    }

    fn photo(
        &mut self,
        name: &str,
        table: &BTreeMap<&'static str, Value<'_>>,
        key: Words<'_>,
    ) -> Option<Photo> {
        let Some(file) = table.get("file") else {
            let fault = Diagnostic::error("photo-file", "a photo wants its file", key.span());
            self.report(fault.help("write `file = \"photos/lug.jpg\"`, a file beside the record"));
            return None;
        };
        let file = self.text_of(file)?;
        if !is_beside(file.text) {
            self.report(
                Diagnostic::error(
                    "photo-file",
                    format!("`{}` does not lie beside the record", names::shown(file.text)),
                    file.span(),
                )
                .help("copy it into the folder of the record and write its path from there: `photos/lug.jpg`"),
            );
            return None;
        }
        let mut text = |key: &str| table.get(key).and_then(|value| self.text_of(value));
        let (of, arrow, words, seen) = (text("of"), text("arrow"), text("words"), text("seen"));
        let origin = match seen {
            Some(words) => self.seen_by(words),
            None => self.bare.clone(),
        };
        Some(Photo {
            name: name.to_owned(),
            file: file.text.to_owned(),
            of: of.and_then(|words| self.place_named(words)),
            arrow: arrow.and_then(|words| self.arrow(words)),
            words: words.map_or_else(String::new, |words| words.text.to_owned()),
            origin,
        })
    }

    /// `62 %, 40 %`: from the left, from the top.
    fn arrow(&mut self, words: Words<'_>) -> Option<(f64, f64)> {
        let Some((left, top)) = words.split_once(",") else {
            let fault =
                Diagnostic::error("photo-arrow", "an arrow points at two numbers", words.span());
            self.report(fault.help("write `62 %, 40 %`: from the left, then from the top"));
            return None;
        };
        let left = self.share(left)?;
        let top = self.share(top)?;
        Some((left, top))
    }

    fn share(&mut self, words: Words<'_>) -> Option<f64> {
        let share = self.number(words, Dimension::Fraction)?;
        if !(0.0..=1.0).contains(&share) {
            let message = format!("`{}` lies outside the picture", names::shown(words.text));
            let fault = Diagnostic::error("photo-arrow", message, words.span());
            self.report(fault.help("write a share from `0 %` to `100 %`"));
            return None;
        }
        Some(share)
    }

    /// Anything that has a place: a joint, a device, a terminal, a wire, a part or a spot.
    pub(crate) fn place_named(&mut self, words: Words<'_>) -> Option<Place> {
        if let Some((wire, at)) = words.split_once(" at ") {
            return self.joint_shown(wire, at, words);
        }
        if let Some(id) = self.index.devices.get(words.text) {
            return Some(Place::Device(*id));
        }
        if let Some(id) = self.index.parts.get(words.text) {
            return Some(Place::Part(*id));
        }
        let bare = words.strip_word("wire").unwrap_or(words);
        if let Some(first) = self.index.wires.get(bare.text).and_then(|ids| ids.first()) {
            return Some(Place::Wire(*first));
        }
        if let Some((id, _)) = self.vehicle.spots.find(|spot| spot.name == words.text) {
            return Some(Place::Spot(id));
        }
        if words.text.contains('.') {
            return self.terminal_named(words).map(Place::Terminal);
        }
        let message = format!("nothing here is called `{}`", names::shown(words.text));
        let fault = Diagnostic::error("unknown-place", message, words.span());
        let index = &self.index;
        let devices = index.devices.keys();
        let known: Vec<String> =
            devices.chain(index.parts.keys()).chain(index.wires.keys()).cloned().collect();
        let help = "name a device, terminal, wire, part or spot, or a joint: `w3 at house.+`";
        self.faults.suggest(fault, words.text, known.iter().map(String::as_str), help);
        None
    }

    fn joint_shown(&mut self, wire: Words<'_>, at: Words<'_>, all: Words<'_>) -> Option<Place> {
        let wires = self.wires_named(wire);
        let terminal = self.terminal_named(at)?;
        let found = self
            .vehicle
            .wires_at(terminal)
            .find(|(id, _)| wires.contains(id))
            .map(|(id, end)| Place::Joint(self.vehicle.wires[id].end(end).joint));
        if found.is_none() && !wires.is_empty() {
            let message = format!("the wire `{}` does not land on `{}`", wire.text, at.text);
            let fault = Diagnostic::error("joint-name", message, all.span());
            self.report(fault.help("look where the wire line says it goes"));
        }
        found
    }
}

/// A plain path downwards from the folder of the record, as every system reads it.
fn is_beside(path: &str) -> bool {
    let part = |part: &str| !part.is_empty() && part != "." && part != ".." && !part.ends_with('.');
    let plain =
        |c: char| !c.is_control() && !matches!(c, '\\' | ':' | '*' | '?' | '"' | '<' | '>' | '|');
    !path.is_empty()
        && path.len() <= MAX_PATH
        && path.chars().all(plain)
        && path.split('/').all(part)
}
