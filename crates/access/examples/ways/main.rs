//! Questions for the planner, drawn at random, with its answers, one JSON line each.
//!
//! - `ways time PARTS REMOVALS SEEDS`: plans so many questions of each kind; `ms` is the time it
//!   took.
//! - `ways questions PARTS REMOVALS SEEDS`: the same with the questions themselves, for a reference
//!   programme to solve.
//! - `ways graphs`: 200 questions of 30 to 120 parts, of sizes that the reference programme can
//!   finish.
#![expect(clippy::print_stdout, reason = "an example reports on standard output")]

mod draw;

use std::fmt::Write as _;
use std::time::Instant;

use access::{Breakage, Costing, NoPlan, Permitted, Plan, Problem, Proof, Spread, Target, plan};

const COSTING: Costing = Costing {
    value_of_a_minute: 120.0,
    allow: Permitted::Anything,
    if_unpriced: Breakage { probability: 0.5, cost_minor: 5_000 },
};
/// Seeds of each kind in `graphs`.
const GRAPHS: usize = 40;
/// Below this a time is measured on the wall, as the best of three.
const SHORT_MS: f64 = 50.0;

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let number = |index: usize| arguments.get(index).and_then(|text| text.parse().ok());
    match (arguments.first().map(String::as_str), number(1), number(2), number(3)) {
        (Some("graphs"), ..) => graphs(),
        (Some(task), Some(parts), Some(removals), Some(seeds)) => {
            let told = if task == "questions" { Told::Whole } else { Told::Answer };
            for kind in draw::KINDS {
                (0..seeds).for_each(|seed| report(kind, parts, removals, seed, told));
            }
        }
        _ => println!("usage: ways time|questions PARTS REMOVALS SEEDS, or ways graphs"),
    }
}

/// What is printed of a question.
#[derive(Clone, Copy, PartialEq)]
enum Told {
    Answer,
    Whole,
}

fn graphs() {
    for kind in draw::KINDS {
        let largest = match kind {
            "van" | "tangle" => 120,
            "cover" => 60,
            _ => 40,
        };
        for seed in 0..GRAPHS {
            let parts = 30 + (largest - 30) * seed / (GRAPHS - 1);
            report(kind, parts, parts * 5 / 2, 1_000 + seed, Told::Whole);
        }
    }
}

fn report(kind: &str, parts: usize, removals: usize, seed: usize, told: Told) {
    let (problem, targets) = draw::draw(kind, parts, removals, seed as u64);
    let (answer, elapsed_ms) = timed(&problem, &targets);
    let answer = answered(&answer);
    let question = match told {
        Told::Whole => question(&problem, &targets),
        Told::Answer => String::new(),
    };
    println!(
        r#"{{"kind":"{kind}","parts":{parts},"seed":{seed},"ms":{elapsed_ms:.4}{answer}{question}}}"#
    );
}

/// The answer and how long it took: on the wall if that is short, on a processor if not.
fn timed(problem: &Problem, targets: &[Target]) -> (Result<Plan, NoPlan>, f64) {
    let (busy, wall) = (busy_ms(), Instant::now());
    let answer = plan(problem, targets, &COSTING);
    let mut wall_ms = wall.elapsed().as_secs_f64() * 1e3;
    if wall_ms > SHORT_MS {
        return (answer, busy_ms().zip(busy).map_or(wall_ms, |(after, before)| after - before));
    }
    for _ in 0..2 {
        let again = Instant::now();
        assert_eq!(plan(problem, targets, &COSTING), answer, "the same question, another answer");
        wall_ms = wall_ms.min(again.elapsed().as_secs_f64() * 1e3);
    }
    (answer, wall_ms)
}

/// Milliseconds this process has spent on a processor so far (proc_pid_schedstat(5)): a busy
/// machine does not lengthen it. `None` where the kernel does not tell.
fn busy_ms() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/self/schedstat").ok()?;
    let nanoseconds: f64 = text.split_whitespace().next()?.parse().ok()?;
    Some(nanoseconds / 1e6)
}

fn answered(answer: &Result<Plan, NoPlan>) -> String {
    match answer {
        Err(_) => r#","cost":null,"gap":0,"nodes":0"#.to_owned(),
        Ok(plan) => {
            let gap = match plan.proof {
                Proof::Optimal => 0.0,
                Proof::Gap(gap) => gap,
            };
            format!(r#","cost":{},"gap":{gap},"nodes":{}"#, plan.cost_minor, plan.nodes)
        }
    }
}

/// Removals as `[part, [needs], [setups], cost]`, setups by cost, costs as the planner counts them.
fn question(problem: &Problem, targets: &[Target]) -> String {
    let minor =
        |out: Spread, back: Spread| (out.mean_min() + back.mean_min()) * COSTING.value_of_a_minute;
    let mut text = String::from(r#","removals":["#);
    for (index, removal) in problem.removals.iter().enumerate() {
        let needs: Vec<usize> = removal.needs.iter().map(|need| need.0).collect();
        let setups: Vec<usize> = removal.setups.iter().map(|setup| setup.0).collect();
        let breakage = removal.breakage.map_or(0.0, |b| b.probability * b.cost_minor as f64);
        let cost = minor(removal.minutes_out, removal.minutes_back) + breakage;
        let comma = if index == 0 { "" } else { "," };
        let _ = write!(text, "{comma}[{},{needs:?},{setups:?},{cost}]", removal.part.0);
    }
    let setups: Vec<f64> =
        problem.setups.iter().map(|setup| minor(setup.minutes_out, setup.minutes_back)).collect();
    let ways: Vec<Vec<Vec<usize>>> = targets
        .iter()
        .map(|t| t.ways.iter().map(|way| way.iter().map(|part| part.0).collect()).collect())
        .collect();
    let _ = write!(text, r#"],"setups":{setups:?},"targets":{ways:?}"#);
    text
}
