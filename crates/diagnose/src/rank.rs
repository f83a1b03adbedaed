//! How likely each suspect, and each pair of them, is after everything observed.

use catalog::Catalog;
use model::Shows;

use crate::belief::Belief;
use crate::evidence::{Evidence, log_likelihood};
use crate::observe::{Observations, Taken};
use crate::predict::{Predicted, Predictor};
use crate::suspects::Suspect;

/// Singles that may be one of a pair.
const PAIRED: usize = 30;
/// A single this much less likely than the best one (natural logarithm) stays out of pairs.
const TOO_UNLIKELY: f64 = 25.0;

/// One explanation: a suspect, or two at once, with the sizes that fit best.
#[derive(Clone, Debug, PartialEq)]
pub struct Explanation {
    /// Suspects with their sizes; empty: the cause is not in the record.
    pub faults: Vec<(usize, f64)>,
    /// Probability.
    pub weight: f64,
    /// What the readings say: the share of each, natural logarithm.
    pub each: Vec<f64>,
    /// Distance of each reading from what is predicted, in standard deviations; empty for the cause
    /// that is not in the record.
    pub distance: Vec<f64>,
    /// What it predicts.
    pub predicted: Predicted,
}

/// Everything ranked.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranking {
    /// Explanations, most likely first.
    pub explanations: Vec<Explanation>,
    /// For each suspect: probability that it is the cause or part of it.
    pub part: Vec<f64>,
    /// Probability that the cause is not in the record.
    pub not_in_record: f64,
}

struct Weighed {
    faults: Vec<(usize, f64)>,
    log_prior: f64,
    log_likelihood: f64,
    evidence: Evidence,
    predicted: Predicted,
}

/// Ranks suspects, singly and in pairs.
///
/// The odds of a pair are `2 s p_i p_j`, those of a single `(1 - s) p_i`, `s` the chance of a second
/// defect that takes part. Unwanted resistances and changed numbers have no known size: their
/// likelihood is the mean over the sizes tried; explanations show the size that fits best.
pub fn rank(
    suspects: &[Suspect],
    predictor: &mut Predictor<'_>,
    seen: &Observations,
    catalog: &Catalog,
) -> Ranking {
    let second = catalog.faults.second_defect;
    let mut all: Vec<Weighed> = Vec::with_capacity(suspects.len() + 1);
    for (at, suspect) in suspects.iter().enumerate() {
        let sizes: Vec<f64> = suspect.sizes.clone();
        let tried = sizes.into_iter().map(|size| (vec![(at, size)], 1.0));
        all.extend(best_size(suspects, predictor, seen, tried, (1.0 - second) * suspect.prior));
    }
    let partners = partners(&all);
    let mut pairs = Vec::new();
    for &first in &partners {
        for second_at in 0..all.len() {
            let both_partner = partners.contains(&second_at);
            if second_at == first || (both_partner && second_at < first) {
                continue;
            }
            let (a, b) = (all[first].faults[0], all[second_at].faults[0]);
            if suspects[a.0].place == suspects[b.0].place {
                continue;
            }
            let prior = 2.0 * second * suspects[a.0].prior * suspects[b.0].prior;
            let sizes = suspects[b.0].sizes.iter().map(|size| (vec![a, (b.0, *size)], 1.0));
            pairs.extend(best_size(suspects, predictor, seen, sizes, prior));
        }
    }
    all.extend(pairs);
    all.push(not_in_record(seen, catalog.faults.not_in_record));
    ranking(suspects.len(), all)
}

fn partners(singles: &[Weighed]) -> Vec<usize> {
    let fit = |w: &Weighed| w.log_prior + w.log_likelihood;
    let mut order: Vec<usize> = (0..singles.len()).collect();
    order.sort_by(|a, b| fit(&singles[*b]).total_cmp(&fit(&singles[*a])).then(a.cmp(b)));
    let Some(best) = order.first().map(|at| fit(&singles[*at])) else { return order };
    order.truncate(PAIRED);
    order.retain(|at| fit(&singles[*at]) > best - TOO_UNLIKELY);
    order
}

/// The mean likelihood over sizes, with the prediction of the size that fits best.
fn best_size(
    suspects: &[Suspect],
    predictor: &mut Predictor<'_>,
    seen: &Observations,
    tried: impl Iterator<Item = (Vec<(usize, f64)>, f64)>,
    prior: f64,
) -> Option<Weighed> {
    let mut best: Option<Weighed> = None;
    let (mut sum, mut count) = (Vec::new(), 0.0);
    for (faults, share) in tried {
        let named: Vec<(&Suspect, f64)> =
            faults.iter().map(|(at, size)| (&suspects[*at], *size)).collect();
        let predicted = predictor.predict(&named, seen);
        let evidence = weigh(predictor, seen, &predicted);
        let log = evidence.log_likelihood + noticed(seen, &predicted);
        sum.push(log);
        count += share;
        if best.as_ref().is_none_or(|known| log > known.log_likelihood) {
            let log_prior = prior.ln();
            best = Some(Weighed { faults, log_prior, log_likelihood: log, evidence, predicted });
        }
    }
    let mut best = best?;
    let top = best.log_likelihood;
    let mean = sum.iter().map(|log| (log - top).exp()).sum::<f64>() / count;
    best.log_likelihood = top + mean.ln();
    Some(best)
}

