//! Expected loads are worked by hand from m a g; see `load` and `screw` for the laws' sources.

use super::*;
use crate::{Board, CARGO_IN_MOTION, CRASH_AS_FOR_SEATS, WoodScrew};

fn screws(count: u32, each_n: f64) -> Link {
    let capacity = Capacity::AtMost { each_n, count, basis: "wood screw law".to_owned() };
    Link { name: "screws".to_owned(), capacity }
}

fn rated(rated_n: f64, rating: Rating) -> Link {
    let capacity = Capacity::Rated { rated_n, rating, basis: "label".to_owned() };
    Link { name: "strap".to_owned(), capacity }
}

fn battery(links: Vec<Link>, acts: Acts) -> Held {
    let directions = [Direction::Forward, Direction::Rearward, Direction::Sideways];
    let acts = directions.map(|direction| (direction, acts)).to_vec();
    let paths = vec![Path { name: "strap".to_owned(), links, acts }];
    Held { mass_kg: 30.0, friction_at_most: 1.0, paths }
}

/// Two 5 mm screws in 9 mm of birch plywood, G 0.62: 108.25 x 0.3844 x 5 x 9 = 1872.5 N each,
/// 3745 N together, and friction at most 294 N, against 5884 N at 20 g.
#[test]
fn strap_on_two_screws_in_9_mm_lining_falls_short_at_20_g() {
    let screw = WoodScrew {
        board: Board::Plywood,
        specific_gravity: 0.62,
        diameter_mm: 5.0,
        thread_length_mm: 9.0,
    };
    let held = battery(
        vec![rated(8000.0, Rating::BreakingStrength), screws(2, screw.at_most_n().unwrap())],
        Acts::NotKnown,
    );
    let found = compare(&held, &CRASH_AS_FOR_SEATS).unwrap();
    assert_eq!(found.len(), 2);
    for comparison in found {
        assert_eq!(comparison.verdict, Verdict::FallsShort);
        assert!((comparison.load_n - 5884.0).abs() < 0.5);
        assert!((comparison.at_most_n.unwrap() - (3745.0 + 294.2)).abs() < 0.5);
        assert!(comparison.find_out.is_empty());
    }
}

#[test]
fn enough_screws_on_paper_decide_nothing() {
    let held = battery(vec![screws(12, 1872.0)], Acts::Yes);
    for comparison in compare(&held, &CRASH_AS_FOR_SEATS).unwrap() {
        assert_eq!(comparison.verdict, Verdict::NotDecided);
        let rating = FindOut::RatingOf { path: "strap".to_owned(), link: "screws".to_owned() };
        assert_eq!(comparison.find_out, [rating]);
    }
}

#[test]
fn nothing_recorded_decides_nothing() {
    let held = Held { mass_kg: 30.0, friction_at_most: 0.0, paths: Vec::new() };
    for comparison in compare(&held, &CARGO_IN_MOTION).unwrap() {
        assert_eq!(comparison.verdict, Verdict::NotDecided);
        assert_eq!(comparison.find_out, [FindOut::WhatHoldsIt]);
        assert_eq!(comparison.at_most_n, None);
    }
}

#[test]
fn a_rated_path_counts_only_where_it_is_known_to_act() {
    let links = || vec![rated(6000.0, Rating::BreakingStrength)];
    let acting = compare(&battery(links(), Acts::Yes), &CRASH_AS_FOR_SEATS).unwrap();
    assert!(acting.iter().all(|found| found.verdict == Verdict::WithinRating));
    let unsure = compare(&battery(links(), Acts::NotKnown), &CRASH_AS_FOR_SEATS).unwrap();
    for found in unsure {
        assert_eq!(found.verdict, Verdict::NotDecided);
        assert_eq!(found.find_out, [FindOut::WhetherItActs { path: "strap".to_owned() }]);
    }
}

#[test]
fn one_unknown_link_spoils_a_rated_path() {
    let unknown = Link { name: "rivnuts".to_owned(), capacity: Capacity::NotKnown };
    let links = vec![rated(60_000.0, Rating::BreakingStrength), unknown];
    for found in compare(&battery(links, Acts::Yes), &CRASH_AS_FOR_SEATS).unwrap() {
        assert_eq!(found.verdict, Verdict::NotDecided);
        let rating = FindOut::RatingOf { path: "strap".to_owned(), link: "rivnuts".to_owned() };
        assert_eq!(found.find_out, [rating]);
    }
}

