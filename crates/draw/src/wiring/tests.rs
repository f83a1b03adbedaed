//! Parts of the layout against exhaustive search and plain counting; whole drawings are measured from
//! outside in `depict`, where there are records.

use proptest::prelude::*;

use super::canvas::colours;
use super::input::{Device, End, Rank, Side, Signal, Symbol, Terminal, Wire, WiringDrawing};
use super::simplex::Places;
use super::tracks::{Turn, tracks};
use super::{Paper, wiring};
use crate::measure::contrast;

/// The least cost by trying every height from 0 to `most`.
fn least_cost(
    count: usize,
    most: i64,
    conditions: &[(usize, usize, i64, i64)],
    wishes: &[(usize, usize, i64)],
) -> i64 {
    let mut y = vec![0_i64; count];
    let mut best = i64::MAX;
    loop {
        if conditions.iter().all(|&(a, b, length, _)| y[b] - y[a] >= length) {
            best = best.min(cost(&y, conditions, wishes));
        }
        let Some(next) = (0..count).find(|&k| y[k] < most) else { return best };
        y[..next].fill(0);
        y[next] += 1;
    }
}

fn cost(y: &[i64], conditions: &[(usize, usize, i64, i64)], wishes: &[(usize, usize, i64)]) -> i64 {
    let apart: i64 = conditions.iter().map(|&(a, b, l, w)| w * (y[b] - y[a] - l)).sum();
    apart + wishes.iter().map(|&(a, b, w)| w * (y[a] - y[b]).abs()).sum::<i64>()
}

proptest! {
    /// Oracle: every assignment of heights, tried one by one.
    #[test]
    fn heights_cost_the_least_there_is(
        conditions in proptest::collection::vec((0_usize..4, 0_usize..4, 0_i64..3, 0_i64..3), 0..5),
        wishes in proptest::collection::vec((0_usize..5, 0_usize..5, 1_i64..5), 1..6),
    ) {
        // Conditions lead from lower to higher numbers, so they close no circle.
        let conditions: Vec<_> = conditions
            .into_iter()
            .map(|(a, step, length, weight)| (a, (a + 1 + step).min(4), length, weight))
            .collect();
        let mut places = Places::default();
        (0..5).for_each(|_| { places.place(); });
        for &(a, b, length, weight) in &conditions {
            places.apart(a, b, length, weight);
        }
        for &(a, b, weight) in &wishes {
            places.level(a, b, weight);
        }
        let y = places.solve();
        for &(a, b, length, _) in &conditions {
            prop_assert!(y[b] - y[a] >= length);
        }
        let wishes: Vec<_> = wishes.into_iter().filter(|(a, b, _)| a != b).collect();
        // Four conditions of at most two rows: no optimum needs more than eight rows; the search
        // stops at six where the longest chain is shorter.
        let most = conditions.iter().map(|c| c.2).sum::<i64>().clamp(1, 6);
        prop_assert_eq!(cost(&y, &conditions, &wishes), least_cost(5, most, &conditions, &wishes));
    }

    /// Oracle: the definition. No two lines of a channel may lie on each other.
    #[test]
    fn lines_of_a_channel_never_share_a_stretch(
        left in proptest::collection::btree_set(0_i64..24, 1..12),
        seed in any::<u64>(),
    ) {
        let left: Vec<i64> = left.into_iter().collect();
        let mut right = left.clone();
        // Any order of arrival, drawn from the seed by exchanges.
        let mut state = seed | 1;
        for at in (1..right.len()).rev() {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            right.swap(at, (state >> 33) as usize % (at + 1));
        }
        let turns: Vec<Turn> =
            left.iter().zip(&right).map(|(&a, &b)| Turn { left: 2 * a, right: 2 * b }).collect();
        let found = tracks(&turns);
        let ways: Vec<Vec<(i64, i64)>> = turns
            .iter()
            .enumerate()
            .map(|(at, turn)| {
                let Some(track) = found.of[at] else { return vec![(-1, turn.left), (99, turn.left)] };
                let track = track as i64;
                let mut way = vec![(-1, turn.left), (track, turn.left)];
                if let Some((height, second)) = found.detour[at] {
                    way.extend([(track, height), (second as i64, height), (second as i64, turn.right)]);
                } else {
                    way.push((track, turn.right));
                }
                way.push((99, turn.right));
                way
            })
            .collect();
        for (at, a) in ways.iter().enumerate() {
            for b in &ways[at + 1..] {
                for s in a.windows(2) {
                    for t in b.windows(2) {
                        prop_assert!(!share(s, t), "{turns:?} {s:?} {t:?}");
                    }
                }
            }
        }
    }
}

/// Whether two stretches lie on one line and have more than nothing in common.
fn share(a: &[(i64, i64)], b: &[(i64, i64)]) -> bool {
    let along = |pick: fn((i64, i64)) -> (i64, i64)| {
        let ((a0, level), (a1, other)) = (pick(a[0]), pick(a[1]));
        let ((b0, third), (b1, fourth)) = (pick(b[0]), pick(b[1]));
        level == other
            && third == fourth
            && level == third
            && a0.max(a1).min(b0.max(b1)) >= a0.min(a1).max(b0.min(b1))
    };
    along(|p| p) || along(|(x, y)| (y, x))
}

fn terminal(name: &str, side: Side) -> Terminal {
    Terminal { name: name.to_owned(), words: String::new(), side }
}

