//! Questions for the planner, drawn at random, with its answers.
//!
//! `ways time PARTS REMOVALS SEEDS` plans so many of each kind and prints one JSON line each with
//! the milliseconds this process spent on it. `ways questions PARTS REMOVALS SEEDS` prints the
//! questions themselves as well, for a reference programme to solve.
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

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let number = |index: usize| arguments.get(index).and_then(|text| text.parse().ok());
    let (Some(task), Some(parts), Some(removals), Some(seeds)) =
        (arguments.first(), number(1), number(2), number(3))
    else {
        println!("usage: ways time|questions PARTS REMOVALS SEEDS");
        return;
    };
    for kind in draw::KINDS {
        for seed in std::env::var("SEED").map_or(0, |s| s.parse().unwrap())..seeds {
            if std::env::var("KIND").is_ok_and(|k| k != kind) {
                continue;
            }
            let (problem, targets) = draw::draw(kind, parts, removals, seed as u64);
            let (answer, elapsed_ms) = timed(&problem, &targets);
            let question = match task.as_str() {
                "questions" => question(&problem, &targets),
                _ => String::new(),
            };
            println!(
                r#"{{"kind":"{kind}","parts":{parts},"seed":{seed},"ms":{elapsed_ms:.3}{}{question}}}"#,
                told(&answer)
            );
        }
    }
}

/// The answer and the time on a processor it took.
fn timed(problem: &Problem, targets: &[Target]) -> (Result<Plan, NoPlan>, f64) {
    let (busy, wall) = (busy_ms(), Instant::now());
    let answer = plan(problem, targets, &COSTING);
    let wall_ms = wall.elapsed().as_secs_f64() * 1e3;
    (answer, busy_ms().zip(busy).map_or(wall_ms, |(after, before)| after - before))
}

/// Milliseconds this process has spent on a processor so far (proc_pid_schedstat(5)): a busy
/// machine does not lengthen it. `None` where the kernel does not tell.
fn busy_ms() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/self/schedstat").ok()?;
    let nanoseconds: f64 = text.split_whitespace().next()?.parse().ok()?;
    Some(nanoseconds / 1e6)
}

fn told(answer: &Result<Plan, NoPlan>) -> String {
    match answer {
        Err(_) => r#","cost":null"#.to_owned(),
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