#[test]
fn two_straps_that_hold_only_together_leave_the_sharing_open() {
    let mut held = battery(vec![rated(4000.0, Rating::BreakingStrength)], Acts::Yes);
    held.paths.push(held.paths[0].clone());
    for found in compare(&held, &CRASH_AS_FOR_SEATS).unwrap() {
        assert_eq!(found.verdict, Verdict::NotDecided);
        assert_eq!(found.find_out, [FindOut::HowTheLoadIsShared]);
    }
}

#[test]
fn a_working_load_below_the_load_is_not_yet_a_shortfall() {
    let links = vec![rated(2500.0, Rating::WorkingLoad)];
    for found in compare(&battery(links, Acts::Yes), &CRASH_AS_FOR_SEATS).unwrap() {
        assert_eq!(found.verdict, Verdict::NotDecided);
        assert!(matches!(found.find_out[..], [FindOut::BreakingStrengthOf { .. }]));
    }
}

#[test]
fn a_second_path_of_unknown_strength_keeps_the_question_open() {
    let mut held = battery(vec![screws(2, 1000.0)], Acts::Yes);
    let unknown = Link { name: "tray".to_owned(), capacity: Capacity::NotKnown };
    let acts = vec![(Direction::Forward, Acts::No), (Direction::Rearward, Acts::NotKnown)];
    held.paths.push(Path { name: "tray".to_owned(), links: vec![unknown], acts });
    let found = compare(&held, &CRASH_AS_FOR_SEATS).unwrap();
    assert_eq!(found[0].verdict, Verdict::FallsShort, "the tray does not act forward");
    assert_eq!(found[1].verdict, Verdict::NotDecided, "rearward it may");
}

/// 30 kg at 0.8 g is 235 N, at 0.5 g 147 N; friction of coefficient 1 would be 294 N.
#[test]
fn friction_may_carry_driving_loads_so_they_stay_undecided() {
    let slack = battery(vec![screws(0, 0.0)], Acts::Yes);
    let found = compare(&slack, &CARGO_IN_MOTION).unwrap();
    assert!(found.iter().all(|found| found.verdict == Verdict::NotDecided));
    let hanging = Held { friction_at_most: 0.0, ..slack };
    let found = compare(&hanging, &CARGO_IN_MOTION).unwrap();
    assert!(found.iter().all(|found| found.verdict == Verdict::FallsShort));
}

#[test]
fn impossible_figures_are_refused_by_name() {
    let held = battery(vec![screws(2, f64::NAN)], Acts::Yes);
    assert!(compare(&held, &CARGO_IN_MOTION).unwrap_err().what.contains("screws"));
    let held = Held { mass_kg: -1.0, ..battery(Vec::new(), Acts::Yes) };
    assert!(compare(&held, &CARGO_IN_MOTION).unwrap_err().what.contains("mass"));
    let held = Held { friction_at_most: 9.0, ..battery(Vec::new(), Acts::Yes) };
    assert!(compare(&held, &CARGO_IN_MOTION).unwrap_err().what.contains("friction"));
}

/// 49 CFR 393.102(a)(1): 0.8 g forward, 0.5 g rearward, 0.5 g lateral. 49 CFR 571.207 S4.2: 20 g
/// forward and rearward, seats.
#[test]
fn criteria_carry_the_figures_of_their_rules() {
    let figures = |criterion: &Criterion| {
        criterion.levels.iter().map(|l| (l.direction, l.g_level)).collect::<Vec<_>>()
    };
    let (forward, rearward) = (Direction::Forward, Direction::Rearward);
    let cargo = [(forward, 0.8), (rearward, 0.5), (Direction::Sideways, 0.5)];
    assert_eq!(figures(&CARGO_IN_MOTION), cargo);
    assert_eq!(figures(&CRASH_AS_FOR_SEATS), [(forward, 20.0), (rearward, 20.0)]);
}
