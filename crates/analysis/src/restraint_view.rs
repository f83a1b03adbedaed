//! Heavy things, what a crash or hard driving pulls on them, and whether what holds them falls short.

use std::collections::BTreeSet;

use model::{Direction, FixingSort, Mounting};
use restraint::{Comparison, Criterion, FindOut, Footing, Remedy, ScrewsThere, Verdict};
use serde::Serialize;

use crate::case::Case;
use crate::heavy::{Heavy, OverturnRow};
use crate::spaces::{Space, space};

/// A heavy thing.
#[derive(Clone, Debug, PartialEq)]
pub struct RestraintRow {
    /// Its name in the record.
    pub item: String,
    /// What people call it.
    pub label: String,
    /// What it weighs, with unit and origin.
    pub mass: String,
    /// What holds it, in words; empty when not recorded.
    pub held_by: String,
    /// Where it is, if that is recorded.
    pub space: Option<Space>,
    /// Forward, rearward, left, right, up, down.
    pub sides: [RestraintSide; 6],
    /// What would decide what is open.
    pub find_out: Vec<String>,
}

/// One direction of a heavy thing.
#[derive(Clone, Debug, PartialEq)]
pub struct RestraintSide {
    /// `falls short`, `cannot tell`, `within rating` or `not judged`.
    pub verdict: String,
    /// The figures, in words.
    pub words: String,
    /// The pull, N; absent where nothing is judged.
    pub load_n: Option<f64>,
    /// The most that holds it, N; absent where that is not known.
    pub at_most_n: Option<f64>,
}

/// Loads that differ by rounding only are as hard.
const ALIKE: f64 = 1.0 - 1e-9;

/// Name and version of the form.
pub(crate) const RESTRAINT_SCHEMA: &str = "unbury.restraint/1";

/// Everything heavy against chosen criteria.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RestraintView {
    /// Name and version of this form.
    pub schema: String,
    /// The criteria, in the order asked for.
    pub criteria: Vec<CriterionView>,
    /// Heaviest first.
    pub things: Vec<HeavyThing>,
    /// Heavy furniture of which nobody wrote what holds it, heaviest first: it cannot be told, and is not
    /// held for that.
    pub not_recorded: Vec<Unrecorded>,
    /// What a pull by hand can show, and what not.
    pub hand_test: String,
    /// What this is not.
    pub caution: String,
}

/// A criterion.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CriterionView {
    /// Its name.
    pub id: String,
    /// What its source wrote it for.
    pub written_for: String,
    /// How it is used here.
    pub used_as: String,
    /// Document and clause.
    pub source: String,
    /// How well that was seen.
    pub standing: String,
    /// `breaking` or `working`: the strength it is held against.
    pub against: String,
    /// Direction and multiple of standard gravity.
    pub levels: Vec<(String, f64)>,
}

/// A heavy thing against the criteria.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HeavyThing {
    /// Its name in the record.
    pub item: String,
    /// What people call it.
    pub label: String,
    /// What it weighs, with origin; empty: not recorded.
    pub mass: String,
    /// The same as a number, kg.
    pub mass_kg: Option<f64>,
    /// What holds it, in words; empty when not recorded.
    pub held_by: String,
    /// By criterion and direction.
    pub cases: Vec<RestraintCase>,
    /// Whether it tips over, where its size is known.
    pub overturning: Vec<OverturnRow>,
    /// What would decide what is open.
    pub find_out: Vec<String>,
    /// What would carry the largest load that is not carried.
    pub remedies: Vec<String>,
    /// What a pull by hand amounts to for this mass.
    pub hand_test: String,
}

/// A heavy piece of furniture of which nobody wrote what holds it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Unrecorded {
    /// Its name in the record.
    pub item: String,
    /// What people call it.
    pub label: String,
    /// What it weighs, with origin.
    pub mass: String,
    /// The largest pull of the criteria.
    pub pulls: String,
    /// Always `cannot tell`.
    pub verdict: String,
    /// What to look at.
    pub find_out: String,
}

