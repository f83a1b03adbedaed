//! Gathers the conductors of the live map so that a page can hold it: conductors that have the same
//! status from the same sources in every state stand in one row, with the longest way shown.
//!
//! No conductor is left out and no status is changed.

use std::collections::BTreeMap;

use analysis::{LineUse, LiveRow};
use serde::Serialize;

/// The live map of all states.
#[derive(Debug, PartialEq, Serialize)]
pub(crate) struct LiveMap<'a> {
    /// The states, in the order of the review.
    pub(crate) states: Vec<&'a str>,
    /// Rows; what is live in the most states first.
    pub(crate) groups: Vec<LiveGroup<'a>>,
}

/// Conductors that are energised alike in every state.
#[derive(Debug, PartialEq, Serialize)]
pub(crate) struct LiveGroup<'a> {
    /// Their names, in the order of the review.
    pub(crate) wires: Vec<&'a str>,
    /// Their status in each state; none where a state says nothing of them.
    pub(crate) status: Vec<Option<LineUse>>,
    /// From where, by what way.
    pub(crate) from: Vec<LiveWay<'a>>,
}

/// The way from a source to one conductor.
#[derive(Debug, PartialEq, Serialize)]
pub(crate) struct LiveWay<'a> {
    /// The source.
    pub(crate) source: &'a str,
    /// Why it is only possible; empty when certain.
    pub(crate) doubt: &'a str,
    /// The conductor this way leads to.
    pub(crate) to: &'a str,
    /// The way, item by item.
    pub(crate) path: &'a [String],
    /// Places in the list of states.
    pub(crate) states: Vec<usize>,
}

/// Gathers the rows of all states.
pub(crate) fn gather(rows: &[LiveRow]) -> LiveMap<'_> {
    let mut states: Vec<&str> = Vec::new();
    let mut wires: Vec<&str> = Vec::new();
    let mut cells: BTreeMap<(&str, usize), &LiveRow> = BTreeMap::new();
    for row in rows {
        let state = place_in(&mut states, &row.state);
        place_in(&mut wires, &row.wire);
        cells.insert((&row.wire, state), row);
    }
    let mut groups: Vec<Vec<Vec<Option<&LiveRow>>>> = Vec::new();
    for wire in wires {
        let line: Vec<Option<&LiveRow>> =
            (0..states.len()).map(|state| cells.get(&(wire, state)).copied()).collect();
        match groups.iter_mut().find(|group| group.first().is_some_and(|first| alike(first, &line)))
        {
            Some(group) => group.push(line),
            None => groups.push(vec![line]),
        }
    }
    let mut groups: Vec<LiveGroup<'_>> = groups.iter().map(|lines| group(lines)).collect();
    groups.sort_by_key(|group| rank(&group.status));
    LiveMap { states, groups }
}

fn place_in<'a>(names: &mut Vec<&'a str>, name: &'a str) -> usize {
    names.iter().position(|known| *known == name).unwrap_or_else(|| {
        names.push(name);
        names.len() - 1
    })
}

/// Rows of two conductors, state by state.
fn alike(a: &[Option<&LiveRow>], b: &[Option<&LiveRow>]) -> bool {
    a.iter().zip(b).all(|pair| match pair {
        (Some(a), Some(b)) => {
            let same = |(a, b): (&analysis::LivePath, &analysis::LivePath)| {
                a.source == b.source && a.doubt == b.doubt
            };
            a.status == b.status
                && a.from.len() == b.from.len()
                && a.from.iter().zip(&b.from).all(same)
        }
        (None, None) => true,
        _ => false,
    })
}

fn group<'a>(lines: &[Vec<Option<&'a LiveRow>>]) -> LiveGroup<'a> {
    let name =
        |line: &Vec<Option<&'a LiveRow>>| line.iter().flatten().next().map(|row| row.wire.as_str());
    let first: &[Option<&LiveRow>] = lines.first().map_or(&[], Vec::as_slice);
    let mut from: Vec<LiveWay<'a>> = Vec::new();
    for (state, cell) in first.iter().enumerate() {
        for at in 0..cell.map_or(0, |row| row.from.len()) {
            let ways = lines.iter().filter_map(|line| way(line, state, at));
            // The first of the longest, so that the answer does not hang on the iterator.
            let longest = ways.reduce(|a, b| if b.path.len() > a.path.len() { b } else { a });
            from.extend(longest);
        }
    }
    LiveGroup {
        wires: lines.iter().filter_map(name).collect(),
        status: first.iter().map(|cell| cell.map(|row| row.status)).collect(),
        from: joined(from),
    }
}

