//! From a vehicle's parts to the planner's question, and back. Part numbers are the same on both
//! sides; removals come in the vehicle's order, followed by one free removal for each position a part
//! can be moved to: what is out altogether is also out of that place.
//!
//! Tools, positions, a second person and a mess to clean up are setups, paid for once. A step for two
//! people counts the minutes of both.

use std::collections::BTreeMap;

use catalog::{Catalog, OnceRow};
use model::{
    Arena, HeadAccess, Id, Part as VehiclePart, PartId, Reach, RemovalId, Vehicle, WorkPosition,
};

use crate::{
    Breakage, Costing, Damage, NoPlan, Part, PartIdx, Permitted, Plan, Presence, Problem, Removal,
    RemovalIdx, Setup, SetupIdx, Spread, Standing, Target, plan,
};

/// From this likelihood of breaking on, a removal counts as destroying the part. Common practice,
/// no source.
pub const COUNTS_AS_DESTROYED: f64 = 0.5;

/// What a setup stands for.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SetupKind {
    /// A tool to be fetched.
    Tool(String),
    /// A tool that only putting back takes.
    ToolForBack(String),
    /// A position to be taken.
    Position(WorkPosition),
    /// A second person to be called.
    SecondPerson,
    /// A mess to be cleaned up.
    Mess(String),
    /// A tool nobody has: it would have to get to the heads of these fixings.
    ForHeads(String),
}

/// The vehicle's parts as the planner's question.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Question {
    /// The question.
    pub problem: Problem,
    /// What each setup of the problem stands for.
    pub setups: Vec<SetupKind>,
}

/// The parts and removals of a vehicle as the planner's question.
pub fn problem(vehicle: &Vehicle, catalog: &Catalog) -> Question {
    let mut setups = Setups { catalog, there: vehicle.tools.as_deref(), all: BTreeMap::new() };
    let broken_part = catalog.stand_ins.broken_part.cents().unsigned_abs();
    let mut removals: Vec<Removal> = vehicle
        .removals
        .iter()
        .map(|(_, removal)| one_removal(removal, broken_part, setups.of(vehicle, removal)))
        .collect();
    removals.extend(vehicle.parts.iter().filter_map(|(id, part)| Some(free(id, part.moved?))));
    let mut listed: Vec<(SetupIdx, SetupKind, Setup)> =
        setups.all.into_iter().map(|(kind, (index, setup))| (index, kind, setup)).collect();
    listed.sort_by_key(|(index, _, _)| *index);
    let (kinds, setups) = listed.into_iter().map(|(_, kind, setup)| (kind, setup)).unzip();
    Question { problem: Problem { parts: parts(&vehicle.parts), removals, setups }, setups: kinds }
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
    plan(problem, &[target(name, reach)], costing)
}

/// A thing that any of the sets of parts in `reach` hides.
pub fn target(name: &str, reach: &Reach) -> Target {
    let ways = reach.iter().map(|set| set.iter().map(|part| index(*part)).collect()).collect();
    Target { name: name.to_owned(), ways }
}

/// The vehicle's part of a planner's part.
pub fn part_id(part: PartIdx) -> PartId {
    PartId::from_index(part.0)
}

/// The vehicle's removal of a planner's removal; `None` for a position that comes free because its
/// part is out.
pub fn removal_id(vehicle: &Vehicle, removal: RemovalIdx) -> Option<RemovalId> {
    (removal.0 < vehicle.removals.len()).then(|| RemovalId::from_index(removal.0))
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

/// Setups as they come up, each once.
struct Setups<'c> {
    catalog: &'c Catalog,
    /// Tools that are there; `None`: all.
    there: Option<&'c [String]>,
    all: BTreeMap<SetupKind, (SetupIdx, Setup)>,
}

