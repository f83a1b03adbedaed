//! Weights of suspects. Kept as logarithms, so that no evidence is too strong for them.

/// How likely each suspect is; the weights sum to one.
#[derive(Clone, Debug, PartialEq)]
pub struct Belief {
    log_weight: Vec<f64>,
}

impl Belief {
    /// From prior weights in any scale; `None` if one is negative or not a number, or all are zero.
    pub fn from_prior(weights: &[f64]) -> Option<Belief> {
        let usable = weights.iter().all(|w| w.is_finite() && *w >= 0.0);
        let has_any = weights.iter().any(|w| *w > 0.0);
        let logs = weights.iter().map(|w| w.ln()).collect();
        (usable && has_any).then(|| Belief { log_weight: logs }.normalised())
    }

    /// After evidence: one natural logarithm of a likelihood for each suspect. If no suspect is
    /// possible any more the belief stays as it was and `false` comes with it.
    #[must_use]
    pub fn after(&self, log_likelihood: &[f64]) -> (Belief, bool) {
        let logs: Vec<f64> =
            self.log_weight.iter().zip(log_likelihood).map(|(w, l)| w + l).collect();
        if logs.iter().all(|log| *log == f64::NEG_INFINITY || log.is_nan()) {
            return (self.clone(), false);
        }
        (Belief { log_weight: logs }.normalised(), true)
    }

    /// The weights; they sum to one.
    pub fn weights(&self) -> Vec<f64> {
        self.log_weight.iter().map(|log| log.exp()).collect()
    }

    /// Natural logarithm of a suspect's odds against all others together.
    pub fn log_odds(&self, suspect: usize) -> f64 {
        let rest: Vec<f64> = (0..self.log_weight.len())
            .filter(|k| *k != suspect)
            .map(|k| self.log_weight[k])
            .collect();
        self.log_weight[suspect] - log_sum(&rest)
    }

    fn normalised(mut self) -> Belief {
        let total = log_sum(&self.log_weight);
        for log in &mut self.log_weight {
            *log = if log.is_nan() { f64::NEG_INFINITY } else { *log - total };
        }
        self
    }
}

/// `ln(sum(exp(x)))`, without overflow.
fn log_sum(logs: &[f64]) -> f64 {
    let top = logs.iter().copied().filter(|l| !l.is_nan()).fold(f64::NEG_INFINITY, f64::max);
    if top == f64::NEG_INFINITY {
        return f64::NEG_INFINITY;
    }
    top + logs.iter().filter(|l| !l.is_nan()).map(|l| (l - top).exp()).sum::<f64>().ln()
}

/// Entropy `-sum(p log2 p)` of weights that sum to one, bit (Shannon 1948).
pub fn entropy_bit(weights: &[f64]) -> f64 {
    weights.iter().filter(|w| **w > 0.0).map(|w| -w * w.log2()).sum()
}
