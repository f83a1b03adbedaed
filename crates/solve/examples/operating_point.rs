//! Speed of one operating point: solves a generated van-like circuit many times and prints
//! microseconds per solve as one line of JSON. `--deck` prints the circuit as a SPICE deck
//! instead, so that the same circuit can be timed in a simulator.
//!
//! Usage: `operating_point [--deck] [--nodes N] [--times N]` (200 nodes, 2000 times).

#![allow(clippy::print_stdout, reason = "printing is what this program does")]

use std::process::ExitCode;
use std::time::Instant;

use circuit::netlist;
use solve::{Options, operating_point};

#[path = "support/van.rs"]
mod van;

const SEED: u64 = 7;
/// Nodes of a generated van before its consumers.
const COMMON_NODES: u32 = 20;
/// Nodes that every consumer adds.
const NODES_PER_CONSUMER: u32 = 7;

struct Wanted {
    prints_deck: bool,
    nodes: u32,
    times: u32,
}

fn main() -> ExitCode {
    let Some(wanted) = read_arguments() else {
        println!("usage: operating_point [--deck] [--nodes N] [--times N]");
        return ExitCode::from(2);
    };
    let consumers = wanted.nodes.saturating_sub(COMMON_NODES).div_ceil(NODES_PER_CONSUMER);
    let circuit = van::van(consumers, SEED);
    if wanted.prints_deck {
        println!("{}", netlist(&circuit, "generated van", &[]));
        return ExitCode::SUCCESS;
    }
    let mut solve_us: Vec<f64> = Vec::new();
    let mut iterations = 0;
    for _ in 0..wanted.times.max(1) {
        let start = Instant::now();
        match operating_point(&circuit, &Options::default()) {
            Ok(point) => iterations = point.iterations,
            Err(trouble) => {
                println!("{{\"trouble\":\"{trouble}\"}}");
                return ExitCode::FAILURE;
            }
        }
        solve_us.push(start.elapsed().as_secs_f64() * 1e6);
    }
    solve_us.sort_by(f64::total_cmp);
    let median = solve_us[solve_us.len() / 2];
    let mean = solve_us.iter().sum::<f64>() / solve_us.len() as f64;
    println!(
        "{{\"nodes\":{},\"branches\":{},\"times\":{},\"iterations\":{iterations},\
         \"median_us\":{median:.1},\"mean_us\":{mean:.1},\"least_us\":{:.1}}}",
        circuit.node_count(),
        circuit.branch_count(),
        solve_us.len(),
        solve_us[0],
    );
    ExitCode::SUCCESS
}

fn read_arguments() -> Option<Wanted> {
    let mut wanted = Wanted { prints_deck: false, nodes: 200, times: 2000 };
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        match argument.as_str() {
            "--deck" => wanted.prints_deck = true,
            "--nodes" => wanted.nodes = arguments.next()?.parse().ok()?,
            "--times" => wanted.times = arguments.next()?.parse().ok()?,
            _ => return None,
        }
    }
    Some(wanted)
}
