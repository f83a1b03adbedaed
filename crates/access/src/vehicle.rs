//! From a vehicle's parts to the planner's question, and back: part and removal numbers are the
//! same on both sides.

use model::{Arena, Id, Part as VehiclePart, PartId, Reach, RemovalId, Vehicle};

use crate::{
    Breakage, Costing, Damage, NoPlan, Part, PartIdx, Permitted, Plan, Presence, Problem, Removal,
    RemovalIdx, Spread, Target, plan,
};

/// From this likelihood of breaking on, a removal counts as destroying the part. Common practice,
/// no source.
pub const COUNTS_AS_DESTROYED: f64 = 0.5;

/// The parts and removals of a vehicle as the planner's question.
pub fn problem(vehicle: &Vehicle) -> Problem {
    Problem {
        parts: parts(&vehicle.parts),
        removals: vehicle.removals.iter().map(|(_, removal)| one_removal(removal)).collect(),
        setups: Vec::new(),
    }
}

/// The cheapest way to one thing that any of the sets of parts in `reach` hides.
///
/// # Errors
/// When there is no way, or the vehicle's parts contradict themselves.
pub fn way_in(
    problem: &Problem,
    name: &str,
    reach: &Reach,
    costing: &Costing,
) -> Result<Plan, NoPlan> {
    let ways = reach.iter().map(|set| set.iter().map(|part| index(*part)).collect()).collect();
    plan(problem, &[Target { name: name.to_owned(), ways }], costing)
}

/// The vehicle's part of a planner's part.
pub fn part_id(part: PartIdx) -> PartId {
    PartId::from_index(part.0)
}

/// The vehicle's removal of a planner's removal.
pub fn removal_id(removal: RemovalIdx) -> RemovalId {
    RemovalId::from_index(removal.0)
}

/// Weighs minutes and breakage by the price of a workshop hour.
pub fn costing(hour_cents: i64, broken_part_cents: i64, allow: Permitted) -> Costing {
    const MINUTES_PER_HOUR: f64 = 60.0;
    Costing {
        value_of_a_minute: hour_cents as f64 / MINUTES_PER_HOUR,
        allow,
        if_unpriced: Breakage {
            probability: COUNTS_AS_DESTROYED,
            cost_minor: broken_part_cents.unsigned_abs(),
        },
    }
}

fn parts(parts: &Arena<PartId, VehiclePart>) -> Vec<Part> {
    parts
        .iter()
        .map(|(_, part)| Part {
            name: part.label.clone(),
            presence: if part.is_out { Presence::Out } else { Presence::Fitted },
        })
        .collect()
}

fn one_removal(removal: &model::Removal) -> Removal {
    let likely_to_break = removal.breaks.si() >= COUNTS_AS_DESTROYED;
    Removal {
        part: index(removal.part),
        label: removal.label.clone(),
        needs: removal.needs.iter().map(|part| index(*part)).collect(),
        setups: Vec::new(),
        minutes_out: spread(removal.out),
        minutes_back: spread(removal.back),
        breakage: removal.price.map(|price| Breakage {
            probability: removal.breaks.si(),
            cost_minor: price.cents().unsigned_abs(),
        }),
        damage: match removal.damage {
            model::Damage::None => Damage::None,
            model::Damage::MayBreak if !likely_to_break => Damage::MayBreak,
            model::Damage::MayBreak | model::Damage::Destroys => Damage::Destroys,
        },
    }
}

fn index(part: PartId) -> PartIdx {
    PartIdx(part.index())
}

fn spread(minutes: model::Minutes) -> Spread {
    Spread { low_min: minutes.low, likely_min: minutes.likely, high_min: minutes.high }
}
