//! How long it really took: actual minutes refine the estimate of a removal.
//!
//! Deliberately does not know where the actual minutes were written down.

use crate::estimate::Spread;

/// How many jobs an estimate weighs. Our choice: after as many jobs as this, what was estimated and
/// what was found count the same.
pub const STRENGTH: f64 = 3.0;

/// Scatter of a single job no estimate is believed to undercut, as a standard deviation of the
/// natural logarithm of minutes: the same person does the same panel within some 15 %. Our choice.
const LEAST_LOG_SD: f64 = 0.15;
/// An estimate of no minutes at all is taken as this, in minutes, so that it can be learned from.
const LEAST_MIN: f64 = 0.1;
/// A job further from the middle than this many standard deviations is drawn in to there.
const FAR: f64 = 3.0;
/// Median absolute deviation to standard deviation of a normal distribution, 1/Φ⁻¹(3/4).
const MAD_TO_SD: f64 = 1.482_602_218_5;

/// What is believed about the minutes of one removal in one direction.
///
/// `ln T` is normal with unknown mean and variance; both carry the conjugate normal-inverse-gamma
/// belief: variance ~ IG(`shape`, `scale`), mean | variance ~ N(`location`, variance / `strength`).
/// Source: K. Murphy, Conjugate Bayesian analysis of the Gaussian distribution (2007), section 6
/// (formulas from memory; checked against numerical integration in `tests/learning.rs`).
/// Lognormal repair times are the usual assumption of maintainability prediction (MIL-HDBK-338B).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Belief {
    /// Mean of `ln(minutes)`.
    pub location: f64,
    /// How many jobs it weighs.
    pub strength: f64,
    /// Shape of the inverse gamma, above 1.
    pub shape: f64,
    /// Scale of the inverse gamma.
    pub scale: f64,
}

/// A belief after so many jobs.
#[derive(Clone, Debug, PartialEq)]
pub struct Learned {
    /// What is believed now.
    pub belief: Belief,
    /// Jobs counted.
    pub jobs: usize,
    /// Jobs so far from the others that they were drawn in, in minutes, smallest first.
    pub drawn_in: Vec<f64>,
}

impl Belief {
    /// The belief of an estimate that weighs `strength` jobs: the lognormal with the mean and
    /// standard deviation of the three-point time, `σ² = ln(1 + (sd/mean)²)`,
    /// `location = ln(mean) - σ²/2` (MIL-HDBK-338B form), and `E[variance] = σ²`.
    #[must_use]
    pub fn of(spread: &Spread, strength: f64) -> Self {
        let mean_min = spread.mean_min().max(LEAST_MIN);
        let variance =
            (1.0 + spread.beta_variance_min2() / mean_min.powi(2)).ln().max(LEAST_LOG_SD.powi(2));
        let shape = 1.0 + strength / 2.0;
        Self {
            location: mean_min.ln() - variance / 2.0,
            strength,
            shape,
            scale: variance * (shape - 1.0),
        }
    }

    /// The belief after these jobs, each in minutes above zero. The order of the jobs does not
    /// matter; other figures than finite ones above zero are left out.
    ///
    /// A job far from the others is drawn in to three standard deviations from the middle before it
    /// counts (Winsor; a tool was missing, somebody rang). The middle is the median of the jobs
    /// and of as many copies of the estimate as it weighs; the standard deviation is that of the
    /// estimate, or the median absolute deviation from the middle if that is larger. So one
    /// surprise is damped, and many agreeing surprises are believed.
    ///
    /// With `x` the logarithms, `n` their number, `x̄` their mean, κ strength, μ location:
    /// `κ' = κ + n`, `μ' = (κ μ + n x̄)/κ'`, `shape' = shape + n/2`,
    /// `scale' = scale + Σ(x - x̄)²/2 + κ n (x̄ - μ)²/(2 κ')`.
    #[must_use]
    pub fn after(&self, jobs_min: &[f64]) -> Learned {
        let valid = |job: &&f64| job.is_finite() && **job > 0.0;
        let mut sorted: Vec<f64> = jobs_min.iter().filter(valid).copied().collect();
        sorted.sort_by(f64::total_cmp);
        let (low, high) = self.believable(&sorted);
        let far = |job: &&f64| !(low..=high).contains(&job.ln());
        let drawn_in = sorted.iter().filter(far).copied().collect();
        let logs: Vec<f64> = sorted.iter().map(|job| job.ln().clamp(low, high)).collect();
        Learned { belief: self.updated(&logs), jobs: logs.len(), drawn_in }
    }

