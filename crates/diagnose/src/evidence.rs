//! Several readings together. Readings of one instrument share its gain error; predictions share the
//! spreads of the parameters they rest on; and now and then a probe did not touch.

use crate::instrument::{Accuracy, likelihood_per_unit};

/// Share of readings that say nothing: probe not touching, wrong pin, slip of the pen. Own choice.
const STRAY_SHARE: f64 = 0.02;
/// Share of predictions that rest on figures further off than their spreads say, and how much further:
/// the spreads are those of the vehicle as written, a faulty one may follow other figures (own choice).
const FURTHER_OFF: f64 = 0.05;
const FURTHER: f64 = 4.0;

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
    let expected = |p: &Prediction| Expected { value: p.expected, own_spread: p.own_spread };
    let expected: Vec<Expected> = predictions.iter().map(expected).collect();
    let slopes: Vec<&[f64]> = predictions.iter().map(|p| p.per_parameter.as_slice()).collect();
    weighed(readings, &expected, &slopes)
}

/// What is expected of a reading, apart from what it shares with others.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Expected {
    /// The value.
    pub(crate) value: f64,
    /// See [`Prediction::own_spread`].
    pub(crate) own_spread: f64,
}

/// As [`log_likelihood`], with what readings share given apart; `slopes` as
/// [`Prediction::per_parameter`].
pub(crate) fn weighed(readings: &[Reading], expected: &[Expected], slopes: &[&[f64]]) -> Evidence {
    let parameters = slopes.iter().map(|slopes| slopes.len()).max().unwrap_or(0);
    let instruments = readings.iter().map(|r| r.instrument + 1).max().unwrap_or(0);
    let shares_gain =
        |instrument: usize| readings.iter().filter(|r| r.instrument == instrument).count() > 1;
    let mut filter = Filter::new(parameters + instruments);
    let mut evidence = Evidence {
        log_likelihood: 0.0,
        each: Vec::with_capacity(readings.len()),
        stray: Vec::with_capacity(readings.len()),
        distance: Vec::with_capacity(readings.len()),
    };
    for ((reading, expected), slopes) in readings.iter().zip(expected).zip(slopes) {
        filter.slope.fill(0.0);
        filter.slope[..slopes.len()].copy_from_slice(slopes);
        let mut half_width = reading.accuracy.half_width(reading.shown);
        if shares_gain(reading.instrument) {
            // A gain error is a rectangle of its own; its variance is a third of its square.
            filter.slope[parameters + reading.instrument] =
                reading.accuracy.gain_share * expected.value / 3.0_f64.sqrt();
            half_width = reading.accuracy.offset;
        }
        let seen = filter.see(reading, *expected, half_width);
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
    /// Row by row.
    covariance: Vec<f64>,
    /// How the reading at hand follows the parameters, and that times the covariance.
    slope: Vec<f64>,
    lifted: Vec<f64>,
}

struct Seen {
    log: f64,
    is_stray: bool,
    distance: f64,
}

impl Filter {
    fn new(size: usize) -> Filter {
        let mut covariance = vec![0.0; size * size];
        (0..size).for_each(|k| covariance[k * (size + 1)] = 1.0);
        let none = || vec![0.0; size];
        Filter { mean: none(), covariance, slope: none(), lifted: none() }
    }

    fn see(&mut self, reading: &Reading, expected: Expected, half_width: f64) -> Seen {
        let size = self.mean.len();
        for (lifted, row) in self.lifted.iter_mut().zip(self.covariance.chunks(size.max(1))) {
            *lifted = dot(row, &self.slope);
        }
        let shared = dot(&self.slope, &self.lifted);
        let value = expected.value + dot(&self.slope, &self.mean);
        let own = expected.own_spread;
        let spread = (shared + own * own).sqrt();
        let variance = shared + own * own + half_width * half_width / 3.0;
        let likelihood = |spread| likelihood_per_unit(reading.shown, value, spread, half_width);
        let near = (1.0 - FURTHER_OFF) * likelihood(spread);
        let off = FURTHER_OFF * likelihood(FURTHER * variance.sqrt());
        let good = near + off;
        let flat = 1.0 / reading.possible_range.max(f64::MIN_POSITIVE);
        let (good, stray) = ((1.0 - STRAY_SHARE) * good, STRAY_SHARE * flat);
        let error = reading.shown - value;
        let is_stray = stray > good;
        if !is_stray && shared > 0.0 {
            // Of a reading that is further off less is learned.
            let variance = if off > near { FURTHER * FURTHER * variance } else { variance };
            for k in 0..size {
                let gain = self.lifted[k] / variance;
                self.mean[k] += gain * error;
                for j in 0..size {
                    self.covariance[k * size + j] -= gain * self.lifted[j];
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
