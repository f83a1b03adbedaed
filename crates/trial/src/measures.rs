//! Figures of a trial: means, percentiles, spreads by resampling, calibration.

use testkit::Dice;

/// Resamplings behind an interval.
const RESAMPLINGS: usize = 2000;
/// Bins of the calibration table.
pub const BINS: usize = 10;

/// The arithmetic mean; 0 of nothing.
pub fn mean(values: &[f64]) -> f64 {
    if values.is_empty() { 0.0 } else { values.iter().sum::<f64>() / values.len() as f64 }
}

/// The value below which a share of the values lies, straight between neighbours: the `(n-1) p`-th of
/// the sorted values, counted from 0 (definition 7 of Hyndman and Fan 1996). 0 of nothing.
pub fn percentile(values: &[f64], share: f64) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let Some(last) = sorted.len().checked_sub(1) else { return 0.0 };
    let at = share.clamp(0.0, 1.0) * last as f64;
    let (low, part) = (at.floor() as usize, at.fract());
    let high = (low + 1).min(last);
    sorted[low] + part * (sorted[high] - sorted[low])
}

/// The middle 95 % of a figure over resampled cases (percentile bootstrap; Efron and Tibshirani
/// 1993, chapter 13, from memory). `figure` is given the numbers of the cases of one resampling.
pub fn interval(cases: usize, seed: u64, mut figure: impl FnMut(&[usize]) -> f64) -> (f64, f64) {
    let mut dice = Dice::new(seed);
    let mut figures = Vec::with_capacity(RESAMPLINGS);
    let mut drawn = vec![0; cases];
    for _ in 0..RESAMPLINGS {
        drawn.iter_mut().for_each(|at| *at = dice.below(cases));
        figures.push(figure(&drawn));
    }
    (percentile(&figures, 0.025), percentile(&figures, 0.975))
}

/// One bin of statements.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Bin {
    /// How many.
    pub count: usize,
    /// The mean probability that was stated.
    pub stated: f64,
    /// The share that was so.
    pub held: f64,
}

/// Statements by their probability, ten bins of equal width; the last takes in 1.
pub fn bins(statements: &[(f64, bool)]) -> [Bin; BINS] {
    let mut bins = [Bin::default(); BINS];
    for (stated, held) in statements {
        let at = ((stated * BINS as f64) as usize).min(BINS - 1);
        bins[at].count += 1;
        bins[at].stated += stated;
        bins[at].held += f64::from(u8::from(*held));
    }
    for bin in bins.iter_mut().filter(|bin| bin.count > 0) {
        bin.stated /= bin.count as f64;
        bin.held /= bin.count as f64;
    }
    bins
}

/// The expected calibration error: the mean distance of what was stated from what held, bins weighted
/// by their statements (Naeini, Cooper, Hauskrecht 2015, from memory).
pub fn calibration_error(bins: &[Bin]) -> f64 {
    let total: usize = bins.iter().map(|bin| bin.count).sum();
    let off = bins.iter().map(|bin| bin.count as f64 * (bin.stated - bin.held).abs());
    if total == 0 { 0.0 } else { off.sum::<f64>() / total as f64 }
}
