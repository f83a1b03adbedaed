//! Prints the record of an invented vehicle: `cargo run -p testkit --example print -- SEED WIRES PARTS`.

#![allow(clippy::print_stdout, clippy::print_stderr, reason = "a command-line example")]

use testkit::{Size, vehicle};

fn main() {
    let words: Vec<u64> = std::env::args().skip(1).filter_map(|word| word.parse().ok()).collect();
    let [seed, wires, parts] = words[..] else {
        eprintln!("usage: print SEED WIRES PARTS");
        std::process::exit(2);
    };
    let size = Size { wires: wires as usize, parts: parts as usize };
    print!("{}", vehicle(seed, size));
}