fn way<'a>(line: &[Option<&'a LiveRow>], state: usize, at: usize) -> Option<LiveWay<'a>> {
    let row = line.get(state).copied().flatten()?;
    let way = row.from.get(at)?;
    Some(LiveWay {
        source: &way.source,
        doubt: &way.doubt,
        to: &row.wire,
        path: &way.path,
        states: vec![state],
    })
}

/// The same way in several states is one way.
fn joined(ways: Vec<LiveWay<'_>>) -> Vec<LiveWay<'_>> {
    let mut kept: Vec<LiveWay<'_>> = Vec::new();
    for way in ways {
        let same = |known: &&mut LiveWay<'_>| {
            (known.source, known.doubt, known.to, known.path)
                == (way.source, way.doubt, way.to, way.path)
        };
        match kept.iter_mut().find(same) {
            Some(known) => known.states.extend(way.states),
            None => kept.push(way),
        }
    }
    kept
}

/// What is live in the most states first, then what may be, then returns.
fn rank(status: &[Option<LineUse>]) -> std::cmp::Reverse<(usize, usize, usize)> {
    let count = |wanted: LineUse| status.iter().filter(|one| **one == Some(wanted)).count();
    std::cmp::Reverse((count(LineUse::Live), count(LineUse::MayBeLive), count(LineUse::Return)))
}

#[cfg(test)]
mod tests {
    use analysis::LivePath;

    use super::*;

    fn row(state: &str, wire: &str, status: LineUse, from: &[(&str, &[&str], &str)]) -> LiveRow {
        let from = from
            .iter()
            .map(|(source, path, doubt)| LivePath {
                source: (*source).to_owned(),
                path: path.iter().map(|item| (*item).to_owned()).collect(),
                doubt: (*doubt).to_owned(),
            })
            .collect();
        LiveRow { state: state.to_owned(), wire: wire.to_owned(), status, from }
    }

    #[test]
    fn conductors_behind_one_another_share_a_row_with_the_longest_way() {
        let rows = [
            row("parked", "w1", LineUse::Live, &[("battery", &["stud"], "")]),
            row("parked", "w2", LineUse::Live, &[("battery", &["stud", "w1", "fuse"], "")]),
        ];
        let map = gather(&rows);
        assert_eq!(map.groups.len(), 1);
        assert_eq!(map.groups[0].wires, ["w1", "w2"]);
        assert_eq!(map.groups[0].from[0].to, "w2");
    }

    #[test]
    fn a_second_source_or_a_doubt_keeps_a_conductor_in_its_own_row() {
        let rows = [
            row("parked", "w1", LineUse::Live, &[("battery", &["a"], "")]),
            row("parked", "w2", LineUse::Live, &[("battery", &["a"], ""), ("panel", &["b"], "")]),
            row("parked", "w3", LineUse::MayBeLive, &[("battery", &["a"], "end not seen")]),
        ];
        assert_eq!(gather(&rows).groups.len(), 3);
    }

    #[test]
    fn a_conductor_live_in_one_state_only_is_not_told_with_one_live_in_all() {
        let live: &[(&str, &[&str], &str)] = &[("battery", &["a"], "")];
        let rows = [
            row("parked", "w1", LineUse::Live, live),
            row("parked", "w2", LineUse::Live, live),
            row("driving", "w1", LineUse::Live, live),
            row("driving", "w2", LineUse::NotReached, &[]),
        ];
        let map = gather(&rows);
        assert_eq!(map.states, ["parked", "driving"]);
        assert_eq!(map.groups[0].wires, ["w1"]);
        assert_eq!(map.groups[0].from[0].states, [0, 1]);
        assert_eq!(map.groups[1].status, [Some(LineUse::Live), Some(LineUse::NotReached)]);
    }

    #[test]
    fn another_way_in_another_state_is_told_beside_the_first() {
        let rows = [
            row("parked", "w1", LineUse::Live, &[("battery", &["a"], "")]),
            row("driving", "w1", LineUse::Live, &[("battery", &["b", "c"], "")]),
        ];
        let map = gather(&rows);
        let told: Vec<_> = map.groups[0].from.iter().map(|way| way.states.clone()).collect();
        assert_eq!(told, [vec![0], vec![1]]);
    }

    #[test]
    fn what_is_live_stands_before_what_is_not_reached_and_none_is_lost() {
        let rows = [
            row("parked", "w1", LineUse::NotReached, &[]),
            row("parked", "w2", LineUse::Live, &[("battery", &["a"], "")]),
            row("driving", "w1", LineUse::Return, &[]),
        ];
        let map = gather(&rows);
        assert_eq!(map.groups[0].wires, ["w2"]);
        assert_eq!(map.groups[0].status, [Some(LineUse::Live), None]);
        assert_eq!(map.groups.iter().map(|group| group.wires.len()).sum::<usize>(), 2);
    }
}
