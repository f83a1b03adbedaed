//! What to do next on a vehicle: the check that is worth most per minute, opening included, or the
//! repair, with what every outcome would mean.

use std::collections::BTreeMap;

use access::{Costing, Problem as Furniture};
use catalog::{Catalog, Method};
use model::{Place, Reach, ReadingPoints, Shows, StateId, Vehicle, WireEnd};

use crate::again::{Before, doubted};
use crate::bench::{Answered, Benches};
use crate::groups::{Group, groups};
use crate::next::next_action;
use crate::observe::Observations;
use crate::offered::{Offered, What, offered, reachable_look};
use crate::openings::{Opened, Openings};
use crate::outcomes::{Band, Outcomes, band, instrument};
use crate::problem::{Action, Check, Problem, Repair, Target};
use crate::rank::Ranking;
use crate::spreads::spread_of_change;

/// Groups that are told apart; the rest is "something else".
const MOST_GROUPS: usize = 14;
/// Checks that tell less than this are left out, bit.
const LEAST_GAIN_BIT: f64 = 0.05;
/// Checks that are weighed against each other, and of each place at least.
const MOST_CHECKS: usize = 16;
const OF_EACH_PLACE: usize = 1;

/// After so many readings that did not settle it, minutes of a further one count twice, after twice as
/// many three times: what was expected of readings has not come true (own choice).
const DOUBLED_AFTER: f64 = 12.0;

/// A check with what it may show.
#[derive(Clone, Debug, PartialEq)]
pub struct Considered {
    /// The check.
    pub check: Offered,
    /// What it may show.
    pub outcomes: Outcomes,
    /// What it tells, bit.
    pub gain_bit: f64,
    /// Minutes of opening and closing, breakage counted as minutes.
    pub opening_min: f64,
    target: Option<Target>,
}

impl Considered {
    /// All minutes of the check.
    pub fn minutes(&self) -> f64 {
        self.check.minutes + self.opening_min
    }
}

/// A step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    /// A check, by its place in [`Advice::checks`].
    Check(usize),
    /// The repair of a group.
    Repair(usize),
    /// No suspect explains it: search everything.
    SearchEverything,
}

/// A step with the minutes it takes on the whole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rated {
    /// The step.
    pub step: Step,
    /// Expected minutes to the proven repair if this is done next.
    pub minutes: f64,
}

/// The reading that would show that a repair failed.
#[derive(Clone, Debug, PartialEq)]
pub struct Proof {
    /// Where and how.
    pub check: Offered,
    /// What it has to show when all is well.
    pub expected: Vec<Band>,
    /// Share of what may still be wrong that it would show.
    pub shows: f64,
}

/// What to do next.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    /// What may have to be repaired, most likely first.
    pub groups: Vec<Group>,
    /// Probability of anything else.
    pub rest: f64,
    /// Checks that tell something.
    pub checks: Vec<Considered>,
    /// Steps, best first.
    pub steps: Vec<Rated>,
    /// Expected minutes if repairs are tried in their best order, without another check.
    pub without_checks: f64,
    /// The steps are the best there are, proven for the question as it was put.
    pub is_exact: bool,
    /// For each group: minutes of opening for its repair; `None`: what hides it is not recorded.
    pub repair_opening_min: Vec<Option<f64>>,
    /// The proof of the repair, where the first step is one.
    pub proof: Option<Proof>,
    /// Checks that cannot be made because no way in is known.
    pub not_offered: usize,
}

/// What the question rests on.
pub struct Asked<'a> {
    /// The catalog.
    pub catalog: &'a Catalog,
    /// What was observed.
    pub seen: &'a Observations,
    /// Everything ranked.
    pub ranking: &'a Ranking,
    /// The furniture as it stands.
    pub furniture: &'a Furniture,
    /// How minutes and breakage are weighed.
    pub costing: Costing,
    /// The state the vehicle stands in.
    pub now: Option<StateId>,
    /// Checks that were made already and tell no more, and joints looked at.
    pub done: &'a [(What, Option<StateId>)],
}

