//! Lower bounds on what is still to be paid, by cheapest-need labels and disjoint cuts.
//!
//! A *cut* is a set of removals of which every plan uses at least one. Cuts are found one after
//! another, each paid for by lowering the cost of its removals, so the sum of their prices never
//! exceeds the true cost. Method: landmark cuts for delete-free planning (Helmert and Domshlak
//! 2009, from memory). Deliberately does not know the search around it.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use crate::task::{Cost, NEVER, Task, plus};

/// No action, no supporter.
pub(crate) const NONE: usize = usize::MAX;

/// How the labels of several needs join.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Join {
    /// The dearest need: never too high, used for bounds.
    Dearest,
    /// The sum of needs: counts shared work twice, used to find good plans.
    Sum,
}

/// Cheapest-cost labels of all facts.
pub(crate) struct Labels {
    /// By fact; [`NEVER`] when out of reach.
    pub(crate) value: Vec<Cost>,
    /// By fact: the action that gives the label, or [`NONE`].
    pub(crate) best: Vec<usize>,
    /// By action: its dearest need, or [`NONE`] while a need is out of reach.
    pub(crate) supporter: Vec<usize>,
}

/// The outcome of [`cuts`].
pub(crate) struct Bound {
    /// What remains to be paid at least; [`NEVER`] when the goal is out of reach.
    pub(crate) least: Cost,
    /// The cuts found.
    pub(crate) cuts: Vec<Vec<usize>>,
    /// Whether the cutting ran to its end.
    pub(crate) complete: Completeness,
}

/// Whether the allowance was enough.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Completeness {
    Complete,
    StoppedEarly,
}

/// Labels every fact with the cost of reaching it, given a cost per action ([`NEVER`] to forbid).
pub(crate) fn labels(task: &Task, costs: &[Cost], join: Join) -> Labels {
    let mut value = vec![NEVER; task.facts];
    let mut best = vec![NONE; task.facts];
    let mut supporter = vec![NONE; task.actions.len()];
    let mut open: Vec<usize> = task.actions.iter().map(|a| a.needs.len()).collect();
    let mut sum = vec![0; task.actions.len()];
    let mut queue = BinaryHeap::from([Reverse((0, task.start))]);
    value[task.start] = 0;
    while let Some(Reverse((label, fact))) = queue.pop() {
        if label > value[fact] {
            continue;
        }
        for &user in &task.users[fact] {
            open[user] -= 1;
            sum[user] = plus(sum[user], label);
            if open[user] > 0 || costs[user] == NEVER {
                continue;
            }
            // Facts settle in rising order, so the last need to settle is the dearest.
            supporter[user] = fact;
            let needs = if join == Join::Dearest { label } else { sum[user] };
            let offer = plus(needs, costs[user]);
            let gives = task.actions[user].gives;
            if offer < value[gives] {
                value[gives] = offer;
                best[gives] = user;
                queue.push(Reverse((offer, gives)));
            }
        }
    }
    Labels { value, best, supporter }
}

/// Lower bound on the cost of reaching the goal, with the cuts that show it. Each round of
/// cutting looks at every action, and takes as much from `allowance`; when that is used up the
/// bound so far is returned.
pub(crate) fn cuts(task: &Task, costs: &[Cost], allowance: &mut u64) -> Bound {
    let mut left = costs.to_vec();
    let mut found = Bound { least: 0, cuts: Vec::new(), complete: Completeness::Complete };
    loop {
        let looks = task.actions.len() as u64;
        if *allowance < looks {
            *allowance = 0;
            found.complete = Completeness::StoppedEarly;
            return found;
        }
        *allowance -= looks;
        let labels = labels(task, &left, Join::Dearest);
        match labels.value[task.goal] {
            NEVER => return Bound { least: NEVER, cuts: Vec::new(), ..found },
            0 => return found,
            _ => {}
        }
        let cut = cut_before_goal(task, &left, &labels);
        let price = cut.iter().map(|action| left[*action]).min().unwrap_or(0);
        if price == 0 {
            return found; // cannot happen: a cut is never empty or free while the goal costs
        }
        for &action in &cut {
            left[action] -= price;
        }
        found.least = plus(found.least, price);
        found.cuts.push(cut);
    }
}

/// The actions that lead from what is reached without the goal zone into the goal zone, where the
/// goal zone is everything from which the goal follows for free by dearest needs.
fn cut_before_goal(task: &Task, left: &[Cost], labels: &Labels) -> Vec<usize> {
    let mut zone = vec![false; task.facts];
    let mut queue = vec![task.goal];
    zone[task.goal] = true;
    while let Some(fact) = queue.pop() {
        for &action in &task.achievers[fact] {
            let need = labels.supporter[action];
            if left[action] == 0 && need != NONE && !zone[need] {
                zone[need] = true;
                queue.push(need);
            }
        }
    }
    let mut cut = Vec::new();
    let mut seen = vec![false; task.facts];
    queue.push(task.start);
    seen[task.start] = true;
    while let Some(fact) = queue.pop() {
        for &user in task.users[fact].iter().filter(|user| labels.supporter[**user] == fact) {
            let gives = task.actions[user].gives;
            if zone[gives] {
                cut.push(user);
            } else if !seen[gives] {
                seen[gives] = true;
                queue.push(gives);
            }
        }
    }
    cut.sort_unstable();
    cut
}
