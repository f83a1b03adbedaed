//! What a check may show, cut into outcomes that differ for what has to be repaired.

use catalog::{Catalog, Instrument, Method};
use model::{Place, ReadingPoints, Shows};

use crate::belief::entropy_bit;
use crate::groups::Group;
use crate::offered::What;

/// Outcomes of a reading that are kept apart; the closest are taken together.
const MOST_OUTCOMES: usize = 4;
/// A value this unlikely does not make an outcome of its own.
const LEAST_SHARE: f64 = 1e-3;
/// Standard deviations of the sums that a band holds to either side.
const DEVIATIONS: f64 = 2.0;

/// What a group makes a reading show, with its share within the group.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// Lowest and highest value the instrument may show.
    pub low: f64,
    /// See [`Band::low`].
    pub high: f64,
    /// Share of the group.
    pub share: f64,
}

/// One outcome of a check.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outcome {
    /// The instrument shows a value of this range.
    Between(f64, f64),
    /// Equipment does this.
    Does(Shows),
    /// A joint looks bad or gives way.
    Bad,
    /// A joint looks good and holds.
    Good,
}

/// What a check may show.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcomes {
    /// Kinds of outcomes, readings from low to high.
    pub kinds: Vec<Outcome>,
    /// For each group, and for what is in none of them: probability of each outcome.
    pub rows: Vec<Vec<f64>>,
    /// For each group: what a reading would show; empty where nothing is read.
    pub bands: Vec<Vec<Band>>,
}

impl Outcomes {
    /// A reading, from the bands of each group. What is in none of them may show anything; what a
    /// reading showed `before` it shows again.
    pub(crate) fn of_bands(
        mut bands: Vec<Vec<Band>>,
        before: Option<Band>,
        weights: &[f64],
    ) -> Option<Outcomes> {
        bands.push(Vec::from_iter(before));
        let total: f64 = weights.iter().sum();
        // Whether a reading made again shows what the groups say is asked however unlikely they all are.
        let scale = if before.is_some() { total.max(f64::MIN_POSITIVE) } else { 1.0 };
        let rest = 1.0 - total;
        let weights: Vec<f64> = weights.iter().map(|w| w / scale).chain([rest]).collect();
        let kinds = cells(&bands, &weights);
        if kinds.len() < 2 {
            return None;
        }
        let row = |bands: &Vec<Band>| {
            let mut row = vec![0.0; kinds.len()];
            for band in bands {
                row[cell_of(&kinds, 0.5 * (band.low + band.high))] += band.share;
            }
            match bands.is_empty() {
                true => even(kinds.len()),
                false => row,
            }
        };
        let rows = bands.iter().map(row).collect();
        bands.pop();
        let kinds = kinds.into_iter().map(|(low, high)| Outcome::Between(low, high)).collect();
        Some(Outcomes { kinds, rows, bands })
    }

    /// What equipment does: for each group the words with their shares. What is in none of the groups may
    /// make it do anything; what it did `before` it does again.
    pub(crate) fn of_words(
        words: &[Vec<(Shows, f64)>],
        before: Option<Shows>,
        catalog: &Catalog,
    ) -> Option<Outcomes> {
        let mut kinds: Vec<Shows> =
            words.iter().flatten().map(|word| word.0).chain(before).collect();
        kinds.sort_unstable();
        kinds.dedup();
        if kinds.len() < 2 {
            return None;
        }
        let error = catalog.faults.technician_error;
        let row = |words: &Vec<(Shows, f64)>| {
            let total: f64 = words.iter().map(|word| word.1).sum();
            if total <= 0.0 {
                return even(kinds.len());
            }
            let share = |kind: &Shows| {
                let said: f64 = words.iter().filter(|w| w.0 == *kind).map(|w| w.1).sum();
                let said = said / total;
                said * (1.0 - error) + (1.0 - said) * error / (kinds.len() - 1) as f64
            };
            kinds.iter().map(share).collect()
        };
        let mut rows: Vec<Vec<f64>> = words.iter().map(row).collect();
        rows.push(row(&before.map(|word| (word, 1.0)).into_iter().collect()));
        let bands = vec![Vec::new(); words.len()];
        Some(Outcomes { kinds: kinds.into_iter().map(Outcome::Does).collect(), rows, bands })
    }

    /// A look at a joint.
    pub(crate) fn of_look(joint: model::JointId, groups: &[Group], catalog: &Catalog) -> Outcomes {
        let look = &catalog.checking.look;
        let bad = |group: &Group| {
            let is_there = group.cures.iter().any(|cure| cure.0 == Place::Joint(joint));
            let bad = if is_there { look.finds } else { look.false_alarm };
            vec![bad, 1.0 - bad]
        };
        let mut rows: Vec<Vec<f64>> = groups.iter().map(bad).collect();
        rows.push(vec![look.false_alarm, 1.0 - look.false_alarm]);
        let bands = vec![Vec::new(); groups.len()];
        Outcomes { kinds: vec![Outcome::Bad, Outcome::Good], rows, bands }
    }

