//! How likely each suspect, and each pair of them, is after everything observed.

use std::collections::HashMap;

use catalog::Catalog;
use model::{Place, Shows};

use crate::belief::Belief;
use crate::bench::{Benches, Sized};
use crate::evidence::Evidence;
use crate::fault::Fault;
use crate::observe::{Looked, Observations};
use crate::profile::{Fit, Profile};
use crate::suspects::Suspect;
use crate::weigh::{Predicted, Usual, Weigher};

/// Singles that may be one of a pair, the best ones.
const PARTNERS: usize = 30;
/// Singles whose best size is solved again.
const CLOSELY: usize = 40;
/// Pairs that are solved, best first by what their singles do together; the others stay out.
const PAIRS_SOLVED: usize = 400;
/// Of these so many are solved in full where updates of a solved circuit do not suffice, the best
/// first; the others stay out.
const PAIRS_IN_FULL: usize = 6;
/// Pairs whose sizes are fitted anew, each against the other.
const PAIRS_FITTED: usize = 12;
/// By so much (natural logarithm) an explanation has to be better than a simpler one, or it explains
/// nothing: a suspect than the vehicle as written, a pair than either of its two.
const EXPLAINS_MORE: f64 = 0.4;
/// An explanation this much less likely than the best one (natural logarithm) is left out.
const TOO_UNLIKELY: f64 = 16.0;

/// One explanation: a suspect, or two at once, with the sizes that fit best.
#[derive(Clone, Debug, PartialEq)]
pub struct Explanation {
    /// Suspects with their sizes; empty: the cause is not in the record.
    pub faults: Vec<Sized>,
    /// The same with a few sizes that stand for all that are likely, and their shares.
    pub variants: Vec<(Vec<Sized>, f64)>,
    /// Probability.
    pub weight: f64,
    /// What the readings say: the share of each, natural logarithm.
    pub each: Vec<f64>,
    /// Readings that this explanation has to call stray.
    pub stray: Vec<bool>,
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
    /// Probability that two defects take part.
    pub two: f64,
    /// Pairs looked at, pairs solved.
    pub pairs: (usize, usize),
}

struct Weighed {
    faults: Vec<Sized>,
    variants: Vec<(Vec<Sized>, f64)>,
    log_prior: f64,
    log_likelihood: f64,
    evidence: Evidence,
    predicted: Predicted,
}

impl Weighed {
    fn log(&self) -> f64 {
        self.log_prior + self.log_likelihood
    }
}

/// Ranks suspects, singly and in pairs.
///
/// A suspect that explains what was observed no better than the vehicle as written takes no part in
/// it, and is left out; so is a pair that explains no more than one of its two. One that holds a
/// complaint true that others contradict stays in; so does, where the vehicle as written already does
/// what is complained of, what makes it worse.
/// The odds of a single are `(1 - s) p_i`, those of a pair `2 s p_i p_j`, `s` the chance of a second
/// defect that takes part. Unwanted resistances and changed numbers have no known size: their
/// likelihood is the mean over all sizes; explanations show the size that fits best. Pairs are looked
/// at best-first: one of the two is among the best singles, both change something that was observed,
/// and what they do together is first taken for the sum of what each does; the best are solved.
pub fn rank(benches: &mut Benches<'_>, seen: &Observations, catalog: &Catalog) -> Ranking {
    for state in seen.states() {
        benches.add(state);
    }
    let weigher = Weigher::new(benches, seen);
    let base = weigher.predict(benches, &[]);
    let second = catalog.faults.second_defect;
    let priors = priors(benches.suspects(), seen, catalog);
    let (mut singles, mut profiles) = singles(benches, &weigher, &base, second, &priors);
    let usual = usual(&priors, &profiles, &base);
    sharpen(benches, &weigher, &mut singles, &mut profiles);
    let (pairs, counts) = pairs(benches, &weigher, &base, &singles, &profiles, second, &priors);
    let outside = Weighed {
        faults: Vec::new(),
        variants: Vec::new(),
        log_prior: catalog.faults.not_in_record.ln(),
        log_likelihood: 0.0,
        evidence: weigher.of_anything(&base, &usual),
        predicted: Predicted::default(),
    };
    let log_likelihood = outside.evidence.log_likelihood;
    let as_written = weigher.weigh(&base, &[]).log_likelihood;
    let already = weigher.is_as_written(&base);
    let mut takes_part = |single: &Weighed| {
        let gain = single.log_likelihood - as_written;
        let suspect = &benches.suspects()[single.faults[0].0];
        gain > EXPLAINS_MORE
            || weigher.explains_more(&base, &single.predicted)
            || suspect.fault == Fault::AsBuilt
            || seen.is_empty()
            || already
                && gain > -EXPLAINS_MORE
                && suspect
                    .sizes
                    .iter()
                    .any(|size| weigher.worsens(benches, &[(single.faults[0].0, *size)]))
    };
    let mut all: Vec<Weighed> = Vec::with_capacity(singles.len());
    for single in singles {
        if takes_part(&single) {
            all.push(single);
        }
    }
    all.extend(pairs);
    all.push(Weighed { log_likelihood, ..outside });
    ranking(benches.suspects().len(), all, counts)
}