/// One thing, one criterion, one direction.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RestraintCase {
    /// The criterion.
    pub criterion: String,
    /// The direction.
    pub direction: String,
    /// Multiple of standard gravity.
    pub g_level: f64,
    /// The pull, N.
    pub load_n: f64,
    /// `falls short`, `cannot tell`, `within rating`; `would fall short` and `would be within` where the
    /// level itself is only recalled.
    pub verdict: String,
    /// What may be relied on, N.
    pub at_least_n: Option<f64>,
    /// The most there can be, N.
    pub at_most_n: Option<f64>,
    /// Strength over load.
    pub margin: Option<f64>,
    /// How it gives way first.
    pub governs: String,
    /// Where that figure comes from.
    pub basis: String,
}

const CAUTION: &str = "This certifies nothing. It holds figures against published levels; what is acceptable is for local rules and a qualified engineer to say. A thing that comes loose in a crash can kill.";

impl RestraintView {
    /// Something falls short of a level that was read.
    pub fn fails(&self) -> bool {
        self.things.iter().flat_map(|thing| &thing.cases).any(|case| case.verdict == "falls short")
    }
}

impl Case {
    /// Everything added to the vehicle that weighs enough for it to matter what holds it, heaviest
    /// first.
    pub fn restraint(&self) -> Vec<RestraintRow> {
        let criteria = self.usual_criteria();
        self.heavy_things().iter().map(|thing| self.restraint_row(thing, &criteria)).collect()
    }

    /// The figures behind [`Case::restraint`], what they were written for and how far they go.
    pub fn restraint_sources(&self) -> Vec<String> {
        let words = |criterion: &Criterion| {
            format!(
                "{} ({}): written for {}; {}",
                criterion.source,
                criterion.standing.words(),
                criterion.written_for,
                criterion.used_as
            )
        };
        self.usual_criteria().iter().map(words).collect()
    }

    /// Names of all criteria.
    pub fn criterion_names(&self) -> Vec<&str> {
        self.catalog.restraint.criteria.iter().map(|row| row.id.as_str()).collect()
    }

    /// Names of all devices and parts.
    pub fn names_of_things(&self) -> Vec<&str> {
        let vehicle = self.vehicle();
        let devices = vehicle.devices.iter().map(|(_, device)| device.name.as_str());
        devices.chain(vehicle.parts.iter().map(|(_, part)| part.name.as_str())).collect()
    }

    /// All criteria, driving first.
    pub fn criteria(&self) -> Vec<CriterionView> {
        Criterion::all(&self.catalog).iter().map(criterion_view).collect()
    }

    /// Heavy things against these criteria, the usual ones if none is named; only these things, if any is
    /// named.
    ///
    /// # Errors
    /// The names that are no criterion, or no device.
    pub fn restraint_against(
        &self,
        criteria: &[String],
        things: &[String],
    ) -> Result<RestraintView, NotThere> {
        let unknown: Vec<String> = criteria
            .iter()
            .filter(|id| self.catalog.restraint.criterion(id).is_none())
            .cloned()
            .collect();
        if !unknown.is_empty() {
            return Err(NotThere::Criteria(unknown));
        }
        let missing = things.iter().filter(|name| self.thing_named(name).is_none());
        let missing: Vec<String> = missing.cloned().collect();
        if !missing.is_empty() {
            return Err(NotThere::Things(missing));
        }
        let mut chosen: Vec<Criterion> =
            criteria.iter().filter_map(|id| Criterion::named(&self.catalog, id)).collect();
        if chosen.is_empty() {
            chosen = self.usual_criteria();
        }
        let heavy = self.heavy_things();
        let wanted =
            |thing: &&Heavy<'_>| things.is_empty() || things.iter().any(|t| t == thing.name);
        let mut rows: Vec<HeavyThing> =
            heavy.iter().filter(wanted).map(|thing| self.heavy_thing(thing, &chosen)).collect();
        for thing in things.iter().filter_map(|name| self.thing_named(name)) {
            if rows.iter().all(|row| row.item != thing.name) {
                rows.push(self.heavy_thing(&thing, &chosen));
            }
        }
        Ok(RestraintView {
            schema: RESTRAINT_SCHEMA.to_owned(),
            criteria: chosen.iter().map(criterion_view).collect(),
            things: rows,
            not_recorded: self.unrecorded(things, &chosen),
            hand_test: self.hand_words(),
            caution: CAUTION.to_owned(),
        })
    }

