//! Good plans, quickly: cheapest by labels that add needs up, then without what is superfluous,
//! then with single actions exchanged as long as that saves something.

use std::cmp::Reverse;

use crate::exact::labels::{Join, labels};
use crate::exact::net::{NONE, Net};
use crate::exact::{NEVER, Price};

/// A set of actions that works, none of them superfluous, and what it costs.
#[derive(Clone)]
pub(crate) struct Good {
    pub(crate) chosen: Vec<usize>,
    pub(crate) cost: Price,
}

/// A plan that looks cheap by the given prices ([`NEVER`] for what must not be used); `None` when
/// there is none. `work` tells work from bookkeeping.
pub(crate) fn good_plan(net: &Net, work: &[bool], prices: &[Price]) -> Option<Good> {
    let labels = labels(net, prices, Join::Sum);
    if labels.best[net.goal] == NONE {
        return None;
    }
    let mut wanted = vec![false; net.facts];
    let mut queue = vec![net.goal];
    let mut chosen = Vec::new();
    let mut doubled = false;
    while let Some(fact) = queue.pop() {
        if std::mem::replace(&mut wanted[fact], true) || fact == net.start {
            continue;
        }
        let action = labels.best[fact];
        if work[action] {
            chosen.push(action);
        }
        doubled |= net.achievers.of(fact).iter().any(|other| *other != action && !work[*other]);
        queue.extend(net.needs.of(action));
    }
    chosen.sort_unstable();
    if doubled {
        chosen = pruned(net, work, chosen); // else each fact has the one action, and all are needed
    }
    let cost = chosen.iter().map(|action| net.price[*action]).sum();
    Some(Good { chosen, cost })
}

/// Leaves out what is superfluous, dearest first.
fn pruned(net: &Net, work: &[bool], mut chosen: Vec<usize>) -> Vec<usize> {
    chosen.sort_unstable_by_key(|action| (Reverse(net.price[*action]), *action));
    let mut used: Vec<bool> = work.iter().map(|work| !work).collect();
    for &action in &chosen {
        used[action] = true;
    }
    for &action in &chosen {
        used[action] = false;
        used[action] = !net.works(|other| used[other]);
    }
    chosen.retain(|action| used[*action]);
    chosen.sort_unstable();
    chosen
}

/// The plan with single actions exchanged as long as that saves something.
pub(crate) fn exchanged(net: &Net, work: &[bool], mut plan: Good) -> Good {
    let mut prices = net.price.clone();
    let mut saved = true;
    while std::mem::take(&mut saved) {
        for action in plan.chosen.clone() {
            for &kept in &plan.chosen {
                prices[kept] = 0;
            }
            prices[action] = NEVER;
            let other = good_plan(net, work, &prices).filter(|other| other.cost < plan.cost);
            for &kept in plan.chosen.iter().chain([&action]) {
                prices[kept] = net.price[kept];
            }
            if let Some(other) = other {
                plan = other;
                saved = true;
            }
        }
    }
    plan
}
