//! How a sum of uncertain times or costs is spread: the whole distribution, not a sum of worst cases.
//!
//! Times are beta-shaped between their low and high value; a breakage falls due or does not. Both
//! are laid on one grid and added by convolution. No randomness takes part: the same pieces give
//! the same figures on every machine. Deliberately does not know what is added.

use crate::beta::Beta;
use crate::estimate::{Percentile, Spread};
use crate::plan::Plan;
use crate::problem::{Costing, Problem};

/// Cells of the grid over the whole range of the sum.
const CELLS: f64 = 1_024.0;

/// One independent piece of a sum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Piece {
    /// Somewhere between low and high, most often near likely.
    Spread(Spread),
    /// The amount with this probability, else nothing.
    Perhaps {
        /// From 0 to 1.
        probability: f64,
        /// Zero or more.
        amount: f64,
    },
}

/// The distribution of a sum of independent pieces.
///
/// A three-point time `(a, m, b)` is the beta-PERT distribution: beta on `[a, b]` with shapes
/// `1 + 4 (m - a)/(b - a)` and `1 + 4 (b - m)/(b - a)`, whose mean is the PERT mean
/// `(a + 4 m + b)/6`. Its variance is `(mean - a)(b - mean)/7`, which is not the rough
/// `((b - a)/6)²` of the PERT handbook. Source: D. Vose, Risk Analysis (from memory); the mean and
/// variance follow from those of the beta distribution. Valid for `0 <= a <= m <= b`.
///
/// **Grid.** Each piece is moved to the neighbouring grid points so that its mean stays exact (mass
/// by the distance to each). A piece moves by less than one step `h`, so every percentile is right
/// to within [`Chances::error`] `= (n + 1/2) h`, `n` the number of pieces; that is a bound, not an
/// estimate: the moves have mean zero and add at most `n h²/4` to the variance, so the true error is
/// far smaller (checked against an independent computation in `tests/chances.rs`: 0.01 min in 10).
///
/// Pieces count as independent. What is rusted or glued in one place is often rusted or glued in the
/// next, so the true spread is if anything wider.
#[derive(Clone, Debug, PartialEq)]
pub struct Chances {
    low: f64,
    step: f64,
    mass: Vec<f64>,
    error: f64,
}

impl Chances {
    /// The distribution of the sum. Pieces must be valid ([`Spread::fault`]).
    #[must_use]
    pub fn of(pieces: &[Piece]) -> Self {
        let low = pieces.iter().map(|piece| piece.low()).sum();
        let range: f64 = pieces.iter().map(|piece| piece.range()).sum();
        let mut chances = Self { low, step: range / CELLS, mass: vec![1.0], error: 0.0 };
        if range <= 0.0 {
            return chances;
        }
        let wide: Vec<&Piece> = pieces.iter().filter(|piece| piece.range() > 0.0).collect();
        for piece in &wide {
            chances.mass = convolved(&chances.mass, &piece.on_grid(chances.step));
        }
        chances.error = (wide.len() as f64 + 0.5) * chances.step;
        chances
    }

    /// Expected value: the sum of the expected values of the pieces.
    #[must_use]
    pub fn mean(&self) -> f64 {
        self.low + self.expect(|x| x)
    }

    /// The whole distribution: values in rising order, each with its share of the cases; the shares add up
    /// to one.
    pub fn shares(&self) -> impl Iterator<Item = (f64, f64)> {
        let value = |(cell, mass): (usize, &f64)| (self.low + cell as f64 * self.step, *mass);
        self.mass.iter().enumerate().map(value)
    }

    /// Standard deviation.
    #[must_use]
    pub fn sd(&self) -> f64 {
        let mean = self.expect(|x| x);
        self.expect(|x| (x - mean).powi(2)).sqrt()
    }

    /// The value not exceeded in this share of cases.
    #[must_use]
    pub fn percentile(&self, percentile: Percentile) -> f64 {
        let share = percentile.share();
        let mut before = 0.0;
        for (index, mass) in self.mass.iter().enumerate() {
            if before + mass >= share && *mass > 0.0 {
                // The mass of a point stands for the half cell on either side of it.
                let cells = index as f64 - 0.5 + (share - before) / mass;
                let last = self.mass.len() as f64 - 1.0;
                return self.low + cells.clamp(0.0, last) * self.step;
            }
            before += mass;
        }
        self.low + (self.mass.len() as f64 - 1.0) * self.step
    }

    /// How far a percentile can be off because of the grid, at most.
    #[must_use]
    pub fn error(&self) -> f64 {
        self.error
    }