/// The next check or repair.
pub fn advise(benches: &mut Benches<'_>, asked: &Asked<'_>) -> Advice {
    let (groups, rest) = groups(asked.ranking, benches.suspects(), MOST_GROUPS);
    let mut weights: Vec<f64> = groups.iter().map(|group| group.weight).collect();
    weights.push(rest.max(1e-6));
    let further = further(asked, rest);
    let all = considered(benches, asked, &groups, &weights, further);
    let mut openings = Openings::new(asked.furniture, asked.costing);
    let (checks, not_offered) = worth_while(&all, &weights, &mut openings);
    let (mut problem, repair_opening_min) =
        question(benches, asked, &groups, &checks, &mut openings);
    problem.repairs.push(rest_repair(&problem, &openings, &weights, asked.catalog, further));
    let choice = next_action(&problem, &openings, &weights, Opened::default());
    let step = |action: Action| match action {
        Action::Check(k) => Step::Check(k),
        Action::Repair(k) if k < groups.len() => Step::Repair(k),
        Action::Repair(_) => Step::SearchEverything,
    };
    let rated =
        |ranked: &crate::next::Ranked| Rated { step: step(ranked.action), minutes: ranked.minutes };
    let mut steps: Vec<Rated> = choice.ranked.iter().map(rated).collect();
    read_again_first(asked, &checks, &mut steps);
    let is_repair = matches!(steps.first(), Some(Rated { step: Step::Repair(_), .. }));
    let proof = if is_repair { proof(benches, asked, &groups) } else { None };
    Advice {
        proof,
        rest,
        checks,
        steps,
        without_checks: choice.without_checks,
        is_exact: choice.is_exact,
        repair_opening_min,
        not_offered,
        groups,
    }
}

/// Before everything is searched for what no suspect explains, whatever says so is read once more: it
/// takes minutes, the search takes hours, and nobody knows how often what is not in a record comes up.
fn read_again_first(asked: &Asked<'_>, checks: &[Considered], steps: &mut Vec<Rated>) {
    let Some(Rated { step: Step::SearchEverything, minutes }) = steps.first().copied() else {
        return;
    };
    let is_again =
        |k: &usize| asked.done.contains(&(checks[*k].check.what, checks[*k].check.state));
    let quicker = |a: &usize, b: &usize| checks[*a].minutes().total_cmp(&checks[*b].minutes());
    if let Some(k) = (0..checks.len()).filter(is_again).min_by(quicker) {
        steps.retain(|rated| rated.step != Step::Check(k));
        let rated = Rated { step: Step::Check(k), minutes: checks[k].minutes() + minutes };
        steps.insert(0, rated);
    }
}

/// Every check that does not show the same whatever is wrong, before anybody asks what it costs to
/// get there, with what it tells.
fn considered(
    benches: &mut Benches<'_>,
    asked: &Asked<'_>,
    groups: &[Group],
    weights: &[f64],
    further: f64,
) -> Vec<(Offered, Outcomes, f64)> {
    let vehicle = benches.vehicle();
    let mut by_state: BTreeMap<StateId, Vec<(Offered, Option<Before>)>> = BTreeMap::new();
    for check in offered(vehicle, asked.catalog, asked.seen, asked.now) {
        let is_done = asked.done.contains(&(check.what, check.state));
        let doubted = doubted(asked, &check);
        let is_settled = is_done && doubted.is_none();
        if let (Some(state), false) = (check.state, is_settled) {
            by_state.entry(state).or_default().push((check, doubted));
        }
    }
    let mut all = Vec::new();
    for (state, checks) in by_state {
        if benches.add(state) {
            all.extend(in_state(benches, asked.catalog, state, checks, groups));
        }
    }
    let mut joints: Vec<model::JointId> = groups
        .iter()
        .flat_map(|group| &group.cures)
        .filter_map(|cure| if let Place::Joint(joint) = cure.0 { Some(joint) } else { None })
        .collect();
    joints.sort_unstable();
    joints.dedup();
    for joint in joints {
        let check = reachable_look(vehicle, asked.catalog, asked.seen, joint);
        let is_done = asked.done.contains(&(What::Look(joint), None));
        if let Some(check) = check.filter(|_| !is_done) {
            all.push((check, Outcomes::of_look(joint, groups, asked.catalog)));
        }
    }
    let gained = |(check, outcomes): (Offered, Outcomes)| {
        let outcomes = outcomes.with_rest(further, weights);
        let gain = outcomes.gain_bit(weights);
        // What is made again turns over what all else rests on: it is weighed however seldom.
        let is_again = asked.done.contains(&(check.what, check.state));
        (check, outcomes, if is_again { gain.max(LEAST_GAIN_BIT) } else { gain })
    };
    all.into_iter().map(gained).collect()
}

