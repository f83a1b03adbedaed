//! Gathers the conductors of the live map so that a page can hold it: in each state, conductors
//! with the same status from the same sources stand in one row, with the longest way shown.
//!
//! No conductor is left out and no status is changed.

use analysis::{LineUse, LivePath, LiveRow};
use serde::Serialize;

/// The live map of one state.
#[derive(Debug, PartialEq, Serialize)]
pub(crate) struct LiveState<'a> {
    /// The state.
    pub(crate) state: &'a str,
    /// Rows; what is live first.
    pub(crate) groups: Vec<LiveGroup<'a>>,
}

/// Conductors that are energised alike.
#[derive(Debug, PartialEq, Serialize)]
pub(crate) struct LiveGroup<'a> {
    /// Their status.
    pub(crate) status: LineUse,
    /// Their names, in the order of the review.
    pub(crate) wires: Vec<&'a str>,
    /// Each source with the longest way to one of them.
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
}

/// Gathers the rows of all states, states in the order of the review.
pub(crate) fn gather(rows: &[LiveRow]) -> Vec<LiveState<'_>> {
    let mut states: Vec<LiveState<'_>> = Vec::new();
    for row in rows {
        let at = states.iter().position(|known| known.state == row.state).unwrap_or_else(|| {
            states.push(LiveState { state: &row.state, groups: Vec::new() });
            states.len() - 1
        });
        if let Some(state) = states.get_mut(at) {
            add(&mut state.groups, row);
        }
    }
    for state in &mut states {
        state.groups.sort_by_key(|group| rank(group.status));
    }
    states
}

fn add<'a>(groups: &mut Vec<LiveGroup<'a>>, row: &'a LiveRow) {
    if let Some(group) = groups.iter_mut().find(|group| alike(group, row)) {
        group.wires.push(&row.wire);
        for (known, way) in group.from.iter_mut().zip(&row.from) {
            if way.path.len() > known.path.len() {
                known.path = &way.path;
                known.to = &row.wire;
            }
        }
        return;
    }
    let from = row.from.iter().map(|way| first_way(way, &row.wire)).collect();
    groups.push(LiveGroup { status: row.status, wires: vec![&row.wire], from });
}

fn first_way<'a>(way: &'a LivePath, wire: &'a str) -> LiveWay<'a> {
    LiveWay { source: &way.source, doubt: &way.doubt, to: wire, path: &way.path }
}

fn alike(group: &LiveGroup<'_>, row: &LiveRow) -> bool {
    group.status == row.status
        && group.from.len() == row.from.len()
        && group
            .from
            .iter()
            .zip(&row.from)
            .all(|(known, way)| known.source == way.source && known.doubt == way.doubt)
}

fn rank(status: LineUse) -> u8 {
    match status {
        LineUse::Live => 0,
        LineUse::MayBeLive => 1,
        LineUse::Return => 2,
        LineUse::NotReached => 3,
    }
}

#[cfg(test)]
mod tests {
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
        let states = gather(&rows);
        assert_eq!(states[0].groups.len(), 1);
        assert_eq!(states[0].groups[0].wires, ["w1", "w2"]);
        assert_eq!(states[0].groups[0].from[0].to, "w2");
    }

    #[test]
    fn a_second_source_or_a_doubt_keeps_a_conductor_in_its_own_row() {
        let rows = [
            row("parked", "w1", LineUse::Live, &[("battery", &["a"], "")]),
            row("parked", "w2", LineUse::Live, &[("battery", &["a"], ""), ("panel", &["b"], "")]),
            row("parked", "w3", LineUse::MayBeLive, &[("battery", &["a"], "end not seen")]),
        ];
        assert_eq!(gather(&rows)[0].groups.len(), 3);
    }

    #[test]
    fn what_is_live_stands_before_what_is_not_reached_and_none_is_lost() {
        let rows = [
            row("parked", "w1", LineUse::NotReached, &[]),
            row("parked", "w2", LineUse::Live, &[("battery", &["a"], "")]),
            row("driving", "w1", LineUse::Return, &[]),
        ];
        let states = gather(&rows);
        assert_eq!(states.len(), 2);
        assert_eq!(states[0].groups[0].wires, ["w2"]);
        let wires: usize = states.iter().flat_map(|s| &s.groups).map(|g| g.wires.len()).sum();
        assert_eq!(wires, rows.len());
    }
}