    /// The furniture that was asked for with its figures stands there, and not here.
    fn unrecorded(&self, asked: &[String], criteria: &[Criterion]) -> Vec<Unrecorded> {
        let furniture = if asked.is_empty() { self.unheld_furniture() } else { Vec::new() };
        let levels = || criteria.iter().flat_map(|criterion| &criterion.levels);
        let most = levels().max_by(|a, b| a.g_level.total_cmp(&b.g_level));
        let row = |heavy: &Heavy<'_>| {
            Unrecorded {
            item: heavy.name.to_owned(),
            label: heavy.label.to_owned(),
            mass: heavy.mass_words(),
            pulls: most
                .and_then(|most| {
                    Some((most, restraint::load_n(heavy.mass_kg?, most.g_level).ok()?))
                })
                .map_or_else(String::new, |(most, n)| {
                    format!("{}, {} {} g", newton(n), most.direction.word(), most.g_level)
                }),
            verdict: "cannot tell".to_owned(),
            find_out: "look what holds it when the vehicle brakes or is hit, and note the screws, bolts or straps"
                .to_owned(),
        }
        };
        furniture.iter().map(row).collect()
    }

    fn usual_criteria(&self) -> Vec<Criterion> {
        restraint::USUAL.iter().filter_map(|id| Criterion::named(&self.catalog, id)).collect()
    }

    fn compared(&self, thing: &Heavy<'_>, mass_kg: f64, criterion: &Criterion) -> Vec<Comparison> {
        let held = restraint::held(mass_kg, thing.mounting, &self.catalog.restraint);
        restraint::compare(&held, criterion).unwrap_or_default()
    }

    fn restraint_row(&self, thing: &Heavy<'_>, criteria: &[Criterion]) -> RestraintRow {
        let mass_kg = thing.mass_kg.unwrap_or(0.0);
        let all: Vec<Comparison> = criteria
            .iter()
            .flat_map(|criterion| self.compared(thing, mass_kg, criterion))
            .collect();
        let side = |direction: Direction| side(all.iter().find(|c| c.direction == direction));
        RestraintRow {
            item: thing.name.to_owned(),
            label: thing.label.to_owned(),
            mass: thing.mass_words(),
            held_by: thing.mounting.map_or_else(String::new, |held| held.words.clone()),
            space: thing.space.map(space),
            sides: Direction::ALL.map(side),
            find_out: find_out(&all, thing.mounting),
        }
    }

    fn heavy_thing(&self, heavy: &Heavy<'_>, criteria: &[Criterion]) -> HeavyThing {
        let mut thing = HeavyThing {
            item: heavy.name.to_owned(),
            label: heavy.label.to_owned(),
            mass: heavy.mass_words(),
            mass_kg: heavy.mass_kg,
            held_by: heavy.mounting.map_or_else(String::new, |held| held.words.clone()),
            cases: Vec::new(),
            overturning: Vec::new(),
            find_out: Vec::new(),
            remedies: Vec::new(),
            hand_test: String::new(),
        };
        let Some(mass_kg) = heavy.mass_kg else {
            thing.find_out.push("what it weighs: read it off its label, or weigh it".to_owned());
            return thing;
        };
        let mut all = Vec::new();
        for criterion in criteria {
            let compared = self.compared(heavy, mass_kg, criterion);
            thing.overturning.extend(self.overturning(heavy, criterion));
            thing.cases.extend(compared.iter().map(|one| case_view(criterion, one)));
            all.extend(compared);
        }
        thing.find_out = find_out(&all, heavy.mounting);
        if heavy.space.is_none() {
            thing
                .find_out
                .push("how high and how deep it is, and where its weight sits".to_owned());
        }
        thing.remedies = self.remedies(heavy, &all);
        thing.hand_test = self.hand_test(mass_kg);
        thing
    }

    /// What would carry the largest load that is not shown to be carried.
    fn remedies(&self, thing: &Heavy<'_>, all: &[Comparison]) -> Vec<String> {
        let open = all.iter().filter(|compared| compared.verdict != Verdict::WithinRating);
        let Some(worst) = open.max_by(|a, b| a.load_n.total_cmp(&b.load_n)) else {
            return Vec::new();
        };
        let ways = thing.mounting.iter().flat_map(|mounting| &mounting.ways);
        let screws = ways.flat_map(|way| &way.fixings).find(|held| is_screw(held.sort));
        let there = screws.and_then(|held| {
            let working_n = worst.at_least.as_ref()?.n;
            Some(ScrewsThere { count: held.count.value().copied()? as u32, working_n })
        });
        let remedies = restraint::remedies(worst.load_n, there, &self.catalog.restraint);
        // Directions that pull as hard and are open too.
        let mut ways: Vec<&str> = Vec::new();
        let as_hard = |compared: &&Comparison| {
            compared.verdict != Verdict::WithinRating && compared.load_n >= worst.load_n * ALIKE
        };
        for compared in all.iter().filter(as_hard) {
            if !ways.contains(&compared.direction.word()) {
                ways.push(compared.direction.word());
            }
        }
        let at = format!("for {} ({})", newton(worst.load_n), ways.join(", "));
        remedies.iter().map(|remedy| remedy_words(remedy, &at)).collect()
    }

    fn hand_test(&self, mass_kg: f64) -> String {
        let hand = &self.catalog.restraint.hand;
        let g = |pull_n: f64| restraint::hand_test_g(pull_n, mass_kg);
        format!(
            "{:.1} g standing, {:.1} g kneeling, {:.1} g at the most: it can show that it is loose, never that it is held",
            g(hand.standing_n),
            g(hand.kneeling_n),
            g(hand.strongest_n)
        )
    }

    fn hand_words(&self) -> String {
        let hand = &self.catalog.restraint.hand;
        format!(
            "Pull at each thing by hand in every direction (common practice): what moves is not held. One person pulls some {:.0} N standing, {:.0} N kneeling, {:.0} N at the most; what that is for its mass stands beside each. A crash pulls many times as hard.",
            hand.standing_n, hand.kneeling_n, hand.strongest_n
        )
    }
}

