//! The exact search: best-first branch and bound over "use this removal" / "do not use it".
//!
//! Every open node carries a proved lower bound; the search ends when none is below the best plan
//! found, or when the allowed [`Effort`] is used up, in which case the lowest open bound is handed
//! back so that the gap can be stated. Counts, not clocks, limit it: the same question gives the
//! same answer on every machine. Deliberately does not know parts, minutes or money.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use crate::bound::{Completeness, Join, NONE, cuts, labels};
use crate::task::{Cost, NEVER, Task, plus};

/// How much searching is allowed before the best plan so far is returned with its gap.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Effort {
    /// Most nodes of the search tree.
    pub nodes: u64,
    /// Most looks at single removals while bounding, over all nodes together.
    pub looks: u64,
}

impl Effort {
    /// Enough to prove the optimum of ordinary vehicles many times over (see the example
    /// `sixty_parts`); a few seconds at most.
    pub const USUAL: Self = Self { nodes: 20_000, looks: 60_000_000 };
}

impl Default for Effort {
    fn default() -> Self {
        Self::USUAL
    }
}

/// The best plan found and what is proved about it.
pub(crate) struct Found {
    /// Actions that are removals, none of them superfluous.
    pub(crate) chosen: Vec<usize>,
    /// Cost of the chosen.
    pub(crate) cost: Cost,
    /// Nothing cheaper than this exists.
    pub(crate) least: Cost,
    /// Nodes looked at.
    pub(crate) nodes: u64,
}

/// Finds the cheapest set of actions that reaches the goal; `None` when none does.
pub(crate) fn cheapest(task: &Task, effort: Effort) -> Option<Found> {
    let mut search = Search::new(task, effort);
    let root = vec![Choice::Open; task.actions.len()];
    search.offer_plan(&root)?;
    search.push(root, 0, 0);
    while let Some(node) = search.open.pop() {
        if node.bound.0 >= search.best_cost {
            break; // best first: nothing better is left
        }
        let budget = search.nodes < effort.nodes && search.looks_left > 0;
        let Some(branch) = node.branch.filter(|_| budget) else {
            search.open.push(node);
            break;
        };
        search.split(&node, branch);
    }
    Some(search.finish())
}

/// What is decided about an action at a node.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Choice {
    Open,
    In,
    Out,
}

struct Node {
    bound: Reverse<Cost>,
    depth: u32,
    number: Reverse<u64>,
    /// The action to decide next; `None` when the bounding was stopped before one was found.
    branch: Option<usize>,
    choices: Vec<Choice>,
}

struct Search<'t> {
    task: &'t Task,
    open: BinaryHeap<Node>,
    best: Vec<usize>,
    best_cost: Cost,
    nodes: u64,
    looks_left: u64,
}

impl<'t> Search<'t> {
    fn new(task: &'t Task, effort: Effort) -> Self {
        Self {
            task,
            open: BinaryHeap::new(),
            best: Vec::new(),
            best_cost: NEVER,
            nodes: 0,
            looks_left: effort.looks,
        }
    }

    fn split(&mut self, node: &Node, branch: usize) {
        let mut with = node.choices.clone();
        self.include(&mut with, branch);
        self.push(with, node.bound.0, node.depth + 1);
        let mut without = node.choices.clone();
        without[branch] = Choice::Out;
        if self.offer_plan(&without).is_some() {
            self.push(without, node.bound.0, node.depth + 1);
        }
    }

    /// Bounds a node and keeps it if it may hold something better than the best plan.
    fn push(&mut self, mut choices: Vec<Choice>, parent_bound: Cost, depth: u32) {
        self.nodes += 1;
        let (bound, branch) = loop {
            let found = cuts(self.task, &self.costs(&choices), &mut self.looks_left);
            if found.least == NEVER {
                return;
            }
            let bound = plus(self.paid(&choices), found.least).max(parent_bound);
            if found.complete == Completeness::StoppedEarly {
                break (bound, None);
            }
            if self.include_forced(&mut choices, &found.cuts) == Tightened::No {
                let branch = self.branch(&found.cuts);
                if branch.is_none() {
                    self.offer_plan(&choices); // what is in reaches the goal, at the bound itself
                    return;
                }
                break (bound, branch);
            }
        };
        if bound < self.best_cost {
            let number = Reverse(self.nodes);
            self.open.push(Node { bound: Reverse(bound), depth, number, branch, choices });
        }
    }

