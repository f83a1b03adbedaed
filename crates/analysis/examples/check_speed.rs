//! How long all checks take on invented vehicles of several sizes, and the memory that takes, as JSON for
//! `cargo xtask bench`. Reading, solving and planning ways in are done before the clock starts.
//!
//! An invented vehicle has the more states the more loads it has, and every check looks at every state.
//! So that time is held against wires alone, states beyond the first ten or so are left out.
//!
//! Two checks judge short circuits, and rest on a study of them that solves one circuit for every stud: it
//! grows with the square of the vehicle, and is told by itself, up to a size at which it takes seconds.
//! `check_speed [MOST_WIRES]`

#![allow(clippy::print_stdout, reason = "an example prints what it was asked for")]

mod measured;

use analysis::Case;
use measured::{peak_mb, timed};
use testkit::{Size, vehicle};

/// The allocator of the program, so that its times are measured.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

const WIRES: [usize; 4] = [300, 1000, 3000, 10_000];
const ROUNDS: usize = 7;
/// Short circuits are studied up to this size.
const STUDIED: usize = 1000;

fn main() {
    let most: usize =
        std::env::args().nth(1).and_then(|word| word.parse().ok()).unwrap_or(usize::MAX);
    let sizes = || WIRES.into_iter().filter(|wires| *wires <= most);
    // Short circuits last: the most memory is told as it grows.
    let mut rows: Vec<serde_json::Value> = sizes().map(all_but_shorts).collect();
    for (row, wires) in rows.iter_mut().zip(sizes()).filter(|(_, wires)| *wires <= STUDIED) {
        let case = few_states(wires);
        let (_, study_ms) = timed(|| std::hint::black_box(case.fault_level(None)).is_some());
        std::hint::black_box(case.tallies());
        row["study_ms"] = study_ms.into();
        row["study_peak_mb"] = peak_mb().into();
        row["times_with_shorts_ms"] = rounds(|| case.tallies()).into();
    }
    println!("{}", serde_json::Value::Array(rows));
}

fn all_but_shorts(wires: usize) -> serde_json::Value {
    let (case, read_ms) = timed(|| few_states(wires));
    // The first round plans the ways in.
    let judged: usize = case.tallies_without_shorts().iter().map(judged).sum();
    let times = rounds(|| case.tallies_without_shorts());
    serde_json::json!({
        "wires": wires, "states": case.state_names().len(), "judged": judged, "times_ms": times,
        "read_ms": read_ms, "peak_mb": peak_mb(),
    })
}

fn rounds<T>(run: impl Fn() -> T) -> Vec<f64> {
    (0..ROUNDS).map(|_| timed(|| std::hint::black_box(run())).1).collect()
}

fn few_states(wires: usize) -> Case {
    Case::of(&with_few_states(&vehicle(11, Size { wires, parts: 100 })))
}

fn judged(tally: &analysis::Tally) -> usize {
    tally.holds + tally.fails + tally.cannot_tell
}

/// The record without its numbered turns of loads.
fn with_few_states(text: &str) -> String {
    text.lines().filter(|line| !line.starts_with("turn-")).map(|line| format!("{line}\n")).collect()
}
