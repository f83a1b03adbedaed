//! Lugs that a covered action is never worse than: on conductors in a row without a branch between
//! them, opening one is as good as opening the other, so the lug need not be weighed where a switch,
//! fuse or plug of the same row is as cheap and as near. Leaving it out changes no least cost. Covered
//! actions all stay: each may be what makes some other lug dead.

use std::collections::BTreeMap;

use access::PartIdx;

use crate::net::{Action, Net, Touch};
use crate::vehicle::Asked;

/// Leaves out lugs that a covered action is never worse than.
pub(crate) fn drop_dominated(asked: &mut Asked) {
    let row_of = rows(&asked.net);
    let mut in_row: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (index, action) in asked.net.actions.iter().enumerate() {
        if let ([way], []) = (&action.cuts[..], &action.stops[..]) {
            in_row.entry(row_of[*way]).or_default().push(index);
        }
    }
    let mut keep = vec![true; asked.net.actions.len()];
    for group in in_row.values() {
        for a in group {
            let actions = &asked.net.actions;
            let is_bare = actions[*a].touch == Touch::Bare;
            keep[*a] = !is_bare || !group.iter().any(|b| never_worse(&actions[*b], &actions[*a]));
        }
    }
    let mut kept = keep.iter();
    asked.net.actions.retain(|_| kept.next().copied().unwrap_or(true));
    let mut kept = keep.iter();
    asked.acts.retain(|_| kept.next().copied().unwrap_or(true));
}

/// Whether `a` is covered and at least as cheap and as near as `b`.
fn never_worse(a: &Action, b: &Action) -> bool {
    let cost = |action: &Action| action.minutes + action.back_min + action.risk_min;
    let within =
        |small: &Vec<PartIdx>, large: &Vec<PartIdx>| small.iter().all(|part| large.contains(part));
    a.is_fit()
        && cost(a) <= cost(b)
        && b.reach.iter().all(|far| a.reach.iter().any(|near| within(near, far)))
}

/// By conductor: the row it is in. Two conductors are in one row where they alone meet, at a point that
/// neither feeds, nor is fed, nor has to be dead.
fn rows(net: &Net) -> Vec<usize> {
    let mut special = vec![false; net.points];
    let starts = net.starts.iter().flat_map(|start| start.points.iter().chain(&start.fed_by));
    starts.chain(&net.area).for_each(|point| special[*point] = true);
    let mut at = vec![Vec::new(); net.points];
    for (index, way) in net.ways.iter().enumerate() {
        at[way.a].push(index);
        at[way.b].push(index);
    }
    let mut row: Vec<usize> = (0..net.ways.len()).collect();
    for (_, meeting) in at.iter().enumerate().filter(|(point, _)| !special[*point]) {
        if let [a, b] = meeting[..] {
            let (a, b) = (find(&row, a), find(&row, b));
            row[a] = b;
        }
    }
    (0..row.len()).map(|way| find(&row, way)).collect()
}

fn find(row: &[usize], mut way: usize) -> usize {
    while row[way] != way {
        way = row[way];
    }
    way
}
