//! What to do next. Small questions are answered exactly; of larger ones each promising action is
//! followed one step exactly and then by a policy that looks one check, or one opened place, ahead.

use crate::exact::Exact;
use crate::problem::{Access, Action, Check, Node, Problem, Step, opened, opening_minutes};
use crate::repairs::Repairs;

/// An action with the minutes it is expected to take to the cure, its own included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ranked {
    /// What to do.
    pub action: Action,
    /// Expected minutes to the cure if this is done next.
    pub minutes: f64,
}

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// Actions, best first. Empty only if nothing can be done at all.
    pub ranked: Vec<Ranked>,
    /// Minutes expected if nothing more is checked and repairs are tried in their best order.
    pub without_checks: f64,
    /// That order.
    pub repair_order: Vec<usize>,
    /// The figures are those of the best plans, proven; otherwise of good ones.
    pub is_exact: bool,
}

/// Beliefs looked at before the exact plan is given up.
const EXACT_NODES: usize = 20_000;
/// Beyond so many suspects, or checks and repairs, the exact plan is not tried.
const EXACT_SUSPECTS: usize = 8;
const EXACT_ACTIONS: usize = 20;
/// Actions that are followed up.
const FOLLOWED: usize = 6;
/// Beliefs looked at when an action is followed; each outcome has its share by its probability, so that
/// likely ones are followed far. A belief with less than one left is priced by trying repairs.
const EFFORT: f64 = 96.0;
/// Checks looked at in a place that is opened for all of them.
const AT_ONE_PLACE: usize = 6;
/// A saving smaller than this, in minutes, decides nothing.
const NO_SAVING: f64 = 1e-9;

/// The next action, its rivals, and what going straight to the repairs would cost.
pub fn next_action<A: Access>(
    problem: &Problem,
    access: &A,
    weights: &[f64],
    open: A::State,
) -> Choice {
    let node = problem.start(weights, open);
    let look = Look { problem, access, repairs: Repairs::new(problem, access) };
    let (without_checks, repair_order) = look.repairs.without_checks(&node);
    let exact = look.exact(&node);
    let is_exact = exact.is_some();
    let mut ranked = exact.unwrap_or_else(|| look.ahead(&node));
    ranked.sort_by(|a, b| a.minutes.total_cmp(&b.minutes).then(a.action.cmp(&b.action)));
    Choice { ranked, without_checks, repair_order, is_exact }
}

/// The answer for a question that is too large to be answered exactly, whatever its size.
#[cfg(test)]
pub(crate) fn looking_ahead<A: Access>(
    problem: &Problem,
    access: &A,
    weights: &[f64],
    open: A::State,
) -> Option<Ranked> {
    let look = Look { problem, access, repairs: Repairs::new(problem, access) };
    let ranked = look.ahead(&problem.start(weights, open));
    ranked.into_iter().min_by(|a, b| a.minutes.total_cmp(&b.minutes))
}

struct Look<'a, A: Access> {
    problem: &'a Problem,
    access: &'a A,
    repairs: Repairs<'a, A>,
}

