//! The cheapest plan of checks and repairs, by dynamic programming over what is believed, what is
//! open and what was done. Proven; only for small questions.

use std::collections::HashMap;

use crate::problem::{Access, Action, NO_WEIGHT, Node, Problem, Step, opening_minutes};

/// Steps in which weights are told apart when two beliefs are compared.
const WEIGHT_STEPS: f64 = 1e9;

/// Expected minutes of the best plan from here to the cure; `None` if more than `most_nodes` beliefs
/// would have to be looked at. The question must have no faults.
pub fn exact_minutes<A: Access>(
    problem: &Problem,
    access: &A,
    weights: &[f64],
    open: A::State,
    most_nodes: usize,
) -> Option<f64> {
    let mut exact = Exact::new(problem, access, most_nodes);
    exact.minutes(&problem.start(weights, open))
}

type Key<S> = (Vec<u32>, S, Vec<bool>, Vec<bool>);

pub(crate) struct Exact<'a, A: Access> {
    problem: &'a Problem,
    access: &'a A,
    /// Checks whose outcome is certain for every suspect tell nothing a second time by themselves.
    noisy: Vec<usize>,
    uncertain: Vec<usize>,
    known: HashMap<Key<A::State>, f64>,
    left: usize,
}

impl<'a, A: Access> Exact<'a, A> {
    pub(crate) fn new(problem: &'a Problem, access: &'a A, most_nodes: usize) -> Exact<'a, A> {
        let certain = |p: &f64| *p <= 0.0 || *p >= 1.0;
        let is_noisy = |k: &usize| !problem.checks[*k].outcomes.iter().flatten().all(certain);
        let is_uncertain = |k: &usize| !problem.repairs[*k].cures.iter().all(certain);
        Exact {
            problem,
            access,
            noisy: (0..problem.checks.len()).filter(is_noisy).collect(),
            uncertain: (0..problem.repairs.len()).filter(is_uncertain).collect(),
            known: HashMap::new(),
            left: most_nodes,
        }
    }

    /// Expected minutes from a node; `None` when the budget is spent.
    pub(crate) fn minutes(&mut self, node: &Node<A::State>) -> Option<f64> {
        let key = self.key(node);
        if let Some(known) = self.known.get(&key) {
            return Some(*known);
        }
        self.left = self.left.checked_sub(1)?;
        let mut steps: Vec<(f64, Step<A::State>)> =
            self.actions(node).into_iter().map(|(_, step)| (self.at_least(&step), step)).collect();
        steps.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut best = f64::INFINITY;
        for (at_least, step) in steps {
            if at_least >= best {
                break;
            }
            best = best.min(self.step_minutes(&step)?);
        }
        self.known.insert(key, best);
        Some(best)
    }

    /// Expected minutes if this step is taken and the best plan followed.
    pub(crate) fn step_minutes(&mut self, step: &Step<A::State>) -> Option<f64> {
        let mut minutes = step.minutes;
        for (share, then) in &step.then {
            minutes += share * self.minutes(then)?;
        }
        Some(minutes)
    }

    pub(crate) fn actions(&self, node: &Node<A::State>) -> Vec<(Action, Step<A::State>)> {
        let checks = (0..self.problem.checks.len())
            .filter_map(|k| Some((Action::Check(k), self.problem.check(self.access, node, k)?)));
        let repairs = (0..self.problem.repairs.len())
            .filter_map(|k| Some((Action::Repair(k), self.problem.repair(self.access, node, k)?)));
        checks.chain(repairs).collect()
    }

    /// Whoever is the cause has to be reached and cured: no plan is cheaper than that.
    fn at_least(&self, step: &Step<A::State>) -> f64 {
        let after = |node: &Node<A::State>| -> f64 {
            node.weights
                .iter()
                .enumerate()
                .filter(|(_, w)| **w > NO_WEIGHT)
                .map(|(g, w)| w * self.cure_at_least(node, g))
                .sum()
        };
        step.minutes + step.then.iter().map(|(share, node)| share * after(node)).sum::<f64>()
    }

    fn cure_at_least(&self, node: &Node<A::State>, suspect: usize) -> f64 {
        self.problem
            .repairs
            .iter()
            .enumerate()
            .filter(|(k, repair)| !node.repaired.has(*k) && repair.cures[suspect] > 0.0)
            .filter_map(|(_, repair)| {
                Some(opening_minutes(self.access, &node.open, repair.behind)? + repair.minutes)
            })
            .fold(f64::INFINITY, f64::min)
    }

    fn key(&self, node: &Node<A::State>) -> Key<A::State> {
        let rounded = |w: &f64| (w * WEIGHT_STEPS).round() as u32;
        (
            node.weights.iter().map(rounded).collect(),
            node.open.clone(),
            self.noisy.iter().map(|k| node.checked.has(*k)).collect(),
            self.uncertain.iter().map(|k| node.repaired.has(*k)).collect(),
        )
    }
}
