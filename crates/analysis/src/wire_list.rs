//! The wire list.

use model::{Core, Fact, Landing, Place, WireEnd, WireId};
use units::{Ampere, Volt};

use crate::case::{Case, points};
use crate::view::WireRow;

impl Case {
    /// Every wire with its facts and its largest current.
    pub fn wire_list(&self) -> Vec<WireRow> {
        self.vehicle().wires.ids().map(|id| self.wire_row(id)).collect()
    }

    pub(crate) fn wire_row(&self, id: WireId) -> WireRow {
        let wire = &self.vehicle().wires[id];
        let (most_current, mut drop) = self.largest_current(id);
        // A stand-in of the sums is no less assumed than what the record assumes.
        let is_known = wire.area.evidence().is_some() && wire.length.evidence().is_some();
        if !drop.is_empty() && !is_known {
            drop.push_str(" (assumed)");
        }
        WireRow {
            name: wire.name.clone(),
            from: self.landing(id, WireEnd::From),
            to: self.landing(id, WireEnd::To),
            size: with_origin(&wire.area, &wire.size_words),
            length: match wire.length.value() {
                Some(length) => with_origin(&wire.length, &length.to_string()),
                None => "unknown".to_owned(),
            },
            make: self.make(id),
            most_current,
            drop,
            behind: wire
                .runs_behind
                .map_or_else(String::new, |part| self.vehicle().parts[part].name.clone()),
            line: self.place_view(Place::Wire(id)).line,
        }
    }

    pub(crate) fn landing(&self, id: WireId, end: WireEnd) -> String {
        match self.vehicle().wires[id].end(end).landing {
            Landing::At(terminal) => self.vehicle().terminal_name(terminal),
            Landing::Behind(part) => format!("behind {}", self.vehicle().parts[part].name),
            Landing::Unknown => "unknown".to_owned(),
        }
    }

    fn make(&self, id: WireId) -> String {
        let wire = &self.vehicle().wires[id];
        let mut pieces = Vec::new();
        if let Some(core) = wire.core.value() {
            pieces.push(match core {
                Core::Solid => "solid".to_owned(),
                Core::Stranded => "stranded".to_owned(),
                Core::Fine => "fine".to_owned(),
            });
        }
        pieces.extend(wire.insulation.value().map(ToString::to_string));
        pieces.extend(wire.colour.clone());
        pieces.join(", ")
    }

    fn largest_current(&self, id: WireId) -> (String, String) {
        let mut worst: Option<(f64, f64, &str)> = None;
        for (_, state, network, outcome) in self.states() {
            let Some(branch) = network.wire_branch(id) else { continue };
            for point in points(outcome) {
                let ampere = point.current(branch).abs();
                if worst.is_none_or(|(most, ..)| ampere > most) {
                    let drop = (point.power(branch) / ampere.max(1e-12)).abs();
                    worst = Some((ampere, drop, &state.name));
                }
            }
        }
        match worst {
            None => ("not computed".to_owned(), String::new()),
            Some((ampere, ..)) if ampere < 1e-3 => ("none".to_owned(), String::new()),
            Some((ampere, drop, state)) => {
                (format!("{} ({state})", Ampere::from_si(ampere)), Volt::from_si(drop).to_string())
            }
        }
    }
}

/// The value, marked when it was only told or assumed.
pub(crate) fn with_origin<T>(fact: &Fact<T>, words: &str) -> String {
    match fact.origin() {
        None => "unknown".to_owned(),
        Some(model::Origin::Seen { .. } | model::Origin::Measured { .. }) => words.to_owned(),
        Some(origin) => format!("{words} ({})", origin.word()),
    }
}
