//! Short ways to write a question, and an exhaustive answer to compare with. The exhaustive answer
//! shares nothing with the planner: it walks all sets of removed parts in order of rising cost.
#![allow(dead_code, reason = "each test file uses its own part of this")]

use std::collections::{BTreeMap, BinaryHeap};

use access::{
    Breakage, Costing, Damage, Part, PartIdx, Permitted, Plan, Presence, Problem, Removal, Setup,
    SetupIdx, Spread, Standing, Target,
};

/// A minute is worth 100 minor units, anything goes, unpriced damage counts nothing.
pub(crate) const PLAIN: Costing = Costing {
    value_of_a_minute: 100.0,
    allow: Permitted::Anything,
    if_unpriced: Breakage { probability: 0.0, cost_minor: 0 },
};

pub(crate) fn parts(names: &[&str]) -> Vec<Part> {
    let fitted = |name: &&str| Part { name: (*name).to_owned(), presence: Presence::Fitted };
    names.iter().map(fitted).collect()
}

/// A removal without damage that takes `minutes` out and nothing back.
pub(crate) fn removal(part: usize, needs: &[usize], minutes: f64) -> Removal {
    Removal {
        part: PartIdx(part),
        label: format!("take out {part}"),
        needs: needs.iter().copied().map(PartIdx).collect(),
        setups: Vec::new(),
        minutes_out: Spread::exactly(minutes),
        minutes_back: Spread::exactly(0.0),
        breakage: None,
        damage: Damage::None,
    }
}

pub(crate) fn target(ways: &[&[usize]]) -> Target {
    let way = |way: &&[usize]| way.iter().copied().map(PartIdx).collect();
    Target { name: "wanted".to_owned(), ways: ways.iter().map(way).collect() }
}

/// A setup of `minutes`, not there yet.
pub(crate) fn setup(name: &str, minutes: f64) -> Setup {
    Setup {
        name: name.to_owned(),
        minutes_out: Spread::exactly(minutes),
        minutes_back: Spread::exactly(0.0),
        standing: Standing::ToDo,
    }
}

/// Least cost and, at that cost, fewest removals; `None` when the targets cannot be reached.
pub(crate) fn exhaustive(
    problem: &Problem,
    targets: &[Target],
    costing: &Costing,
) -> Option<(f64, u32)> {
    let moves = moves(problem, costing);
    let mut queue = BinaryHeap::from([std::cmp::Reverse((0_u64, 0_u32, at_first(problem)))]);
    let mut settled = BTreeMap::new();
    while let Some(std::cmp::Reverse((cost, count, state))) = queue.pop() {
        if settled.insert(state, ()).is_some() {
            continue;
        }
        if targets.iter().all(|t| t.ways.iter().any(|way| mask(way) & state == mask(way))) {
            return Some((cost as f64 / 1000.0, count));
        }
        for made in &moves {
            let next = state | made.gives;
            if next != state && made.needs & state == made.needs && !settled.contains_key(&next) {
                let count = count + made.counts;
                queue.push(std::cmp::Reverse((cost + made.price, count, next)));
            }
        }
    }
    None
}

/// What can be done once: a removal, or putting a setup in place.
pub(crate) struct Move {
    pub(crate) needs: u64,
    pub(crate) gives: u64,
    price: u64,
    /// 1 for a removal, 0 for a setup.
    counts: u32,
}

/// Everything permitted that can be done. Parts are the low bits of a mask, setups follow.
pub(crate) fn moves(problem: &Problem, costing: &Costing) -> Vec<Move> {
    let usable =
        |r: &&Removal| costing.allow == Permitted::Anything || r.damage != Damage::Destroys;
    let removals = problem.removals.iter().filter(usable).map(|r| Move {
        needs: r.setups.iter().fold(mask(&r.needs), |mask, s| mask | setup_bit(problem, s.0)),
        gives: 1 << r.part.0,
        price: thousandths(cost_minor(r, costing)),
        counts: 1,
    });
    let wanting = problem.setups.iter().enumerate().filter(|(_, s)| s.standing == Standing::ToDo);
    let setups = wanting.map(|(index, s)| Move {
        needs: 0,
        gives: setup_bit(problem, index),
        price: thousandths(setup_minor(s, costing)),
        counts: 0,
    });
    removals.chain(setups).collect()
}

