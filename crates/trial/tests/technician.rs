//! The simulated technician against closed forms: spreads of instruments, shares of mistakes, minutes.

use catalog::Catalog;
use testkit::Dice;
use trial::{MINUTES_SPREAD, Meter, STRAY_SHARE, Technician};

const CASES: u64 = 40_000;
const METER: Meter = Meter { class: "multimeter volts", step: 0.01, stray: 15.0 };

/// Gain and zero error of the class, as the catalog has them: 0.5 % and 0.02 V.
const GAIN: f64 = 0.005;
const ZERO: f64 = 0.02;

fn readings(value: f64) -> Vec<f64> {
    let catalog = Catalog::embedded();
    (0..CASES)
        .map(|seed| {
            let technician = Technician::new(&catalog, seed);
            technician.shown(METER, value, &mut Dice::for_purpose(seed, 77))
        })
        .collect()
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

fn variance(values: &[f64]) -> f64 {
    let mean = mean(values);
    values.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / values.len() as f64
}

/// Readings that are within what the meter can be off; all others are stray.
fn kept(value: f64) -> Vec<f64> {
    let most = GAIN * value + ZERO + METER.step;
    readings(value).into_iter().filter(|shown| (shown - value).abs() <= most).collect()
}

/// Rectangles: `u^2 = a^2 / 3`, and `(0.29 step)^2 = step^2 / 12` for the last digit (GUM, JCGM
/// 100:2008, 4.3.7 and F.2.2.1). Standard error of a variance over 40 000 draws: 0.7 % at most.
#[test]
fn readings_spread_as_rectangles_of_gain_zero_and_last_digit_do() {
    let value = 12.0;
    let kept = kept(value);
    let expected = (GAIN * value).powi(2) / 3.0 + ZERO.powi(2) / 3.0 + METER.step.powi(2) / 12.0;
    let found = variance(&kept);
    assert!((found / expected - 1.0).abs() < 0.03, "{found} against {expected}");
    // Four standard errors of the mean.
    let unsure = 4.0 * (expected / kept.len() as f64).sqrt();
    assert!((mean(&kept) - value).abs() < unsure, "{}", mean(&kept));
}

/// A stray reading lies evenly in 30 V, so it looks good with a chance of the meter's band over that.
#[test]
fn two_readings_in_a_hundred_are_stray() {
    let value = 12.0;
    let band = 2.0 * (GAIN * value + ZERO + METER.step);
    let expected = STRAY_SHARE * (1.0 - band / (2.0 * METER.stray));
    let stray = 1.0 - kept(value).len() as f64 / CASES as f64;
    // Binomial: standard error sqrt(p (1 - p) / n), four of them.
    let unsure = 4.0 * (expected * (1.0 - expected) / CASES as f64).sqrt();
    assert!((stray - expected).abs() < unsure, "{stray} against {expected}");
}

/// One gain error for all readings of a meter: errors at `x` and `y` have the covariance
/// `gain^2 x y / 3` and no more.
#[test]
fn readings_of_one_meter_share_its_gain_error() {
    let catalog = Catalog::embedded();
    let (x, y) = (10.0, 14.0);
    let mut pairs = Vec::new();
    for seed in 0..CASES {
        let technician = Technician::new(&catalog, seed);
        let first = technician.shown(METER, x, &mut Dice::for_purpose(seed, 1)) - x;
        let other = technician.shown(METER, y, &mut Dice::for_purpose(seed, 2)) - y;
        let most = |value: f64| GAIN * value + ZERO + METER.step;
        if first.abs() <= most(x) && other.abs() <= most(y) {
            pairs.push(first * other);
        }
    }
    let expected = GAIN.powi(2) * x * y / 3.0;
    assert!((mean(&pairs) / expected - 1.0).abs() < 0.05, "{} against {expected}", mean(&pairs));
}

/// The mean of a lognormal draw with median `m exp(-s^2/2)` is `m`; its variance `m^2 (exp(s^2) - 1)`.
#[test]
fn minutes_vary_around_the_estimate() {
    let catalog = Catalog::embedded();
    let drawn: Vec<f64> =
        (0..CASES).map(|seed| Technician::new(&catalog, seed).minutes(20.0, "something")).collect();
    let expected = 400.0 * ((MINUTES_SPREAD * MINUTES_SPREAD).exp() - 1.0);
    assert!((mean(&drawn) / 20.0 - 1.0).abs() < 0.01, "{}", mean(&drawn));
    assert!((variance(&drawn) / expected - 1.0).abs() < 0.06, "{}", variance(&drawn));
}

/// PERT: mean `(low + 4 likely + high) / 6`; a beta distribution of shapes `a` and `b` with `a + b = 6`
/// over a width `w` has the variance `w^2 a b / (36 * 7)`. Shapes `1 + 4 (likely - low) / w`.
#[test]
fn opening_takes_its_mean_and_spread_between_three_estimates() {
    let catalog = Catalog::embedded();
    let spread = access::Spread { low_min: 8.0, likely_min: 10.0, high_min: 20.0 };
    let drawn: Vec<f64> = (0..CASES)
        .map(|seed| Technician::new(&catalog, seed).minutes_between(spread, "a panel"))
        .collect();
    let expected = (8.0 + 40.0 + 20.0) / 6.0;
    let (a, b) = (1.0 + 4.0 * 2.0 / 12.0, 1.0 + 4.0 * 10.0 / 12.0);
    let variance_expected = 144.0 * a * b / (36.0 * 7.0);
    assert!((mean(&drawn) / expected - 1.0).abs() < 0.01, "{}", mean(&drawn));
    assert!((variance(&drawn) / variance_expected - 1.0).abs() < 0.05, "{}", variance(&drawn));
    assert!(drawn.iter().all(|minutes| (8.0..=20.0).contains(minutes)));
}
