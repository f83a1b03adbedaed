//! What records say holds things, by hand from the laws in `screw`, `lateral` and `sheet`.

use catalog::Catalog;
use model::{BoardSide, Fact, HeldIn, Origin};

use super::*;
use crate::compare::{Verdict, compare, index};
use crate::criterion::Criterion;

fn seen<T>(value: T) -> Fact<T> {
    Fact::known(value, Origin::seen())
}

fn screws(sort: FixingSort, count: f64, diameter_mm: f64) -> HeldBy {
    HeldBy {
        sort,
        count: seen(count),
        diameter_mm: seen(diameter_mm),
        length_mm: Fact::Unknown,
        class: Fact::Unknown,
        each: None,
    }
}

fn into(material: &str, thick_mm: f64) -> HeldIn {
    HeldIn {
        material: seen(material.to_owned()),
        thick_mm: seen(thick_mm),
        strength_mpa: Fact::Unknown,
        side: BoardSide::Face,
    }
}

fn way(fixings: Vec<HeldBy>, into: HeldIn) -> HeldWay {
    HeldWay {
        words: "way".to_owned(),
        fixings,
        into: Some(into),
        driven: Fact::Unknown,
        pull_deg: Fact::Unknown,
        edge_mm: Fact::Unknown,
        head_mm: Fact::Unknown,
        bracket_mm: Fact::Unknown,
        acts: Vec::new(),
        strength: None,
    }
}

fn strength(way: &HeldWay, direction: Direction) -> Strength {
    let figures = Catalog::embedded().restraint;
    links(way, &figures)[0].strengths[index(direction)].clone()
}

/// Four 8 mm lag screws, 50 mm long, through 3 mm of steel, 47 mm into spruce (G 0.41), driven down,
/// 40 mm from the edge. Upwards: NDS 12.2: 1800 x 0.41^1.5 x 0.31496^0.75 lb/in = 198.7 lb/in, x
/// 175.127 N/m... = 34.79 N/mm, x 47 mm x 4 = 6541 N.
fn lag_screws() -> HeldWay {
    let mut lags = screws(FixingSort::LagScrew, 4.0, 8.0);
    lags.length_mm = seen(50.0);
    let mut way = way(vec![lags], into("spruce", 60.0));
    way.driven = seen(Direction::Down);
    way.edge_mm = seen(40.0);
    way.bracket_mm = seen(3.0);
    way
}

#[test]
fn lag_screws_driven_down_are_pulled_out_upwards() {
    let up = strength(&lag_screws(), Direction::Up);
    let working = up.working.unwrap();
    assert!((working.n - 6541.0).abs() < 10.0, "{}", working.n);
    assert_eq!((working.mode, working.footing), (Mode::OutOfWood, Footing::Firm));
    assert_eq!(strength(&lag_screws(), Direction::Left).working.unwrap().mode, Mode::AcrossInWood);
    assert!(strength(&lag_screws(), Direction::Down).working.is_none());
}

/// Each fact that is missing takes the working value away and is asked for.
#[test]
fn a_missing_fact_leaves_nothing_to_rely_on() {
    type Takes = fn(&mut HeldWay);
    let cases: [(Takes, &str); 5] = [
        (|way| way.edge_mm = Fact::Unknown, "edge"),
        (|way| way.edge_mm = seen(20.0), "edge"),
        (|way| way.bracket_mm = Fact::Unknown, "bracket"),
        (|way| way.fixings[0].length_mm = Fact::Unknown, "long"),
        (|way| way.into = Some(into("ply", 60.0)), "ply"),
    ];
    for (take, asked) in cases {
        let mut way = lag_screws();
        take(&mut way);
        let up = strength(&way, Direction::Up);
        assert!(up.working.is_none(), "{asked}");
        assert!(
            up.find_out.iter().any(|words| words.contains(asked)),
            "{asked}: {:?}",
            up.find_out
        );
        assert!(up.at_most.is_some(), "{asked}: a ceiling stays");
    }
}

