//! Every wire of a state: how warm, what it may carry, and whether it may stay.

use catalog::{Allowed, Catalog, NoRow, Question, VoltageBand};
use heat::{Cable, NoFigure};
use model::{Missing, Place, Vehicle, Wire, WireId};
use units::{Ampere, Celsius, Second};

use crate::build::Builds;
use crate::{SHAKEN, SLACK, Solved, Verdict, air, shaken};

/// Temperature of a conductor alone in still air: between two ends, over the cables it may be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Warmth {
    /// The coolest it may be.
    pub low: Celsius,
    /// The hottest it may be; `None`: hotter than the laws are used for.
    pub high: Option<Celsius>,
    /// What still air lets it carry at its rating, least and most; `None` without a rating.
    pub still_air: Option<(Ampere, Ampere)>,
}

/// What the tables say.
#[derive(Clone, Debug, PartialEq)]
pub enum TableSays {
    /// With what is known of where it runs, and at the strictest of what is not.
    Allows {
        /// With the known corrections.
        known: Allowed,
        /// With unknown corrections at their strictest; `None`: then nothing is left.
        strictest: Option<Ampere>,
    },
    /// Thinner than every row: carries no more than this.
    AtMost(Ampere),
    /// The air leaves nothing for its insulation.
    Nothing,
    /// Not asked, or the size or rating is in no table.
    Silent,
}

/// Which rule decided.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// The published table.
    Table,
    /// Physics of the cable in still air.
    StillAir,
    /// None: a fact is missing.
    Neither,
}

/// A wire in a state.
#[derive(Clone, Debug, PartialEq)]
pub struct WireHeat {
    /// The wire.
    pub wire: WireId,
    /// Its largest current.
    pub current: Ampere,
    /// The air around it.
    pub air: Celsius,
    /// Its temperature in still air; `None` when its size is not known.
    pub warmth: Option<Warmth>,
    /// What the tables say.
    pub table: TableSays,
    /// What recalled tables say: they decide nothing.
    pub hints: Vec<Allowed>,
    /// How soon the hottest cable it may be passes its rating, from the air's temperature.
    pub passes_rating_after: Option<Second>,
    /// Whether it may stay.
    pub verdict: Verdict,
    /// The stricter rule.
    pub rule: Rule,
    /// Why, in words.
    pub reason: String,
    /// Whether it lies in a bundle or in the engine space is not known, and matters.
    pub place_not_known: bool,
    /// What to find out.
    pub find_out: Vec<Missing>,
    /// A fact the verdict rests on is assumed.
    pub rests_on_assumption: bool,
}

impl WireHeat {
    /// The limit of the rule that decided, A.
    pub fn may_carry(&self) -> Option<Ampere> {
        match self.rule {
            Rule::Table => match &self.table {
                TableSays::Allows { known, .. } => Some(known.ampere),
                TableSays::AtMost(most) => Some(*most),
                TableSays::Nothing => Some(Ampere::from_si(0.0)),
                TableSays::Silent => None,
            },
            Rule::StillAir => self.warmth.and_then(|warmth| warmth.still_air).map(|(low, _)| low),
            Rule::Neither => None,
        }
    }
}

/// Every wire that carries current in a state, hottest first; wires of unknown size last.
pub fn wires(vehicle: &Vehicle, catalog: &Catalog, solved: &Solved<'_>) -> Vec<WireHeat> {
    let mut out: Vec<WireHeat> = vehicle
        .wires
        .ids()
        .filter_map(|id| {
            let branch = |network: &network::Network| network.wire_branch(id);
            let current = solved.current(branch)?;
            let mut heat = wire(vehicle, catalog, solved, id, current);
            let (least, most) = solved.bounds(current, branch);
            let at = |current| wire(vehicle, catalog, solved, id, current).verdict;
            if let Some(verdict) = shaken(heat.verdict, at(least), at(most)) {
                heat.verdict = verdict;
                heat.reason = SHAKEN.0.to_owned();
                let what = SHAKEN.1.to_owned();
                heat.find_out.push(Missing { what, at: Place::Wire(id) });
            }
            Some(heat)
        })
        .collect();
    let hottest = |heat: &WireHeat| {
        heat.warmth
            .map_or(f64::NEG_INFINITY, |warmth| warmth.high.map_or(f64::INFINITY, Celsius::degrees))
    };
    out.sort_by(|a, b| {
        hottest(b).total_cmp(&hottest(a)).then(b.current.si().total_cmp(&a.current.si()))
    });
    out
}