/// The checks of a state that do not show the same whatever is wrong. Of a check that is made again it is
/// known what it showed before.
fn in_state(
    benches: &mut Benches<'_>,
    catalog: &Catalog,
    state: StateId,
    checks: Vec<(Offered, Option<Before>)>,
    groups: &[Group],
) -> Vec<(Offered, Outcomes)> {
    let answers = answers(benches, state, groups);
    let weights: Vec<f64> = groups.iter().map(|group| group.weight).collect();
    let mut found = Vec::new();
    let mut readings = Vec::new();
    for (check, before) in checks {
        match check.what {
            What::Watch(device) => {
                let words = |of: &Vec<(std::rc::Rc<Answered>, f64)>| -> Vec<(Shows, f64)> {
                    let word = |(answered, share): &(std::rc::Rc<Answered>, f64)| {
                        Some((benches.shows(state, device, answered)?, *share))
                    };
                    of.iter().filter_map(word).collect()
                };
                let words: Vec<Vec<(Shows, f64)>> = answers.iter().map(words).collect();
                let before = before.and_then(Before::word);
                let outcomes = Outcomes::of_words(&words, before, catalog);
                found.extend(outcomes.map(|outcomes| (check, outcomes)));
            }
            What::Read(points) => {
                let values = values(benches, state, points, &answers);
                let before = before.and_then(Before::value);
                let all = values.iter().flatten().map(|value| value.0).chain(before);
                let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
                    (low.min(v), high.max(v))
                });
                let fine = instrument(catalog, check.what, check.method, low);
                if high - low > 2.0 * fine.zero {
                    readings.push((check, points, values, before));
                }
            }
            What::Look(_) => {}
        }
    }
    let (healthy, nominal_v) = (benches.answer(state, &[]), benches.nominal_v());
    for (check, points, values, before) in readings {
        let own = spread(benches, state, points);
        let at_rest =
            healthy.as_ref().and_then(|of| shown(benches, state, points, of).first().copied());
        let bands = values.iter().map(|values| {
            let one = |&(value, share): &(f64, f64)| {
                let change = at_rest.map_or(0.0, |at_rest| value - at_rest);
                let spread = own.hypot(spread_of_change(points, change, nominal_v));
                band(value, spread, share, instrument(catalog, check.what, check.method, value))
            };
            values.iter().map(one).collect()
        });
        let fine = |value| instrument(catalog, check.what, check.method, value);
        let before = before.map(|value| band(value, 0.0, 1.0, fine(value)));
        let outcomes = Outcomes::of_bands(bands.collect(), before, &weights);
        found.extend(outcomes.map(|outcomes| (check, outcomes)));
    }
    found
}

/// The circuits of a state with each group's variants in them, and their shares.
type Answers = Vec<Vec<(std::rc::Rc<Answered>, f64)>>;

fn answers(benches: &mut Benches<'_>, state: StateId, groups: &[Group]) -> Answers {
    let mut answers = Vec::with_capacity(groups.len());
    for group in groups {
        let mut of = Vec::with_capacity(group.variants.len());
        for (faults, share) in &group.variants {
            of.extend(benches.answer(state, faults).map(|answered| (answered, *share)));
        }
        answers.push(of);
    }
    answers
}

/// Standard deviation of the sums around a reading.
fn spread(benches: &mut Benches<'_>, state: StateId, points: ReadingPoints) -> f64 {
    let of = benches.prediction(state, points, 0.0);
    let shared: f64 = of.per_parameter.iter().map(|slope| slope * slope).sum();
    (shared + of.own_spread * of.own_spread).sqrt()
}

/// What an instrument shows, without a sign that means nothing.
fn shown(
    benches: &Benches<'_>,
    state: StateId,
    points: ReadingPoints,
    answered: &Answered,
) -> Vec<f64> {
    let is_unsigned = matches!(points, ReadingPoints::In(_) | ReadingPoints::Over(_));
    let sign = |value: f64| if is_unsigned { value.abs() } else { value };
    benches.values(state, points, answered).into_iter().map(sign).collect()
}

/// What each group makes a reading show; a circuit that hunts shows one or the other.
fn values(
    benches: &Benches<'_>,
    state: StateId,
    points: ReadingPoints,
    answers: &Answers,
) -> Vec<Vec<(f64, f64)>> {
    let of = |answers: &Vec<(std::rc::Rc<Answered>, f64)>| {
        let mut all = Vec::new();
        for (answered, share) in answers {
            let values = shown(benches, state, points, answered);
            let count = values.len() as f64;
            all.extend(values.into_iter().map(|value| (value, share / count)));
        }
        let total: f64 = all.iter().map(|value| value.1).sum();
        all.iter_mut().for_each(|value| value.1 /= total);
        all
    };
    answers.iter().map(of).collect()
}