pub(crate) fn setup_bit(problem: &Problem, setup: usize) -> u64 {
    1 << (problem.parts.len() + setup)
}

/// Parts that are out and setups that are in place when work starts.
pub(crate) fn at_first(problem: &Problem) -> u64 {
    let in_place =
        problem.setups.iter().enumerate().filter(|(_, s)| s.standing == Standing::InPlace);
    let out = mask_where(problem, |part| part.presence == Presence::Out);
    in_place.fold(out, |mask, (index, _)| mask | setup_bit(problem, index))
}

/// Parts that can come out at all, and setups that can be had, as a mask.
pub(crate) fn can_be_had(problem: &Problem, costing: &Costing) -> u64 {
    let moves = moves(problem, costing);
    let mut state = at_first(problem);
    loop {
        let before = state;
        for made in moves.iter().filter(|made| made.needs & before == made.needs) {
            state |= made.gives;
        }
        if state == before {
            return state;
        }
    }
}

/// Replays a plan on the problem: order, reach, reasons and sums.
pub(crate) fn assert_plan_works(
    problem: &Problem,
    targets: &[Target],
    costing: &Costing,
    plan: &Plan,
) {
    let mut out = at_first(problem);
    let mut cost = 0.0;
    for used in &plan.setups {
        let setup = problem.setup(used.setup).expect("a setup that exists");
        assert_eq!(setup.standing, Standing::ToDo);
        let uses = |step: &usize| {
            problem.removals[plan.steps[*step].removal.0].setups.contains(&used.setup)
        };
        assert!(!used.steps.is_empty() && used.steps.iter().all(uses), "nobody uses it: {plan:?}");
        out |= setup_bit(problem, used.setup.0);
        cost += setup_minor(setup, costing);
    }
    for step in &plan.steps {
        let removal = problem.removal(step.removal).expect("a step names a removal");
        assert_eq!(removal.part, step.part);
        assert!(removal.setups.iter().all(|s| out & setup_bit(problem, s.0) != 0), "{plan:?}");
        assert_eq!(mask(&removal.needs) & !out, 0, "a need is still in place: {plan:?}");
        assert_eq!(out & (1 << step.part.0), 0, "removed twice: {plan:?}");
        assert!(!step.because.is_empty(), "a step without a reason: {plan:?}");
        out |= 1 << step.part.0;
        cost += cost_minor(removal, costing);
    }
    for (target, way) in targets.iter().zip(&plan.ways) {
        let way = way.expect("every target has a way");
        assert_eq!(mask(&target.ways[way]) & !out, 0, "target still hidden: {plan:?}");
    }
    assert!((cost - plan.cost_minor).abs() < 1e-3, "{cost} is not {}", plan.cost_minor);
}

pub(crate) fn setup_minor(setup: &Setup, costing: &Costing) -> f64 {
    let mean = |t: Spread| (t.low_min + 4.0 * t.likely_min + t.high_min) / 6.0;
    (mean(setup.minutes_out) + mean(setup.minutes_back)) * costing.value_of_a_minute
}

pub(crate) fn cost_minor(removal: &Removal, costing: &Costing) -> f64 {
    let mean = |t: Spread| (t.low_min + 4.0 * t.likely_min + t.high_min) / 6.0;
    let minutes = mean(removal.minutes_out) + mean(removal.minutes_back);
    let breakage = match (removal.breakage, removal.damage) {
        (Some(b), _) => b.probability * b.cost_minor as f64,
        (None, Damage::None) => 0.0,
        (None, Damage::MayBreak) => {
            costing.if_unpriced.probability * costing.if_unpriced.cost_minor as f64
        }
        (None, Damage::Destroys) => costing.if_unpriced.cost_minor as f64,
    };
    minutes * costing.value_of_a_minute + breakage
}

