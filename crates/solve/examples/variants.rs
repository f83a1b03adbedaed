//! Speed of variants, as one line of JSON: 2,000 single faults and 20,000 pairs of faults of the
//! 200-node tree. The singles are every resistor but the battery's own, open (10 megohm) or with
//! 0.02 to 50 ohm more. `--deck` prints the same singles as one ngspice run with `alter` instead;
//! `--trees N` times one operating point and the variants of N such trees joined in a row.
//!
//! Usage: `variants [--deck | --trees N]`.

#![allow(clippy::print_stdout, reason = "printing is what this program does")]

use std::fmt::Write as _;
use std::process::ExitCode;
use std::time::Instant;

use circuit::{BranchId, Change, Circuit, Element, NodeId, Parameter, deck_node, netlist};
use solve::variants::Variants;
use solve::{Options, operating_point};

#[path = "support/tree.rs"]
mod tree;

const SINGLES: usize = 2000;
const PAIRS: usize = 20_000;
/// Faults that pairs are drawn from.
const POOL: usize = 600;
const OPEN_OHM: f64 = 1e7;
const MORE_OHM: [f64; 10] = [0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 50.0];
/// Nodes read in every variant.
const READ: [&str; 3] = ["busp", "e3", "f3"];
const SEED: u64 = 7;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    match arguments.as_slice() {
        [] => measure_tree(),
        ["--deck"] => println!("{}", deck(&tree::tree())),
        ["--trees", count] => match count.parse() {
            Ok(count) => measure_trees(count),
            Err(_) => return ExitCode::from(2),
        },
        _ => {
            println!("usage: variants [--deck | --trees N]");
            return ExitCode::from(2);
        }
    }
    ExitCode::SUCCESS
}

/// Every resistor but the battery's own: its branch, its resistance and that of the fault.
fn faults(circuit: &Circuit) -> Vec<(BranchId, f64, f64)> {
    let resistors: Vec<(BranchId, f64)> = circuit
        .branches()
        .filter(|(_, b)| !b.name.ends_with("int"))
        .filter_map(|(id, b)| match b.element {
            Element::Resistor { ohm, .. } => Some((id, ohm)),
            _ => None,
        })
        .collect();
    let open = resistors.iter().map(|&(id, ohm)| (id, ohm, OPEN_OHM));
    let more = MORE_OHM
        .iter()
        .flat_map(|more| resistors.iter().map(move |&(id, ohm)| (id, ohm, ohm + more)));
    open.chain(more).take(SINGLES).collect()
}

fn change((branch, _, ohm): (BranchId, f64, f64)) -> Change {
    Change::Set { branch, parameter: Parameter::Ohm, value: ohm }
}

/// The faults pairs are drawn from: opens as the engine knows them, and bad joints.
fn pool(circuit: &Circuit) -> Vec<Change> {
    let opens = |(branch, _, ohm): (BranchId, f64, f64)| {
        if ohm < OPEN_OHM { change((branch, 0.0, ohm)) } else { Change::Open(branch) }
    };
    faults(circuit).into_iter().take(POOL).map(opens).collect()
}

fn read_nodes(circuit: &Circuit) -> Vec<NodeId> {
    let named = |name: &str| {
        let node = (0..circuit.node_count() as u32).map(NodeId);
        node.into_iter().find(|n| circuit.node_name(*n) == name)
    };
    READ.iter().filter_map(|name| named(name)).collect()
}

/// Sum of what was read, so that no reading can be left out; and the milliseconds it took.
fn timed(variants: &mut Variants, sets: &[Vec<Change>], nodes: &[NodeId]) -> (f64, f64) {
    let start = Instant::now();
    let mut sum = 0.0;
    for changes in sets {
        if let Ok(answer) = variants.solve(changes) {
            sum += nodes
                .iter()
                .filter_map(|&node| answer.between(node, circuit::REFERENCE))
                .sum::<f64>();
        }
    }
    (start.elapsed().as_secs_f64() * 1e3, sum)
}

