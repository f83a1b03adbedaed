//! The order of trying repairs when nothing more is checked. Its expected minutes are what every
//! check has to beat.

use std::cell::RefCell;
use std::collections::HashMap;
use std::rc::Rc;

use crate::problem::{Access, NO_WEIGHT, Node, Problem, Target, opened, opening_minutes};

/// The repairs of a question, and what they cost from wherever one came to.
pub(crate) struct Repairs<'a, A: Access> {
    problem: &'a Problem,
    access: &'a A,
    /// For each repair the suspects it may cure, with the chance.
    cured: Vec<Vec<(usize, f64)>>,
    known: RefCell<HashMap<A::State, Rc<Costs>>>,
}

/// Minutes of repairs, by their place in the question, from some state of opening. `None`: out of reach.
struct Costs {
    minutes: Vec<Option<f64>>,
    /// What is still shut: minutes to open it, and minutes of repairs then.
    behind: Vec<(Target, f64, Vec<Option<f64>>)>,
}

impl<'a, A: Access> Repairs<'a, A> {
    pub(crate) fn new(problem: &'a Problem, access: &'a A) -> Repairs<'a, A> {
        let cured = |repair: &crate::problem::Repair| {
            repair.cures.iter().copied().enumerate().filter(|cure| cure.1 > 0.0).collect()
        };
        let cured = problem.repairs.iter().map(cured).collect();
        Repairs { problem, access, cured, known: RefCell::default() }
    }

    /// Expected minutes of trying repairs until one cures, and their order.
    ///
    /// Without access the order of falling probability per minute is best (exchange argument; Kadane and
    /// Simon 1977; Heckerman, Breese, Rommelse, CACM 38(3), 1995). Where things lie behind others the
    /// same ratio is taken of *blocks*: all that lies open once a target is open, its opening counted
    /// (the idea of Horn 1972 and Sidney 1975 for precedence trees; all three from memory). Infinite if
    /// what is left cannot be cured.
    pub(crate) fn without_checks(&self, node: &Node<A::State>) -> (f64, Vec<usize>) {
        let (mut minutes, mut order, mut remains) = (0.0, Vec::new(), 1.0);
        let (mut weights, mut open) = (node.weights.clone(), node.open.clone());
        // Above this one of the suspects at least has a weight.
        let negligible = NO_WEIGHT * weights.len() as f64;
        let mut left: Vec<usize> =
            (0..self.problem.repairs.len()).filter(|k| !node.repaired.has(*k)).collect();
        while remains > negligible {
            let costs = self.costs(&open);
            let next = self.best_first(&costs, &weights, &left);
            let behind = |next: usize| self.problem.repairs[next].behind;
            let Some((next, (_, after))) =
                next.and_then(|next| Some((next, opened(self.access, &open, behind(next))?)))
            else {
                return (f64::INFINITY, order);
            };
            open = after;
            // The weights are not brought back to one: their sum is what remains.
            minutes += remains * costs.minutes[next].unwrap_or(f64::INFINITY);
            for (suspect, cures) in &self.cured[next] {
                weights[*suspect] *= 1.0 - cures;
            }
            remains = weights.iter().sum();
            left.retain(|k| *k != next);
            order.push(next);
        }
        (minutes, order)
    }

    fn costs(&self, open: &A::State) -> Rc<Costs> {
        if let Some(known) = self.known.borrow().get(open) {
            return Rc::clone(known);
        }
        let from = |open: &A::State| -> Vec<Option<f64>> {
            let minutes = |repair: &crate::problem::Repair| {
                Some(repair.minutes + opening_minutes(self.access, open, repair.behind)?)
            };
            self.problem.repairs.iter().map(minutes).collect()
        };
        let mut targets: Vec<Target> =
            self.problem.repairs.iter().filter_map(|repair| repair.behind).collect();
        targets.sort_unstable();
        targets.dedup();
        let shut = |target: Target| {
            let (opening, there) = self.access.open(open, target)?;
            (opening > 0.0).then(|| (target, opening, from(&there)))
        };
        let behind = targets.into_iter().filter_map(shut).collect();
        let costs = Rc::new(Costs { minutes: from(open), behind });
        self.known.borrow_mut().insert(open.clone(), Rc::clone(&costs));
        costs
    }

    /// The repair to try first: the best of the best block.
    fn best_first(&self, costs: &Costs, weights: &[f64], left: &[usize]) -> Option<usize> {
        let mut now: Vec<Candidate> = Vec::with_capacity(left.len());
        for &repair in left {
            let chance: f64 = self.cured[repair].iter().map(|(g, c)| weights[*g] * c).sum();
            if let (true, Some(minutes)) = (chance > NO_WEIGHT, costs.minutes[repair]) {
                now.push(Candidate { repair, chance, minutes });
            }
        }
        let mut best: Option<(f64, usize)> = None;
        let mut offer = |ratio: f64, repair: usize| {
            if best.is_none_or(|(known, _)| ratio > known * (1.0 + 1e-12)) {
                best = Some((ratio, repair));
            }
        };
        for candidate in &now {
            offer(candidate.ratio(), candidate.repair);
        }
        let is_wanted = |target: Target| {
            now.iter()
                .any(|candidate| self.problem.repairs[candidate.repair].behind == Some(target))
        };
        let mut block: Vec<(Candidate, f64)> = Vec::with_capacity(now.len());
        for (_, opening, there) in costs.behind.iter().filter(|behind| is_wanted(behind.0)) {
            // What lies open there is cheaper than from here.
            block.clear();
            block.extend(now.iter().filter_map(|known| {
                let minutes = there[known.repair].filter(|minutes| *minutes < known.minutes)?;
                Some((Candidate { minutes, ..*known }, known.ratio()))
            }));
            if let Some(ratio) = block_ratio(&mut block, *opening) {
                let first = block.iter().max_by(|(a, here), (b, there)| {
                    here.total_cmp(there).then(b.repair.cmp(&a.repair))
                });
                first.into_iter().for_each(|(candidate, _)| offer(ratio, candidate.repair));
            }
        }
        best.map(|best| best.1)
    }
}

#[derive(Clone, Copy)]
struct Candidate {
    repair: usize,
    chance: f64,
    minutes: f64,
}

impl Candidate {
    fn ratio(&self) -> f64 {
        self.chance / self.minutes.max(f64::MIN_POSITIVE)
    }
}

/// Keeps the head of the block that gives the most chance per minute; that ratio.
fn block_ratio(block: &mut Vec<(Candidate, f64)>, opening: f64) -> Option<f64> {
    block.sort_by(|(a, _), (b, _)| b.ratio().total_cmp(&a.ratio()).then(a.repair.cmp(&b.repair)));
    let (mut chance, mut minutes) = (0.0, opening);
    let mut best: Option<(f64, usize)> = None;
    for (k, (candidate, _)) in block.iter().enumerate() {
        chance += candidate.chance;
        minutes += candidate.minutes;
        let ratio = chance / minutes;
        if best.is_none_or(|(known, _)| ratio >= known) {
            best = Some((ratio, k + 1));
        }
    }
    let (ratio, keep) = best?;
    block.truncate(keep);
    Some(ratio)
}