pub(crate) fn mask(parts: &[PartIdx]) -> u64 {
    parts.iter().fold(0, |mask, part| mask | 1 << part.0)
}

fn mask_where(problem: &Problem, holds: impl Fn(&Part) -> bool) -> u64 {
    let indices = (0..problem.parts.len()).filter(|index| holds(&problem.parts[*index]));
    indices.fold(0, |mask, index| mask | 1 << index)
}

fn thousandths(cost_minor: f64) -> u64 {
    (cost_minor * 1000.0).round() as u64
}

/// Repeatable numbers for generated cases: splitmix64 (Steele, Lea and Flood 2014).
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    pub(crate) fn below(&mut self, bound: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) % bound as u64) as usize
    }

    /// A set of up to `most` parts out of `parts`, without `except`.
    pub(crate) fn set(&mut self, most: usize, parts: usize, except: usize) -> Vec<usize> {
        let count = self.below(most + 1);
        let drawn: Vec<usize> = (0..count).map(|_| self.below(parts)).collect();
        drawn.into_iter().filter(|part| *part != except).collect()
    }
}

/// A tangle of parts: one to three removals each (now and then none), needs anywhere, so circles
/// are common; some parts out already, some removals damaging; up to three setups, some of them in
/// place already, some missing, each used by one removal in five.
pub(crate) fn tangle(dice: &mut Dice, size: usize) -> (Problem, Vec<Target>, Costing) {
    let mut problem = Problem::default();
    for index in 0..dice.below(4) {
        let mut new = setup(&format!("S{index}"), (dice.below(12) * 3) as f64 / 2.0);
        new.minutes_back.high_min = dice.below(7) as f64;
        new.standing = match dice.below(6) {
            0 => Standing::InPlace,
            1 => Standing::Missing,
            _ => Standing::ToDo,
        };
        problem.setups.push(new);
    }
    for index in 0..size {
        let presence = if dice.below(12) == 0 { Presence::Out } else { Presence::Fitted };
        problem.parts.push(Part { name: format!("P{index}"), presence });
        let methods = [0, 1, 1, 1, 2, 2, 2, 3][dice.below(8)];
        for _ in 0..methods {
            let needs = dice.set(3, size, index);
            let mut new = removal(index, &needs, (dice.below(9) * 3) as f64 / 2.0);
            new.minutes_back = Spread {
                low_min: dice.below(2) as f64,
                likely_min: (1 + dice.below(3)) as f64,
                high_min: (4 + dice.below(8)) as f64,
            };
            let used = (0..problem.setups.len()).filter(|_| dice.below(5) == 0);
            new.setups = used.map(SetupIdx).collect();
            match dice.below(6) {
                0 => {
                    new.damage = Damage::MayBreak;
                    let cost_minor = (dice.below(10) * 100) as u64;
                    new.breakage = Some(Breakage { probability: 0.25, cost_minor });
                }
                1 => new.damage = Damage::Destroys,
                _ => {}
            }
            problem.removals.push(new);
        }
    }
    let mut targets = Vec::new();
    for _ in 0..=dice.below(3) {
        let ways: Vec<Vec<usize>> =
            (0..=dice.below(2)).map(|_| dice.set(3, size, usize::MAX)).collect();
        let ways: Vec<&[usize]> = ways.iter().map(Vec::as_slice).collect();
        targets.push(target(&ways));
    }
    let allow = [Permitted::Anything, Permitted::NothingDestroyed][dice.below(2)];
    let if_unpriced = Breakage { probability: 0.5, cost_minor: 600 };
    (problem, targets, Costing { value_of_a_minute: 120.0, allow, if_unpriced })
}
