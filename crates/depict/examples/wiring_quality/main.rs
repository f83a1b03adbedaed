//! Measures the layout of wiring drawings: the example records and fifty invented vehicles, as a
//! table in Markdown. `cargo run --release -p depict --example wiring_quality [-- --detail]`; with
//! `--time WIRES` the time that one drawing takes, as JSON.

#![allow(clippy::print_stdout, clippy::print_stderr, reason = "a command-line example")]

#[allow(dead_code, reason = "shared with the tests")]
mod measure;

use std::process::ExitCode;

use analysis::Case;
use depict::{Overlay, Paper};
use measure::{Quality, measure};
use testkit::{SHIPPED, Size};

/// Wires of the invented vehicles: ten of each size.
const SIZES: [usize; 5] = [30, 60, 100, 150, 300];
const EACH: u64 = 10;

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().collect();
    if let [_, flag, wires] = &words[..]
        && flag == "--time"
    {
        return time(wires.parse().unwrap_or(150));
    }
    let wants_detail = std::env::args().any(|word| word == "--detail");
    println!(
        "| vehicle | paper | sheets | wires | symbols | symbol overlaps | label collisions | lines through symbols | lines on lines | beyond the sheet | crossings | bends | smallest capitals, mm |"
    );
    println!("|---|---|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|");
    let mut faults = 0;
    let mut report = |name: &str, paper: &str, quality: &Quality| {
        println!(
            "| {name} | {paper} | {} | {} | {} | {} | {} | {} | {} | {} | {} | {} | {:.2} |",
            quality.sheets,
            quality.wires,
            quality.symbols,
            quality.overlaps.len(),
            quality.collisions.len(),
            quality.through.len(),
            quality.shared.len(),
            quality.outside.len(),
            quality.crossings,
            quality.bends,
            quality.least_capital_mm
        );
        faults += quality.faults().len();
        if wants_detail {
            quality.faults().iter().for_each(|fault| eprintln!("{name}: {fault}"));
        }
    };
    for (name, text) in SHIPPED {
        let case = Case::of(text);
        report(name, "A3", &of(&case, Overlay::Nothing, Paper::A3));
        report(&format!("{name}, what fails"), "A3", &of(&case, Overlay::Findings, Paper::A3));
        report(&format!("{name}, what fails"), "A4", &of(&case, Overlay::Findings, Paper::A4));
        let mut states = Quality::default();
        for state in case.state_names() {
            states.add(of(&case, Overlay::State(&state), Paper::A3));
        }
        report(&format!("{name}, all states"), "A3", &states);
        report(name, "letter", &of(&case, Overlay::Nothing, Paper::Letter));
    }
    for wires in SIZES {
        let mut all = Quality::default();
        for seed in 1..=EACH {
            let text = testkit::vehicle(seed, Size { wires, parts: 60 });
            all.add(of(&Case::of(&text), Overlay::Nothing, Paper::A3));
        }
        report(&format!("ten invented vehicles of {wires} wires"), "A3", &all);
    }
    if faults > 0 {
        eprintln!("{faults} faults");
        return ExitCode::FAILURE;
    }
    ExitCode::SUCCESS
}

/// Time of one wiring drawing of an invented vehicle, sheets and all, from the analysed record on.
fn time(wires: usize) -> ExitCode {
    let case = Case::of(&testkit::vehicle(3, Size { wires, parts: 60 }));
    let start = std::time::Instant::now();
    let sheets = depict::wiring(&case, Overlay::Nothing, Paper::A3).len();
    let elapsed_us = start.elapsed().as_secs_f64() * 1e6;
    println!("{{\"wires\":{wires},\"sheets\":{sheets},\"drawing_us\":{elapsed_us:.0}}}");
    ExitCode::SUCCESS
}

fn of(case: &Case, overlay: Overlay<'_>, paper: Paper) -> Quality {
    let mut all = Quality::default();
    for picture in depict::wiring(case, overlay, paper) {
        all.add(measure(&picture.svg));
    }
    all
}
