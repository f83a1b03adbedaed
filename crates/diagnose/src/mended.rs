//! What is left to be found after repairs that did not cure the vehicle.

use model::Shows;

use crate::bench::{Benches, Sized};
use crate::observe::{Noticed, Observations};
use crate::rank::{Explanation, Ranking};

/// An explanation whose rest does something else than what was complained of, as it still is, stays
/// with this share of its weight: the eye may err (own choice).
const SEEN_WRONGLY: f64 = 0.02;

/// A ranking once places are put right and everything complained of is as it was. An explanation that
/// has all its faults there is refuted; one of two faults leaves the other, if that alone does what is
/// still complained of. Weights sum to one again.
pub(crate) fn still_amiss(
    benches: &mut Benches<'_>,
    seen: &Observations,
    mut ranking: Ranking,
) -> Ranking {
    if seen.no_cure.is_empty() {
        return ranking;
    }
    let mut left: Vec<Explanation> = Vec::with_capacity(ranking.explanations.len());
    for mut explanation in std::mem::take(&mut ranking.explanations) {
        let is_left = |(at, _): &Sized| !seen.no_cure.contains(&benches.suspects()[*at].place);
        let faults: Vec<Sized> = explanation.faults.iter().copied().filter(is_left).collect();
        if faults.len() < explanation.faults.len() {
            if faults.is_empty() {
                continue;
            }
            explanation.variants.iter_mut().for_each(|(of, _)| of.retain(is_left));
            if does(benches, seen, &faults) != does(benches, seen, &explanation.faults) {
                explanation.weight *= SEEN_WRONGLY;
            }
            explanation.faults = faults;
        }
        let places = |e: &Explanation| e.faults.iter().map(|fault| fault.0).collect::<Vec<_>>();
        let same = places(&explanation);
        match left.iter_mut().find(|known| places(known) == same) {
            Some(known) => known.weight += explanation.weight,
            None => left.push(explanation),
        }
    }
    let total: f64 = left.iter().map(|e| e.weight).sum();
    left.iter_mut().for_each(|e| e.weight /= total.max(f64::MIN_POSITIVE));
    left.sort_by(|a, b| b.weight.total_cmp(&a.weight));
    ranking.part.iter_mut().for_each(|part| *part = 0.0);
    for explanation in &left {
        explanation.faults.iter().for_each(|(at, _)| ranking.part[*at] += explanation.weight);
    }
    let with = |count: usize| -> f64 {
        left.iter().filter(|e| e.faults.len() == count).map(|e| e.weight).sum()
    };
    (ranking.not_in_record, ranking.two) = (with(0), with(2));
    ranking.explanations = left;
    ranking
}

/// What everything does that was noticed.
fn does(benches: &mut Benches<'_>, seen: &Observations, faults: &[Sized]) -> Vec<Option<Shows>> {
    let of = |noticed: &Noticed| {
        let answered = benches.answer(noticed.state, faults)?;
        benches.shows(noticed.state, noticed.device, &answered)
    };
    seen.noticed.iter().map(of).collect()
}
