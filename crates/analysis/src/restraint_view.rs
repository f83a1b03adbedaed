//! Heavy things, what a crash or hard driving pulls on them, and whether what holds them falls short.

use std::collections::BTreeSet;

use model::{Attribute, Device, Direction, FixingSort};
use restraint::{Comparison, Criterion, FindOut, Footing, Remedy, ScrewsThere, Verdict};
use serde::Serialize;
use units::Kilogram;

use crate::case::Case;
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
    /// What would decide what is open.
    pub find_out: Vec<String>,
    /// What would carry the largest load that is not carried.
    pub remedies: Vec<String>,
    /// What a pull by hand amounts to.
    pub hand_test: String,
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
        self.heavy()
            .into_iter()
            .map(|(mass_kg, device)| self.restraint_row(device, mass_kg, &criteria))
            .collect()
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

    /// Names of all devices.
    pub fn device_names(&self) -> Vec<&str> {
        self.vehicle().devices.iter().map(|(_, device)| device.name.as_str()).collect()
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
        let named = |name: &String| self.vehicle().devices.iter().any(|(_, d)| d.name == *name);
        let missing: Vec<String> = things.iter().filter(|name| !named(name)).cloned().collect();
        if !missing.is_empty() {
            return Err(NotThere::Things(missing));
        }
        let mut chosen: Vec<Criterion> =
            criteria.iter().filter_map(|id| Criterion::named(&self.catalog, id)).collect();
        if chosen.is_empty() {
            chosen = self.usual_criteria();
        }
        let wanted = |device: &Device| things.is_empty() || things.contains(&device.name);
        let mut rows: Vec<HeavyThing> = self
            .heavy()
            .into_iter()
            .filter(|(_, device)| wanted(device))
            .map(|(mass_kg, device)| self.heavy_thing(device, Some(mass_kg), &chosen))
            .collect();
        let rest = self.vehicle().devices.iter().map(|(_, device)| device);
        let asked = rest.filter(|device| things.contains(&device.name));
        for device in asked {
            if rows.iter().all(|row| row.item != device.name) {
                rows.push(self.heavy_thing(device, device.number(Attribute::Mass), &chosen));
            }
        }
        Ok(RestraintView {
            schema: RESTRAINT_SCHEMA.to_owned(),
            criteria: chosen.iter().map(criterion_view).collect(),
            things: rows,
            caution: CAUTION.to_owned(),
        })
    }

    fn usual_criteria(&self) -> Vec<Criterion> {
        restraint::USUAL.iter().filter_map(|id| Criterion::named(&self.catalog, id)).collect()
    }

    /// Added devices that are heavy, heaviest first.
    fn heavy(&self) -> Vec<(f64, &Device)> {
        let devices = self.vehicle().devices.iter().map(|(_, device)| device);
        let added = devices.filter(|device| !device.base_vehicle);
        let mut heavy: Vec<(f64, &Device)> = added
            .filter_map(|device| Some((device.number(Attribute::Mass)?, device)))
            .filter(|(mass_kg, _)| *mass_kg >= checks::HEAVY_KG)
            .collect();
        heavy.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.name.cmp(&b.1.name)));
        heavy
    }

    fn compared(&self, device: &Device, mass_kg: f64, criterion: &Criterion) -> Vec<Comparison> {
        let held = restraint::held(mass_kg, device.mounting.as_ref(), &self.catalog.restraint);
        restraint::compare(&held, criterion).unwrap_or_default()
    }

    fn restraint_row(&self, device: &Device, mass_kg: f64, criteria: &[Criterion]) -> RestraintRow {
        let all: Vec<Comparison> = criteria
            .iter()
            .flat_map(|criterion| self.compared(device, mass_kg, criterion))
            .collect();
        let side = |direction: Direction| side(all.iter().find(|c| c.direction == direction));
        RestraintRow {
            item: device.name.clone(),
            label: device.label.clone(),
            mass: mass_words(device, mass_kg),
            held_by: device.mounting.as_ref().map_or_else(String::new, |held| held.words.clone()),
            space: device.space.value().map(space),
            sides: Direction::ALL.map(side),
            find_out: find_out(&all),
        }
    }

    fn heavy_thing(
        &self,
        device: &Device,
        mass_kg: Option<f64>,
        criteria: &[Criterion],
    ) -> HeavyThing {
        let mut thing = HeavyThing {
            item: device.name.clone(),
            label: device.label.clone(),
            mass: mass_kg.map_or_else(String::new, |mass_kg| mass_words(device, mass_kg)),
            mass_kg,
            held_by: device.mounting.as_ref().map_or_else(String::new, |held| held.words.clone()),
            cases: Vec::new(),
            find_out: Vec::new(),
            remedies: Vec::new(),
            hand_test: String::new(),
        };
        let Some(mass_kg) = mass_kg else {
            thing.find_out.push("what it weighs: read it off its label, or weigh it".to_owned());
            return thing;
        };
        let mut all = Vec::new();
        for criterion in criteria {
            for compared in self.compared(device, mass_kg, criterion) {
                thing.cases.push(case_view(criterion, &compared));
                all.push(compared);
            }
        }
        thing.find_out = find_out(&all);
        thing.remedies = self.remedies(device, &all);
        thing.hand_test = self.hand_test(mass_kg);
        thing
    }

    /// What would carry the largest load that is not shown to be carried.
    fn remedies(&self, device: &Device, all: &[Comparison]) -> Vec<String> {
        let open = all.iter().filter(|compared| compared.verdict != Verdict::WithinRating);
        let Some(worst) = open.max_by(|a, b| a.load_n.total_cmp(&b.load_n)) else {
            return Vec::new();
        };
        let ways = device.mounting.iter().flat_map(|mounting| &mounting.ways);
        let screws = ways.flat_map(|way| &way.fixings).find(|held| is_screw(held.sort));
        let there = screws.and_then(|held| {
            let working_n = worst.at_least.as_ref()?.n;
            Some(ScrewsThere { count: held.count.value().copied()? as u32, working_n })
        });
        let remedies = restraint::remedies(worst.load_n, there, &self.catalog.restraint);
        remedies.iter().map(|remedy| remedy_words(remedy, worst)).collect()
    }

    fn hand_test(&self, mass_kg: f64) -> String {
        let hand = &self.catalog.restraint.hand;
        let g = |pull_n: f64| restraint::hand_test_g(pull_n, mass_kg);
        format!(
            "pull at it by hand in every direction (common practice): what moves is not held. One person pulls some {:.0} N standing, {:.0} N kneeling, {:.0} N at the most: {:.1}, {:.1} and {:.1} g for this mass. So a pull by hand can show that it is loose, never that it is held.",
            hand.standing_n,
            hand.kneeling_n,
            hand.strongest_n,
            g(hand.standing_n),
            g(hand.kneeling_n),
            g(hand.strongest_n)
        )
    }
}