    /// The same with what is in none of the groups split: the share `further` of it are suspects beyond
    /// the groups, which on the whole show what the groups do. A look knows what it shows elsewhere.
    pub(crate) fn with_rest(mut self, further: f64, weights: &[f64]) -> Outcomes {
        let (groups, kinds) = (self.bands.len(), self.kinds.len());
        let total: f64 = weights[..groups].iter().sum();
        if self.kinds.contains(&Outcome::Bad) || total <= 0.0 {
            return self;
        }
        let whole = |k: usize| -> f64 {
            let listed = weights.iter().zip(&self.rows).take(groups);
            listed.map(|(weight, row)| weight * row[k]).sum::<f64>() / total
        };
        let others = &self.rows[groups];
        let rest = (0..kinds).map(|k| further * whole(k) + (1.0 - further) * others[k]).collect();
        self.rows[groups] = rest;
        self
    }

    /// Expected drop in entropy, bit: `H(weights) - sum_k P(k) H(weights | k)`.
    pub fn gain_bit(&self, weights: &[f64]) -> f64 {
        let before = entropy_bit(weights);
        let after: f64 = (0..self.kinds.len())
            .map(|k| {
                let joint: Vec<f64> =
                    weights.iter().zip(&self.rows).map(|(w, row)| w * row[k]).collect();
                let share: f64 = joint.iter().sum();
                if share <= 0.0 {
                    return 0.0;
                }
                share * entropy_bit(&joint.iter().map(|w| w / share).collect::<Vec<_>>())
            })
            .sum();
        (before - after).max(0.0)
    }

    /// Probability of each outcome.
    pub fn chances(&self, weights: &[f64]) -> Vec<f64> {
        let chance = |k: usize| weights.iter().zip(&self.rows).map(|(w, row)| w * row[k]).sum();
        (0..self.kinds.len()).map(chance).collect()
    }
}

fn even(kinds: usize) -> Vec<f64> {
    vec![1.0 / kinds as f64; kinds]
}

/// Ranges between which nothing likely lies, at most so many; the closest are joined.
fn cells(bands: &[Vec<Band>], weights: &[f64]) -> Vec<(f64, f64)> {
    let likely = bands.iter().zip(weights).flat_map(|(bands, weight)| {
        bands.iter().filter(move |band| band.share * weight > LEAST_SHARE)
    });
    let mut ranges: Vec<(f64, f64)> = likely.map(|band| (band.low, band.high)).collect();
    ranges.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut cells: Vec<(f64, f64)> = Vec::new();
    for (low, high) in ranges {
        match cells.last_mut() {
            Some(last) if low <= last.1 => last.1 = last.1.max(high),
            _ => cells.push((low, high)),
        }
    }
    while cells.len() > MOST_OUTCOMES {
        let gap = |k: &usize| cells[*k + 1].0 - cells[*k].1;
        let closest = (0..cells.len() - 1).min_by(|a, b| gap(a).total_cmp(&gap(b)));
        let Some(k) = closest else { break };
        cells[k].1 = cells[k + 1].1;
        cells.remove(k + 1);
    }
    cells
}

/// The cell a value lies in, or the nearest.
fn cell_of(cells: &[(f64, f64)], value: f64) -> usize {
    let off = |(low, high): &(f64, f64)| (low - value).max(value - high).max(0.0);
    let nearest = |a: &usize, b: &usize| off(&cells[*a]).total_cmp(&off(&cells[*b]));
    (0..cells.len()).min_by(nearest).expect("a check has outcomes")
}

/// The band of a value: the instrument's accuracy and the spread of the sums around it.
pub(crate) fn band(value: f64, spread: f64, share: f64, instrument: &Instrument) -> Band {
    let half = instrument.gain * value.abs() + instrument.zero + DEVIATIONS * spread;
    Band { low: value - half, high: value + half, share }
}

/// The class of instrument for a value: a millivolt range where it can show it.
pub(crate) fn instrument(catalog: &Catalog, what: What, method: Method, value: f64) -> &Instrument {
    let class = |name: &str| catalog.instruments.get(name).expect("the catalog holds every class");
    let fine = class("multimeter millivolts");
    match what {
        What::Read(ReadingPoints::In(_)) => class("clamp"),
        What::Read(ReadingPoints::On(_)) => class("display"),
        _ if method == Method::Drop && fine.most.is_some_and(|most| value.abs() <= most) => fine,
        _ => class("multimeter volts"),
    }
}
