//! Brute force: every set of actions of 1,000 random questions is tried, by a second, plain way of
//! telling what is energised, and the cheapest that works is compared.

use access::{Effort, Problem};
use dead::{Ground, Net, Touch, cheapest};
use fastrand::Rng;

use crate::random::{MINUTE, costing, net, problem};

const PARTS: usize = 5;

/// Points that are energised, one pole at a time, walked until nothing changes: pole, point, doubt.
fn energised(net: &Net, done: u32, gone: &[bool]) -> Vec<bool> {
    let is_done = |opens: &dyn Fn(usize) -> bool| {
        (0..net.actions.len()).any(|a| done & (1 << a) != 0 && opens(a))
    };
    let cut: Vec<bool> =
        (0..net.ways.len()).map(|w| is_done(&|a| net.actions[a].cuts.contains(&w))).collect();
    let stopped: Vec<bool> = (0..net.starts.len())
        .map(|s| gone[s] || is_done(&|a| net.actions[a].stops.contains(&s)))
        .collect();
    let mut on = vec![[vec![false; net.points], vec![false; net.points]]; net.starts.len()];
    loop {
        let before = on.clone();
        for (s, start) in net.starts.iter().enumerate().filter(|(s, _)| !stopped[*s]) {
            let fed = |doubt: usize| {
                start.fed_by.iter().any(|p| before.iter().any(|pole| pole[doubt][*p]))
            };
            if start.fed_by.is_empty() || fed(0) {
                start.points.iter().for_each(|p| on[s][usize::from(start.doubtful)][*p] = true);
            }
            if fed(1) {
                start.points.iter().for_each(|p| on[s][1][*p] = true);
            }
            let in_table = |table: &[bool], p: usize| !table.is_empty() && table[p];
            for (_, way) in net.ways.iter().enumerate().filter(|(w, _)| !cut[*w]) {
                for (from, to, forward) in [(way.a, way.b, true), (way.b, way.a, false)] {
                    if way.one_way && !forward && !start.both_ways {
                        continue;
                    }
                    for doubt in 0..2 {
                        let after = doubt.max(usize::from(way.doubtful));
                        let held = after == 1 && in_table(&start.held, to);
                        if on[s][doubt][from] && !in_table(&start.never, to) && !held {
                            on[s][after][to] = true;
                        }
                    }
                }
            }
        }
        if on == before {
            break;
        }
    }
    (0..net.points).map(|p| on.iter().any(|pole| pole[0][p] || pole[1][p])).collect()
}

fn reaches(net: &Net, area: &[usize], done: u32, gone: &[bool]) -> bool {
    let points = energised(net, done, gone);
    area.iter().any(|p| points[*p])
}

/// Least cost of getting at all actions of a set: every set of parts that can come out is tried.
fn least_access(net: &Net, parts: &Problem, done: u32) -> f64 {
    let mut least = f64::INFINITY;
    for out in 0..1_u32 << PARTS {
        let is_out = |p: usize| out & (1 << p) != 0;
        let sound =
            parts.removals.iter().all(|r| !is_out(r.part.0) || r.needs.iter().all(|n| is_out(n.0)));
        let chosen = (0..net.actions.len()).filter(|a| done & (1 << a) != 0);
        let mut reach = chosen.map(|a| &net.actions[a].reach);
        if sound && reach.all(|reach| reach.iter().any(|set| set.iter().all(|p| is_out(p.0)))) {
            let minutes = parts.removals.iter().filter(|r| is_out(r.part.0));
            least = least.min(minutes.map(|r| r.minutes_out.likely_min * MINUTE).sum());
        }
    }
    least
}

fn own_cost(net: &Net, done: u32) -> f64 {
    let chosen = (0..net.actions.len()).filter(|a| done & (1 << a) != 0);
    let minutes = chosen.map(|a| {
        let action = &net.actions[a];
        action.minutes + action.back_min + action.risk_min
    });
    minutes.sum::<f64>() * MINUTE
}