/// What the readings say of a prediction.
fn weigh(predictor: &mut Predictor<'_>, seen: &Observations, predicted: &Predicted) -> Evidence {
    let mut readings = Vec::new();
    let mut predictions = Vec::new();
    let mut anything = Vec::new();
    for (at, taken) in seen.taken.iter().enumerate() {
        let mut reading = taken.reading;
        let Some(expected) = nearest(taken, &predicted.readings[at]) else {
            // A meter on points that nothing joins shows anything up to the highest voltage.
            anything.push(at);
            continue;
        };
        if taken.unsigned {
            reading.shown = reading.shown.abs();
        }
        readings.push(reading);
        predictions.push(predictor.with_spread(seen, at, expected));
    }
    let mut evidence = log_likelihood(&readings, &predictions);
    for at in anything {
        let flat = -(0.5 * seen.taken[at].reading.possible_range).ln();
        evidence.log_likelihood += flat;
        evidence.each.insert(at, flat);
        evidence.stray.insert(at, false);
        evidence.distance.insert(at, 0.0);
    }
    evidence
}

/// Of the values of a state that hunts, the one nearest to what was shown.
fn nearest(taken: &Taken, values: &Option<Vec<f64>>) -> Option<f64> {
    let shown = taken.reading.shown;
    let seen = |value: &f64| if taken.unsigned { value.abs() } else { *value };
    values.as_ref()?.iter().map(seen).min_by(|a, b| (a - shown).abs().total_cmp(&(b - shown).abs()))
}

/// What was noticed: right, or one of the other words by mistake.
fn noticed(seen: &Observations, predicted: &Predicted) -> f64 {
    let others = Shows::ALL.len() as f64 - 1.0;
    seen.noticed
        .iter()
        .zip(&predicted.shows)
        .map(|(noticed, does)| match fits(noticed.shows, *does) {
            Some(true) => (1.0 - noticed.error).ln(),
            Some(false) => (noticed.error / others).ln(),
            None => 0.0,
        })
        .sum()
}

/// Whether a word fits what the circuit does; `None`: the circuit says nothing of it.
fn fits(said: Shows, does: Shows) -> Option<bool> {
    match said {
        Shows::Trips | Shows::Warm => None,
        Shows::NotReproduced => Some(does == Shows::Works),
        Shows::Clicks => Some(does == Shows::Hunts),
        // What starts and stops does little in the end, and who looks at the wrong moment sees it dead.
        Shows::Weak => Some(matches!(does, Shows::Weak | Shows::Hunts)),
        Shows::Dead => Some(matches!(does, Shows::Dead | Shows::Hunts)),
        Shows::Works | Shows::Hunts => Some(said == does),
    }
}

fn not_in_record(seen: &Observations, prior: f64) -> Weighed {
    let each: Vec<f64> =
        seen.taken.iter().map(|taken| -taken.reading.possible_range.ln()).collect();
    let words = seen.noticed.len() as f64 * -(Shows::ALL.len() as f64).ln();
    let log_likelihood = each.iter().sum::<f64>() + words;
    let evidence =
        Evidence { log_likelihood, stray: vec![false; each.len()], distance: Vec::new(), each };
    let log_prior = prior.ln();
    Weighed {
        faults: Vec::new(),
        log_prior,
        log_likelihood,
        evidence,
        predicted: Predicted::default(),
    }
}

fn ranking(suspects: usize, all: Vec<Weighed>) -> Ranking {
    let top = all.iter().map(|w| w.log_prior + w.log_likelihood).fold(f64::NEG_INFINITY, f64::max);
    let prior: Vec<f64> =
        all.iter().map(|w| (w.log_prior + w.log_likelihood - top).exp()).collect();
    let weights = match Belief::from_prior(&prior) {
        Some(belief) => belief.weights(),
        None => vec![0.0; all.len()],
    };
    let mut part = vec![0.0; suspects];
    let mut explanations: Vec<Explanation> = all
        .into_iter()
        .zip(weights)
        .map(|(w, weight)| Explanation {
            faults: w.faults,
            weight,
            each: w.evidence.each,
            distance: w.evidence.distance,
            predicted: w.predicted,
        })
        .collect();
    for explanation in &explanations {
        for (at, _) in &explanation.faults {
            part[*at] += explanation.weight;
        }
    }
    let outside = explanations.iter().find(|e| e.faults.is_empty());
    let not_in_record = outside.map_or(0.0, |e| e.weight);
    explanations
        .sort_by(|a, b| b.weight.total_cmp(&a.weight).then(a.faults.len().cmp(&b.faults.len())));
    Ranking { explanations, part, not_in_record }
}