fn measure_tree() {
    let circuit = tree::tree();
    let nodes = read_nodes(&circuit);
    let singles: Vec<Vec<Change>> =
        faults(&circuit).into_iter().map(|fault| vec![change(fault)]).collect();
    let pool = pool(&circuit);
    let pairs = drawn_pairs(&pool);
    // Taking the circuit in, solving and factoring it belong to the time of the singles.
    let start = Instant::now();
    let Ok(mut variants) = Variants::new(circuit) else { return };
    let (_, sum) = timed(&mut variants, &singles, &nodes);
    let singles_ms = start.elapsed().as_secs_f64() * 1e3;
    let full_singles = variants.counts().full_solves();
    let (pairs_ms, pair_sum) = timed(&mut variants, &pairs, &nodes);
    let full_pairs = variants.counts().full_solves() - full_singles;
    println!(
        "{{\"singles\":{},\"singles_ms\":{singles_ms:.3},\"singles_full\":{full_singles},\
         \"pairs\":{},\"pairs_ms\":{pairs_ms:.3},\"pairs_full\":{full_pairs},\
         \"singles_sum_v\":{sum:.9},\"pairs_sum_v\":{pair_sum:.9}}}",
        singles.len(),
        pairs.len()
    );
}

/// Pairs that look drawn at random and never change (Knuth's MMIX congruence, from memory).
fn drawn_pairs(pool: &[Change]) -> Vec<Vec<Change>> {
    let mut state = SEED;
    let mut draw = || {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        pool[(state >> 33) as usize % pool.len()]
    };
    (0..PAIRS).map(|_| vec![draw(), draw()]).collect()
}

fn measure_trees(trees: usize) {
    let circuit = tree::trees(trees);
    let count = circuit.node_count();
    let start = Instant::now();
    let mut solves = 0;
    while solves < 3 || start.elapsed().as_secs_f64() < 0.2 {
        if operating_point(&circuit, &Options::default()).is_err() {
            return;
        }
        solves += 1;
    }
    let point_us = start.elapsed().as_secs_f64() * 1e6 / f64::from(solves);
    let sets: Vec<Vec<Change>> = pool(&circuit).into_iter().map(|change| vec![change]).collect();
    let bars = [NodeId(4), NodeId(count as u32 - 1)];
    let start = Instant::now();
    let Ok(mut variants) = Variants::new(circuit) else { return };
    if variants.solve(&[]).is_err() {
        return;
    }
    let base_us = start.elapsed().as_secs_f64() * 1e6;
    // Once to find the columns, then what every further variant costs.
    timed(&mut variants, &sets, &bars);
    let (known_ms, _) = timed(&mut variants, &sets, &bars);
    let full = variants.counts().full_solves() / 2;
    println!(
        "{{\"nodes\":{count},\"point_us\":{point_us:.1},\"base_us\":{base_us:.1},\
         \"variant_us\":{:.2},\"variants\":{},\"full\":{full}}}",
        known_ms * 1e3 / sets.len() as f64,
        sets.len()
    );
}

/// The singles as one ngspice run.
fn deck(circuit: &Circuit) -> String {
    let text = netlist(circuit, "single faults of the 200-node tree", &[]);
    let mut deck = text.split(".control").next().unwrap_or_default().to_owned();
    deck.push_str(".control\nset numdgt=12\n");
    let names: Vec<String> = read_nodes(circuit)
        .into_iter()
        .map(|node| format!("v({})", deck_node(circuit, node)))
        .collect();
    for (id, was_ohm, ohm) in faults(circuit) {
        let name = format!("r{}_{}", id.0, circuit.branch(id).name);
        let _ = writeln!(deck, "alter {name} = {ohm:e}\nop\nprint {}", names.join(" "));
        let _ = writeln!(deck, "destroy all\nalter {name} = {was_ohm:e}");
    }
    deck.push_str("quit\n.endc\n.end\n");
    deck
}
