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

/// Covered actions, and the bare ones that all covered ones together make dead.
fn offered(net: &Net, covered: u32) -> u32 {
    let none = vec![false; net.starts.len()];
    let points = energised(net, covered, &none);
    let dead = |a: &usize| !net.actions[*a].at.iter().any(|p| points[*p]);
    (0..net.actions.len()).filter(|a| covered & (1 << a) != 0 || dead(a)).map(|a| 1 << a).sum()
}

#[test]
fn nothing_that_works_is_cheaper_in_1000_random_questions() {
    let (mut with_plan, mut left, mut with_lugs, mut empty) = (0, 0, 0, 0);
    for seed in 0..1_000 {
        let mut rng = Rng::with_seed(seed);
        let parts = problem(&mut rng, PARTS);
        let net = net(&mut rng, PARTS);
        let costing = costing();
        let ground =
            Ground { problem: &parts, costing: &costing, also: &[], effort: Effort::USUAL };
        let answer = cheapest(&net, &ground).expect("the question is sound");

        let covered: u32 = (0..net.actions.len())
            .filter(|a| net.actions[*a].touch == Touch::Covered)
            .map(|a| 1 << a)
            .sum();
        let all = offered(&net, covered);
        let primary = |s: usize| net.starts[s].fed_by.is_empty();
        let alone = |s: usize| -> Vec<bool> {
            (0..net.starts.len()).map(|other| other != s && primary(other)).collect()
        };
        let cannot: Vec<usize> = (0..net.starts.len())
            .filter(|s| primary(*s) && reaches(&net, &net.area, all, &alone(*s)))
            .collect();
        let mut told = answer.left.clone();
        told.sort_unstable();
        assert_eq!(told, cannot, "seed {seed}: poles nothing can separate");

        let none = vec![false; net.starts.len()];
        let always = energised(&net, all, &none);
        let mut stay: Vec<usize> =
            net.area.iter().copied().filter(|point| always[*point]).collect();
        stay.sort_unstable();
        assert_eq!(answer.stay_live, stay, "seed {seed}: points nothing makes dead");
        // Each pole that can be kept from a point of the area has to be.
        let demanded: Vec<(usize, Vec<usize>)> = (0..net.starts.len())
            .filter(|s| primary(*s))
            .map(|s| {
                let reached = energised(&net, all, &alone(s));
                (s, net.area.iter().copied().filter(|point| !reached[*point]).collect())
            })
            .collect();

        let works = |done: u32| {
            lugs_are_dead(&net, done, covered)
                && demanded.iter().all(|(s, area)| !reaches(&net, area, done, &alone(*s)))
        };
        let mut sets: Vec<(f64, u32)> = (0..=all)
            .filter(|done| done & !all == 0)
            .map(|done| (own_cost(&net, done), done))
            .collect();
        sets.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut best = f64::INFINITY;
        for (own, done) in sets {
            if own >= best {
                break;
            }
            let cost = own + least_access(&net, &parts, done);
            if cost < best && works(done) {
                best = cost;
            }
        }
        assert!(
            (answer.cost_minor - best).abs() < 1e-6,
            "seed {seed}: planned {} for {:?}, but {best} works",
            answer.cost_minor,
            answer.chosen
        );
        assert_eq!(answer.proof, access::Proof::Optimal, "seed {seed}");
        let chosen: u32 = answer.chosen.iter().map(|a| 1 << a).sum();
        assert!(works(chosen), "seed {seed}: {:?} does not work", answer.chosen);
        let lugs = chosen & !covered != 0;
        (with_plan, left, with_lugs, empty) = (
            with_plan + u32::from(chosen != 0),
            left + u32::from(!cannot.is_empty()),
            with_lugs + u32::from(lugs),
            empty + u32::from(chosen == 0),
        );
    }
    // Each sort of answer must have had its share, or the comparison says little.
    assert!(
        with_plan > 300 && left > 100 && with_lugs > 100 && empty > 50,
        "{with_plan} with a plan, {left} with a pole left, {with_lugs} with lugs, {empty} empty"
    );
}