/// Names that are not there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotThere {
    /// No such criteria.
    Criteria(Vec<String>),
    /// No such devices or parts.
    Things(Vec<String>),
}

fn is_screw(sort: FixingSort) -> bool {
    matches!(sort, FixingSort::WoodScrew | FixingSort::LagScrew | FixingSort::TappingScrew)
}

fn criterion_view(criterion: &Criterion) -> CriterionView {
    let against = match criterion.against {
        catalog::Against::Breaking => "breaking",
        catalog::Against::Working => "working",
    };
    let levels = criterion.levels.iter();
    CriterionView {
        id: criterion.id.clone(),
        written_for: criterion.written_for.clone(),
        used_as: criterion.used_as.clone(),
        source: criterion.source.clone(),
        standing: criterion.standing.words().to_owned(),
        against: against.to_owned(),
        levels: levels.map(|l| (l.direction.word().to_owned(), l.g_level)).collect(),
    }
}

fn case_view(criterion: &Criterion, compared: &Comparison) -> RestraintCase {
    let verdict = match (compared.verdict, criterion.is_recalled()) {
        (Verdict::FallsShort, false) => "falls short",
        (Verdict::FallsShort, true) => "would fall short",
        (Verdict::NotDecided, _) => "cannot tell",
        (Verdict::WithinRating, false) => "within rating",
        (Verdict::WithinRating, true) => "would be within",
    };
    let governs = compared.governs.as_ref();
    RestraintCase {
        criterion: criterion.id.clone(),
        direction: compared.direction.word().to_owned(),
        g_level: compared.g_level,
        load_n: compared.load_n,
        verdict: verdict.to_owned(),
        at_least_n: compared.at_least.as_ref().map(|figure| figure.n),
        at_most_n: compared.at_most_n,
        margin: compared.margin(),
        governs: governs.map_or_else(String::new, |figure| figure.mode.words().to_owned()),
        basis: governs.map_or_else(String::new, |figure| match figure.footing {
            Footing::Firm => figure.basis.clone(),
            Footing::Recalled => format!("{} (an estimate)", figure.basis),
        }),
    }
}

