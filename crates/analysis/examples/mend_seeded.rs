//! How many findings of invented vehicles with defects put in have a repair offered, and whether any offer,
//! put into the record and looked at anew with nothing shared, raises a finding that was not there.
//! `cargo run --release -p analysis --example mend_seeded -- VEHICLES`

#![allow(clippy::print_stdout, reason = "an example prints what it was asked for")]

#[path = "../tests/seeded/mod.rs"]
#[allow(dead_code, unused_imports, reason = "the tests use all of it")]
mod seeded;

use std::collections::BTreeMap;

use analysis::Case;
use seeded::{DEFECTS, Van, looks};
use testkit::Dice;

/// By check: findings, those with an offer, and why others have none.
#[derive(Default)]
struct Row {
    all: usize,
    cured: usize,
    why: BTreeMap<String, usize>,
}

fn main() {
    let vehicles = std::env::args().nth(1).and_then(|word| word.parse().ok()).unwrap_or(100);
    let (mut rows, mut offers, mut raised): (BTreeMap<String, Row>, usize, Vec<String>) =
        Default::default();
    for seed in 0..vehicles {
        let case = Case::of(&defective(seed).text());
        let list = case.mends();
        let before = case.failing();
        for (check, _) in before.keys() {
            rows.entry(check.clone()).or_default().all += 1;
        }
        for no in &list.without {
            let row = rows.entry(no.check.clone()).or_default();
            *row.why.entry(no.why.join("; ")).or_default() += 1;
        }
        for offer in &list.offers {
            offers += 1;
            let mended = case.with_mend(&offer.id).expect("it fits the record it was made for");
            for (key, rank) in Case::of(&mended).failing() {
                if before.get(&key).is_none_or(|was| rank < *was) {
                    raised.push(format!("seed {seed}, {}: {key:?}", offer.id));
                }
            }
        }
    }
    for row in rows.values_mut() {
        row.cured = row.all - row.why.values().sum::<usize>();
    }
    let sum = |of: fn(&Row) -> usize| rows.values().map(of).sum::<usize>();
    let (all, cured) = (sum(|row| row.all), sum(|row| row.cured));
    println!(
        "{vehicles} vehicles, {all} findings, {cured} with a repair offered; {offers} offers, {} raise another finding",
        raised.len()
    );
    for (check, row) in rows.iter().filter(|(_, row)| row.cured < row.all) {
        println!("  {check}: {} of {}", row.cured, row.all);
        for (why, times) in &row.why {
            println!("    {times} x {why}");
        }
    }
    raised.iter().for_each(|line| println!("  raised: {line}"));
}

/// A vehicle with a defect of building; every third with a look that is not as it should be instead.
fn defective(seed: u64) -> Van {
    let mut dice = Dice::for_purpose(seed, 7);
    let mut van = Van::new(&mut dice);
    let number = (seed - seed / 3) as usize;
    match seed % 3 {
        2 => drop(looks::put_in((seed / 3) as usize % looks::count(), &mut van, &mut dice)),
        _ => drop((DEFECTS[number % DEFECTS.len()].put_in)(&mut van, &mut dice)),
    }
    van
}
