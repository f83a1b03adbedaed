//! What a wire may carry, as far as its facts tell: the published table with the corrections that
//! its recorded bundle and space ask for. A bundle nobody recorded is not counted here.

use catalog::{Allowed, NoRow, Question, VoltageBand};
use model::{Place, WireId};
use units::{Ampere, Celsius};

use crate::context::Context;
use crate::outcome::missing;

/// Allowable current of a wire.
pub(crate) enum Allowable {
    /// Known from its size and insulation rating; `firm` when neither is an assumption.
    Known { allowed: Ampere, firm: bool, words: String },
    /// Insulation rating not known: from the lowest to the highest column of the table.
    Between { low: Ampere, high: Ampere },
    /// Nothing can be said.
    Unknown(Vec<model::Missing>),
}

/// The allowable current of a wire of the direct-current side by the catalog's tables.
pub(crate) fn allowable(context: &Context<'_>, id: WireId) -> Allowable {
    allowable_in(context, id, VoltageBand::UnderFifty)
}

/// The allowable current of a wire by the catalog's tables for a voltage.
pub(crate) fn allowable_in(context: &Context<'_>, id: WireId, band: VoltageBand) -> Allowable {
    let wire = &context.vehicle.wires[id];
    let tables = &context.catalog.ampacity;
    let Some(area) = wire.area.value().copied() else {
        return Allowable::Unknown(vec![missing(
            "read the size off the wire, or measure it",
            Place::Wire(id),
        )]);
    };
    let ask = |insulation| {
        let region = context.vehicle.region;
        let question = Question::of_wire(wire, area, insulation, band, region);
        tables.allowable_current(&question)
    };
    let outside = || {
        if let Some(high) = tables.ceiling_below_table(area) {
            return Allowable::Between { low: Ampere::from_si(0.0), high };
        }
        Allowable::Unknown(vec![missing(
            "find the allowable current of this size; it is outside the table",
            Place::Wire(id),
        )])
    };
    let Some(insulation) = wire.insulation.value().copied() else {
        let (lowest, highest) = tables.insulation_range();
        return match (ask(lowest), ask(highest)) {
            (Ok(low), Ok(high)) => Allowable::Between { low: low.ampere, high: high.ampere },
            _ => outside(),
        };
    };
    match ask(insulation) {
        Ok(allowed) => Allowable::Known {
            firm: !wire.area.is_assumed() && !wire.insulation.is_assumed(),
            words: in_words(&wire.size_words, &allowed, insulation),
            allowed: allowed.ampere,
        },
        Err(NoRow::TooWarm) => Allowable::Known {
            firm: !wire.area.is_assumed() && !wire.insulation.is_assumed(),
            words: format!("{insulation} insulation may carry nothing where it runs"),
            allowed: Ampere::from_si(0.0),
        },
        Err(NoRow::Thinner(_) | NoRow::Thicker | NoRow::NotPrinted) => outside(),
    }
}

fn in_words(size: &str, allowed: &Allowed, insulation: Celsius) -> String {
    let mut words = format!("{size} with {insulation} insulation may carry {}", allowed.ampere);
    for correction in &allowed.corrections {
        words.push_str(&format!("; {}", correction.words));
    }
    words
}
