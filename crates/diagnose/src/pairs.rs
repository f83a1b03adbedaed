//! Two suspects at once. Suspects that predict the same, as all that hang in one line do, are taken as
//! one kind; two kinds are weighed and solved once for all their members.

use std::collections::{HashMap, HashSet};
use std::hash::Hash;

use crate::bench::{Benches, Sized};
use crate::evidence::Evidence;
use crate::profile::Profile;
use crate::rank::{EXPLAINS_MORE, TOO_UNLIKELY, Weighed};
use crate::suspects::Suspect;
use crate::weigh::{Predicted, Weigher};

/// Kinds of which one member may be one of a pair, the best ones.
const PARTNERS: usize = 30;
/// Pairs of kinds that add to each other of which so many are solved, best first by what the two do
/// together; the others stay out.
const SOLVED: usize = 400;
/// Of all pairs so many are solved in full where updates of a solved circuit do not suffice, the best
/// first; the others stay out.
const IN_FULL: usize = 6;
/// So many while nothing found explains more than what is not in the record.
const IN_FULL_WHILE_UNEXPLAINED: usize = 40;
/// Kinds, by their priors, of which two may do together what neither does a part of; all their pairs
/// that are worth it are solved.
const TOGETHER: usize = 80;
/// A pair that would explain everything perfectly and still be this much less likely than the best
/// explanation (natural logarithm) is not solved.
const NOT_WORTH_SOLVING: f64 = 3.0;
/// Pairs of kinds whose sizes are fitted anew, each against the other.
const FITTED: usize = 12;
/// Pairs whose sizes are weighed beside each other, the best ones; of the others each size pays what it
/// pays alone.
const PAID_TOGETHER: usize = 60;
/// Pairs that are kept, the best ones.
const KEPT: usize = 2000;
/// Sizes closer than this share are one.
const SAME_SIZE: f64 = 0.01;

/// What the pairs rest on.
pub(crate) struct Ground<'a, 's> {
    pub(crate) weigher: &'a Weigher<'s>,
    /// What the vehicle as written predicts.
    pub(crate) base: &'a Predicted,
    /// Singles, best first.
    pub(crate) singles: &'a [Weighed],
    /// By suspect; `None` for those that change nothing observed.
    pub(crate) profiles: &'a [Option<Profile>],
    /// Chance that a second defect takes part.
    pub(crate) second: f64,
    /// By suspect.
    pub(crate) priors: &'a [f64],
    /// Logarithm of the weight of what is not in the record.
    pub(crate) outside: f64,
}

/// Singles that predict the same at the sizes that fit best.
struct Kind<'a> {
    /// Best first.
    members: Vec<&'a Weighed>,
}

/// Two kinds at once.
struct Both {
    kinds: [usize; 2],
    /// Logarithm of the weight of the best two members: by what they do if each adds to the other, or
    /// at the most.
    log: f64,
}

/// Two kinds solved by a member of each.
struct Solved {
    kinds: [usize; 2],
    /// The two members, with the sizes that fit best alone.
    alone: [Sized; 2],
    /// Their sizes together.
    sizes: [f64; 2],
    predicted: Predicted,
    evidence: Evidence,
    /// Logarithm of their weight.
    log: f64,
}

/// The pairs that explain more than either of their two, and how many were looked at and solved.
pub(crate) fn pairs(
    benches: &mut Benches<'_>,
    ground: &Ground<'_, '_>,
) -> (Vec<Weighed>, (usize, usize)) {
    let mut kinds = ground.kinds(|_| ());
    let (mut solved, mut counts) = ground.of_kinds(benches, &kinds);
    let found = ground.singles.iter().map(Weighed::log).chain(solved.iter().map(|both| both.log));
    if found.fold(f64::NEG_INFINITY, f64::max) < ground.outside {
        // What does alone the same to what was observed need not do the same beside another.
        let split = ground.kinds(|single| ground.weigher.all_shows(benches, &single.faults));
        if split.len() > kinds.len() {
            kinds = split;
            (solved, counts) = ground.of_kinds(benches, &kinds);
        }
    }
    (ground.members(benches.suspects(), &kinds, &solved), counts)
}