/// Every bare action of the set is made dead by the covered ones of the set.
fn lugs_are_dead(net: &Net, done: u32, covered: u32) -> bool {
    let none = vec![false; net.starts.len()];
    let touched = |a: usize, done: u32| {
        let points = energised(net, done, &none);
        net.actions[a].at.iter().any(|p| points[*p])
    };
    let mut bare = (0..net.actions.len()).filter(|a| (done & !covered) & (1 << a) != 0);
    bare.all(|a| !touched(a, done & covered))
}

/// Covered actions against which no current stands.
fn fit(net: &Net) -> u32 {
    let fit =
        |a: &usize| net.actions[*a].touch == Touch::Covered && net.actions[*a].loaded_by.is_empty();
    (0..net.actions.len()).filter(fit).map(|a| 1_u32 << a).sum()
}

/// An action breaks no current it is not made for, once the fit ones of the set are done: for each pole
/// that drives it, alone.
fn breaks_none(net: &Net, action: usize, done: u32) -> bool {
    let mut driven = net.clone();
    for action in &mut driven.actions {
        action.stops.extend(action.calms.clone());
    }
    let row = &net.actions[action];
    let ends = row.cuts.iter().flat_map(|way| [net.ways[*way].a, net.ways[*way].b]);
    let poles = row.stops.iter().flat_map(|start| net.starts[*start].points.clone());
    let at: Vec<usize> = ends.chain(poles).collect();
    row.loaded_by.iter().all(|pole| {
        let by_itself = |start: usize| net.starts[start].fed_by.is_empty();
        let others = (0..net.starts.len()).map(|start| by_itself(start) && start != *pole);
        let points = energised(&driven, done & fit(net), &others.collect::<Vec<bool>>());
        !at.iter().any(|point| points[*point])
    })
}

/// Actions that can be done at all: those whose current can be taken away, and of the bare ones those
/// that all covered ones together make dead.
fn offered(net: &Net, covered: u32) -> u32 {
    let none = vec![false; net.starts.len()];
    let all = (1 << net.actions.len()) - 1;
    let calm: u32 =
        (0..net.actions.len()).filter(|a| breaks_none(net, *a, all)).map(|a| 1 << a).sum();
    let points = energised(net, covered & calm, &none);
    let dead = |a: &usize| !net.actions[*a].at.iter().any(|p| points[*p]);
    let offered = |a: &usize| calm & (1 << a) != 0 && (covered & (1 << a) != 0 || dead(a));
    (0..net.actions.len()).filter(offered).map(|a| 1 << a).sum()
}

/// A question looked at by brute force.
struct Tried {
    net: Net,
    parts: Problem,
    covered: u32,
    /// Everything that is offered, done.
    all: u32,
    none: Vec<bool>,
}

impl Tried {
    fn new(seed: u64) -> Tried {
        let mut rng = Rng::with_seed(seed);
        let parts = problem(&mut rng, PARTS);
        let net = net(&mut rng, PARTS);
        let is_covered = |a: &usize| net.actions[*a].touch == Touch::Covered;
        let covered = (0..net.actions.len()).filter(is_covered).map(|a| 1_u32 << a).sum();
        let (all, none) = (offered(&net, covered), vec![false; net.starts.len()]);
        Tried { net, parts, covered, all, none }
    }

    /// Poles that feed by themselves.
    fn primary(&self) -> Vec<usize> {
        (0..self.net.starts.len()).filter(|s| self.net.starts[*s].fed_by.is_empty()).collect()
    }

    /// All other poles that feed by themselves, left out.
    fn alone(&self, start: usize) -> Vec<bool> {
        let primary = self.primary();
        (0..self.net.starts.len()).map(|other| other != start && primary.contains(&other)).collect()
    }

    /// Poles that nothing keeps from the whole area.
    fn cannot(&self) -> Vec<usize> {
        let reaches = |s: &usize| reaches(&self.net, &self.net.area, self.all, &self.alone(*s));
        self.primary().into_iter().filter(reaches).collect()
    }