/// Names that are not there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotThere {
    /// No such criteria.
    Criteria(Vec<String>),
    /// No such devices.
    Things(Vec<String>),
}

fn is_screw(sort: FixingSort) -> bool {
    matches!(sort, FixingSort::WoodScrew | FixingSort::LagScrew | FixingSort::TappingScrew)
}

fn mass_words(device: &Device, mass_kg: f64) -> String {
    match device.fact(Attribute::Mass).origin() {
        Some(origin) => format!("{} ({})", Kilogram::from_si(mass_kg), origin.word()),
        None => Kilogram::from_si(mass_kg).to_string(),
    }
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

/// What is open, each once.
fn find_out(all: &[Comparison]) -> Vec<String> {
    let words = all.iter().flat_map(|compared| compared.find_out.iter().map(find_out_words));
    words.collect::<BTreeSet<String>>().into_iter().collect()
}

fn find_out_words(find_out: &FindOut) -> String {
    match find_out {
        FindOut::WhatHoldsIt => "look what holds it".to_owned(),
        FindOut::WhetherItActs { path } => format!("see which way \u{201c}{path}\u{201d} holds"),
        FindOut::Of { path, what } => format!("\u{201c}{path}\u{201d}: {what}"),
        FindOut::StrengthOf { path } => {
            format!("have \u{201c}{path}\u{201d} pulled, or fix it stronger")
        }
        FindOut::HowTheLoadIsShared => "find out how the load is shared".to_owned(),
    }
}

fn remedy_words(remedy: &Remedy, worst: &Comparison) -> String {
    let at = format!("for {} ({})", newton(worst.load_n), worst.direction.word());
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
