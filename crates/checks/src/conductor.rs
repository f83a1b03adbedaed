//! What a wire may carry, as far as its facts tell.

use model::{Place, Vehicle, WireId};
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

/// The allowable current of a wire by the catalog's table.
pub(crate) fn allowable(context: &Context<'_>, id: WireId) -> Allowable {
    let wire = &context.vehicle.wires[id];
    let table = &context.catalog.ampacity;
    let Some(area) = wire.area.value().copied() else {
        return Allowable::Unknown(vec![missing(
            "read the size off the wire, or measure it",
            Place::Wire(id),
        )]);
    };
    let outside = || {
        if let Some(high) = table.ceiling_below_table(area) {
            return Allowable::Between { low: Ampere::from_si(0.0), high };
        }
        Allowable::Unknown(vec![missing(
            "find the allowable current of this size; it is outside the table",
            Place::Wire(id),
        )])
    };
    let Some(insulation) = wire.insulation.value().copied() else {
        let (lowest, highest) = table.insulation_range();
        return match (table.allowable(area, lowest), table.allowable(area, highest)) {
            (Some(low), Some(high)) => Allowable::Between { low, high },
            _ => outside(),
        };
    };
    match table.allowable(area, insulation) {
        Some(allowed) => Allowable::Known {
            allowed,
            firm: !wire.area.is_assumed() && !wire.insulation.is_assumed(),
            words: in_words(context.vehicle, id, allowed, insulation),
        },
        None => outside(),
    }
}

fn in_words(vehicle: &Vehicle, id: WireId, allowed: Ampere, insulation: Celsius) -> String {
    let wire = &vehicle.wires[id];
    format!("{} with {insulation} insulation may carry {allowed}", wire.size_words)
}