fn side(compared: Option<&Comparison>) -> RestraintSide {
    let Some(compared) = compared else { return not_judged() };
    let verdict = match compared.verdict {
        Verdict::FallsShort => "falls short",
        Verdict::NotDecided => "cannot tell",
        Verdict::WithinRating => "within rating",
    };
    let pull = format!("pulls {} at {} g", newton(compared.load_n), compared.g_level);
    let words = match (compared.verdict, compared.at_most_n) {
        (Verdict::WithinRating, _) => format!("{pull}; a stated rating is not exceeded"),
        (_, Some(most)) => format!("{pull}; at most {} hold it", newton(most)),
        (_, None) => format!("{pull}; what holds it is not known"),
    };
    RestraintSide {
        verdict: verdict.to_owned(),
        words,
        load_n: Some(compared.load_n),
        at_most_n: compared.at_most_n,
    }
}

fn newton(value: f64) -> String {
    if value < 995.0 {
        format!("{value:.0}\u{a0}N")
    } else {
        format!("{:.1}\u{a0}kN", value / 1000.0)
    }
}

fn not_judged() -> RestraintSide {
    RestraintSide {
        verdict: "not judged".to_owned(),
        words: "no figure was found".to_owned(),
        load_n: None,
        at_most_n: None,
    }
}

/// What is open, each once; where only one thing holds it, that is not named again.
fn find_out(all: &[Comparison], mounting: Option<&Mounting>) -> Vec<String> {
    let is_one = mounting.is_none_or(|mounting| mounting.ways.len() <= 1);
    let words = all.iter().flat_map(|compared| &compared.find_out);
    words
        .map(|open| find_out_words(open, is_one))
        .collect::<BTreeSet<String>>()
        .into_iter()
        .collect()
}

fn find_out_words(find_out: &FindOut, is_one: bool) -> String {
    match find_out {
        FindOut::WhatHoldsIt => "look what holds it".to_owned(),
        FindOut::WhetherItActs { .. } if is_one => {
            "see which way that holds: forward, back, left, right, up, down".to_owned()
        }
        FindOut::WhetherItActs { path } => format!("see which way \u{201c}{path}\u{201d} holds"),
        FindOut::Of { what, .. } if is_one => what.clone(),
        FindOut::Of { path, what } => format!("\u{201c}{path}\u{201d}: {what}"),
        FindOut::StrengthOf { .. } if is_one => "have it pulled, or fix it stronger".to_owned(),
        FindOut::StrengthOf { path } => {
            format!("have \u{201c}{path}\u{201d} pulled, or fix it stronger")
        }
        FindOut::HowTheLoadIsShared => "find out how the load is shared".to_owned(),
    }
}

fn remedy_words(remedy: &Remedy, at: &str) -> String {
    match remedy {
        Remedy::MoreScrews { there, wanted } => {
            format!(
                "{at}: {wanted} of the same screws instead of {there}, by their published value"
            )
        }
        Remedy::Bolts { count, thread, class, each_n } => format!(
            "{at}: {count} bolts {thread} {class} through a frame or rib, or with plates behind that hand on {} each",
            newton(*each_n)
        ),
        Remedy::IntoRib { count, diameter_mm, rib_mm, rib_mpa } => format!(
            "{at}: {count} tapping screws {diameter_mm} mm into a rib of {rib_mm} mm, if it has {rib_mpa} MPa"
        ),
        Remedy::Strap { capacity_n } => format!(
            "{at}: a strap with a lashing capacity of {} or more, its ends on frame or ribs",
            newton(*capacity_n)
        ),
    }
}