    /// Points of the area that nothing makes dead.
    fn stay(&self) -> Vec<usize> {
        let always = energised(&self.net, self.all, &self.none);
        let area = self.net.area.iter().copied();
        let mut stay: Vec<usize> = area.filter(|point| always[*point]).collect();
        stay.sort_unstable();
        stay
    }

    /// By pole, the points of the area it can be kept from, and so has to be.
    fn demanded(&self) -> Vec<(Vec<bool>, Vec<usize>)> {
        let demanded = |s: usize| {
            let alone = self.alone(s);
            let reached = energised(&self.net, self.all, &alone);
            let area = self.net.area.iter().copied();
            (alone, area.filter(|point| !reached[*point]).collect())
        };
        self.primary().into_iter().map(demanded).collect()
    }

    fn works(&self, done: u32, demanded: &[(Vec<bool>, Vec<usize>)]) -> bool {
        let chosen = (0..self.net.actions.len()).filter(|a| done & (1 << a) != 0);
        lugs_are_dead(&self.net, done, self.covered)
            && chosen.into_iter().all(|a| breaks_none(&self.net, a, done))
            && demanded.iter().all(|(alone, area)| !reaches(&self.net, area, done, alone))
    }

    /// The least cost of a set that works, every set tried.
    fn least(&self, demanded: &[(Vec<bool>, Vec<usize>)]) -> f64 {
        let offered = (0..=self.all).filter(|done| done & !self.all == 0);
        let mut sets: Vec<(f64, u32)> =
            offered.map(|done| (own_cost(&self.net, done), done)).collect();
        sets.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut best = f64::INFINITY;
        for (own, done) in sets {
            if own >= best {
                break;
            }
            let cost = own + least_access(&self.net, &self.parts, done);
            if cost < best && self.works(done, demanded) {
                best = cost;
            }
        }
        best
    }
}

#[test]
fn nothing_that_works_is_cheaper_in_1000_random_questions() {
    let (mut with_plan, mut left, mut with_lugs, mut empty) = (0, 0, 0, 0);
    let (mut calmed, mut refused) = (0, 0);
    for seed in 0..1_000 {
        let tried = Tried::new(seed);
        let costing = costing();
        let (problem, effort) = (&tried.parts, Effort::USUAL);
        let ground = Ground { problem, costing: &costing, also: &[], effort };
        let answer = cheapest(&tried.net, &ground).expect("the question is sound");

        let mut told = answer.left.clone();
        told.sort_unstable();
        assert_eq!(told, tried.cannot(), "seed {seed}: poles nothing can separate");
        assert_eq!(answer.stay_live, tried.stay(), "seed {seed}: points nothing makes dead");
        let demanded = tried.demanded();
        let least = tried.least(&demanded);
        let (cost, chosen) = (answer.cost_minor, &answer.chosen);
        assert!(
            (cost - least).abs() < 1e-6,
            "seed {seed}: planned {cost} for {chosen:?}, but {least} works"
        );
        assert_eq!(answer.proof, access::Proof::Optimal, "seed {seed}");
        let chosen: u32 = chosen.iter().map(|a| 1 << a).sum();
        assert!(tried.works(chosen, &demanded), "seed {seed}: the plan does not work");
        let loaded =
            |a: &usize| chosen & (1 << a) != 0 && !tried.net.actions[*a].loaded_by.is_empty();
        calmed += u32::from((0..tried.net.actions.len()).any(|a| loaded(&a)));
        refused += u32::from(!answer.under_load.is_empty());
        assert!(answer.under_load.iter().all(|a| tried.all & (1 << a) == 0), "seed {seed}");
        with_plan += u32::from(chosen != 0);
        left += u32::from(!told.is_empty());
        with_lugs += u32::from(chosen & !tried.covered != 0);
        empty += u32::from(chosen == 0);
    }
    // Each sort of answer must have had its share, or the comparison says little.
    assert!(
        with_plan > 300 && left > 100 && with_lugs > 100 && empty > 50,
        "{with_plan} with a plan, {left} with a pole left, {with_lugs} with lugs, {empty} empty"
    );
    assert!(calmed > 50 && refused > 50, "{calmed} with current taken away, {refused} refused");
}