    fn expect(&self, of: impl Fn(f64) -> f64) -> f64 {
        self.mass.iter().enumerate().map(|(k, mass)| mass * of(k as f64 * self.step)).sum()
    }
}

impl Percentile {
    fn share(self) -> f64 {
        match self {
            Self::P50 => 0.5,
            Self::P80 => 0.8,
            Self::P90 => 0.9,
        }
    }
}

impl Piece {
    fn low(&self) -> f64 {
        match self {
            Self::Spread(spread) => spread.low_min,
            Self::Perhaps { .. } => 0.0,
        }
    }

    fn range(&self) -> f64 {
        match self {
            Self::Spread(spread) => spread.high_min - spread.low_min,
            Self::Perhaps { probability, amount } if *probability > 0.0 => *amount,
            Self::Perhaps { .. } => 0.0,
        }
    }

    /// Mass on the points 0, step, 2 step... above the low value.
    fn on_grid(&self, step: f64) -> Vec<f64> {
        let points = (self.range() / step).ceil() as usize + 1;
        match self {
            Self::Spread(spread) => {
                // Mass of point k: second difference of the twice summed density.
                let summed = twice_summed(spread, step, points);
                let before = |k: usize| if k == 0 { 0.0 } else { summed[k - 1] };
                let mass = |k: usize| (summed[k + 1] - 2.0 * summed[k] + before(k)) / step;
                (0..points).map(|k| mass(k).max(0.0)).collect()
            }
            Self::Perhaps { probability, amount } => {
                let mut mass = vec![0.0; points];
                mass[0] = 1.0 - probability;
                let cells = amount / step;
                let (whole, part) = (cells.floor(), cells.fract());
                mass[whole as usize] += probability * (1.0 - part);
                if part > 0.0 {
                    mass[whole as usize + 1] += probability * part;
                }
                mass
            }
        }
    }
}

/// `∫ F` from the low value to `k step` above it, for k from 0 to `last`, F the cumulative beta-PERT
/// distribution: at x, `x F(x) - w (α/6) I_u(α + 1, β)` with `u = x/w`, `w = b - a`, `α + β = 6`.
fn twice_summed(spread: &Spread, step: f64, last: usize) -> Vec<f64> {
    let width = spread.high_min - spread.low_min;
    let alpha = 1.0 + 4.0 * (spread.likely_min - spread.low_min) / width;
    let beta = Beta::new(alpha, 6.0 - alpha);
    let mean = width * alpha / 6.0;
    let at = |x: f64| {
        if x >= width {
            return x - mean;
        }
        let (below, raised) = beta.incomplete(x / width);
        x * below - mean * raised
    };
    (0..=last).map(|k| at(k as f64 * step)).collect()
}

fn convolved(a: &[f64], b: &[f64]) -> Vec<f64> {
    let mut sum = vec![0.0; a.len() + b.len() - 1];
    for (i, left) in a.iter().enumerate() {
        for (target, right) in sum[i..].iter_mut().zip(b) {
            *target += left * right;
        }
    }
    sum
}

impl Plan {
    /// Minutes of the whole plan, out and back, as a distribution.
    #[must_use]
    pub fn minutes(&self, problem: &Problem) -> Chances {
        Chances::of(&self.times(problem, 1.0))
    }

    /// Money of the whole plan as a distribution: minutes at their worth, and each breakage that
    /// falls due or does not, in minor money units.
    #[must_use]
    pub fn money_minor(&self, problem: &Problem, costing: &Costing) -> Chances {
        let mut pieces = self.times(problem, costing.value_of_a_minute);
        let removals = self.steps.iter().filter_map(|step| problem.removal(step.removal));
        pieces.extend(removals.map(|removal| {
            let (breakage, _) = removal.breakage_counted(costing);
            Piece::Perhaps { probability: breakage.probability, amount: breakage.cost_minor as f64 }
        }));
        Chances::of(&pieces)
    }

    fn times(&self, problem: &Problem, worth: f64) -> Vec<Piece> {
        let removals = self.steps.iter().filter_map(|step| problem.removal(step.removal));
        let setups = self.setups.iter().filter_map(|used| problem.setup(used.setup));
        let of_removals = removals.map(|removal| [removal.minutes_out, removal.minutes_back]);
        let of_setups = setups.map(|setup| [setup.minutes_out, setup.minutes_back]);
        of_removals
            .chain(of_setups)
            .flatten()
            .map(|spread| Piece::Spread(spread.times(worth)))
            .collect()
    }
}
