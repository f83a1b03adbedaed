//! One fixing of a way a thing is held, along its axis and across it: which law applies, what may be relied
//! on, what it never exceeds, and what is missing. Knows no direction of the vehicle.

use catalog::RestraintFigures;
use model::{BoardSide, Fact, FixingSort, HeldBy, HeldWay};

use crate::strength::{Figure, Footing, Mode, Strength};
use crate::{metal, wood};

/// By how much what was tested may exceed an average: two standard deviations of 25 %. The scatter of
/// 15 to 25 % is from memory; it only counts in the thing's favour.
pub(crate) const SCATTER_CEILING: f64 = 1.5;

/// What a group of fixings carries along its axis (pulled out) and across it.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Group {
    pub(crate) along: Strength,
    pub(crate) across: Strength,
    pub(crate) sort: GroupSort,
}

/// Which rule joins pull along and across.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum GroupSort {
    /// Screws in wood.
    Wood,
    /// Screws or bolts in sheet.
    Sheet,
    /// No rule: whichever is weaker.
    #[default]
    None,
}

/// What is needed of a way and one of its fixings.
pub(crate) struct Fastener<'a> {
    pub(crate) held: &'a HeldBy,
    pub(crate) way: &'a HeldWay,
    pub(crate) figures: &'a RestraintFigures,
    pub(crate) material: &'a str,
}

impl Fastener<'_> {
    /// The number of a fact, whatever its origin: for limits in the thing's favour.
    pub(crate) fn said(fact: &Fact<f64>) -> Option<f64> {
        fact.value().copied()
    }

    /// The number of a fact that is evidence: for what may be relied on.
    pub(crate) fn sure(fact: &Fact<f64>) -> Option<f64> {
        fact.evidence().copied()
    }

    /// Thickness of what it goes into, if anything is known of it.
    pub(crate) fn thick_mm(&self) -> Option<f64> {
        Self::said(&self.way.into.as_ref()?.thick_mm)
    }

    pub(crate) fn is_in_edge(&self) -> bool {
        self.way.into.as_ref().is_some_and(|into| into.side == BoardSide::Edge)
    }
}

/// What the fixings carry together; none for a sort that has no strength of its own here.
pub(crate) fn group(held: &HeldBy, way: &HeldWay, figures: &RestraintFigures) -> Group {
    let material = way.into.as_ref().and_then(|into| into.material.value());
    let Some(material) = material else {
        return both(Strength::unknown("what they go into, and how thick it is"));
    };
    let fastener = Fastener { held, way, figures, material };
    let in_wood = figures.wood.contains_key(material);
    let in_metal = figures.metal.contains_key(material);
    let each = match held.sort {
        FixingSort::WoodScrew | FixingSort::LagScrew | FixingSort::TappingScrew if in_wood => {
            wood::screw(&fastener)
        }
        FixingSort::WoodScrew | FixingSort::TappingScrew if in_metal => metal::screw(&fastener),
        FixingSort::Bolt if in_metal => metal::bolt_in_sheet(&fastener),
        FixingSort::Bolt => metal::bolt_in(&fastener),
        _ if !in_wood && !in_metal => both(Strength::unknown(format!(
            "what `{material}` is where they go in: rib, frame or sheet, how thick, how strong"
        ))),
        _ => {
            both(Strength::unknown("the strength of these fixings, from their maker or by pulling"))
        }
    };
    each.times(held)
}

/// The same along and across.
pub(crate) fn both(strength: Strength) -> Group {
    Group { along: strength.clone(), across: strength, sort: GroupSort::None }
}

impl Group {
    /// So many alike; without a count nothing is known.
    fn times(self, held: &HeldBy) -> Group {
        let Some(count) = Fastener::said(&held.count) else {
            return both(Strength::unknown("how many there are"));
        };
        let firm = held.count.evidence().is_some();
        let all = |strength: Strength| strength.scaled(count, firm);
        Group { along: all(self.along), across: all(self.across), sort: self.sort }
    }
}

impl Strength {
    fn scaled(mut self, count: f64, firm: bool) -> Strength {
        let figures = [&mut self.working, &mut self.breaks_from, &mut self.at_most];
        for figure in figures.into_iter().flatten() {
            figure.n *= count;
            if !firm {
                figure.footing = Footing::Recalled;
            }
        }
        self
    }
}

/// A figure of one fixing.
pub(crate) fn figure(n: f64, mode: Mode, basis: &str, footing: Footing) -> Figure {
    Figure { n, mode, basis: basis.to_owned(), footing }
}