fn wire(
    vehicle: &Vehicle,
    catalog: &Catalog,
    solved: &Solved<'_>,
    id: WireId,
    current: Ampere,
) -> WireHeat {
    let wire = &vehicle.wires[id];
    let tables = &catalog.ampacity;
    let engine = (wire.engine_space.value() == Some(&true)).then(|| tables.engine_space());
    let air = air(solved, tables.base_ambient(), engine);
    let builds = wire.area.value().and_then(|area| Builds::of(&catalog.cables, *area, &wire.core));
    let rating = wire.insulation.value().copied();
    let warmth = builds.as_ref().and_then(|builds| warmth(builds, current, air, rating));
    let question = question(vehicle, wire, id).map(|question| question.in_air(air));
    let (table, hints) = match &question {
        Some(question) => (ask(catalog, wire, question), tables.hints(question)),
        None => (TableSays::Silent, Vec::new()),
    };
    let passes_rating_after = builds.as_ref().zip(rating).and_then(|(builds, rating)| {
        let soonest = |cable: &Cable| cable.time_to(rating, current, air, air).ok().flatten();
        builds.worst.iter().filter_map(soonest).reduce(|a, b| if b < a { b } else { a })
    });
    let judged = judge(id, wire, current, &table, warmth);
    WireHeat {
        wire: id,
        current,
        air,
        warmth,
        table,
        hints,
        passes_rating_after,
        verdict: judged.verdict,
        rule: judged.rule,
        reason: judged.reason,
        place_not_known: judged.place_not_known,
        find_out: judged.find_out,
        rests_on_assumption: wire.area.is_assumed()
            || wire.insulation.is_assumed()
            || wire.bundle.is_assumed()
            || wire.engine_space.is_assumed(),
    }
}

fn question(vehicle: &Vehicle, wire: &Wire, id: WireId) -> Option<Question> {
    /// The line the regulations draw, V (33 CFR 183.425 to 183.435).
    const LOW_VOLTAGE_BELOW_V: f64 = 50.0;
    let high = vehicle.is_ac(id)
        || vehicle.nominal.value().is_some_and(|nominal| nominal.si() >= LOW_VOLTAGE_BELOW_V);
    let band = if high { VoltageBand::FiftyAndOver } else { VoltageBand::UnderFifty };
    let (area, insulation) = (*wire.area.value()?, *wire.insulation.value()?);
    Some(Question::of_wire(wire, area, insulation, band, vehicle.region))
}

fn ask(catalog: &Catalog, wire: &Wire, question: &Question) -> TableSays {
    match catalog.ampacity.allowable_current(question) {
        Ok(known) => {
            let strictest = catalog.ampacity.allowable_current(&question.strictest(wire));
            TableSays::Allows { known, strictest: strictest.ok().map(|allowed| allowed.ampere) }
        }
        Err(NoRow::Thinner(most)) => TableSays::AtMost(most),
        Err(NoRow::TooWarm) => TableSays::Nothing,
        Err(NoRow::Thicker | NoRow::NotPrinted) => TableSays::Silent,
    }
}

