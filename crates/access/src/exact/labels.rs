//! Labels: what it costs to make each fact true, by the dearest or by the sum of the needs.
//!
//! By the dearest, labels are never too high: where the goal's label is above nothing, so is the
//! price of every plan, and [`zone`] finds a set of actions of which every plan uses one
//! (landmark cuts for delete-free planning: Helmert and Domshlak 2009, from memory).

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use crate::exact::net::{NONE, Net, plus};
use crate::exact::{NEVER, Price};

/// How the labels of several needs join.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Join {
    /// The dearest need: never too high, used for bounds.
    Dearest,
    /// The sum of needs: counts shared work twice, used to find good plans.
    Sum,
}

/// Labels of all facts.
pub(crate) struct Labels {
    /// By fact; [`NEVER`] when out of reach.
    pub(crate) value: Vec<Price>,
    /// By fact: the action that gives the label, or [`NONE`].
    pub(crate) best: Vec<usize>,
    /// By action: its dearest need.
    pub(crate) supporter: Vec<usize>,
}

/// Labels every fact, given a price per action ([`NEVER`] to forbid).
pub(crate) fn labels(net: &Net, prices: &[Price], join: Join) -> Labels {
    let actions = net.actions();
    let mut value = vec![NEVER; net.facts];
    let mut best = vec![NONE; net.facts];
    let mut supporter = vec![NONE; actions];
    let mut open: Vec<usize> = (0..actions).map(|a| net.needs.of(a).len()).collect();
    let mut sum = vec![0; actions];
    let mut queue = BinaryHeap::from([Reverse((0, net.start))]);
    value[net.start] = 0;
    while let Some(Reverse((label, fact))) = queue.pop() {
        if label > value[fact] {
            continue;
        }
        for &user in net.users.of(fact) {
            open[user] -= 1;
            sum[user] = plus(sum[user], label);
            if open[user] > 0 {
                continue;
            }
            supporter[user] = fact; // labels settle in rising order: the last need is the dearest
            let needs = if join == Join::Sum { sum[user] } else { label };
            let total = plus(needs, prices[user]);
            let gives = net.gives[user];
            if total < value[gives] {
                value[gives] = total;
                best[gives] = user;
                queue.push(Reverse((total, gives)));
            }
        }
    }
    for (action, supporter) in supporter.iter_mut().enumerate().filter(|(_, s)| **s == NONE) {
        let out_of_reach = net.needs.of(action).iter().find(|need| value[**need] == NEVER);
        *supporter = out_of_reach.copied().unwrap_or(NONE);
    }
    Labels { value, best, supporter }
}

/// The facts from which the goal follows for nothing, by dearest needs. Everything that enters the
/// zone from outside has a price.
pub(crate) fn zone(net: &Net, prices: &[Price], labels: &Labels) -> Vec<bool> {
    let mut zone = vec![false; net.facts];
    let mut queue = vec![net.goal];
    zone[net.goal] = true;
    while let Some(fact) = queue.pop() {
        for &action in net.achievers.of(fact) {
            let need = labels.supporter[action];
            if prices[action] == 0 && need != NONE && !zone[need] {
                zone[need] = true;
                queue.push(need);
            }
        }
    }
    zone
}