impl Ground<'_, '_> {
    /// The best pairs of kinds, solved, and how many were looked at and solved.
    fn of_kinds(
        &self,
        benches: &mut Benches<'_>,
        kinds: &[Kind<'_>],
    ) -> (Vec<Solved>, (usize, usize)) {
        let mut all = self.all(kinds, benches.suspects());
        let mut looked_at = all.len();
        all.sort_by(|a, b| b.log.total_cmp(&a.log).then(a.kinds.cmp(&b.kinds)));
        let single = self.singles.first().map_or(f64::NEG_INFINITY, Weighed::log);
        let best = all.first().map_or(single, |both| both.log.max(single));
        all.retain(|both| both.log > best - TOO_UNLIKELY);
        all.truncate(SOLVED);
        let mut solved = self.solve(benches, kinds, &all);
        let best = solved.iter().map(|both| both.log).fold(single, f64::max);
        let together = self.only_together(kinds, benches.suspects(), &all, best);
        looked_at += together.len();
        solved.extend(self.solve(benches, kinds, &together));
        solved.sort_by(|a, b| b.log.total_cmp(&a.log));
        let count = solved.len();
        for both in solved.iter_mut().take(FITTED) {
            fit_sizes(benches, self.weigher, both);
        }
        (solved, (looked_at, count))
    }

    /// All singles that change anything observed, by what they predict and by what else tells them apart,
    /// the best kind first.
    fn kinds<T: Eq + Hash>(&self, mut apart_by: impl FnMut(&Weighed) -> T) -> Vec<Kind<'_>> {
        let mut kinds: Vec<Kind<'_>> = Vec::new();
        let mut known = HashMap::new();
        for single in self.singles.iter().filter(|s| self.profiles[s.faults[0].0].is_some()) {
            let key = (single.predicted.key(), apart_by(single));
            let at = *known.entry(key).or_insert(kinds.len());
            match kinds.get_mut(at) {
                Some(kind) => kind.members.push(single),
                None => kinds.push(Kind { members: vec![single] }),
            }
        }
        kinds
    }

