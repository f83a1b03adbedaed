//! What a wire stands: a current for good, by the published table, and a larger one for a time, by
//! the heat it takes.

use catalog::{Catalog, NoRow, Question, VoltageBand};
use model::{Missing, Place, Vehicle, Wire, WireId};
use units::{Ampere, Celsius, Second, SquareMillimetre};

use crate::SLACK;

/// A wire as far as its facts go.
#[derive(Clone, Debug)]
pub(crate) struct Stands {
    area: Option<SquareMillimetre>,
    insulation: Option<Celsius>,
    limit: Option<Celsius>,
    /// Lowest and highest current it carries for good, A.
    pub(crate) allowed_a: Option<(f64, f64)>,
    /// What is missing before anything may pass.
    pub(crate) missing: Vec<Missing>,
}

/// The heat a wire stands in a short circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Withstand {
    /// Size of its conductor.
    pub area: SquareMillimetre,
    /// What it starts from: the rating of its insulation, or what is taken where nobody knows it.
    pub from: Celsius,
    /// The limit of its insulation in a short circuit.
    pub to: Celsius,
    /// `I²t`, A²s.
    pub a2s: f64,
    /// The longest time for which all of the heat stays in the conductor.
    pub adiabatic_to: Second,
}

/// The heat a wire stands from full load to the limit of its insulation for a short circuit, as in the
/// verdicts ([`heat::adiabatic::withstand_a2s`]); `None` without a size, or with an insulation that has
/// no limit in the catalog.
pub fn withstand(vehicle: &Vehicle, catalog: &Catalog, wire: WireId) -> Option<Withstand> {
    let stands = Stands::of(vehicle, catalog, wire);
    let (area, from, to) = (stands.area?, stands.insulation?, stands.limit?);
    let a2s = heat::adiabatic::withstand_a2s(area, from, to)?;
    Some(Withstand { area, from, to, a2s, adiabatic_to: heat::adiabatic::LONGEST })
}

impl Stands {
    pub(crate) fn of(vehicle: &Vehicle, catalog: &Catalog, id: WireId) -> Stands {
        let wire = &vehicle.wires[id];
        let area = wire.area.value().copied();
        let insulation = wire.insulation.value().copied();
        let place = Place::Wire(id);
        let mut missing = Vec::new();
        if wire.area.evidence().is_none() {
            missing.push(Missing {
                what: "read the size off the wire, or measure it".to_owned(),
                at: place,
            });
        }
        if wire.insulation.evidence().is_none() {
            missing.push(Missing {
                what: "read the temperature rating off the insulation".to_owned(),
                at: place,
            });
        }
        // Where the rating is not known the sums take the one that stands least.
        let taken = insulation.unwrap_or(catalog.fault_spread.warm);
        let allowed_a = area.and_then(|area| allowed(vehicle, catalog, wire, area));
        Stands {
            area,
            insulation: Some(taken),
            limit: catalog.fault_spread.short_limit(taken),
            allowed_a,
            missing,
        }
    }

    /// How long the wire stands a current, from full load to the limit of its insulation for a short
    /// circuit; `None` when that is not known.
    ///
    /// Symbols: `I` current, A; `S` area, mm²; `Ti` rated insulation temperature, as if it had just
    /// carried its full load; `Tf` limit for a short circuit, from the catalog. Equation:
    /// `t = k² S² / I²` ([`heat::adiabatic::longest_time`]). Source: IEC 60364-5-54 annex A. Beyond
    /// 5 s the wire gives off heat as well and stands longer: the figure is on the strict side.
    /// Checked by `tests::the_wire_stands_the_worked_examples`.
    pub(crate) fn time(&self, ampere_a: f64) -> Option<Second> {
        let (area, from, to) = (self.area?, self.insulation?, self.limit?);
        heat::adiabatic::longest_time(area, Ampere::from_si(ampere_a), from, to)
    }

    /// Whether it carries a current for good whatever the insulation is.
    pub(crate) fn carries(&self, ampere_a: f64) -> bool {
        self.allowed_a.is_some_and(|(low_a, _)| ampere_a <= low_a * (1.0 + SLACK))
    }
}

/// Lowest and highest current a wire may carry for good by the published tables, with the corrections
/// its recorded bundle and space ask for; where the insulation is not known, over all of it.
fn allowed(
    vehicle: &Vehicle,
    catalog: &Catalog,
    wire: &Wire,
    area: SquareMillimetre,
) -> Option<(f64, f64)> {
    let tables = &catalog.ampacity;
    let at = |insulation: Celsius| {
        let band = VoltageBand::UnderFifty;
        let question = Question::of_wire(wire, area, insulation, band, vehicle.region);
        match tables.allowable_current(&question) {
            Ok(allowed) => Some(allowed.ampere.si()),
            Err(NoRow::TooWarm) => Some(0.0),
            Err(NoRow::Thinner(_) | NoRow::Thicker | NoRow::NotPrinted) => None,
        }
    };
    let printed = match wire.insulation.value() {
        Some(insulation) => at(*insulation).map(|ampere_a| (ampere_a, ampere_a)),
        None => {
            let (lowest, highest) = tables.insulation_range();
            at(lowest).zip(at(highest))
        }
    };
    printed.or_else(|| tables.ceiling_below_table(area).map(|most| (0.0, most.si())))
}