/// Priors, moved by what joints look like: one that looks bad is likelier by `finds/false_alarm`, one
/// that looks good less likely by `(1 - finds)/(1 - false_alarm)`.
fn priors(suspects: &[Suspect], seen: &Observations, catalog: &Catalog) -> Vec<f64> {
    let look = &catalog.checking.look;
    let factor = |suspect: &Suspect| {
        let of = |looked: &&Looked| suspect.place == Place::Joint(looked.joint);
        match seen.looked.iter().find(of) {
            Some(Looked { is_bad: true, .. }) => look.finds / look.false_alarm,
            Some(_) => (1.0 - look.finds) / (1.0 - look.false_alarm),
            None => 1.0,
        }
    };
    suspects.iter().map(|suspect| suspect.prior * factor(suspect)).collect()
}

/// Every single, best first, with the profiles of those that change anything observed.
fn singles(
    benches: &mut Benches<'_>,
    weigher: &Weigher<'_>,
    base: &Predicted,
    second: f64,
    priors: &[f64],
) -> (Vec<Weighed>, Vec<Option<Profile>>) {
    let idle = weigher.weigh(base, &[]);
    let suspects = benches.suspects();
    let mut singles = Vec::with_capacity(suspects.len());
    let mut profiles = Vec::with_capacity(suspects.len());
    for (at, suspect) in suspects.iter().enumerate() {
        let profile = Profile::of(at, benches, weigher, base);
        let fit = profile.as_ref().map(|profile| profile.fit(weigher)).unwrap_or_else(|| Fit {
            log_likelihood: idle.log_likelihood,
            size: suspect.sizes[0],
            sizes: vec![(suspect.sizes[0], 1.0)],
            predicted: base.clone(),
            evidence: idle.clone(),
        });
        singles.push(weighed(at, ((1.0 - second) * priors[at]).ln(), fit));
        profiles.push(profile);
    }
    singles.sort_by(|a, b| b.log().total_cmp(&a.log()).then(a.faults[0].0.cmp(&b.faults[0].0)));
    (singles, profiles)
}

/// What equipment does under all suspects together, for each word noticed, before anything is weighed;
/// all sizes of a suspect count alike.
fn usual(priors: &[f64], profiles: &[Option<Profile>], base: &Predicted) -> Vec<Usual> {
    let total: f64 = priors.iter().sum();
    let of = |at: usize| {
        let mut usual = Usual::new();
        let mut add = |does: Option<Shows>, share: f64| match usual
            .iter_mut()
            .find(|known| known.0 == does)
        {
            Some(known) => known.1 += share / total,
            None => usual.push((does, share / total)),
        };
        for (prior, profile) in priors.iter().zip(profiles) {
            match profile {
                Some(profile) => {
                    let shows = profile.shows(at);
                    let share = prior / shows.len() as f64;
                    shows.for_each(|does| add(does, share));
                }
                None => add(base.shows[at], *prior),
            }
        }
        usual
    };
    (0..base.shows.len()).map(of).collect()
}

fn weighed(at: usize, log_prior: f64, fit: Fit) -> Weighed {
    let Fit { log_likelihood, size, sizes, predicted, evidence } = fit;
    let variants = sizes.into_iter().map(|(size, share)| (vec![(at, size)], share)).collect();
    Weighed { faults: vec![(at, size)], variants, log_prior, log_likelihood, evidence, predicted }
}

