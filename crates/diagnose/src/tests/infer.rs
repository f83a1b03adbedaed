//! Readings and weights against published examples and against numeric integration.

use proptest::prelude::*;

use crate::{
    Accuracy, Belief, Prediction, Reading, entropy_bit, likelihood_per_unit, log_likelihood,
    minimal_hitting_sets,
};

fn near(a: f64, b: f64, within: f64) -> bool {
    (a - b).abs() <= within
}

/// GUM (JCGM 100:2008) 4.3.7 example 2 and 5.1.5, from memory: 14e-6 of the reading and 2e-6 of the
/// 1 V range at 0.928571 V give a half width of 15 uV and a standard uncertainty of 8.7 uV.
#[test]
fn voltmeter_of_the_gum() {
    let meter = Accuracy { gain_share: 14e-6, offset: 2e-6 };
    assert!(near(meter.half_width(0.928_571), 15e-6, 0.05e-6));
    assert!(near(meter.standard_uncertainty(0.928_571), 8.7e-6, 0.05e-6));
}

/// EA-4/02 supplement S9, from memory: resolution 0.1 V means 0.05 V either way, 0.029 V standard.
#[test]
fn hand_held_meter_of_ea_4_02() {
    let meter = Accuracy { gain_share: 0.0, offset: 0.05 };
    assert!(near(meter.standard_uncertainty(100.0), 0.029, 0.000_5));
}

/// Closed form by hand: 12.34 V on 0.5 % and two counts of 0.01 V is 0.0617 + 0.02 = 0.0817 V.
#[test]
fn accuracy_adds_gain_and_counts() {
    let meter = Accuracy { gain_share: 0.005, offset: 0.02 };
    assert!(near(meter.half_width(12.34), 0.0817, 1e-9));
}

#[test]
fn without_spread_the_likelihood_is_the_rectangle() {
    assert!(near(likelihood_per_unit(12.05, 12.0, 0.0, 0.1), 5.0, 1e-12));
    assert!(likelihood_per_unit(12.2, 12.0, 0.0, 0.1) <= 0.0);
}

#[test]
fn a_narrow_rectangle_leaves_the_gaussian() {
    // Density of N(0, 0.2) one standard deviation out: 0.241971 / 0.2 (table of the normal density).
    assert!(near(likelihood_per_unit(12.2, 12.0, 0.2, 0.0), 0.241_971 / 0.2, 1e-5));
    assert!(near(likelihood_per_unit(12.2, 12.0, 0.2, 1e-5), 0.241_971 / 0.2, 1e-5));
}

/// Five hypotheses about a lamp and one voltage at it (worked with an independent script): healthy
/// .05 N(12.20, .10); bad joint .35 uniform 2.4 to 11.9 V; open .40 N(0, .05); open ground .15
/// N(12.55, .08); unknown .05 flat -1 to 14 V; meter 0.5 % and two counts of 0.01 V.
#[test]
fn one_voltage_at_a_lamp() {
    let posterior = |shown: f64| {
        let a = Accuracy { gain_share: 0.005, offset: 0.02 }.half_width(shown);
        let in_range = |low: f64, high: f64| {
            // A uniform prediction seen through the meter, far from its edges.
            if (low..=high).contains(&shown) { 1.0 / (high - low) } else { 0.0 }
        };
        let likelihood = [
            likelihood_per_unit(shown, 12.20, 0.10, a),
            in_range(2.4, 11.9),
            likelihood_per_unit(shown, 0.0, 0.05, a),
            likelihood_per_unit(shown, 12.55, 0.08, a),
            in_range(-1.0, 14.0),
        ];
        let prior = Belief::from_prior(&[0.05, 0.35, 0.40, 0.15, 0.05]).expect("weights");
        let (after, possible) = prior.after(&likelihood.map(f64::ln));
        assert!(possible);
        after.weights()
    };
    let seven = posterior(7.30);
    assert!(near(seven[1], 0.9170, 5e-5) && near(seven[4], 0.0830, 5e-5), "{seven:?}");
    let nothing = posterior(0.02);
    assert!(near(nothing[2], 0.9988, 1e-4) && near(nothing[4], 0.0012, 1e-4), "{nothing:?}");
    let full = posterior(12.21);
    assert!(near(full[0], 0.9787, 2e-3) && near(full[3], 0.0031, 1e-3), "{full:?}");
    assert!(posterior(13.60)[4] > 0.999_9);
}