    /// Two kinds at once, one of them among the best, if together they may explain more than alone.
    fn all(&self, kinds: &[Kind<'_>], suspects: &[Suspect]) -> Vec<Both> {
        let mut all = Vec::new();
        for (k, a) in kinds.iter().enumerate().take(PARTNERS) {
            for (m, b) in kinds.iter().enumerate().skip(k) {
                let first = |(a, b): &(&Weighed, &Weighed)| is_apart(suspects, a, b);
                let Some((a, b)) = couples(a, b).find(first) else { continue };
                let sum = added(self.base, &a.predicted, &b.predicted);
                let log = self.weigher.weigh(&sum, &[]).log_likelihood - a.paid() - b.paid();
                if log > a.log_likelihood.max(b.log_likelihood) + EXPLAINS_MORE {
                    all.push(Both { kinds: [k, m], log: log + self.log_prior(a, b) });
                }
            }
        }
        all
    }

    /// Kinds that may do together what neither does a part of, as where both feeds of a load are cut:
    /// the likeliest two before anything is observed, unless even a perfect fit would not make them
    /// matter beside the `best`.
    fn only_together(
        &self,
        kinds: &[Kind<'_>],
        suspects: &[Suspect],
        known: &[Both],
        best: f64,
    ) -> Vec<Both> {
        let prior = |kind: &Kind<'_>| -> f64 {
            kind.members.iter().map(|single| self.priors[single.faults[0].0]).sum()
        };
        let mut likely: Vec<(usize, f64)> = kinds.iter().map(prior).enumerate().collect();
        likely.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        likely.truncate(TOGETHER);
        let known: HashSet<[usize; 2]> = known.iter().map(|both| both.kinds).collect();
        let perfect = self.weigher.perfect().log_likelihood;
        let mut all = Vec::new();
        for (at, (k, a)) in likely.iter().enumerate() {
            for (m, b) in &likely[at..] {
                let log = (2.0 * self.second * a * b).ln() + perfect;
                let both = [*k.min(m), *k.max(m)];
                let is_apart = |(a, b): (&Weighed, &Weighed)| is_apart(suspects, a, b);
                if log > best - NOT_WORTH_SOLVING
                    && !known.contains(&both)
                    && couples(&kinds[both[0]], &kinds[both[1]]).any(is_apart)
                {
                    all.push(Both { kinds: both, log });
                }
            }
        }
        all.sort_by(|a, b| b.log.total_cmp(&a.log).then(a.kinds.cmp(&b.kinds)));
        all
    }

    fn log_prior(&self, a: &Weighed, b: &Weighed) -> f64 {
        (2.0 * self.second * self.priors[a.faults[0].0] * self.priors[b.faults[0].0]).ln()
    }

    /// Solves two kinds at once by their first members that are not at one place, best first.
    fn solve(&self, benches: &mut Benches<'_>, kinds: &[Kind<'_>], all: &[Both]) -> Vec<Solved> {
        let mut solved = Vec::with_capacity(all.len());
        let most = |found: f64| match found > self.outside {
            true => IN_FULL,
            false => IN_FULL_WHILE_UNEXPLAINED,
        };
        let mut in_full = 0;
        let mut found = self.singles.iter().map(Weighed::log).fold(f64::NEG_INFINITY, f64::max);
        for both in all {
            let [a, b] = both.kinds.map(|k| &kinds[k]);
            let Some((a, b)) = couples(a, b).find(|(a, b)| is_apart(benches.suspects(), a, b))
            else {
                continue;
            };
            let alone = [a.faults[0], b.faults[0]];
            let predicted = match self.weigher.predict_quickly(benches, &alone) {
                Some(predicted) => predicted,
                None if in_full < most(found) => {
                    in_full += 1;
                    self.weigher.predict(benches, &alone)
                }
                None => continue,
            };
            let evidence = self.weigher.weigh(&predicted, &[]);
            let log = evidence.log_likelihood - a.paid() - b.paid() + self.log_prior(a, b);
            found = found.max(log);
            let sizes = alone.map(|fault| fault.1);
            solved.push(Solved { kinds: both.kinds, alone, sizes, predicted, evidence, log });
        }
        solved
    }

