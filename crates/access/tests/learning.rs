//! Actual minutes refine estimates: against numerical integration done elsewhere
//! (`data/chances.py`), closed forms, and seeded draws of a known truth.

mod problems;

use access::Spread;
use access::learn::{Belief, Learned, STRENGTH};
use problems::Dice;
use serde::Deserialize;

#[derive(Deserialize)]
struct File {
    learning: Vec<Learning>,
}

#[derive(Deserialize)]
struct Learning {
    name: String,
    estimate: [f64; 3],
    strength: f64,
    jobs: Vec<f64>,
    location: f64,
    variance: f64,
}

fn spread([low_min, likely_min, high_min]: [f64; 3]) -> Spread {
    Spread { low_min, likely_min, high_min }
}

/// Posterior means from a grid over (mean, variance) of prior times likelihood; no conjugate formula.
#[test]
fn beliefs_agree_with_numerical_integration() {
    let file: File = toml::from_str(include_str!("data/chances.toml")).unwrap();
    assert_eq!(file.learning.len(), 3);
    for case in &file.learning {
        let learned = Belief::of(&spread(case.estimate), case.strength).after(&case.jobs);
        assert!(learned.drawn_in.is_empty(), "{}", case.name);
        let (location, variance) = (learned.belief.location, learned.belief.variance());
        assert!((location - case.location).abs() < 2e-4, "{}: {location}", case.name);
        assert!((variance / case.variance - 1.0).abs() < 2e-3, "{}: {variance}", case.name);
    }
}

/// MIL-HDBK-338B form of lognormal repair times: median = mean / exp(s²/2). Worked: mean 30, s 0.5,
/// median 26.47.
#[test]
fn an_estimate_becomes_the_lognormal_with_its_mean() {
    let belief =
        Belief { location: 30.0_f64.ln() - 0.125, strength: 3.0, shape: 2.5, scale: 0.375 };
    assert!((belief.mean_min() - 30.0).abs() < 1e-9);
    assert!((belief.median_min() - 26.47).abs() < 0.01);
    for three in [[2.0, 4.0, 12.0], [15.0, 20.0, 40.0], [8.0, 10.0, 16.0]] {
        let estimate = spread(three);
        assert!((Belief::of(&estimate, STRENGTH).mean_min() - estimate.mean_min()).abs() < 1e-9);
    }
}

/// Normal deviates by the polar method (Marsaglia 1964) from seeded uniform ones.
fn normal(dice: &mut Dice) -> f64 {
    loop {
        let mut uniform = || dice.below(1 << 30) as f64 / f64::from(1 << 29) - 1.0;
        let (u, v) = (uniform(), uniform());
        let s = u * u + v * v;
        if s > 0.0 && s < 1.0 {
            return u * (-2.0 * s.ln() / s).sqrt();
        }
    }
}

fn jobs(dice: &mut Dice, count: usize, mean_min: f64, s: f64) -> Vec<f64> {
    (0..count).map(|_| (mean_min.ln() - s * s / 2.0 + s * normal(dice)).exp()).collect()
}

/// Estimated at 10.7 min, truly 30 min on average: a thousand jobs bring the belief within 3 % of the
/// truth (three standard errors of that many lognormal draws with s = 0.35 are 3.4 %).
#[test]
fn many_jobs_bring_the_belief_to_the_truth() {
    let estimate = spread([8.0, 10.0, 16.0]);
    let mut dice = Dice(41);
    let far: Vec<f64> = [3, 30, 1_000]
        .map(|count| {
            let found = jobs(&mut dice, count, 30.0, 0.35);
            (Belief::of(&estimate, STRENGTH).after(&found).belief.mean_min() - 30.0).abs()
        })
        .to_vec();
    assert!(far[2] < 0.9, "{far:?}");
    assert!(far[1] < 5.0, "{far:?}");
    // With three jobs the belief lies between estimate and jobs.
    let few = jobs(&mut Dice(41), 3, 30.0, 0.35);
    let mean_min = Belief::of(&estimate, STRENGTH).after(&few).belief.mean_min();
    let found_min = few.iter().sum::<f64>() / 3.0;
    assert!(estimate.mean_min() < mean_min && mean_min < found_min, "{mean_min} {found_min}");
}

/// As many jobs as the estimate weighs, all alike: the median is their geometric mean.
#[test]
fn the_strength_is_the_number_of_jobs_the_estimate_weighs() {
    let estimate = Belief::of(&spread([8.0, 10.0, 16.0]), 3.0);
    let learned = estimate.after(&[14.0, 14.0, 14.0]).belief;
    assert!((learned.median_min() - (estimate.median_min() * 14.0).sqrt()).abs() < 1e-9);
    assert!((learned.strength - 6.0).abs() < 1e-12);
    assert_eq!(estimate.after(&[]).belief, estimate);
}

#[test]
fn the_order_of_jobs_does_not_matter() {
    let mut dice = Dice(5);
    for _ in 0..100 {
        let mut found = jobs(&mut dice, 9, 12.0, 0.6);
        let belief = Belief::of(&spread([8.0, 10.0, 16.0]), STRENGTH);
        let first = belief.after(&found);
        let from = dice.below(9);
        found.rotate_left(from);
        found.swap(0, 4);
        assert_eq!(belief.after(&found), first);
    }
}

#[test]
fn one_wild_job_is_damped_and_named_and_many_are_believed() {
    let belief = Belief::of(&spread([8.0, 10.0, 16.0]), STRENGTH);
    let calm = belief.after(&[10.0, 11.0, 9.0, 10.0]).belief;
    let Learned { belief: shaken, drawn_in, jobs } = belief.after(&[10.0, 11.0, 9.0, 10.0, 240.0]);
    assert_eq!((drawn_in, jobs), (vec![240.0], 5));
    assert!(shaken.mean_min() < 1.35 * calm.mean_min(), "{}", shaken.mean_min());
    // Without drawing in, one job of 240 minutes among four of ten would more than double the mean.
    let agreed = belief.after(&[240.0; 12]).belief;
    assert!(agreed.median_min() > 120.0, "{}", agreed.median_min());
}

/// The three-point time that stands for a belief keeps its mean, and its spread where it can.
#[test]
fn a_belief_becomes_a_time_with_the_same_mean_and_spread() {
    let mut dice = Dice(77);
    for _ in 0..500 {
        let count = dice.below(6);
        let s = 0.05 + dice.below(20) as f64 / 20.0;
        let found = jobs(&mut dice, count, 25.0, s);
        let belief = Belief::of(&spread([10.0, 20.0, 45.0]), STRENGTH).after(&found).belief;
        let time = belief.spread();
        assert_eq!(time.fault(), None, "{time:?}");
        assert!((time.mean_min() / belief.mean_min() - 1.0).abs() < 1e-9, "{time:?} {belief:?}");
        let most = (5.0_f64 / 7.0).sqrt() * belief.mean_min();
        let sd_min = time.beta_variance_min2().sqrt();
        assert!((sd_min - belief.sd_min().min(most)).abs() < 1e-6 * sd_min, "{time:?} {belief:?}");
    }
}

#[test]
fn figures_that_are_no_minutes_teach_nothing() {
    let belief = Belief::of(&spread([8.0, 10.0, 16.0]), STRENGTH);
    let learned = belief.after(&[-4.0, 0.0, f64::NAN, f64::INFINITY]);
    assert_eq!((learned.belief, learned.jobs), (belief, 0));
}