/// Solves the best singles again at the size that fits best.
fn sharpen(
    benches: &mut Benches<'_>,
    weigher: &Weigher<'_>,
    singles: &mut [Weighed],
    profiles: &mut [Option<Profile>],
) {
    for single in singles.iter_mut().take(CLOSELY) {
        let at = single.faults[0].0;
        if let Some(profile) = &mut profiles[at] {
            let fit = profile.fit_closely(benches, weigher);
            *single = weighed(at, single.log_prior, fit);
        }
    }
    singles.sort_by(|a, b| b.log().total_cmp(&a.log()).then(a.faults[0].0.cmp(&b.faults[0].0)));
}

/// A pair before it is solved.
struct Together {
    faults: [Sized; 2],
    log_prior: f64,
    /// What its singles suggest.
    log: f64,
    /// The better of its singles.
    single: f64,
}

fn pairs(
    benches: &mut Benches<'_>,
    weigher: &Weigher<'_>,
    base: &Predicted,
    singles: &[Weighed],
    profiles: &[Option<Profile>],
    second: f64,
    priors: &[f64],
) -> (Vec<Weighed>, (usize, usize)) {
    let suspects = benches.suspects();
    let acts = |single: &&Weighed| profiles[single.faults[0].0].is_some();
    let acting: Vec<&Weighed> = singles.iter().filter(acts).collect();
    let best = singles.first().map_or(f64::NEG_INFINITY, Weighed::log);
    let mut together = Vec::new();
    let alike = alike(&acting);
    let mut weighed = HashMap::new();
    for (k, a) in acting.iter().take(PARTNERS).enumerate() {
        for (m, b) in acting.iter().enumerate().skip(k + 1) {
            let faults = [a.faults[0], b.faults[0]];
            let [first, other] = faults.map(|fault| &suspects[fault.0]);
            if first.place == other.place {
                continue;
            }
            let log_prior = (2.0 * second * priors[faults[0].0] * priors[faults[1].0]).ln();
            let log = *weighed.entry((alike[k], alike[m])).or_insert_with(|| {
                let sum = added(base, &a.predicted, &b.predicted);
                weigher.weigh(&sum, &[]).log_likelihood
            });
            let single = a.log_likelihood.max(b.log_likelihood);
            if log > single + EXPLAINS_MORE {
                together.push(Together { faults, log_prior, log: log_prior + log, single });
            }
        }
    }
    let looked_at = together.len();
    together.sort_by(|a, b| b.log.total_cmp(&a.log).then(key(a).cmp(&key(b))));
    let best = together.first().map_or(best, |pair| pair.log.max(best));
    together.truncate(PAIRS_SOLVED);
    together.retain(|pair| pair.log > best - TOO_UNLIKELY);
    let occam = occam(suspects, singles);
    let mut solved: Vec<Weighed> = Vec::with_capacity(together.len());
    let mut in_full = 0;
    for pair in &together {
        let quick = weigher.predict_quickly(benches, &pair.faults);
        let predicted = match quick {
            Some(predicted) => predicted,
            None if in_full < PAIRS_IN_FULL => {
                in_full += 1;
                weigher.predict(benches, &pair.faults)
            }
            None => continue,
        };
        let faults = pair.faults.to_vec();
        solved.push(weighed_pair(weigher, &occam, faults, pair.log_prior, predicted));
    }
    solved.sort_by(|a, b| b.log().total_cmp(&a.log()));
    for pair in solved.iter_mut().take(PAIRS_FITTED) {
        fit_sizes(benches, weigher, &occam, pair);
    }
    let count = solved.len();
    let single = |pair: &Weighed| {
        let of =
            together.iter().find(|t| t.faults.map(|f| f.0) == [pair.faults[0].0, pair.faults[1].0]);
        of.map_or(f64::NEG_INFINITY, |of| of.single)
    };
    solved.retain(|pair| pair.log_likelihood > single(pair) + EXPLAINS_MORE);
    (solved, (looked_at, count))
}

/// For each single the first one that predicts the same: what hangs in one line cannot be told apart.
fn alike(singles: &[&Weighed]) -> Vec<usize> {
    let mut first = HashMap::new();
    let of = |(at, single): (usize, &&Weighed)| *first.entry(single.predicted.key()).or_insert(at);
    singles.iter().enumerate().map(of).collect()
}