/// `None` only for currents or air the laws do not know at all.
fn warmth(
    builds: &Builds,
    current: Ampere,
    air: Celsius,
    rating: Option<Celsius>,
) -> Option<Warmth> {
    let at = |cable: &Cable| match cable.resting_temperature(current, air) {
        Ok(celsius) => Some(Some(celsius)),
        Err(NoFigure::HotterThan(_)) => Some(None),
        Err(NoFigure::Impossible) => None,
    };
    let ends = |cables: [Cable; 2]| -> Option<[Option<Celsius>; 2]> {
        Some([at(&cables[0])?, at(&cables[1])?])
    };
    let [thin, thick] = ends(builds.best)?;
    let low = match (thin, thick) {
        (Some(a), Some(b)) => {
            if b < a {
                b
            } else {
                a
            }
        }
        (Some(one), None) | (None, Some(one)) => one,
        (None, None) => Cable::HOTTEST,
    };
    let [thin, thick] = ends(builds.worst)?;
    let high = thin.zip(thick).map(|(a, b)| if b > a { b } else { a });
    let still_air = rating.and_then(|rating| still_air(builds, rating, air));
    Some(Warmth { low, high, still_air })
}

/// What still air lets a wire carry at its rating; a rating beyond the laws counts as their end.
fn still_air(builds: &Builds, rating: Celsius, air: Celsius) -> Option<(Ampere, Ampere)> {
    let rating = if rating > Cable::HOTTEST { Cable::HOTTEST } else { rating };
    let carries = |cable: &Cable| cable.allowable_current(rating, air).ok().map(Ampere::si);
    let least = builds.worst.iter().filter_map(carries).reduce(f64::min)?;
    let most = builds.best.iter().filter_map(carries).reduce(f64::max)?;
    Some((Ampere::from_si(least), Ampere::from_si(most)))
}

struct Judged {
    verdict: Verdict,
    rule: Rule,
    reason: String,
    place_not_known: bool,
    find_out: Vec<Missing>,
}

impl Judged {
    fn new(verdict: Verdict, rule: Rule, reason: String, find_out: Vec<Missing>) -> Judged {
        Judged { verdict, rule, reason, place_not_known: false, find_out }
    }
}

/// The stricter of the two decides.
fn judge(
    id: WireId,
    wire: &Wire,
    current: Ampere,
    table: &TableSays,
    warmth: Option<Warmth>,
) -> Judged {
    let missing = |what: &str| Missing { what: what.to_owned(), at: Place::Wire(id) };
    let mut find_out = Vec::new();
    if wire.area.evidence().is_none() {
        find_out.push(missing("read the size off the wire, or measure it"));
    }
    if wire.insulation.evidence().is_none() {
        find_out.push(missing("read the temperature rating off the insulation"));
    }
    if wire.area.is_unknown() || wire.insulation.is_unknown() {
        let what = match (wire.area.is_unknown(), wire.insulation.is_unknown()) {
            (true, false) => "size",
            (false, true) => "insulation rating",
            _ => "size and rating",
        };
        let reason = format!("{what} not known");
        return Judged::new(Verdict::CannotTell, Rule::Neither, reason, find_out);
    }
    let by_table = table_verdict(current, table);
    let by_air = air_verdict(wire, current, table, warmth);
    let (verdict, rule) = stricter(&by_table, &by_air, table, warmth);
    let reason = match rule {
        Rule::Table => by_table.1,
        Rule::StillAir => by_air.1,
        Rule::Neither => "in no table; air and place not known".to_owned(),
    };
    if verdict == Verdict::Fails {
        return Judged::new(verdict, rule, reason, find_out);
    }
    let open = [by_table.0, by_air.0].contains(&Some(Verdict::CannotTell));
    let before = find_out.len();
    if open {
        find_out.extend(lay_unknown(wire).map(missing));
    }
    let place_not_known = find_out.len() > before;
    if open && find_out.is_empty() {
        find_out.push(missing("measure the temperature of the wire under this load"));
    }
    let firm = wire.area.evidence().is_some() && wire.insulation.evidence().is_some();
    match verdict {
        Verdict::Holds if firm => Judged::new(verdict, rule, reason, Vec::new()),
        Verdict::Holds => {
            let reason = format!("{reason}, by assumed facts");
            Judged::new(Verdict::CannotTell, rule, reason, find_out)
        }
        _ => Judged { verdict, rule, reason, place_not_known, find_out },
    }
}

