//! Expected loads are worked by hand from m a g; see `screw`, `lateral` and `sheet` for the laws' sources.

use catalog::Catalog;

use super::*;
use crate::criterion::USUAL;
use crate::fastener::figure;
use crate::strength::Mode;

fn criterion(id: &str) -> Criterion {
    Criterion::named(&Catalog::embedded(), id).unwrap()
}

fn at_most(n: f64) -> Strength {
    let most = figure(n, Mode::OutOfWood, "law", Footing::Recalled);
    Strength { at_most: Some(most), ..Strength::default() }
}

fn rated(n: f64, footing: Footing) -> Strength {
    let rated = Some(figure(n, Mode::Stated, "label", footing));
    Strength { breaks_from: rated.clone(), at_most: rated, ..Strength::default() }
}

fn working(n: f64) -> Strength {
    let working = Some(figure(n, Mode::Strap, "label", Footing::Firm));
    Strength { working: working.clone(), breaks_from: working, ..Strength::default() }
}

fn battery(links: &[Strength], acts: Acts) -> Held {
    let links = links.iter().map(|strength| Link::same("link", strength)).collect();
    let paths = vec![Path { name: "strap".to_owned(), links, acts: [acts; 6] }];
    Held { mass_kg: 30.0, friction_at_most: 1.0, paths }
}

/// 30 kg at 20 g: 5884 N, against 3745 N of screws and friction of at most 294 N. Margin 4039/5884 = 0.686.
#[test]
fn strap_on_two_screws_in_9_mm_lining_falls_short_at_20_g() {
    let held = battery(&[rated(8000.0, Footing::Firm), at_most(3745.0)], Acts::NotKnown);
    let found = compare(&held, &criterion(USUAL[0])).unwrap();
    assert_eq!(found.len(), 2);
    for comparison in found {
        assert_eq!(comparison.verdict, Verdict::FallsShort);
        assert!((comparison.load_n - 5884.0).abs() < 0.5);
        assert!((comparison.at_most_n.unwrap() - (3745.0 + 294.2)).abs() < 0.5);
        assert!((comparison.margin().unwrap() - 0.6865).abs() < 0.001);
        assert_eq!(comparison.governs.unwrap().mode, Mode::OutOfWood);
        assert!(comparison.find_out.is_empty());
    }
}

#[test]
fn enough_screws_on_paper_decide_nothing() {
    for comparison in
        compare(&battery(&[at_most(22_464.0)], Acts::Yes), &criterion(USUAL[0])).unwrap()
    {
        assert_eq!(comparison.verdict, Verdict::NotDecided);
        let strength = FindOut::StrengthOf { path: "strap".to_owned() };
        assert_eq!(comparison.find_out, [strength]);
        assert!(comparison.margin().is_none());
    }
}

#[test]
fn nothing_recorded_decides_nothing() {
    let held = Held { mass_kg: 30.0, friction_at_most: 0.0, paths: Vec::new() };
    for comparison in compare(&held, &criterion(USUAL[1])).unwrap() {
        assert_eq!(comparison.verdict, Verdict::NotDecided);
        assert_eq!(comparison.find_out, [FindOut::WhatHoldsIt]);
    }
}

/// 15 kg at 0.8 g: 117.7 N. A rating of just that load is within it; one that was only told to us as a
/// guess is not, nor one of a path nobody saw act.
#[test]
fn a_rating_counts_when_it_is_known_and_acts() {
    let load_n = 15.0 * 0.8 * 9.80665;
    let verdict = |strength: Strength, acts| {
        let held = Held { mass_kg: 15.0, friction_at_most: 0.0, ..battery(&[strength], acts) };
        compare(&held, &criterion(USUAL[1])).unwrap()[0].verdict
    };
    assert_eq!(verdict(rated(load_n, Footing::Firm), Acts::Yes), Verdict::WithinRating);
    assert_eq!(verdict(rated(load_n, Footing::Recalled), Acts::Yes), Verdict::NotDecided);
    assert_eq!(verdict(rated(load_n, Footing::Firm), Acts::NotKnown), Verdict::NotDecided);
    assert_eq!(verdict(rated(load_n - 0.01, Footing::Firm), Acts::Yes), Verdict::FallsShort);
}

/// 49 CFR 393.102(a)(2): 0.435 g against the working load limit: 30 kg, 128 N. A strap marked 100 N
/// falls short of that rule; against breaking strength at 0.8 g (235 N) it is not decided.
#[test]
fn a_working_load_is_a_limit_only_where_the_rule_says_working() {
    let held = Held { friction_at_most: 0.0, ..battery(&[working(100.0)], Acts::Yes) };
    let of = |id: &str| compare(&held, &criterion(id)).unwrap()[0].verdict;
    let by_working = compare(&held, &criterion("cargo-working-load")).unwrap();
    assert_eq!(by_working[0].verdict, Verdict::FallsShort);
    assert!((by_working[0].load_n - 127.98).abs() < 0.01);
    assert_eq!(of("cargo-in-motion"), Verdict::NotDecided);
}

/// Two paths of 4000 N each: together 8000 N may carry 5884 N, but neither does alone.
#[test]
fn two_paths_together_prove_nothing() {
    let mut held = battery(&[rated(4000.0, Footing::Firm)], Acts::Yes);
    held.paths.push(held.paths[0].clone());
    let found = compare(&held, &criterion(USUAL[0])).unwrap();
    assert_eq!(found[0].verdict, Verdict::NotDecided);
    assert!(!found[0].find_out.is_empty());
}

/// Upwards its own weight holds it down: 30 kg at 10 g pull 2942 N against 2600 N and 294 N: short; with
/// 2700 N not.
#[test]
fn its_own_weight_counts_upwards() {
    let up = |n: f64| {
        let found =
            compare(&battery(&[at_most(n)], Acts::Yes), &criterion("ambulance-10g")).unwrap();
        found.into_iter().find(|c| c.direction == Direction::Up).unwrap().verdict
    };
    assert_eq!(up(2600.0), Verdict::FallsShort);
    assert_eq!(up(2700.0), Verdict::NotDecided);
}

#[test]
fn values_out_of_range_are_named() {
    let held = Held { mass_kg: f64::NAN, ..battery(&[at_most(1.0)], Acts::Yes) };
    assert!(compare(&held, &criterion(USUAL[0])).unwrap_err().what.contains("mass"));
    let held = battery(&[at_most(-1.0)], Acts::Yes);
    assert!(compare(&held, &criterion(USUAL[0])).unwrap_err().what.contains("`link`"));
    let held = Held { friction_at_most: 3.0, ..battery(&[], Acts::Yes) };
    assert!(compare(&held, &criterion(USUAL[0])).unwrap_err().what.contains("friction"));
}
