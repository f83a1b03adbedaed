//! A suspect of unknown size: its likelihood is the mean over all sizes it may have, evenly spread by
//! ratio. The circuit is solved at a few sizes; between them predictions are interpolated, in the
//! form that is exact for a resistance in a linear circuit, and the interval of sizes is divided
//! where the likelihood lies.

use model::{Shows, StateId};

use crate::bench::Benches;
use crate::evidence::Evidence;
use crate::weigh::{Predicted, Weigher};

/// Parts an interval is divided into, how often, and how much less likely (natural logarithm) than
/// the best part of the same suspect a part may be to be divided again.
const PARTS: usize = 4;
const DIVIDED: u32 = 3;
const NEGLIGIBLE: f64 = 10.0;
/// Sizes that stand for all that are likely.
const SIZES_KEPT: usize = 5;
/// Solves at the best size after interpolation, so that what is shown is computed, not interpolated.
const SOLVED_AGAIN: usize = 2;
/// How often an interval of sizes is halved (by ratio) at whose ends equipment does different things.
const HALVED: usize = 2;

/// A suspect weighed over all its sizes.
#[derive(Clone, Debug)]
pub(crate) struct Fit {
    /// Logarithm of the mean likelihood over the sizes.
    pub(crate) log_likelihood: f64,
    /// The size that fits best.
    pub(crate) size: f64,
    /// A few sizes that stand for all that are likely, with their shares.
    pub(crate) sizes: Vec<(f64, f64)>,
    /// What it predicts at that size.
    pub(crate) predicted: Predicted,
    /// What the readings say of that.
    pub(crate) evidence: Evidence,
}

/// Predictions of one suspect at the sizes solved so far.
pub(crate) struct Profile {
    suspect: usize,
    /// Sizes, rising, with what they predict.
    points: Vec<(f64, Predicted)>,
    /// What is predicted without the suspect, and with it without end; only for resistances.
    ends: Option<(Predicted, Predicted)>,
}

impl Profile {
    /// Solves a suspect at each of its sizes. A resistance that changes nothing that was observed, neither
    /// without end nor at its middle size, and leaves what is complained of its supply, is not solved
    /// further: `None`. (A converter may start and stop behind a poor contact, and be no loss where nothing
    /// comes through; what feeds it may be weak at one size only.)
    pub(crate) fn of(
        suspect: usize,
        benches: &mut Benches<'_>,
        weigher: &Weigher<'_>,
        base: &Predicted,
    ) -> Option<Profile> {
        let of = &benches.suspects()[suspect];
        let sizes = of.sizes.clone();
        let (points, ends) = if of.is_series() {
            let far = weigher.predict(benches, &[(suspect, f64::INFINITY)]);
            let middle = [(suspect, sizes[sizes.len() / 2])];
            let ends = weigher.differ(base, &far);
            let mut between = weigher.differ(&weigher.predict(benches, &middle), &far);
            for state in weigher.moves(benches, &middle) {
                if !between.contains(&state) {
                    between.push(state);
                }
            }
            between.retain(|state| !ends.contains(state));
            if ends.is_empty() && between.is_empty() {
                return None;
            }
            let points = resistances(suspect, sizes, benches, weigher, (ends, &between), &far);
            (points, Some((base.clone(), far)))
        } else {
            let at = |size| (size, weigher.predict(benches, &[(suspect, size)]));
            (sizes.into_iter().map(at).collect::<Vec<_>>(), None)
        };
        let points = told_apart(suspect, points, benches, weigher);
        let is_idle = points.iter().all(|point| weigher.differ(base, &point.1).is_empty());
        (!is_idle).then_some(Profile { suspect, points, ends })
    }

    /// Whether it may have more than one size.
    pub(crate) fn is_sized(&self) -> bool {
        self.points.len() > 1
    }

    /// The mean likelihood over the sizes, and the size that fits best.
    pub(crate) fn fit(&self, weigher: &Weigher<'_>) -> Fit {
        self.fit_as(weigher, |alone| alone)
    }