/// The multiplier circuit of de Kleer and Williams, "Diagnosing multiple faults", Artificial
/// Intelligence 32 (1987): conflicts {A1, M1, M2} and {A1, A2, M1, M3} (inputs seen in lecture
/// notes; conflicts from memory, confirmed by going through all 32 sets).
#[test]
fn four_diagnoses_of_the_multiplier_circuit() {
    let (a1, a2, m1, m2, m3) = (0, 1, 2, 3, 4);
    let conflicts = [vec![a1, m1, m2], vec![a1, a2, m1, m3]];
    let expected = vec![vec![a1], vec![m1], vec![a2, m2], vec![m2, m3]];
    assert_eq!(minimal_hitting_sets(&conflicts, 5), expected);
}

/// Full adder of Reiter, "A theory of diagnosis from first principles", Artificial Intelligence 32
/// (1987), from memory, confirmed by going through all sets.
#[test]
fn three_diagnoses_of_the_full_adder() {
    let (x1, x2, a2, o1) = (0, 1, 2, 3);
    let conflicts = [vec![x1, x2], vec![x1, a2, o1]];
    assert_eq!(minimal_hitting_sets(&conflicts, 4), vec![vec![x1], vec![x2, a2], vec![x2, o1]]);
}

/// Hitting-set example of the same paper (family from memory, answer by going through all sets).
#[test]
fn six_hitting_sets_of_seven_conflicts() {
    let family = [
        vec![2, 4, 5],
        vec![1, 2, 3],
        vec![1, 3, 5],
        vec![2, 4, 6],
        vec![2, 4],
        vec![2, 3, 5],
        vec![1, 6],
    ];
    let expected =
        vec![vec![1, 2], vec![1, 3, 4], vec![1, 4, 5], vec![2, 3, 6], vec![2, 5, 6], vec![3, 4, 6]];
    assert_eq!(minimal_hitting_sets(&family, 6), expected);
}

#[test]
fn an_empty_conflict_cannot_be_hit() {
    assert!(minimal_hitting_sets(&[vec![1], vec![]], 3).is_empty());
}

/// The entropy of the six weights .70 .01 .02 .10 .05 .12 is 1.45487 bit (computed elsewhere).
#[test]
fn entropy_of_six_weights() {
    assert!(near(entropy_bit(&[0.70, 0.01, 0.02, 0.10, 0.05, 0.12]), 1.454_87, 5e-6));
}

fn reading(shown: f64, instrument: usize, gain_share: f64, offset: f64) -> Reading {
    Reading { shown, accuracy: Accuracy { gain_share, offset }, instrument, possible_range: 30.0 }
}

fn fixed(expected: f64) -> Prediction {
    Prediction { expected, per_parameter: Vec::new(), own_spread: 0.001 }
}

#[test]
fn two_readings_with_one_gain_error_contradict_less_than_with_two() {
    // Both read 1 % high: one meter explains that by one gain error, two meters need two.
    let predicted = [fixed(12.0), fixed(10.0)];
    let one = [reading(12.12, 0, 0.01, 0.01), reading(10.10, 0, 0.01, 0.01)];
    let apart = [reading(12.12, 0, 0.01, 0.01), reading(9.90, 0, 0.01, 0.01)];
    let together = log_likelihood(&one, &predicted).log_likelihood;
    let opposed = log_likelihood(&apart, &predicted).log_likelihood;
    assert!(together > opposed + 1.0, "{together} {opposed}");
}

#[test]
fn a_reading_far_from_everything_is_called_stray_and_moves_no_odds() {
    let readings = [reading(12.0, 0, 0.0, 0.05), reading(3.0, 1, 0.0, 0.05)];
    let evidence = log_likelihood(&readings, &[fixed(12.0), fixed(12.0)]);
    assert_eq!(evidence.stray, [false, true]);
    // The stray reading counts 0.02 / 30 per volt, whatever was predicted.
    assert!(near(evidence.each[1], (0.02_f64 / 30.0).ln(), 1e-9));
}