/// The checks worth weighing: of those that tell the same at one place the quickest, then the most
/// telling per minute, and some of each place.
fn worth_while(
    all: &[(Offered, Outcomes, f64)],
    weights: &[f64],
    openings: &mut Openings<'_>,
) -> (Vec<Considered>, usize) {
    let mut not_offered = 0;
    let mut best: BTreeMap<(Option<Target>, Vec<i64>), Considered> = BTreeMap::new();
    for (check, outcomes, gain_bit) in all.iter().filter(|row| row.2 >= LEAST_GAIN_BIT) {
        let target = openings.place(&check.reach);
        let Some(opening_min) = openings.minutes(target) else {
            not_offered += 1;
            continue;
        };
        let key = (target, signature(outcomes));
        let considered = || Considered {
            check: check.clone(),
            outcomes: outcomes.clone(),
            gain_bit: *gain_bit,
            opening_min,
            target,
        };
        let known = best.get(&key);
        if known.is_none_or(|known| check.minutes < known.check.minutes - 1e-9) {
            best.insert(key, considered());
        }
    }
    debug_assert!(best.values().all(|c| c.outcomes.rows.len() == weights.len()));
    let mut checks: Vec<Considered> = best.into_values().collect();
    let rate = |check: &Considered| check.gain_bit / check.minutes();
    checks.sort_by(|a, b| {
        let by_rate = rate(b).total_cmp(&rate(a));
        by_rate.then_with(|| (a.check.state, a.check.what).cmp(&(b.check.state, b.check.what)))
    });
    let mut of_place: BTreeMap<Option<Target>, usize> = BTreeMap::new();
    let mut kept = Vec::new();
    for check in checks {
        let here = of_place.entry(check.target).or_default();
        if kept.len() < MOST_CHECKS || *here < OF_EACH_PLACE {
            *here += 1;
            kept.push(check);
        }
        if kept.len() >= MOST_CHECKS + MOST_CHECKS / 2 {
            break;
        }
    }
    (kept, not_offered)
}

/// What an outcome table says, coarse enough that rounding does not matter.
fn signature(outcomes: &Outcomes) -> Vec<i64> {
    let coarse = |p: &f64| (p * 200.0).round() as i64;
    let mut columns: Vec<Vec<i64>> = (0..outcomes.kinds.len())
        .map(|k| outcomes.rows.iter().map(|row| coarse(&row[k])).collect())
        .collect();
    // The order of outcomes means nothing.
    columns.sort();
    columns.into_iter().flatten().collect()
}

/// Of what is in none of the groups, the share that are suspects beyond them.
fn further(asked: &Asked<'_>, rest: f64) -> f64 {
    if rest > 0.0 { (1.0 - asked.ranking.not_in_record / rest).clamp(0.0, 1.0) } else { 0.0 }
}

/// What finding and repairing anything else takes: further suspects as long again as the groups would,
/// tried one after the other; what is not in the record, a search of everything.
fn rest_repair(
    problem: &Problem,
    openings: &Openings<'_>,
    weights: &[f64],
    catalog: &Catalog,
    further: f64,
) -> Repair {
    let everything_min = catalog.checking.search_everything_min;
    let groups = weights.len() - 1;
    let listed = Problem { suspects: groups, checks: Vec::new(), repairs: problem.repairs.clone() };
    let again_min = match groups {
        0 => everything_min,
        _ => next_action(&listed, openings, &weights[..groups], Opened::default()).without_checks,
    };
    let minutes = further * again_min.min(everything_min) + (1.0 - further) * everything_min;
    // The groups have repairs of their own.
    let cures = (0..=groups).map(|g| if g == groups { 1.0 } else { 0.0 }).collect();
    Repair { minutes, behind: None, cures }
}

/// The question as numbers: the last suspect stands for everything else, whose repair is not among
/// these yet.
fn question(
    benches: &Benches<'_>,
    asked: &Asked<'_>,
    groups: &[Group],
    checks: &[Considered],
    openings: &mut Openings<'_>,
) -> (Problem, Vec<Option<f64>>) {
    let suspects = groups.len() + 1;
    let mut repairs = Vec::with_capacity(suspects);
    let mut opening = Vec::with_capacity(groups.len());
    for (k, group) in groups.iter().enumerate() {
        let cures = (0..suspects).map(|g| if g == k { 1.0 } else { 0.0 }).collect();
        let reach = cure_reach(benches.vehicle(), group);
        let target = reach.as_ref().and_then(|reach| openings.place(reach));
        let is_known = reach.is_some() && openings.can_be_reached(target);
        let minutes = if is_known { 0.0 } else { asked.catalog.checking.unknown_place_min };
        opening.push(if is_known { openings.minutes(target) } else { None });
        let behind = target.filter(|_| is_known);
        repairs.push(Repair { minutes: group.minutes + minutes, behind, cures });
    }
    let doubt = 1.0 + asked.seen.taken.len() as f64 / DOUBLED_AFTER;
    let checks = checks
        .iter()
        .map(|considered| Check {
            minutes: considered.check.minutes * doubt,
            behind: considered.target,
            outcomes: considered.outcomes.rows.clone(),
        })
        .collect();
    (Problem { suspects, checks, repairs }, opening)
}