fn key(pair: &Together) -> (usize, usize) {
    (pair.faults[0].0, pair.faults[1].0)
}

fn weighed_pair(
    weigher: &Weigher<'_>,
    occam: &[f64],
    faults: Vec<Sized>,
    log_prior: f64,
    predicted: Predicted,
) -> Weighed {
    let evidence = weigher.weigh(&predicted, &[]);
    let log_likelihood =
        evidence.log_likelihood - faults.iter().map(|(at, _)| occam[*at]).sum::<f64>();
    let variants = vec![(faults.clone(), 1.0)];
    Weighed { faults, variants, log_prior, log_likelihood, evidence, predicted }
}

/// What a size fitted to the readings has to pay for, by suspect: as much as its single pays, whose
/// likelihood is the mean over all sizes, against that of its best size. At least what one pays that
/// fits within a third or so of its value and is one of many it might have had:
/// `ln(ln(largest/smallest) / ln(4/3))`.
fn occam(suspects: &[Suspect], singles: &[Weighed]) -> Vec<f64> {
    let mut paid = vec![0.0; suspects.len()];
    for single in singles {
        let at = single.faults[0].0;
        let sizes = &suspects[at].sizes;
        let range = (sizes[sizes.len() - 1] / sizes[0]).ln().abs();
        let least = (range / (4.0_f64 / 3.0).ln()).max(1.0).ln();
        paid[at] = least.max(single.evidence.log_likelihood - single.log_likelihood);
    }
    paid
}

/// Fits each size of a pair once more while the other stands.
fn fit_sizes(benches: &mut Benches<'_>, weigher: &Weigher<'_>, occam: &[f64], pair: &mut Weighed) {
    for which in 0..pair.faults.len() {
        let (at, now) = pair.faults[which];
        let sizes = benches.suspects()[at].sizes.clone();
        let near = [0.5, 0.7, 0.85, 1.2, 1.4, 2.0].map(|factor| now * factor);
        let within = |size: &f64| *size >= sizes[0] && *size <= sizes[sizes.len() - 1];
        let tried = sizes.iter().copied().chain(near.into_iter().filter(within));
        for size in tried.collect::<Vec<_>>() {
            let mut faults = pair.faults.clone();
            faults[which].1 = size;
            let Some(predicted) = weigher.predict_quickly(benches, &faults) else { continue };
            let other = weighed_pair(weigher, occam, faults, pair.log_prior, predicted);
            if other.log_likelihood > pair.log_likelihood {
                *pair = other;
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

fn ranking(suspects: usize, all: Vec<Weighed>, pairs: (usize, usize)) -> Ranking {
    let top = all.iter().map(Weighed::log).fold(f64::NEG_INFINITY, f64::max);
    let prior: Vec<f64> = all.iter().map(|weighed| (weighed.log() - top).exp()).collect();
    let weights = Belief::from_prior(&prior).map_or(vec![0.0; all.len()], |b| b.weights());
    let mut explanations: Vec<Explanation> = all
        .into_iter()
        .zip(weights)
        .map(|(weighed, weight)| Explanation {
            faults: weighed.faults,
            variants: weighed.variants,
            weight,
            each: weighed.evidence.each,
            stray: weighed.evidence.stray,
            distance: weighed.evidence.distance,
            predicted: weighed.predicted,
        })
        .collect();
    let mut part = vec![0.0; suspects];
    for explanation in &explanations {
        for (at, _) in &explanation.faults {
            part[*at] += explanation.weight;
        }
    }
    let total = |of: fn(&Explanation) -> bool| -> f64 {
        explanations.iter().filter(|e| of(e)).map(|e| e.weight).sum()
    };
    let not_in_record = total(|e| e.faults.is_empty());
    let two = total(|e| e.faults.len() > 1);
    explanations.sort_by(|a, b| {
        let by_weight = b.weight.total_cmp(&a.weight).then(a.faults.len().cmp(&b.faults.len()));
        by_weight.then_with(|| {
            let of = |e: &Explanation| e.faults.iter().map(|f| f.0).collect::<Vec<_>>();
            of(a).cmp(&of(b))
        })
    });
    Ranking { explanations, part, not_in_record, two, pairs }
}