impl Setups<'_> {
    /// Everything a removal takes.
    fn of(&mut self, vehicle: &Vehicle, removal: &model::Removal) -> Vec<SetupIdx> {
        let mut wanted = Vec::new();
        for tool in self.catalog.tools_out(removal) {
            let standing = if self.there.is_some_and(|there| !there.contains(&tool)) {
                Standing::Missing
            } else {
                Standing::ToDo
            };
            let row = self.catalog.work.tool(&tool);
            let (out, back) = row.map_or((0.0, 0.0), |row| (row.out, row.back));
            let setup = setup(tool.clone(), around(out), around(back), standing);
            wanted.push(self.add(SetupKind::Tool(tool), setup));
        }
        for tool in self.catalog.tools_back(removal) {
            let both = self.catalog.work.tool(&tool).map_or(0.0, |row| row.out + row.back);
            let setup = setup(tool.clone(), around(0.0), around(both), Standing::ToDo);
            wanted.push(self.add(SetupKind::ToolForBack(tool), setup));
        }
        if let Some(position) = removal.position.value() {
            let row = self.catalog.work.position(*position);
            let setup = once(position.word(), row);
            wanted.push(self.add(SetupKind::Position(*position), setup));
        }
        if removal.second_person.value() == Some(&true) {
            let setup = once("second person", self.catalog.work.second_person());
            wanted.push(self.add(SetupKind::SecondPerson, setup));
        }
        wanted.extend(removal.mess.as_ref().map(|mess| self.mess(mess)));
        wanted.extend(self.heads(vehicle, removal));
        wanted
    }

    fn mess(&mut self, mess: &model::Mess) -> SetupIdx {
        let back = mess.cleaning.map_or(around(0.0), spread);
        let setup = setup(mess.what.clone(), around(0.0), back, Standing::ToDo);
        let kind = SetupKind::Mess(mess.what.clone());
        let index = self.add(kind.clone(), setup);
        // Two ways that make the same mess may say different minutes: the longer one is cleaned up.
        if let Some((_, known)) = self.all.get_mut(&kind)
            && known.minutes_back.likely_min < back.likely_min
        {
            known.minutes_back = back;
        }
        index
    }

    fn heads(&mut self, vehicle: &Vehicle, removal: &model::Removal) -> Option<SetupIdx> {
        let unreachable =
            |fixing: &&model::Fixing| fixing.head.value() == Some(&HeadAccess::Unreachable);
        let fixing = removal.fixings.iter().find(unreachable)?;
        let part = &vehicle.parts[removal.part].label;
        let name = format!("a tool that gets to {} of {part}", fixing.words());
        let setup = setup(name.clone(), around(0.0), around(0.0), Standing::Missing);
        Some(self.add(SetupKind::ForHeads(name), setup))
    }

    fn add(&mut self, kind: SetupKind, setup: Setup) -> SetupIdx {
        let next = SetupIdx(self.all.len());
        self.all.entry(kind).or_insert((next, setup)).0
    }
}

fn once(name: &str, row: &OnceRow) -> Setup {
    setup(name.to_owned(), around(row.out), around(row.back), Standing::ToDo)
}

fn setup(name: String, minutes_out: Spread, minutes_back: Spread, standing: Standing) -> Setup {
    Setup { name, minutes_out, minutes_back, standing }
}

fn around(likely_min: f64) -> Spread {
    spread(catalog::around(likely_min))
}

fn parts(parts: &Arena<PartId, VehiclePart>) -> Vec<Part> {
    let is_out = |part: &VehiclePart| part.is_out || part.moved.is_some_and(|p| parts[p].is_out);
    parts
        .iter()
        .map(|(_, part)| Part {
            name: part.label.clone(),
            presence: if is_out(part) { Presence::Out } else { Presence::Fitted },
        })
        .collect()
}

fn one_removal(removal: &model::Removal, broken_part: u64, setups: Vec<SetupIdx>) -> Removal {
    let likely_to_break = removal.breaks.si() >= COUNTS_AS_DESTROYED;
    let hands = if removal.second_person.value() == Some(&true) { 2.0 } else { 1.0 };
    let price = removal.price.map_or(broken_part, |price| price.cents().unsigned_abs());
    Removal {
        part: index(removal.part),
        label: removal.label.clone(),
        needs: removal.needs.iter().map(|part| index(*part)).collect(),
        setups,
        minutes_out: times(hands, removal.out),
        minutes_back: times(hands, removal.back),
        breakage: (removal.damage != model::Damage::None)
            .then(|| Breakage { probability: removal.breaks.si(), cost_minor: price }),
        damage: match removal.damage {
            model::Damage::None => Damage::None,
            model::Damage::MayBreak if !likely_to_break => Damage::MayBreak,
            model::Damage::MayBreak | model::Damage::Destroys => Damage::Destroys,
        },
    }
}

/// What is out altogether is also out of the place it can be moved from.
fn free(position: PartId, whole: PartId) -> Removal {
    Removal {
        part: index(position),
        label: "is out".to_owned(),
        needs: vec![index(whole)],
        setups: Vec::new(),
        minutes_out: around(0.0),
        minutes_back: around(0.0),
        breakage: None,
        damage: Damage::None,
    }
}

fn index(part: PartId) -> PartIdx {
    PartIdx(part.index())
}

fn spread(minutes: model::Minutes) -> Spread {
    times(1.0, minutes)
}

fn times(hands: f64, minutes: model::Minutes) -> Spread {
    Spread {
        low_min: hands * minutes.low,
        likely_min: hands * minutes.likely,
        high_min: hands * minutes.high,
    }
}