/// What hides the places of a group's cure; `None` where it is not recorded.
pub fn cure_reach(vehicle: &Vehicle, group: &Group) -> Option<Reach> {
    let mut ways: Reach = vec![Vec::new()];
    for (place, _) in &group.cures {
        for reach in place_reaches(vehicle, *place)? {
            let mut next: Reach = Vec::new();
            for way in &ways {
                for other in &reach {
                    let mut both = way.clone();
                    both.extend(other.iter().copied());
                    both.sort_unstable();
                    both.dedup();
                    next.push(both);
                }
            }
            next.sort();
            next.dedup();
            next.truncate(8);
            ways = next;
        }
    }
    Some(ways)
}

/// All places that have to be reached to put a place right.
fn place_reaches(vehicle: &Vehicle, place: Place) -> Option<Vec<Reach>> {
    let device = |id: model::DeviceId| vehicle.devices[id].reach.value().cloned();
    let terminal = |id: model::TerminalId| device(vehicle.terminals[id].device);
    match place {
        Place::Device(id) => Some(vec![device(id)?]),
        Place::Terminal(id) => Some(vec![terminal(id)?]),
        Place::Joint(id) => {
            let joint = &vehicle.joints[id];
            Some(vec![terminal(vehicle.wires[joint.wire].terminal(joint.end)?)?])
        }
        Place::Wire(id) => {
            let wire = &vehicle.wires[id];
            let ends = WireEnd::BOTH.into_iter().map(|end| terminal(wire.terminal(end)?));
            ends.collect()
        }
        _ => Some(Vec::new()),
    }
}

/// The reading that tells best whether all is well after the likeliest repair: of the weight of all
/// that may be wrong, the share that would show something else than a vehicle in order. A reading
/// that was taken before is as good as any: afterwards it has to be another.
fn proof(benches: &mut Benches<'_>, asked: &Asked<'_>, groups: &[Group]) -> Option<Proof> {
    let all = offered(benches.vehicle(), asked.catalog, asked.seen, asked.now);
    let mut best: Option<(f64, Proof)> = None;
    for state in asked.seen.states() {
        if !benches.add(state) {
            continue;
        }
        let answers = answers(benches, state, groups);
        let healthy = vec![vec![(benches.answer(state, &[])?, 1.0)]];
        let here = all.iter().filter(|c| c.state == Some(state) && c.method != Method::Display);
        for check in here {
            let What::Read(points) = check.what else { continue };
            let due = values(benches, state, points, &healthy);
            let [(value, _)] = due[0][..] else { continue };
            let shown = values(benches, state, points, &answers);
            let fine = instrument(asked.catalog, check.what, check.method, value);
            let moves = |(other, _): &(f64, f64)| (other - value).abs() > 2.0 * fine.zero;
            if !shown.iter().flatten().any(moves) {
                continue;
            }
            let spread = spread(benches, state, points);
            let of = |value: f64| {
                band(value, spread, 1.0, instrument(asked.catalog, check.what, check.method, value))
            };
            let expected = of(value);
            let is_apart = |other: f64| {
                let other = of(other);
                other.high < expected.low || other.low > expected.high
            };
            let share = |values: &Vec<(f64, f64)>| -> f64 {
                values.iter().filter(|(other, _)| is_apart(*other)).map(|(_, share)| share).sum()
            };
            let shows: f64 = groups.iter().zip(&shown).map(|(g, v)| g.weight * share(v)).sum();
            // Of readings that show as much the quickest; a tenth of a bit is nothing.
            let rate = shows - 0.002 * check.minutes;
            if shows > 0.0 && best.as_ref().is_none_or(|known| rate > known.0) {
                let proof = Proof { check: check.clone(), expected: vec![expected], shows };
                best = Some((rate, proof));
            }
        }
    }
    best.map(|best| best.1)
}