/// What is not known of where a wire runs, as instructions.
fn lay_unknown(wire: &Wire) -> impl Iterator<Item = &'static str> {
    let bundle = wire
        .bundle
        .evidence()
        .is_none()
        .then_some("count the loaded conductors that lie together with it");
    let space = wire
        .engine_space
        .evidence()
        .is_none()
        .then_some("look whether any of it runs in the engine space");
    bundle.into_iter().chain(space)
}

type Says = (Option<Verdict>, String);

fn over(current: Ampere, limit: Ampere) -> bool {
    current.si() > limit.si() * (1.0 + SLACK)
}

fn table_verdict(current: Ampere, table: &TableSays) -> Says {
    match table {
        TableSays::Allows { known, strictest } => {
            let verdict = if over(current, known.ampere) {
                Verdict::Fails
            } else if strictest.is_some_and(|strictest| !over(current, strictest)) {
                Verdict::Holds
            } else {
                Verdict::CannotTell
            };
            let mut reason = known.words();
            if verdict == Verdict::CannotTell {
                let left = strictest.unwrap_or(Ampere::from_si(0.0));
                reason.push_str(&format!(
                    "; {left} in a large bundle in the engine space: where it runs is not known"
                ));
            }
            (Some(verdict), reason)
        }
        TableSays::AtMost(most) if over(current, *most) => {
            (Some(Verdict::Fails), format!("thinner than every row, so less than {most}"))
        }
        TableSays::AtMost(_) => (None, "thinner than every row of the table".to_owned()),
        TableSays::Nothing => {
            (Some(Verdict::Fails), "the air is too warm for its insulation".to_owned())
        }
        TableSays::Silent => (None, "in no table".to_owned()),
    }
}

/// Physics can always forbid. It allows only where the tables are silent and the wire is known to
/// run alone: lying with others is hotter than still air, and no model of that is trusted here.
fn air_verdict(wire: &Wire, current: Ampere, table: &TableSays, warmth: Option<Warmth>) -> Says {
    let Some((least, most)) = warmth.and_then(|warmth| warmth.still_air) else {
        return (None, "no figure for still air".to_owned());
    };
    let range = format!("alone in still air it may carry {least} to {most} by its wall and copper");
    if over(current, most) {
        return (Some(Verdict::Fails), range);
    }
    if over(current, least) {
        return (Some(Verdict::CannotTell), range);
    }
    let alone = wire.bundle.evidence() == Some(&1) && wire.engine_space.evidence().is_some();
    match table {
        TableSays::Silent | TableSays::AtMost(_) if alone => (Some(Verdict::Holds), range),
        TableSays::Silent | TableSays::AtMost(_) => {
            (Some(Verdict::CannotTell), format!("{range}; in no table, and not known to run alone"))
        }
        _ => (None, range),
    }
}

/// The worse verdict; where both say the same, the lower limit.
fn stricter(table: &Says, air: &Says, says: &TableSays, warmth: Option<Warmth>) -> (Verdict, Rule) {
    match (table.0, air.0) {
        (None, None) => (Verdict::CannotTell, Rule::Neither),
        (Some(verdict), None) => (verdict, Rule::Table),
        (None, Some(verdict)) => (verdict, Rule::StillAir),
        (Some(by_table), Some(by_air)) if by_table != by_air => {
            if by_table > by_air {
                (by_table, Rule::Table)
            } else {
                (by_air, Rule::StillAir)
            }
        }
        (Some(verdict), Some(_)) => {
            let table_a = match says {
                TableSays::Allows { known, .. } => known.ampere.si(),
                TableSays::AtMost(most) => most.si(),
                TableSays::Nothing => 0.0,
                TableSays::Silent => f64::INFINITY,
            };
            let air_a = warmth.and_then(|w| w.still_air).map_or(f64::INFINITY, |(low, _)| low.si());
            (verdict, if table_a <= air_a { Rule::Table } else { Rule::StillAir })
        }
    }
}
