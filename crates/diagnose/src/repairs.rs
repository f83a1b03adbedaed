//! The order of trying repairs when nothing more is checked. Its expected minutes are what every
//! check has to beat.

use crate::problem::{Access, NO_WEIGHT, Node, Problem, Target, opened, opening_minutes};

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
    let (mut weights, mut open) = (node.weights.clone(), node.open.clone());
    let mut left: Vec<usize> =
        (0..problem.repairs.len()).filter(|k| !node.repaired.has(*k)).collect();
    while remains > NO_WEIGHT {
        let Some(next) = best_first(problem, access, &weights, &open, &left) else {
            return (f64::INFINITY, order);
        };
        let repair = &problem.repairs[next];
        let Some((opening, after)) = opened(access, &open, repair.behind) else {
            return (f64::INFINITY, order);
        };
        open = after;
        // The weights are not brought back to one: their sum is what remains.
        minutes += remains * (repair.minutes + opening);
        for (weight, cures) in weights.iter_mut().zip(&repair.cures) {
            *weight *= 1.0 - cures;
        }
        remains = weights.iter().sum();
        left.retain(|k| *k != next);
        order.push(next);
    }
    (minutes, order)
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

/// The repair to try first: the best of the best block.
fn best_first<A: Access>(
    problem: &Problem,
    access: &A,
    weights: &[f64],
    open: &A::State,
    left: &[usize],
) -> Option<usize> {
    let mut now: Vec<Candidate> = Vec::with_capacity(left.len());
    for &k in left {
        let repair = &problem.repairs[k];
        let chance: f64 = weights.iter().zip(&repair.cures).map(|(w, c)| w * c).sum();
        if chance > NO_WEIGHT
            && let Some(opening) = opening_minutes(access, open, repair.behind)
        {
            now.push(Candidate { repair: k, chance, minutes: repair.minutes + opening });
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
    let mut targets: Vec<Target> =
        now.iter().filter_map(|c| problem.repairs[c.repair].behind).collect();
    targets.sort_unstable();
    targets.dedup();
    for target in targets {
        let Some((opening, there)) = access.open(open, target).filter(|opened| opened.0 > 0.0)
        else {
            continue;
        };
        // What lies open there is cheaper than from here.
        let mut block: Vec<(Candidate, f64)> = Vec::new();
        for known in &now {
            let repair = &problem.repairs[known.repair];
            if let Some(more) = opening_minutes(access, &there, repair.behind) {
                let minutes = repair.minutes + more;
                if minutes < known.minutes {
                    block.push((Candidate { minutes, ..*known }, known.ratio()));
                }
            }
        }
        if let Some(ratio) = block_ratio(&mut block, opening) {
            let first = block.iter().max_by(|(a, here), (b, there)| {
                here.total_cmp(there).then(b.repair.cmp(&a.repair))
            });
            first.into_iter().for_each(|(candidate, _)| offer(ratio, candidate.repair));
        }
    }
    best.map(|best| best.1)
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
