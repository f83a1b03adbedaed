//! Finds landmarks that a relaxed plan neglects: sets of actions of which every plan uses one, but
//! which have a share of less than one altogether.
//!
//! Each action is taken to hang on its scarcest need; in the graph this gives, a smallest cut
//! between start and goal is found by augmenting paths (Ford and Fulkerson 1956, shortest paths
//! first: Edmonds and Karp 1972; from memory).

use std::collections::VecDeque;

use crate::exact::net::{NONE, Net};

/// A landmark counts as neglected when its share falls short of one by more than this.
const SHORT: f64 = 1.0e-6;
/// How often the facts' shares are passed on while looking for the scarcest needs.
const ROUNDS: usize = 40;

/// Neglected landmarks, at most `most`, none sharing an action with a share that an earlier one
/// counted on. `share` is by action: what is free has a share of 1 or more.
pub(crate) fn neglected(net: &Net, share: &[f64], most: usize) -> Vec<Vec<usize>> {
    let mut share = share.to_vec();
    let mut found = Vec::new();
    while found.len() < most {
        let Some(zone) = scarce_zone(net, &share) else { break };
        let row = net.landmark(&zone);
        if row.is_empty() {
            break;
        }
        for &action in &row {
            share[action] = 1.0;
        }
        found.push(row);
    }
    found
}

/// The facts beyond a smallest cut, if that cut is smaller than one.
fn scarce_zone(net: &Net, share: &[f64]) -> Option<Vec<bool>> {
    let supporter = scarcest_needs(net, share);
    let hanging = hanging_on(net, &supporter);
    let mut used = vec![0.0; net.actions()];
    let mut total = 0.0;
    while total < 1.0 - SHORT {
        let Some(path) = path(net, share, &used, &supporter, &hanging) else {
            return Some(beyond(net, share, &used, &supporter));
        };
        let room = |step: &Step| match step {
            Step::Along(action) => share[*action] - used[*action],
            Step::Back(action) => used[*action],
        };
        let amount = path.iter().map(room).fold(1.0 - total, f64::min);
        for step in path {
            match step {
                Step::Along(action) => used[action] += amount,
                Step::Back(action) => used[action] -= amount,
            }
        }
        total += amount;
    }
    None
}

/// By action: the need with the smallest share, where the share of a fact is what its actions can
/// pass on of theirs.
fn scarcest_needs(net: &Net, share: &[f64]) -> Vec<usize> {
    let mut supply = vec![0.0; net.facts];
    supply[net.start] = 1.0;
    let scarcest = |supply: &[f64], action: usize| {
        let needs = net.needs.of(action).iter().copied();
        needs.min_by(|a, b| supply[*a].total_cmp(&supply[*b])).unwrap_or(NONE)
    };
    let mut passed = vec![0.0; net.actions()];
    for _ in 0..ROUNDS {
        let mut changed = false;
        for action in 0..net.actions() {
            let now = share[action].min(supply[scarcest(&supply, action)]);
            let gives = net.gives[action];
            if now > passed[action] && supply[gives] < 1.0 {
                supply[gives] = f64::min(1.0, supply[gives] + now - passed[action]);
                passed[action] = now;
                changed = true;
            }
        }
        if !changed {
            break;
        }
    }
    (0..net.actions()).map(|action| scarcest(&supply, action)).collect()
}

/// By fact: the actions that hang on it.
fn hanging_on(net: &Net, supporter: &[usize]) -> Vec<Vec<usize>> {
    let mut hanging = vec![Vec::new(); net.facts];
    for (action, fact) in supporter.iter().enumerate() {
        hanging[*fact].push(action);
    }
    hanging
}

#[derive(Clone, Copy)]
enum Step {
    Along(usize),
    Back(usize),
}

/// A shortest path from start to goal with room left.
fn path(
    net: &Net,
    share: &[f64],
    used: &[f64],
    supporter: &[usize],
    hanging: &[Vec<usize>],
) -> Option<Vec<Step>> {
    let mut came: Vec<Option<(Step, usize)>> = vec![None; net.facts];
    let mut seen = vec![false; net.facts];
    let mut queue = VecDeque::from([net.start]);
    seen[net.start] = true;
    while let Some(fact) = queue.pop_front() {
        if fact == net.goal {
            break;
        }
        let along = hanging[fact].iter().filter(|a| share[**a] - used[**a] > SHORT / 10.0);
        let back = net.achievers.of(fact).iter().filter(|a| used[**a] > SHORT / 10.0);
        let steps = along
            .map(|a| (Step::Along(*a), net.gives[*a]))
            .chain(back.map(|a| (Step::Back(*a), supporter[*a])));
        for (step, next) in steps {
            if !std::mem::replace(&mut seen[next], true) {
                came[next] = Some((step, fact));
                queue.push_back(next);
            }
        }
    }
    let mut path = Vec::new();
    let mut at = net.goal;
    while at != net.start {
        let (step, before) = came[at]?;
        path.push(step);
        at = before;
    }
    Some(path)
}

/// The facts that still have room on a path to the goal.
fn beyond(net: &Net, share: &[f64], used: &[f64], supporter: &[usize]) -> Vec<bool> {
    let mut zone = vec![false; net.facts];
    let mut queue = vec![net.goal];
    zone[net.goal] = true;
    while let Some(fact) = queue.pop() {
        for &action in net.achievers.of(fact) {
            let before = supporter[action];
            if share[action] - used[action] > SHORT / 10.0 && !zone[before] {
                zone[before] = true;
                queue.push(before);
            }
        }
    }
    zone
}
