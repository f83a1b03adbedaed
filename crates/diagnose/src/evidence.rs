//! Several readings together. Readings of one instrument share its gain error; predictions share the
//! spreads of the parameters they rest on; and now and then a probe did not touch.

use crate::instrument::{Accuracy, likelihood_per_unit};

/// Share of readings that say nothing: probe not touching, wrong pin, slip of the pen. Own choice.
const STRAY_SHARE: f64 = 0.02;

/// What an instrument showed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// What it showed.
    pub shown: f64,
    /// How far it may be off.
    pub accuracy: Accuracy,
    /// Which instrument; readings of one share its gain error.
    pub instrument: usize,
    /// Length of the range in which a stray reading could lie, in the unit of the reading.
    pub possible_range: f64,
}

/// What a suspect predicts for one reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Prediction {
    /// The expected value.
    pub expected: f64,
    /// By how much it moves for one standard deviation of each shared parameter.
    pub per_parameter: Vec<f64>,
    /// Standard deviation of what is shared with no other reading.
    pub own_spread: f64,
}

/// What the readings say of one suspect.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    /// Natural logarithm of the likelihood of all readings.
    pub log_likelihood: f64,
    /// The part of each reading, in order; their sum is `log_likelihood`.
    pub each: Vec<f64>,
    /// Readings that are better explained as stray, in order.
    pub stray: Vec<bool>,
    /// Distance of each reading from what was expected after the earlier ones, in standard
    /// deviations of the instrument and the spreads together.
    pub distance: Vec<f64>,
}

/// How well a suspect explains all readings.
///
/// Readings are taken one after the other. What earlier ones say about the shared parameters and
/// about the gain error of the instrument is carried over by Gaussian conditioning (Kalman's update
/// of a linear model, one reading at a time), so that a chain of readings of one meter does not look
/// more certain than it is. The part of a reading's error that is its own stays a rectangle:
/// [`likelihood_per_unit`]. Each reading is stray with a small probability, and then has any value
/// of its range; a reading that is more likely stray than not teaches nothing.
///
/// The first reading of an instrument counts its whole accuracy as its own rectangle; gain errors
/// become shared from the second reading of an instrument on.
pub fn log_likelihood(readings: &[Reading], predictions: &[Prediction]) -> Evidence {
    let parameters = predictions.iter().map(|p| p.per_parameter.len()).max().unwrap_or(0);
    let instruments = readings.iter().map(|r| r.instrument + 1).max().unwrap_or(0);
    let count = |instrument: usize| readings.iter().filter(|r| r.instrument == instrument).count();
    let shares_gain: Vec<bool> = (0..instruments).map(|k| count(k) > 1).collect();
    let mut filter = Filter::new(parameters + instruments);
    let mut evidence = Evidence {
        log_likelihood: 0.0,
        each: Vec::with_capacity(readings.len()),
        stray: Vec::with_capacity(readings.len()),
        distance: Vec::with_capacity(readings.len()),
    };
    for (reading, prediction) in readings.iter().zip(predictions) {
        let mut slope = vec![0.0; parameters + instruments];
        slope[..prediction.per_parameter.len()].copy_from_slice(&prediction.per_parameter);
        let mut half_width = reading.accuracy.half_width(reading.shown);
        if shares_gain[reading.instrument] {
            // A gain error is a rectangle of its own; its variance is a third of its square.
            slope[parameters + reading.instrument] =
                reading.accuracy.gain_share * prediction.expected / 3.0_f64.sqrt();
            half_width = reading.accuracy.offset;
        }
        let seen = filter.see(reading, prediction, &slope, half_width);
        evidence.log_likelihood += seen.log;
        evidence.each.push(seen.log);
        evidence.stray.push(seen.is_stray);
        evidence.distance.push(seen.distance);
    }
    evidence
}

/// What is known of the shared parameters, each with mean 0 and variance 1 before any reading.
struct Filter {
    mean: Vec<f64>,
    covariance: Vec<Vec<f64>>,
}

struct Seen {
    log: f64,
    is_stray: bool,
    distance: f64,
}

impl Filter {
    fn new(size: usize) -> Filter {
        let row = |k: usize| (0..size).map(|j| if j == k { 1.0 } else { 0.0 }).collect();
        Filter { mean: vec![0.0; size], covariance: (0..size).map(row).collect() }
    }

    fn see(
        &mut self,
        reading: &Reading,
        prediction: &Prediction,
        slope: &[f64],
        half_width: f64,
    ) -> Seen {
        let lifted: Vec<f64> = self.covariance.iter().map(|row| dot(row, slope)).collect();
        let shared = dot(slope, &lifted);
        let expected = prediction.expected + dot(slope, &self.mean);
        let own = prediction.own_spread;
        let spread = (shared + own * own).sqrt();
        let good = likelihood_per_unit(reading.shown, expected, spread, half_width);
        let flat = 1.0 / reading.possible_range.max(f64::MIN_POSITIVE);
        let (good, stray) = ((1.0 - STRAY_SHARE) * good, STRAY_SHARE * flat);
        let error = reading.shown - expected;
        let variance = shared + own * own + half_width * half_width / 3.0;
        let is_stray = stray > good;
        if !is_stray && shared > 0.0 {
            let gain: Vec<f64> = lifted.iter().map(|c| c / variance).collect();
            for (k, gain_k) in gain.iter().enumerate() {
                self.mean[k] += gain_k * error;
                for (j, lifted_j) in lifted.iter().enumerate() {
                    self.covariance[k][j] -= gain_k * lifted_j;
                }
            }
        }
        let distance = if variance > 0.0 { error / variance.sqrt() } else { 0.0 };
        Seen { log: (good + stray).ln(), is_stray, distance }
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}