    /// As [`Profile::fit`], if what the suspect predicts alone comes out `seen_as` something else.
    pub(crate) fn fit_as(
        &self,
        weigher: &Weigher<'_>,
        seen_as: impl Fn(Predicted) -> Predicted,
    ) -> Fit {
        let mut cells = self.first_cells();
        for cell in &mut cells {
            self.weigh(weigher, cell, &seen_as);
        }
        for _ in 0..DIVIDED {
            let best = best(&cells);
            let (divide, keep): (Vec<Cell>, Vec<Cell>) =
                cells.into_iter().partition(|cell| cell.is_coarse && cell.log > best - NEGLIGIBLE);
            cells = keep;
            for cell in divide {
                let mut parts = cell.parts();
                parts.iter_mut().for_each(|part| self.weigh(weigher, part, &seen_as));
                cells.extend(parts);
            }
        }
        let top = best(&cells);
        let width: f64 = cells.iter().map(|cell| cell.share).sum();
        let mean = cells.iter().map(|c| c.share * (c.log - top).exp()).sum::<f64>() / width;
        let cell = cells.iter().find(|cell| cell.log >= top).expect("a suspect has a size");
        let predicted = seen_as(self.between(cell.at, 0.5 * (cell.from + cell.to)));
        let evidence = weigher.weigh(&predicted, &[]);
        let size = self.size(cell.at, 0.5 * (cell.from + cell.to));
        let sizes = self.likely_sizes(cells, top);
        Fit { log_likelihood: top + mean.ln(), size, sizes, predicted, evidence }
    }

    /// The middle sizes of equal shares of the likelihood.
    fn likely_sizes(&self, mut cells: Vec<Cell>, top: f64) -> Vec<(f64, f64)> {
        cells.sort_by(|a, b| a.at.cmp(&b.at).then(a.from.total_cmp(&b.from)));
        let likely = |cell: &Cell| cell.share * (cell.log - top).exp();
        let total: f64 = cells.iter().map(likely).sum();
        let (mut sizes, mut sum) = (Vec::new(), 0.0);
        for cell in &cells {
            let (before, size) = (sum, self.size(cell.at, 0.5 * (cell.from + cell.to)));
            sum += likely(cell) / total;
            let quantile = |k: usize| (k as f64 + 0.5) / SIZES_KEPT as f64;
            let hit = (0..SIZES_KEPT).filter(|k| before < quantile(*k) && sum >= quantile(*k));
            let share = hit.count() as f64 / SIZES_KEPT as f64;
            if share > 0.0 {
                sizes.push((size, share));
            }
        }
        sizes
    }

    /// As [`Profile::fit`], with the circuit solved once more at the best size, and again.
    pub(crate) fn fit_closely(&mut self, benches: &mut Benches<'_>, weigher: &Weigher<'_>) -> Fit {
        let mut fit = self.fit(weigher);
        for _ in 0..SOLVED_AGAIN {
            let known = self.points.iter().any(|point| (point.0 / fit.size - 1.0).abs() < 1e-3);
            if known || self.points.len() < 2 {
                break;
            }
            let predicted = weigher.predict(benches, &[(self.suspect, fit.size)]);
            let at = self.points.partition_point(|point| point.0 < fit.size);
            self.points.insert(at, (fit.size, predicted));
            fit = self.fit(weigher);
        }
        if let Some((_, exact)) = self.points.iter().find(|p| (p.0 / fit.size - 1.0).abs() < 1e-3) {
            fit.predicted = exact.clone();
            fit.evidence = weigher.weigh(exact, &[]);
        }
        fit
    }

    fn first_cells(&self) -> Vec<Cell> {
        if self.points.len() < 2 {
            return vec![Cell {
                at: 0,
                from: 0.0,
                to: 0.0,
                share: 1.0,
                log: 0.0,
                is_coarse: false,
            }];
        }
        (0..self.points.len() - 1)
            .map(|at| {
                let share = (self.points[at + 1].0 / self.points[at].0).ln();
                Cell { at, from: 0.0, to: 1.0, share, log: 0.0, is_coarse: false }
            })
            .collect()
    }

    fn weigh(
        &self,
        weigher: &Weigher<'_>,
        cell: &mut Cell,
        seen_as: &impl Fn(Predicted) -> Predicted,
    ) {
        let (low, high) = (self.readings(cell.at, cell.from), self.readings(cell.at, cell.to));
        let middle = self.between(cell.at, 0.5 * (cell.from + cell.to));
        // Within the cell every value between its ends is as likely: a rectangle.
        let wide = |(low, high): (Option<f64>, Option<f64>)| match (low, high) {
            (Some(low), Some(high)) => (high - low).abs() / 12.0_f64.sqrt(),
            _ => 0.0,
        };
        let wider: Vec<f64> = low.zip(high).map(wide).collect();
        cell.is_coarse = cell.is_wide() && weigher.is_coarse(&wider);
        cell.log = weigher.weigh(&seen_as(middle), &wider).log_likelihood;
    }

    fn size(&self, at: usize, part: f64) -> f64 {
        let Some(next) = self.points.get(at + 1) else { return self.points[at].0 };
        self.points[at].0 * (next.0 / self.points[at].0).powf(part)
    }