/// Six standard deviations off: likelier a prediction that is further off than its spread says than a
/// probe that did not touch. The two parts of the density by numeric convolution.
#[test]
fn a_reading_beside_its_spread_is_not_called_stray() {
    let (expected, spread, half_width) = (12.0, 0.1, 0.05_f64);
    let shown = expected + 6.0 * spread;
    let predicted = Prediction { expected, per_parameter: Vec::new(), own_spread: spread };
    let evidence = log_likelihood(&[reading(shown, 0, 0.0, half_width)], &[predicted]);
    let all = spread.hypot(half_width / 3.0_f64.sqrt());
    let by_hand = 0.98
        * (0.95 * folded(shown, expected, spread, half_width)
            + 0.05 * folded(shown, expected, 4.0 * all, half_width))
        + 0.02 / 30.0;
    assert!(near(evidence.each[0], by_hand.ln(), 1e-3), "{} {}", evidence.each[0], by_hand.ln());
    assert_eq!(evidence.stray, [false]);
}

#[test]
fn evidence_that_nothing_explains_leaves_the_belief_and_says_so() {
    let belief = Belief::from_prior(&[1.0, 3.0]).expect("weights");
    let (after, possible) = belief.after(&[f64::NEG_INFINITY, f64::NEG_INFINITY]);
    assert!(!possible);
    assert_eq!(after, belief);
    assert!(Belief::from_prior(&[0.0, 0.0]).is_none());
    assert!(Belief::from_prior(&[1.0, f64::NAN]).is_none());
}

#[test]
fn odds_are_three_to_one() {
    let belief = Belief::from_prior(&[0.25, 0.75]).expect("weights");
    assert!(near(belief.log_odds(1), 3.0_f64.ln(), 1e-12));
}

/// Rectangle and Gaussian folded together by a fine sum.
fn folded(shown: f64, expected: f64, spread: f64, half_width: f64) -> f64 {
    const STEPS: i32 = 20_000;
    let root = (2.0 * std::f64::consts::PI).sqrt();
    let sum: f64 = (0..STEPS)
        .map(|k| {
            let at =
                shown - half_width + 2.0 * half_width * (f64::from(k) + 0.5) / f64::from(STEPS);
            let z = (at - expected) / spread;
            (-0.5 * z * z).exp() / (spread * root)
        })
        .sum();
    sum / f64::from(STEPS)
}

proptest! {
    #[test]
    fn likelihood_is_rectangle_and_gaussian_folded(
        miss in -2.0..2.0_f64, spread in 0.02..1.0_f64, half_width in 0.01..1.0_f64
    ) {
        let ours = likelihood_per_unit(12.0 + miss, 12.0, spread, half_width);
        let theirs = folded(12.0 + miss, 12.0, spread, half_width);
        prop_assert!(near(ours, theirs, 1e-6 * (1.0 + theirs)), "{ours} {theirs}");
    }

    #[test]
    fn weights_sum_to_one_whatever_the_evidence(
        prior in proptest::collection::vec(1e-6..1.0_f64, 1..30), seed in 0.0..400.0_f64
    ) {
        let belief = Belief::from_prior(&prior).expect("positive weights");
        let logs: Vec<f64> =
            (0..prior.len()).map(|k| -(seed * (k as f64 + 1.0)).sin().abs() * 700.0).collect();
        let (after, possible) = belief.after(&logs);
        prop_assert!(possible);
        prop_assert!(near(after.weights().iter().sum::<f64>(), 1.0, 1e-9));
    }

    #[test]
    fn the_order_of_readings_without_anything_shared_does_not_matter(
        shown in proptest::collection::vec(11.5..12.5_f64, 2..5)
    ) {
        let readings: Vec<Reading> =
            shown.iter().enumerate().map(|(k, s)| reading(*s, k, 0.005, 0.02)).collect();
        let predicted: Vec<Prediction> = shown.iter().map(|_| fixed(12.0)).collect();
        let forward = log_likelihood(&readings, &predicted).log_likelihood;
        let mut turned = readings.clone();
        turned.reverse();
        let backward = log_likelihood(&turned, &predicted).log_likelihood;
        prop_assert!(near(forward, backward, 1e-9));
    }
}
