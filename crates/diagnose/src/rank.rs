//! How likely each suspect, and each pair of them, is after everything observed.

use catalog::Catalog;
use model::{Place, Shows};

use crate::belief::Belief;
use crate::bench::{Benches, Sized};
use crate::evidence::Evidence;
use crate::fault::Fault;
use crate::mended::still_amiss;
use crate::observe::{Looked, Observations};
use crate::pairs;
use crate::profile::{Fit, Profile};
use crate::suspects::Suspect;
use crate::weigh::{Predicted, Usual, Weigher};

/// Singles whose best size is solved again.
const CLOSELY: usize = 40;
/// By so much (natural logarithm) an explanation has to be better than a simpler one, or it explains
/// nothing: a suspect than the vehicle as written, a pair than either of its two.
pub(crate) const EXPLAINS_MORE: f64 = 0.4;
/// An explanation this much less likely than the best one (natural logarithm) is left out.
pub(crate) const TOO_UNLIKELY: f64 = 16.0;

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
    /// Pairs of kinds looked at, and solved; see `pairs.rs`.
    pub pairs: (usize, usize),
}

/// An explanation before all are weighed against each other.
pub(crate) struct Weighed {
    pub(crate) faults: Vec<Sized>,
    pub(crate) variants: Vec<(Vec<Sized>, f64)>,
    pub(crate) log_prior: f64,
    /// Logarithm of the mean likelihood over the sizes.
    pub(crate) log_likelihood: f64,
    /// What is observed says of the sizes that fit best.
    pub(crate) evidence: Evidence,
    pub(crate) predicted: Predicted,
}

impl Weighed {
    /// Logarithm of its weight.
    pub(crate) fn log(&self) -> f64 {
        self.log_prior + self.log_likelihood
    }

    /// What a size that fits best has to pay for: the likelihood is the mean over all sizes.
    pub(crate) fn paid(&self) -> f64 {
        (self.evidence.log_likelihood - self.log_likelihood).max(0.0)
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
/// likelihood is the mean over all sizes; explanations show the size that fits best. Pairs: see `pairs.rs`;
/// what repairs that did not cure leave of it: see `mended.rs`.
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
    let anything = weigher.of_anything(&base, &usual);
    let outside = Weighed {
        faults: Vec::new(),
        variants: Vec::new(),
        log_prior: catalog.faults.not_in_record.ln(),
        log_likelihood: anything.log_likelihood,
        evidence: anything,
        predicted: Predicted::default(),
    };
    let ground = pairs::Ground {
        weigher: &weigher,
        base: &base,
        singles: &singles,
        profiles: &profiles,
        second,
        priors: &priors,
        outside: outside.log(),
    };
    let (pairs, counts) = pairs::pairs(benches, &ground);
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
    all.push(outside);
    let ranking = ranking(benches.suspects().len(), all, counts);
    still_amiss(benches, seen, ranking)
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