impl<A: Access> Look<'_, A> {
    fn exact(&self, node: &Node<A::State>) -> Option<Vec<Ranked>> {
        let actions = self.problem.checks.len() + self.problem.repairs.len();
        if self.problem.suspects > EXACT_SUSPECTS || actions > EXACT_ACTIONS {
            return None;
        }
        let mut exact = Exact::new(self.problem, self.access, EXACT_NODES);
        exact
            .actions(node)
            .into_iter()
            .map(|(action, step)| Some(Ranked { action, minutes: exact.step_minutes(&step)? }))
            .collect()
    }

    fn ahead(&self, node: &Node<A::State>) -> Vec<Ranked> {
        let mut steps = self.steps(node);
        let mut first: Vec<(f64, usize)> =
            steps.iter().enumerate().map(|(at, (_, step))| (self.one_ahead(step), at)).collect();
        first.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let mut follow: Vec<usize> = first.into_iter().take(FOLLOWED).map(|f| f.1).collect();
        for (_, check) in self.places(node) {
            let at = steps.iter().position(|(action, _)| *action == Action::Check(check));
            follow.extend(at);
        }
        follow.sort_unstable();
        follow.dedup();
        follow
            .into_iter()
            .map(|at| {
                let (action, step) = &mut steps[at];
                let minutes = self.follow(step, EFFORT);
                Ranked { action: *action, minutes }
            })
            .collect()
    }

    fn steps(&self, node: &Node<A::State>) -> Vec<(Action, Step<A::State>)> {
        let checks = (0..self.problem.checks.len())
            .filter_map(|k| Some((Action::Check(k), self.problem.check(self.access, node, k)?)));
        let repairs = (0..self.problem.repairs.len())
            .filter_map(|k| Some((Action::Repair(k), self.problem.repair(self.access, node, k)?)));
        checks.chain(repairs).collect()
    }

    /// A step, then repairs only.
    fn one_ahead(&self, step: &Step<A::State>) -> f64 {
        let repairs = |node: &Node<A::State>| self.repairs.without_checks(node).0;
        step.minutes + step.then.iter().map(|(share, node)| share * repairs(node)).sum::<f64>()
    }

    /// A step, then the policy.
    fn follow(&self, step: &Step<A::State>, effort: f64) -> f64 {
        let after =
            |(share, node): &(f64, Node<A::State>)| share * self.policy(node, effort * share);
        step.minutes + step.then.iter().map(after).sum::<f64>()
    }

    /// Expected minutes of the policy: the check, or the place with its checks, that saves most
    /// against trying repairs; when none saves, the first repair, then again.
    fn policy(&self, node: &Node<A::State>, effort: f64) -> f64 {
        let (repairs, order) = self.repairs.without_checks(node);
        if effort < 1.0 || order.len() < 2 {
            return repairs;
        }
        let mut best: Option<(f64, Step<A::State>)> = None;
        for (action, step) in self.steps(node) {
            if matches!(action, Action::Check(_)) {
                let minutes = self.one_ahead(&step);
                if best.as_ref().is_none_or(|known| minutes < known.0) {
                    best = Some((minutes, step));
                }
            }
        }
        for (minutes, check) in self.places(node) {
            if best.as_ref().is_none_or(|known| minutes < known.0 - NO_SAVING) {
                let step = self.problem.check(self.access, node, check);
                best = step.map(|step| (minutes, step)).or(best);
            }
        }
        match best {
            Some((minutes, step)) if minutes < repairs - NO_SAVING => {
                self.follow(&step, effort - 1.0).min(repairs)
            }
            _ => match self.problem.repair(self.access, node, order[0]) {
                Some(step) => self.follow(&step, effort - 1.0).min(repairs),
                None => repairs,
            },
        }
    }

    /// For every place not open yet: the minutes when it is opened and the checks there are made as
    /// far as they save, and the first of them.
    fn places(&self, node: &Node<A::State>) -> Vec<(f64, usize)> {
        let to_do = |(k, check): (usize, &Check)| check.behind.filter(|_| !node.checked.has(k));
        let mut targets: Vec<_> =
            self.problem.checks.iter().enumerate().filter_map(to_do).collect();
        targets.sort_unstable();
        targets.dedup();
        let mut places = Vec::new();
        for target in targets {
            let Some((opening, open)) = opened(self.access, &node.open, Some(target)) else {
                continue;
            };
            if opening <= 0.0 {
                continue;
            }
            let there = Node { open, ..node.clone() };
            let mut at_hand: Vec<usize> = (0..self.problem.checks.len())
                .filter(|k| self.is_at_hand(&there, *k) && !self.is_at_hand(node, *k))
                .collect();
            at_hand.truncate(AT_ONE_PLACE);
            if let (minutes, Some(first)) = self.at_place(&there, &at_hand, 2) {
                places.push((opening + minutes, first));
            }
        }
        places
    }

    fn is_at_hand(&self, node: &Node<A::State>, check: usize) -> bool {
        let behind = self.problem.checks[check].behind;
        opening_minutes(self.access, &node.open, behind).is_some_and(|opening| opening <= 0.0)
    }

    /// The best use of the checks at hand, up to `deep` of them one after the other.
    fn at_place(
        &self,
        node: &Node<A::State>,
        at_hand: &[usize],
        deep: usize,
    ) -> (f64, Option<usize>) {
        let mut best = (self.repairs.without_checks(node).0, None);
        if deep == 0 {
            return best;
        }
        for &check in at_hand {
            let Some(step) = self.problem.check(self.access, node, check) else { continue };
            let after = |node: &Node<A::State>| self.at_place(node, at_hand, deep - 1).0;
            let minutes =
                step.minutes + step.then.iter().map(|(share, n)| share * after(n)).sum::<f64>();
            if minutes < best.0 - NO_SAVING {
                best = (minutes, Some(check));
            }
        }
        best
    }
}
