//! How long all checks take on invented vehicles of several sizes, as JSON for `cargo xtask bench`.
//! Reading, solving and planning ways in are done before the clock starts.
//!
//! An invented vehicle has the more states the more loads it has, and every check looks at every state.
//! So that time is held against wires alone, states beyond the first ten or so are left out.

#![allow(clippy::print_stdout, reason = "an example prints what it was asked for")]

use std::time::Instant;

use analysis::Case;
use testkit::{Size, vehicle};

const WIRES: [usize; 4] = [300, 1000, 3000, 10_000];
const ROUNDS: usize = 7;

fn main() {
    let most: usize =
        std::env::args().nth(1).and_then(|word| word.parse().ok()).unwrap_or(usize::MAX);
    let mut rows = Vec::new();
    for wires in WIRES.into_iter().filter(|wires| *wires <= most) {
        let case = Case::of(&with_few_states(&vehicle(11, Size { wires, parts: 100 })));
        // The first round plans the ways in.
        let judged: usize =
            case.tallies().iter().map(|tally| tally.holds + tally.fails + tally.cannot_tell).sum();
        let times: Vec<f64> = (0..ROUNDS)
            .map(|_| {
                let start = Instant::now();
                std::hint::black_box(case.tallies());
                start.elapsed().as_secs_f64() * 1e3
            })
            .collect();
        let states = case.state_names().len();
        rows.push(serde_json::json!({
            "wires": wires, "states": states, "judged": judged, "times_ms": times,
        }));
    }
    println!("{}", serde_json::Value::Array(rows));
}

/// The record without its numbered turns of loads.
fn with_few_states(text: &str) -> String {
    text.lines().filter(|line| !line.starts_with("turn-")).map(|line| format!("{line}\n")).collect()
}
