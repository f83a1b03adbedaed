//! Times the planner: `cargo run --release -p access --example sixty_parts`.
//!
//! Invented vehicles in three tempers. "Layers": furniture in front of lining in front of skin, each
//! part behind one or two of the layer before, every third with a second method. "Tangle": two or
//! three methods for every part, needs anywhere. "Cover": forty parts, each freed by any of three
//! out of twenty, all forty wanted: the hardest kind, where every choice is shared.
#![expect(clippy::print_stdout, reason = "an example reports on standard output")]

use std::time::Instant;

use access::{
    Breakage, Costing, Damage, Part, PartIdx, Permitted, Presence, Problem, Proof, Removal, Spread,
    Target, plan,
};

fn main() {
    let costing = Costing {
        value_of_a_minute: 120.0,
        allow: Permitted::Anything,
        if_unpriced: Breakage { probability: 0.5, cost_minor: 5_000 },
    };
    for (name, size, targets) in [
        ("layers", 60, 1),
        ("layers", 60, 5),
        ("layers", 300, 10),
        ("tangle", 60, 1),
        ("tangle", 60, 5),
        ("tangle", 300, 10),
        ("cover", 60, 1),
    ] {
        report(name, size, targets, &costing);
    }
}

fn report(name: &str, size: usize, targets: usize, costing: &Costing) {
    let (mut slowest, mut nodes, mut total, mut proved, mut reachable) = (0.0_f64, 0, 0.0, 0, 0);
    for seed in 0..20 {
        let mut dice = Dice(seed);
        let problem = match name {
            "layers" => layers(&mut dice, size),
            "tangle" => tangle(&mut dice, size),
            _ => cover(&mut dice),
        };
        let wanted = match name {
            "cover" => vec![target((20..60).collect())],
            _ => (0..targets).map(|_| target(vec![size / 2 + dice.below(size / 2)])).collect(),
        };
        let start = Instant::now();
        let answer = plan(&problem, &wanted, costing);
        let milliseconds = start.elapsed().as_secs_f64() * 1e3;
        slowest = slowest.max(milliseconds);
        total += milliseconds;
        if let Ok(plan) = answer {
            reachable += 1;
            nodes = nodes.max(plan.nodes);
            proved += i32::from(plan.proof == Proof::Optimal);
        }
    }
    println!(
        "{name:>7} {size:>4} parts {targets:>3} targets: mean {:>8.3} ms, slowest {slowest:>9.3} \
         ms, at most {nodes:>6} nodes, {proved} of {reachable} reachable proved",
        total / 20.0
    );
}

fn layers(dice: &mut Dice, size: usize) -> Problem {
    let mut problem = parts(size);
    let layer = size / 6;
    for part in 0..size {
        let before = (part / layer).saturating_sub(1) * layer;
        for method in 0..=usize::from(part % 3 == 0) {
            let count = if part < layer { 0 } else { 1 + dice.below(2 + method) };
            let needs = (0..count).map(|_| before + dice.below(layer)).collect();
            problem.removals.push(removal(dice, part, needs));
        }
    }
    problem
}

fn tangle(dice: &mut Dice, size: usize) -> Problem {
    let mut problem = parts(size);
    for part in 0..size {
        for _ in 0..2 + dice.below(2) {
            let needs = match dice.below(6) {
                0 => Vec::new(),
                _ => (0..1 + dice.below(3)).map(|_| dice.below(size)).collect(),
            };
            let needs = needs.into_iter().filter(|need| *need != part).collect();
            problem.removals.push(removal(dice, part, needs));
        }
    }
    problem
}

fn cover(dice: &mut Dice) -> Problem {
    let mut problem = parts(60);
    for part in 0..20 {
        problem.removals.push(removal(dice, part, Vec::new()));
    }
    for part in 20..60 {
        for _ in 0..3 {
            let needs = vec![dice.below(20)];
            let mut free = removal(dice, part, needs);
            free.minutes_out = Spread::exactly(1.0);
            free.minutes_back = Spread::exactly(1.0);
            problem.removals.push(free);
        }
    }
    problem
}

fn parts(size: usize) -> Problem {
    let part = |n| Part { name: format!("part {n}"), presence: Presence::Fitted };
    Problem { parts: (0..size).map(part).collect(), ..Problem::default() }
}

fn removal(dice: &mut Dice, part: usize, needs: Vec<usize>) -> Removal {
    let low_min = 1.0 + dice.below(10) as f64;
    let minutes = |factor: f64| Spread {
        low_min: low_min * factor,
        likely_min: low_min * factor * 1.5,
        high_min: low_min * factor * 4.0,
    };
    let damage = [Damage::None, Damage::None, Damage::None, Damage::MayBreak][dice.below(4)];
    Removal {
        part: PartIdx(part),
        label: format!("take out part {part}"),
        needs: needs.into_iter().map(PartIdx).collect(),
        setups: Vec::new(),
        minutes_out: minutes(1.0),
        minutes_back: minutes(1.4),
        breakage: None,
        damage,
    }
}

fn target(parts: Vec<usize>) -> Target {
    let way = parts.into_iter().map(PartIdx).collect();
    Target { name: "wanted".to_owned(), ways: vec![way] }
}

/// Repeatable numbers: splitmix64.
struct Dice(u64);

impl Dice {
    fn below(&mut self, bound: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) % bound as u64) as usize
    }
}