    /// What is predicted part of the way from one solved size to the next. For a resistance `R` in a
    /// linear circuit every reading is `(y0 + yoo R/R0) / (1 + R/R0)`, so the logit of
    /// `(y - y0)/(yoo - y0)` is a straight line in `ln R`; where that does not hold, a straight line
    /// in `ln R`. Words are those of the nearer end.
    fn between(&self, at: usize, part: f64) -> Predicted {
        let Some((_, high)) = self.points.get(at + 1) else {
            return self.points[at].1.clone();
        };
        let low = &self.points[at].1;
        let mut predicted = if part < 0.5 { low.clone() } else { high.clone() };
        for (value, here) in predicted.readings.iter_mut().zip(self.readings(at, part)) {
            *value = here.or(*value);
        }
        predicted
    }

    /// The readings of [`Profile::between`]; nothing where an end has none.
    fn readings(&self, at: usize, part: f64) -> impl Iterator<Item = Option<f64>> {
        let low = &self.points[at].1.readings;
        let high = self.points.get(at + 1).map_or(low, |next| &next.1.readings);
        (0..low.len()).map(move |k| {
            let ends = || self.ends.as_ref().map(|(base, far)| (base.readings[k], far.readings[k]));
            let ends = || ends().and_then(|(base, far)| base.zip(far));
            Some(interpolated(low[k]?, high[k]?, ends(), part))
        })
    }

    /// What equipment does at the sizes solved, for a word by its place among those noticed.
    pub(crate) fn shows(&self, at: usize) -> impl ExactSizeIterator<Item = Option<Shows>> {
        self.points.iter().map(move |point| point.1.shows[at])
    }
}

/// Solves a resistance size by size in the states it matters in, until it is as good as an open one;
/// in those in which an open one changes nothing, at every size.
fn resistances(
    suspect: usize,
    sizes: Vec<f64>,
    benches: &mut Benches<'_>,
    weigher: &Weigher<'_>,
    (mut states, between): (Vec<StateId>, &[StateId]),
    far: &Predicted,
) -> Vec<(f64, Predicted)> {
    let mut points: Vec<(f64, Predicted)> = Vec::with_capacity(sizes.len());
    for size in sizes {
        let mut predicted = far.clone();
        weigher.predict_states(benches, &[(suspect, size)], &states, &mut predicted);
        states = weigher.differ(&predicted, far);
        weigher.predict_states(benches, &[(suspect, size)], between, &mut predicted);
        points.push((size, predicted));
    }
    points
}

/// Solves sizes between those at which equipment does different things: between working and dead lies
/// weak, and no interpolation tells where.
fn told_apart(
    suspect: usize,
    mut points: Vec<(f64, Predicted)>,
    benches: &mut Benches<'_>,
    weigher: &Weigher<'_>,
) -> Vec<(f64, Predicted)> {
    for _ in 0..HALVED {
        let differ = |pair: &&[(f64, Predicted)]| pair[0].1.shows != pair[1].1.shows;
        let middle = |pair: &[(f64, Predicted)]| (pair[0].0 * pair[1].0).sqrt();
        let sizes: Vec<f64> = points.windows(2).filter(differ).map(middle).collect();
        let at = |size| (size, weigher.predict(benches, &[(suspect, size)]));
        points.extend(sizes.into_iter().map(at));
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
    }
    points
}

fn interpolated(a: f64, b: f64, ends: Option<(f64, f64)>, part: f64) -> f64 {
    let straight = a + (b - a) * part;
    let Some((near, far)) = ends else { return straight };
    let logit = |y: f64| {
        let share = (y - near) / (far - near);
        (share > 0.0 && share < 1.0).then(|| (share / (1.0 - share)).ln())
    };
    let (Some(low), Some(high)) = (logit(a), logit(b)) else { return straight };
    let share = 1.0 / (1.0 + (-(low + (high - low) * part)).exp());
    near + (far - near) * share
}

/// An interval of sizes, as parts of the way from one solved size to the next.
struct Cell {
    at: usize,
    from: f64,
    to: f64,
    /// Its length in `ln` of the size.
    share: f64,
    log: f64,
    /// What is predicted differs so much within it that it has to be divided.
    is_coarse: bool,
}

impl Cell {
    fn is_wide(&self) -> bool {
        self.to > self.from
    }

    fn parts(&self) -> Vec<Cell> {
        let step = (self.to - self.from) / PARTS as f64;
        let part = |k: usize| {
            let from = self.from + step * k as f64;
            let share = self.share / PARTS as f64;
            Cell { at: self.at, from, to: from + step, share, log: 0.0, is_coarse: false }
        };
        (0..PARTS).map(part).collect()
    }
}

fn best(cells: &[Cell]) -> f64 {
    cells.iter().map(|cell| cell.log).fold(f64::NEG_INFINITY, f64::max)
}