    /// The pairs of all members of the kinds solved, best first.
    fn members(&self, suspects: &[Suspect], kinds: &[Kind<'_>], solved: &[Solved]) -> Vec<Weighed> {
        let mut found: Vec<(f64, &Solved, [&Weighed; 2])> = Vec::new();
        for both in solved {
            let [a, b] = both.kinds.map(|k| &kinds[k]);
            for (a, b) in couples(a, b).filter(|(a, b)| is_apart(suspects, a, b)) {
                let log = both.evidence.log_likelihood - a.paid() - b.paid();
                found.push((log + self.log_prior(a, b), both, [a, b]));
            }
        }
        let suspects = |of: &[&Weighed; 2]| of.map(|single| single.faults[0].0);
        let order = |a: &(f64, &Solved, [&Weighed; 2]), b: &(f64, &Solved, [&Weighed; 2])| {
            b.0.total_cmp(&a.0).then(suspects(&a.2).cmp(&suspects(&b.2)))
        };
        found.sort_by(order);
        found.truncate(KEPT);
        let mut pairs = Vec::with_capacity(found.len());
        for (at, (_, both, of)) in found.into_iter().enumerate() {
            let pair = self.pair(both, of, at < PAID_TOGETHER);
            let single = of[0].log_likelihood.max(of[1].log_likelihood);
            if pair.log_likelihood > single + EXPLAINS_MORE {
                pairs.push(pair);
            }
        }
        pairs.sort_by(|a, b| b.log().total_cmp(&a.log()));
        pairs
    }

    /// Two members of kinds that were solved. A size of its own has to be paid for: the likelihood is
    /// the mean over all sizes, not that of the best.
    fn pair(&self, both: &Solved, of: [&Weighed; 2], is_together: bool) -> Weighed {
        let sized = |which: usize| -> Sized {
            let (at, alone) = of[which].faults[0];
            let is_alike = (alone / both.alone[which].1 - 1.0).abs() < SAME_SIZE;
            (at, if is_alike { both.sizes[which] } else { alone })
        };
        let faults = vec![sized(0), sized(1)];
        let mut paid = 0.0;
        let mut likely = [vec![faults[0].1], vec![faults[1].1]];
        for which in 0..2 {
            match &self.profiles[faults[which].0] {
                Some(profile) if is_together && profile.is_sized() => {
                    let other = &of[1 - which].predicted;
                    let fit = profile.fit_as(self.weigher, |alone| added(self.base, &alone, other));
                    paid += fit.evidence.log_likelihood - fit.log_likelihood;
                    likely[which] = fit.sizes.into_iter().map(|size| size.0).collect();
                }
                _ => paid += of[which].paid(),
            }
        }
        Weighed {
            variants: variants(&faults, &likely),
            log_prior: self.log_prior(of[0], of[1]),
            log_likelihood: both.evidence.log_likelihood - paid.max(0.0),
            evidence: both.evidence.clone(),
            predicted: both.predicted.clone(),
            faults,
        }
    }
}

/// The sizes of the two that stand for all that are likely, each taken with another of the other.
fn variants(faults: &[Sized], likely: &[Vec<f64>; 2]) -> Vec<(Vec<Sized>, f64)> {
    let count = likely[0].len().max(likely[1].len());
    let size = |which: usize, k: usize| likely[which][k % likely[which].len()];
    let of = |k: usize| {
        let faults = vec![(faults[0].0, size(0, k)), (faults[1].0, size(1, 2 * k + 1))];
        (faults, 1.0 / count as f64)
    };
    (0..count).map(of).collect()
}

/// Members of two kinds, the best first for each of the first; of one kind each two once.
fn couples<'a>(
    a: &'a Kind<'a>,
    b: &'a Kind<'a>,
) -> impl Iterator<Item = (&'a Weighed, &'a Weighed)> {
    let is_same = std::ptr::eq(a, b);
    let after = move |at: usize| if is_same { at + 1 } else { 0 };
    let members = a.members.iter().enumerate();
    members.flat_map(move |(at, a)| b.members.iter().skip(after(at)).map(move |b| (*a, *b)))
}

/// Whether two suspects are not at one place.
fn is_apart(suspects: &[Suspect], a: &Weighed, b: &Weighed) -> bool {
    suspects[a.faults[0].0].place != suspects[b.faults[0].0].place
}

/// Fits each size once more while the other stands.
fn fit_sizes(benches: &mut Benches<'_>, weigher: &Weigher<'_>, both: &mut Solved) {
    for which in 0..2 {
        let now = both.sizes[which];
        let sizes = benches.suspects()[both.alone[which].0].sizes.clone();
        let near = [0.5, 0.7, 0.85, 1.2, 1.4, 2.0].map(|factor| now * factor);
        let within = |size: &f64| *size >= sizes[0] && *size <= sizes[sizes.len() - 1];
        let tried = sizes.iter().copied().chain(near.into_iter().filter(within));
        for size in tried.collect::<Vec<_>>() {
            let mut sizes = both.sizes;
            sizes[which] = size;
            let faults = [(both.alone[0].0, sizes[0]), (both.alone[1].0, sizes[1])];
            let Some(predicted) = weigher.predict_quickly(benches, &faults) else { continue };
            let evidence = weigher.weigh(&predicted, &[]);
            if evidence.log_likelihood > both.evidence.log_likelihood {
                (both.sizes, both.predicted, both.evidence) = (sizes, predicted, evidence);
            }
        }
    }
}

/// What two suspects do together if each adds to the other.
fn added(base: &Predicted, a: &Predicted, b: &Predicted) -> Predicted {
    let mut sum = a.clone();
    for (k, value) in sum.readings.iter_mut().enumerate() {
        if let (Some(here), Some(other), Some(without)) = (*value, b.readings[k], base.readings[k])
        {
            *value = Some(here + other - without);
        }
        sum.among[k] = sum.among[k].max(b.among[k]);
    }
    for k in 0..sum.shows.len() {
        if sum.shows[k] == base.shows[k] {
            (sum.shows[k], sum.nearly[k]) = (b.shows[k], b.nearly[k]);
        }
    }
    sum
}
