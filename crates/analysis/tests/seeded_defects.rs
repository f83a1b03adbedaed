//! Five hundred invented vehicles, clean by the rules of a careful builder, with defects put in on
//! purpose: how many the checks find, and how often they cry wolf. And the same vehicles with one fact
//! taken away each: what hung on it cannot be told.
//!
//! The vehicles are written by hand-made rules in `seeded/van.rs`: generous sizes, every fact seen. No
//! check had a part in them; what each defect has to be called is written beside it.

mod seeded;

use std::collections::{BTreeMap, BTreeSet};

use analysis::{Case, Review};
use seeded::{DEFECTS, Defect, UNKNOWNS, Van, looks};
use testkit::Dice;

const VEHICLES: u64 = 500;
const RECALL: f64 = 0.98;
const FALSE_FAILS: f64 = 0.01;

fn review(van: &Van) -> Review {
    let case = Case::of(&van.text());
    let faults = case.record_faults();
    assert!(faults.is_empty(), "{faults:#?}\n{}", van.text());
    case.review()
}

fn fails(review: &Review) -> BTreeSet<(String, String)> {
    let findings = review.findings.iter();
    findings.map(|finding| (finding.check.clone(), finding.place.name.clone())).collect()
}

fn cannot_tell(review: &Review) -> BTreeSet<(String, String)> {
    let places = review.cannot_tell.iter().flat_map(|finding| {
        let all = std::iter::once(&finding.place).chain(&finding.related);
        all.map(|place| (finding.check.clone(), place.name.clone()))
    });
    places.collect()
}

#[test]
fn a_clean_vehicle_has_no_failure() {
    for seed in 0..40 {
        let found = fails(&review(&Van::new(&mut Dice::for_purpose(seed, 1))));
        assert!(found.is_empty(), "seed {seed}: {found:?}");
    }
}

/// Up to three defects that can stand in one vehicle.
fn drawn(dice: &mut Dice, seed: u64) -> Vec<&'static Defect> {
    // Every defect comes about as often as every other.
    let mut chosen = vec![&DEFECTS[seed as usize % DEFECTS.len()]];
    for _ in 0..dice.below(3) {
        let next = &DEFECTS[dice.below(DEFECTS.len())];
        if chosen.iter().all(|other| other.touches != next.touches) {
            chosen.push(next);
        }
    }
    chosen
}

#[test]
fn seeded_defects_are_found_and_little_else() {
    let (mut seeded, mut missed, mut reported) = (0, Vec::new(), 0);
    let mut wolf: BTreeMap<String, usize> = BTreeMap::new();
    for seed in 0..VEHICLES {
        let mut dice = Dice::for_purpose(seed, 2);
        let mut van = Van::new(&mut dice);
        let chosen = drawn(&mut dice, seed);
        let wanted: Vec<(&str, String)> = chosen
            .iter()
            .map(|defect| (defect.check, (defect.put_in)(&mut van, &mut dice)))
            .collect();
        let found = fails(&review(&van));
        seeded += wanted.len();
        reported += found.len();
        for (check, place) in &wanted {
            if !found.contains(&((*check).to_owned(), place.clone())) {
                missed.push(format!("seed {seed}: {check} at {place}, found {found:?}"));
            }
        }
        for (check, place) in &found {
            let earned =
                chosen.iter().any(|d| d.check == check || d.brings.contains(&check.as_str()));
            if !earned {
                let names: Vec<&str> = chosen.iter().map(|defect| defect.check).collect();
                *wolf.entry(format!("{check} at {place} with {names:?}")).or_default() += 1;
            }
        }
    }
    let recall = 1.0 - missed.len() as f64 / seeded as f64;
    let false_fails = wolf.values().sum::<usize>() as f64 / reported as f64;
    println!(
        "{VEHICLES} vehicles, {seeded} defects of {} kinds: recall {recall:.3}, {reported} failures reported, false {false_fails:.4}",
        DEFECTS.len()
    );
    let shown = |lines: Vec<String>| lines.into_iter().take(70).collect::<Vec<_>>().join("\n");
    let wolf: Vec<String> =
        wolf.into_iter().map(|(what, times)| format!("{times} x {what}")).collect();
    assert!(recall >= RECALL, "recall {recall:.3}\n{}", shown(missed));
    assert!(false_fails <= FALSE_FAILS, "false {false_fails:.4}\n{}", shown(wolf));
}

#[test]
fn seeded_looks_are_found_and_nothing_else() {
    let (mut seeded, mut missed, mut wolf, mut reported) = (0, Vec::new(), Vec::new(), 0);
    for seed in 0..VEHICLES {
        let mut dice = Dice::for_purpose(seed, 4);
        let mut van = Van::new(&mut dice);
        let (check, place) = looks::put_in(seed as usize % looks::count(), &mut van, &mut dice);
        let wanted = (check.to_owned(), place);
        let found = fails(&review(&van));
        seeded += 1;
        reported += found.len();
        if !found.contains(&wanted) {
            missed.push(format!("seed {seed}: {wanted:?}, found {found:?}"));
        }
        wolf.extend(found.into_iter().filter(|one| one.0 != wanted.0));
    }
    let recall = 1.0 - missed.len() as f64 / f64::from(seeded);
    let false_fails = wolf.len() as f64 / reported as f64;
    println!(
        "{seeded} looks of {} kinds: recall {recall:.3}, false {false_fails:.4}",
        looks::count()
    );
    assert!(recall >= RECALL, "recall {recall:.3}\n{missed:#?}");
    assert!(false_fails <= FALSE_FAILS, "false {false_fails:.4}\n{wolf:?}");
}

#[test]
fn looks_that_are_as_they_should_be_fail_nothing() {
    for seed in 0..20 {
        let mut van = Van::new(&mut Dice::for_purpose(seed, 5));
        looks::all_good(&mut van);
        let found = fails(&review(&van));
        assert!(found.is_empty(), "seed {seed}: {found:?}");
    }
}

#[test]
fn look_that_is_only_assumed_cannot_be_told() {
    for number in 0..looks::assumed_count() {
        let mut van = Van::new(&mut Dice::for_purpose(number as u64, 6));
        let (check, place) = looks::assume(number, &mut van);
        let (review, at) = (review(&van), (check.to_owned(), place));
        assert!(cannot_tell(&review).contains(&at), "{at:?} should be open");
        assert!(!fails(&review).contains(&at), "{at:?} fails on what was only assumed");
    }
}

#[test]
fn without_a_fact_what_hung_on_it_cannot_be_told() {
    for seed in 0..8 {
        for unknown in UNKNOWNS {
            let mut dice = Dice::for_purpose(seed, 3);
            let mut van = Van::new(&mut dice);
            (unknown.prepare)(&mut van);
            let place = (unknown.take_away)(&mut van);
            let review = review(&van);
            let at = (unknown.check.to_owned(), place);
            assert!(cannot_tell(&review).contains(&at), "seed {seed}: {at:?} should be open");
            assert!(
                !fails(&review).contains(&at),
                "seed {seed}: {at:?} fails on a fact nobody has"
            );
        }
    }
}