    /// Takes in what every plan must use, and with it rules out other removals of the same part.
    fn include_forced(&self, choices: &mut [Choice], cuts: &[Vec<usize>]) -> Tightened {
        let mut tightened = Tightened::No;
        for cut in cuts {
            if let [only] = cut[..]
                && choices[only] == Choice::Open
                && self.include(choices, only) == Tightened::Yes
            {
                tightened = Tightened::Yes;
            }
        }
        tightened
    }

    /// One removal per part is enough, so including one excludes its rivals.
    fn include(&self, choices: &mut [Choice], action: usize) -> Tightened {
        choices[action] = Choice::In;
        let mut tightened = Tightened::No;
        for &rival in &self.task.achievers[self.task.actions[action].gives] {
            if choices[rival] == Choice::Open {
                choices[rival] = Choice::Out;
                tightened = Tightened::Yes;
            }
        }
        tightened
    }

    /// From the shortest cut with a choice in it, the removal the best plan uses, else the first.
    fn branch(&self, cuts: &[Vec<usize>]) -> Option<usize> {
        let cut = cuts.iter().filter(|cut| cut.len() > 1).min_by_key(|cut| cut.len())?;
        let used = cut.iter().find(|action| self.best.contains(action));
        used.or(cut.first()).copied()
    }

    /// Builds a good plan that respects the choices, and keeps it if it is the best so far.
    /// `None` when the choices leave the goal out of reach.
    fn offer_plan(&mut self, choices: &[Choice]) -> Option<()> {
        let labels = labels(self.task, &self.costs(choices), Join::Sum);
        if labels.best[self.task.goal] == NONE {
            return None;
        }
        let mut wanted = vec![false; self.task.facts];
        let mut queue = vec![self.task.goal];
        let mut chosen = Vec::new();
        while let Some(fact) = queue.pop() {
            if std::mem::replace(&mut wanted[fact], true) || fact == self.task.start {
                continue;
            }
            let action = labels.best[fact];
            if self.task.is_work(action) {
                chosen.push(action);
            }
            queue.extend(&self.task.actions[action].needs);
        }
        self.keep_if_better(chosen);
        Some(())
    }

    fn keep_if_better(&mut self, mut chosen: Vec<usize>) {
        let cost_of = |action: &usize| self.task.actions[*action].cost;
        chosen.sort_unstable_by_key(|action| (Reverse(cost_of(action)), *action));
        let mut used = vec![false; self.task.actions.len()];
        for &action in &chosen {
            used[action] = true;
        }
        for &action in &chosen {
            used[action] = false;
            let reached = self.task.reached(|a| used[a] || !self.task.is_work(a));
            used[action] = !reached[self.task.goal];
        }
        chosen.retain(|action| used[*action]);
        let cost = chosen.iter().map(cost_of).fold(0, plus);
        if cost < self.best_cost {
            self.best_cost = cost;
            self.best = chosen;
        }
    }

    fn costs(&self, choices: &[Choice]) -> Vec<Cost> {
        let price = |(action, choice): (&crate::task::Action, &Choice)| match choice {
            Choice::Open => action.cost,
            Choice::In => 0,
            Choice::Out => NEVER,
        };
        self.task.actions.iter().zip(choices).map(price).collect()
    }

    fn paid(&self, choices: &[Choice]) -> Cost {
        let chosen = self.task.actions.iter().zip(choices).filter(|(_, c)| **c == Choice::In);
        chosen.map(|(action, _)| action.cost).fold(0, plus)
    }

    fn finish(self) -> Found {
        let open = self.open.iter().map(|node| node.bound.0).min().unwrap_or(NEVER);
        let mut chosen = self.best;
        chosen.sort_unstable();
        Found { chosen, cost: self.best_cost, least: open.min(self.best_cost), nodes: self.nodes }
    }
}

#[derive(PartialEq, Eq)]
enum Tightened {
    Yes,
    No,
}

impl Node {
    fn rank(&self) -> (Reverse<Cost>, u32, Reverse<u64>) {
        (self.bound, self.depth, self.number)
    }
}

impl Ord for Node {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.rank().cmp(&other.rank())
    }
}

impl PartialOrd for Node {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Node {
    fn eq(&self, other: &Self) -> bool {
        self.rank() == other.rank()
    }
}

impl Eq for Node {}