/// 0.8 mm skin of 270 MPa, 4.8 mm screws: nominal pull-out 881.3 N (by hand in `sheet`); working a third,
/// 293.8 N each. Without its strength nothing may be relied on, and the ceiling is by 450 MPa.
#[test]
fn tapping_screws_in_skin_want_its_strength() {
    let mut way = way(vec![screws(FixingSort::TappingScrew, 2.0, 4.8)], into("skin", 0.8));
    way.driven = seen(Direction::Left);
    way.edge_mm = seen(10.0);
    let right = strength(&way, Direction::Right);
    assert!(right.working.is_none() && right.find_out.iter().any(|w| w.contains("tensile")));
    let most = right.at_most.unwrap().n;
    assert!((most - 2.0 * 1.5 * 0.85 * 0.8 * 4.8 * 450.0).abs() < 0.1, "{most}");
    way.into.as_mut().unwrap().strength_mpa = seen(270.0);
    let working = strength(&way, Direction::Right).working.unwrap();
    assert!((working.n - 2.0 * 293.8).abs() < 0.2);
}

/// Four M8 8.8 through structure nobody described: proof 4 x 21 200 N along, but what carries the heads
/// is not known, so nothing may be relied on. At most: ultimate 29 200 x 1.5 x 4.
#[test]
fn bolts_are_as_good_as_what_carries_their_heads() {
    let mut bolts = screws(FixingSort::Bolt, 4.0, 8.0);
    bolts.class = seen("8.8".to_owned());
    let mut way = way(vec![bolts], into("ply", 18.0));
    way.driven = seen(Direction::Down);
    let up = strength(&way, Direction::Up);
    assert!(up.working.is_none() && up.find_out.iter().any(|w| w.contains("plates")));
    assert!((up.at_most.unwrap().n - 4.0 * 29_200.0 * 1.5).abs() < 1.0);
}

/// A strap over a battery on two 4 mm screws in 9 mm lining: 62 kg at 20 g pull 12 160 N. Pulled straight
/// out the screws hold at most 108.25 x 0.49 x 4 x 9 x 2 = 3819 N.
#[test]
fn a_strap_on_two_screws_falls_short_however_it_pulls() {
    let catalog = Catalog::embedded();
    let mut strapped = way(
        vec![
            HeldBy { diameter_mm: Fact::Unknown, ..screws(FixingSort::Strap, 1.0, 1.0) },
            screws(FixingSort::WoodScrew, 2.0, 4.0),
        ],
        into("lining", 9.0),
    );
    let crash = Criterion::named(&catalog, "crash-as-for-seats").unwrap();
    for pull in [Fact::Unknown, seen(90.0), seen(30.0)] {
        strapped.pull_deg = pull;
        let mounting = Mounting { words: String::new(), ways: vec![strapped.clone()] };
        let held = held(62.0, Some(&mounting), &catalog.restraint);
        for found in compare(&held, &crash).unwrap() {
            assert_eq!(found.verdict, Verdict::FallsShort);
        }
    }
    strapped.pull_deg = seen(90.0);
    let links = links(&strapped, &catalog.restraint);
    assert!((links[1].strengths[0].at_most.as_ref().unwrap().n - 3819.0).abs() < 1.0);
}

#[test]
fn glue_counts_for_nothing_and_says_so() {
    let glued = way(vec![screws(FixingSort::Adhesive, 1.0, 1.0)], into("ply", 9.0));
    let up = strength(&glued, Direction::Up);
    assert!(up.working.is_none() && up.at_most.is_none());
    assert!(up.find_out[0].contains("not counted"));
}

/// Two straps marked 2500 N each: one alone may be relied on. They hold where somebody saw them hold.
#[test]
fn straps_hold_where_they_are_seen_to() {
    let mut strap = HeldBy { diameter_mm: Fact::Unknown, ..screws(FixingSort::Strap, 2.0, 1.0) };
    strap.each = Some(StatedForce { n: seen(2500.0), promise: Promise::Working });
    let mut straps = way(vec![strap], into("structure", 1.0));
    straps.acts = vec![Direction::Up];
    let figures = Catalog::embedded().restraint;
    let path = path(&straps, &figures);
    assert!((path.links[0].strengths[0].working.as_ref().unwrap().n - 2500.0).abs() < 1e-9);
    assert_eq!(path.acts[index(Direction::Up)], Acts::Yes);
    assert_eq!(path.acts[index(Direction::Forward)], Acts::NotKnown);
}