fn device(name: &str, symbol: Symbol, rank: Rank, terminals: &[(&str, Side)]) -> Device {
    Device {
        name: name.to_owned(),
        symbol,
        rank,
        terminals: terminals.iter().map(|(name, side)| terminal(name, *side)).collect(),
        ..Device::default()
    }
}

fn wire(name: &str, from: End, to: End, side: Side) -> Wire {
    Wire {
        name: name.to_owned(),
        facts: vec!["4 mm²".to_owned(), "RD".to_owned(), "2 m".to_owned()],
        words: String::new(),
        ends: [from, to],
        side,
        cores: 1,
        state: None,
        marks: Vec::new(),
        suspicion: None,
    }
}

fn at(device: usize, terminal: usize) -> End {
    End::At { device, terminal }
}

/// A battery, a fuse, a lamp, a bar, and a wire that vanishes.
fn small() -> WiringDrawing {
    let poles = [("+", Side::Feed), ("-", Side::Return)];
    WiringDrawing {
        key: "w".to_owned(),
        title: "Small".to_owned(),
        devices: vec![
            device("bank", Symbol::Battery, Rank::Source(0.75), &poles),
            device("fuse", Symbol::Fuse, Rank::Between, &[("in", Side::Feed), ("out", Side::Feed)]),
            device("lamp", Symbol::Lamp, Rank::Load, &poles),
            device("bar", Symbol::Bar, Rank::Between, &[("", Side::Return)]),
        ],
        wires: vec![
            wire("a", at(0, 0), at(1, 0), Side::Feed),
            wire("b", at(1, 1), at(2, 0), Side::Feed),
            wire("c", at(2, 1), at(3, 0), Side::Return),
            wire("d", at(3, 0), at(0, 1), Side::Return),
            wire("e", at(1, 1), End::Behind("ceiling".to_owned()), Side::Feed),
        ],
        ..WiringDrawing::default()
    }
}

fn only_sheet(drawing: &WiringDrawing) -> String {
    let mut sheets = wiring(drawing, Paper::A3);
    assert_eq!(sheets.len(), 1);
    sheets.remove(0).svg
}

#[test]
fn every_wire_and_device_can_be_taken_hold_of_and_says_what_it_is() {
    let svg = only_sheet(&small());
    let document = roxmltree::Document::parse(&svg).expect("well-formed XML");
    let named = |key: &str| -> Vec<&str> {
        document.descendants().filter_map(|node| node.attribute(key)).collect()
    };
    assert_eq!(named("data-wire"), ["a", "b", "c", "d", "e"]);
    let mut devices = named("data-device");
    devices.sort_unstable();
    assert_eq!(devices, ["bank", "bar", "fuse", "lamp"]);
    for node in document.descendants().filter(|node| node.has_attribute("data-wire")) {
        assert!(node.children().any(|child| child.has_tag_name("title")));
    }
    let mut ids = named("id");
    let count = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), count, "an id stands for one thing");
}

#[test]
fn an_end_behind_a_part_names_the_part() {
    let svg = only_sheet(&small());
    assert!(svg.contains("data-behind=\"ceiling\"") && svg.contains(">ceiling<"));
}

#[test]
fn nothing_at_all_gives_no_sheet_and_wires_to_nowhere_give_one() {
    assert!(wiring(&WiringDrawing::default(), Paper::A3).is_empty());
    let mut loose = small();
    loose.devices.clear();
    loose.wires = vec![
        wire("y", End::Unseen, End::Unseen, Side::Feed),
        wire("z", End::Behind("wall".to_owned()), End::Unseen, Side::Feed),
    ];
    assert!(only_sheet(&loose).contains("not seen"));
}

#[test]
fn an_end_that_names_no_device_of_the_drawing_is_drawn_as_not_seen() {
    let mut broken = small();
    broken.wires.push(wire("x", at(99, 0), at(2, 7), Side::Feed));
    assert!(only_sheet(&broken).contains("data-wire=\"x\""));
}

#[test]
fn a_wire_back_to_its_own_device_says_where_it_goes() {
    let mut looped = small();
    looped.wires.push(wire("loop", at(1, 0), at(1, 1), Side::Feed));
    assert!(only_sheet(&looped).contains(">fuse.out<"));
}

#[test]
fn devices_without_a_wire_are_drawn_too() {
    let mut bare = small();
    bare.wires.clear();
    let svg = only_sheet(&bare);
    assert!(["bank", "fuse", "lamp", "bar"].iter().all(|name| svg.contains(&format!(">{name}<"))));
}

#[test]
fn the_same_drawing_gives_the_same_bytes() {
    assert_eq!(only_sheet(&small()), only_sheet(&small()));
}

#[test]
fn marks_in_words_stay_words() {
    let mut hostile = small();
    hostile.title = "<script>alert('&')</script> \u{1} ]]>".to_owned();
    hostile.devices[0].name = "\"><script>".to_owned();
    hostile.wires[0].name = "</g>&".to_owned();
    let svg = only_sheet(&hostile);
    let document = roxmltree::Document::parse(&svg).expect("well-formed XML");
    assert!(!document.descendants().any(|node| node.has_tag_name("script")));
}

/// WCAG 2.2, 1.4.3: 4.5 to 1 for words; 1.4.11: 3 to 1 for a mark against the paper, which CAUTION
/// (yellow, as ISO 3864-4 has it) reaches by its words, not by its ground.
#[test]
fn signal_words_stand_out_from_their_colour() {
    for signal in [Signal::Danger, Signal::Warning, Signal::Caution, Signal::Notice] {
        let (ground, ink) = colours(signal);
        assert!(contrast(ground, ink) >= 4.5, "{signal:?}");
    }
}
