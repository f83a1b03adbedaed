//! How many of the findings that fail have a repair offered, by check: over records given by path, and the time it takes.
//! `cargo run --release -p analysis --example mend_coverage -- records/*/*.toml`

#![allow(clippy::print_stdout, reason = "an example prints what it was asked for")]

use std::collections::BTreeMap;
use std::time::Instant;

fn main() {
    let mut by_check: BTreeMap<String, (usize, usize)> = BTreeMap::new();
    for path in std::env::args().skip(1).filter(|path| !path.ends_with("expected.toml")) {
        let Ok(text) = std::fs::read_to_string(&path) else { continue };
        let start = Instant::now();
        let case = analysis::Case::of(&text);
        let read_ms = start.elapsed().as_secs_f64() * 1e3;
        let start = Instant::now();
        let list = case.mends();
        let ms = start.elapsed().as_secs_f64() * 1e3;
        println!(
            "{path}: read {read_ms:.0} ms, mends {ms:.0} ms, {} fail, {} offers, {} without",
            list.fails,
            list.offers.len(),
            list.without.len()
        );
        for no in &list.without {
            println!("    {} at {}: {}", no.check, no.place.name, no.why.join("; "));
            by_check.entry(no.check.clone()).or_default().1 += 1;
        }
        let cured: std::collections::BTreeSet<_> = list
            .offers
            .iter()
            .flat_map(|offer| offer.cures.iter().map(|of| (of.check.clone(), of.place.clone())))
            .collect();
        for (check, _) in cured {
            let row = by_check.entry(check).or_default();
            row.0 += 1;
            row.1 += 1;
        }
    }
    let (cured, all) = by_check.values().fold((0, 0), |sum, row| (sum.0 + row.0, sum.1 + row.1));
    println!("{cured} of {all} findings have a repair offered");
    for (check, (cured, all)) in by_check.iter().filter(|(_, (cured, all))| cured < all) {
        println!("  {check}: {cured} of {all}");
    }
}