    fn updated(&self, logs: &[f64]) -> Self {
        if logs.is_empty() {
            return *self;
        }
        let n = logs.len() as f64;
        let mean = logs.iter().sum::<f64>() / n;
        let scatter: f64 = logs.iter().map(|x| (x - mean).powi(2)).sum();
        let strength = self.strength + n;
        let surprise = self.strength * n * (mean - self.location).powi(2) / strength;
        Self {
            location: (self.strength * self.location + n * mean) / strength,
            strength,
            shape: self.shape + n / 2.0,
            scale: self.scale + (scatter + surprise) / 2.0,
        }
    }

    /// Logarithms between which a job counts as it is.
    fn believable(&self, sorted_min: &[f64]) -> (f64, f64) {
        let copies = self.strength.round() as usize;
        let mut pooled: Vec<f64> = sorted_min.iter().map(|job| job.ln()).collect();
        pooled.extend(std::iter::repeat_n(self.location, copies));
        let middle = median(&mut pooled);
        for value in &mut pooled {
            *value = (*value - middle).abs();
        }
        let sd = (MAD_TO_SD * median(&mut pooled)).max(self.variance().sqrt());
        (middle - FAR * sd, middle + FAR * sd)
    }

    /// Expected variance of `ln(minutes)`: `scale / (shape - 1)`.
    #[must_use]
    pub fn variance(&self) -> f64 {
        self.scale / (self.shape - 1.0)
    }

    /// Minutes not exceeded in half of the cases: `exp(location)`.
    #[must_use]
    pub fn median_min(&self) -> f64 {
        self.location.exp()
    }

    /// Expected minutes: `exp(location + variance/2)`, the mean of the lognormal with the expected
    /// parameters. (The mean over all believed parameters does not exist: its tail is too heavy.)
    #[must_use]
    pub fn mean_min(&self) -> f64 {
        (self.location + self.variance() / 2.0).exp()
    }

    /// Standard deviation of a job in minutes, `mean √(exp(v) - 1)`, with `v` the variance of the
    /// logarithm widened by what is not known of its mean: `variance (1 + 1/strength)`.
    #[must_use]
    pub fn sd_min(&self) -> f64 {
        let variance = self.variance() * (1.0 + 1.0 / self.strength);
        self.mean_min() * variance.exp_m1().sqrt()
    }

    /// The belief as a three-point time with the same mean, and the same standard deviation as far
    /// as a beta-PERT time can have it (up to 0.85 of the mean; beyond it is cut to that).
    ///
    /// With mean M and variance V: `(M - low)(high - M) = 7 V`, `(high - M)/(M - low) = ρ`, and
    /// `likely` from `6 M = low + 4 likely + high`. ρ is that of a lognormal between `±√7 σ`, at
    /// most 5 (where likely meets low).
    #[must_use]
    pub fn spread(&self) -> Spread {
        let mean = self.mean_min();
        let seven_v = 7.0 * self.sd_min().powi(2);
        let sigma = self.variance().sqrt();
        let reach = 7.0_f64.sqrt() * sigma;
        let centre = (self.variance() / 2.0).exp();
        let skew = (reach.exp() - centre) / (centre - (-reach).exp()).max(f64::MIN_POSITIVE);
        let ratio = skew.clamp(1.0, MOST_SKEW);
        let mut below = (seven_v / ratio).sqrt();
        let mut above = (seven_v * ratio).sqrt();
        if below > mean {
            below = mean;
            above = (seven_v / mean).min(MOST_SKEW * mean);
        }
        let (low_min, high_min) = (mean - below, mean + above);
        let likely_min = ((6.0 * mean - low_min - high_min) / 4.0).clamp(low_min, high_min);
        Spread { low_min, likely_min, high_min }
    }
}

/// A beta-PERT time whose likely value is its low one: `high - mean = 5 (mean - low)`.
const MOST_SKEW: f64 = 5.0;

fn median(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    match (values.len(), values.len() / 2) {
        (0, _) => 0.0,
        (count, middle) if count % 2 == 1 => values[middle],
        (_, middle) => f64::midpoint(values[middle - 1], values[middle]),
    }
}
