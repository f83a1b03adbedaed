//! The order of trying repairs when nothing more is checked. Its expected minutes are what every
//! check has to beat.

use crate::problem::{Access, NO_WEIGHT, Node, Problem, opened};

/// Expected minutes of trying repairs until one cures, and their order.
///
/// Without access the order of falling probability per minute is best (exchange argument; Kadane and
/// Simon 1977; Heckerman, Breese, Rommelse, CACM 38(3), 1995). Where things lie behind others the
/// same ratio is taken of *blocks*: all that lies open once a target is open, its opening counted
/// (the idea of Horn 1972 and Sidney 1975 for precedence trees; all three from memory). Infinite if
/// what is left cannot be cured.
pub(crate) fn without_checks<A: Access>(
    problem: &Problem,
    access: &A,
    node: &Node<A::State>,
) -> (f64, Vec<usize>) {
    let (mut minutes, mut order, mut remains) = (0.0, Vec::new(), 1.0);
    let mut node = node.clone();
    while remains > NO_WEIGHT {
        let Some(next) = best_first(problem, access, &node) else {
            return (f64::INFINITY, order);
        };
        let step = problem.repair(access, &node, next).expect("it was possible when it was chosen");
        minutes += remains * step.minutes;
        order.push(next);
        let Some((share, after)) = step.then.into_iter().next() else { break };
        remains *= share;
        node = after;
    }
    (minutes, order)
}

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

/// The repair to try first: the best of the best block.
fn best_first<A: Access>(problem: &Problem, access: &A, node: &Node<A::State>) -> Option<usize> {
    let now = candidates(problem, access, node, &node.open);
    let mut best: Option<(f64, usize)> = None;
    let mut offer = |ratio: f64, repair: usize| {
        if best.is_none_or(|(known, _)| ratio > known * (1.0 + 1e-12)) {
            best = Some((ratio, repair));
        }
    };
    for candidate in &now {
        offer(candidate.ratio(), candidate.repair);
    }
    let mut targets: Vec<_> = now.iter().filter_map(|c| problem.repairs[c.repair].behind).collect();
    targets.sort_unstable();
    targets.dedup();
    for target in targets {
        let Some((opening, open)) = opened(access, &node.open, Some(target)) else { continue };
        if opening > 0.0 {
            let from_here = |c: &Candidate| now.iter().find(|known| known.repair == c.repair);
            let mut block = candidates(problem, access, node, &open);
            block.retain(|c| from_here(c).is_some_and(|known| known.minutes > c.minutes));
            if let Some(ratio) = block_ratio(&mut block, opening) {
                let ratio_here = |c: &Candidate| from_here(c).map_or(0.0, Candidate::ratio);
                let first = block.iter().max_by(|a, b| {
                    ratio_here(a).total_cmp(&ratio_here(b)).then(b.repair.cmp(&a.repair))
                });
                first.into_iter().for_each(|c| offer(ratio, c.repair));
            }
        }
    }
    best.map(|best| best.1)
}

/// Keeps the head of the block that gives the most chance per minute; that ratio.
fn block_ratio(block: &mut Vec<Candidate>, opening: f64) -> Option<f64> {
    block.sort_by(|a, b| b.ratio().total_cmp(&a.ratio()).then(a.repair.cmp(&b.repair)));
    let (mut chance, mut minutes) = (0.0, opening);
    let mut best: Option<(f64, usize)> = None;
    for (k, candidate) in block.iter().enumerate() {
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

fn candidates<A: Access>(
    problem: &Problem,
    access: &A,
    node: &Node<A::State>,
    open: &A::State,
) -> Vec<Candidate> {
    (0..problem.repairs.len())
        .filter(|k| !node.repaired[*k])
        .filter_map(|k| {
            let repair = &problem.repairs[k];
            let chance: f64 = node.weights.iter().zip(&repair.cures).map(|(w, c)| w * c).sum();
            if chance <= NO_WEIGHT {
                return None;
            }
            let (opening, _) = opened(access, open, repair.behind)?;
            Some(Candidate { repair: k, chance, minutes: repair.minutes + opening })
        })
        .collect()
}
