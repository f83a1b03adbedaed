//! The best prices for a set of landmarks, as a linear programme: raise the sum of the landmarks'
//! prices so that no action is charged more than it costs. Simplex method with an explicit inverse
//! (Dantzig 1951; from memory), landmarks entering as columns when they are found.
//!
//! The other side of the same programme gives each action a share between 0 and 1: a relaxed plan.
//! When an action is ruled out or paid for, the search for prices goes on from where it is.
//! Floating point: what comes out is a proposal, which `dual` turns into proved whole numbers.

use std::rc::Rc;

/// A share or price below this counts as zero.
const SLACK: f64 = 1.0e-9;

/// What stands in a row of the inverse.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Basic {
    /// The unused rest of an action's cost.
    Rest(usize),
    /// The price of a landmark.
    Price(usize),
}

/// A landmark in the programme.
#[derive(Clone)]
struct Column {
    /// Number the caller knows it by.
    number: usize,
    /// The actions in it.
    members: Rc<[usize]>,
    /// Where its price is: at zero, or in the basis.
    at: At,
    /// What a unit of its price gains: 1, or 0 once an action of it is paid for.
    gain: f64,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum At {
    Zero,
    Basis,
}

/// The programme with its current solution.
#[derive(Clone)]
pub(crate) struct Programme {
    actions: usize,
    /// Column by column: entry `[action * actions + row]`.
    inverse: Vec<f64>,
    basis: Vec<Basic>,
    /// By row: the value of what is basic in it; infinite for the rest of an action that is out.
    value: Vec<f64>,
    /// By action: its cost; 0 when it is out, where it bounds nothing.
    cost: Vec<f64>,
    /// By action: its share in the relaxed plan.
    pub(crate) share: Vec<f64>,
    columns: Vec<Column>,
    /// Multiplications done so far.
    pub(crate) work: u64,
}

impl Programme {
    /// A programme without landmarks over actions with these costs, all above 0.
    pub(crate) fn new(costs: &[f64]) -> Self {
        let actions = costs.len();
        let mut inverse = vec![0.0; actions * actions];
        for action in 0..actions {
            inverse[action * actions + action] = 1.0;
        }
        Self {
            actions,
            inverse,
            basis: (0..actions).map(Basic::Rest).collect(),
            value: costs.to_vec(),
            cost: costs.to_vec(),
            share: vec![0.0; actions],
            columns: Vec::new(),
            work: 0,
        }
    }

    /// How many actions it is about.
    pub(crate) fn len(&self) -> usize {
        self.actions
    }

    /// Adds a landmark; `false` when it is there already.
    pub(crate) fn add(&mut self, number: usize, members: Rc<[usize]>) -> bool {
        let is_new = !self.columns.iter().any(|column| column.number == number);
        if is_new {
            self.columns.push(Column { number, members, at: At::Zero, gain: 1.0 });
        }
        is_new
    }

    /// The landmarks that gain something, with their prices.
    pub(crate) fn prices(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        let priced = self.basis.iter().zip(&self.value).filter_map(|(basic, value)| match basic {
            Basic::Price(column) => Some((&self.columns[*column], *value)),
            Basic::Rest(_) => None,
        });
        priced.filter(|(column, _)| column.gain > 0.0).map(|(column, price)| (column.number, price))
    }

    /// Improves prices until they are best or `pivots` are used up.
    pub(crate) fn solve(&mut self, pivots: u64) {
        for _ in 0..pivots {
            let Some((entering, profit)) = self.entering() else { return };
            let column = self.column(entering);
            let Some(row) = self.leaving(&column, 1.0) else { return };
            self.pivot(entering, &column, row, profit);
        }
    }

    /// Whether both sides of the programme agree: if not, rounding has added up.
    pub(crate) fn is_sound(&self) -> bool {
        let prices: f64 = self.prices().map(|(_, price)| price).sum();
        let shares: f64 = self.cost.iter().zip(&self.share).map(|(cost, share)| cost * share).sum();
        (prices - shares).abs() <= 1.0e-6 * (1.0 + prices.abs())
    }

    /// The action is not used: it may be charged any price.
    pub(crate) fn leave_out(&mut self, action: usize) {
        let row = self.basis.iter().position(|basic| *basic == Basic::Rest(action));
        let row = row.or_else(|| {
            let column = self.column(Basic::Rest(action));
            let row = self.leaving(&column, -1.0).or_else(|| self.leaving(&column, 1.0))?;
            self.pivot(Basic::Rest(action), &column, row, -self.share[action]);
            Some(row)
        });
        if let Some(row) = row {
            self.value[row] = f64::INFINITY;
        }
        self.cost[action] = 0.0;
    }

    /// The action is used and paid for: a landmark with it gains nothing more.
    pub(crate) fn pay_for(&mut self, action: usize) {
        for column in &mut self.columns {
            if column.members.contains(&action) {
                column.gain = 0.0;
            }
        }
        let gain = |basic: &Basic| match basic {
            Basic::Price(column) => self.columns[*column].gain,
            Basic::Rest(_) => 0.0,
        };
        let gains: Vec<f64> = self.basis.iter().map(gain).collect();
        for (action, share) in self.share.iter_mut().enumerate() {
            let part = &self.inverse[action * self.actions..][..self.actions];
            *share = part.iter().zip(&gains).map(|(entry, gain)| entry * gain).sum();
        }
        self.work += (self.actions * self.actions) as u64;
    }

    /// Drops landmarks far from having a price, when there are many.
    pub(crate) fn forget_idle(&mut self) {
        if self.columns.len() < 2 * self.actions + 100 {
            return;
        }
        let mut kept = Vec::new();
        let mut number = vec![usize::MAX; self.columns.len()];
        for (index, column) in self.columns.iter().enumerate() {
            let near = column.gain > 0.0 && self.covered(column) < 1.2;
            if near || column.at == At::Basis {
                number[index] = kept.len();
                kept.push(column.clone());
            }
        }
        for basic in &mut self.basis {
            if let Basic::Price(column) = basic {
                *column = number[*column];
            }
        }
        self.columns = kept;
    }

    fn covered(&self, column: &Column) -> f64 {
        column.members.iter().map(|action| self.share[*action]).sum()
    }

    /// What promises most per unit: the landmark with the smallest share in the relaxed plan, or an
    /// action whose share is below zero.
    fn entering(&self) -> Option<(Basic, f64)> {
        let mut best = (None, SLACK);
        for (index, column) in self.columns.iter().enumerate() {
            if column.at == At::Zero && column.gain > 0.0 {
                let profit = column.gain - self.covered(column);
                if profit > best.1 {
                    best = (Some(Basic::Price(index)), profit);
                }
            }
        }
        for (action, share) in self.share.iter().enumerate() {
            if -share > best.1 {
                best = (Some(Basic::Rest(action)), -share);
            }
        }
        best.0.map(|basic| (basic, best.1))
    }

    fn column(&self, entering: Basic) -> Vec<f64> {
        let part = |action: usize| &self.inverse[action * self.actions..][..self.actions];
        match entering {
            Basic::Rest(action) => part(action).to_vec(),
            Basic::Price(column) => {
                let mut sum = vec![0.0; self.actions];
                for &action in self.columns[column].members.iter() {
                    for (sum, entry) in sum.iter_mut().zip(part(action)) {
                        *sum += entry;
                    }
                }
                sum
            }
        }
    }

    /// The row that bounds a step in the given direction; of equal ones that with the largest pivot.
    fn leaving(&self, column: &[f64], direction: f64) -> Option<usize> {
        let mut best: Option<(f64, usize)> = None;
        for (row, factor) in column.iter().enumerate() {
            if factor * direction <= SLACK || self.value[row].is_infinite() {
                continue;
            }
            let step = self.value[row].max(0.0) / factor.abs();
            let better = best.is_none_or(|(least, other)| {
                step < least - SLACK
                    || (step <= least + SLACK && factor.abs() > column[other].abs())
            });
            if better {
                best = Some((step.min(best.map_or(step, |(least, _)| least)), row));
            }
        }
        best.map(|(_, row)| row)
    }

    fn pivot(&mut self, entering: Basic, column: &[f64], row: usize, profit: f64) {
        let by = column[row];
        for action in 0..self.actions {
            let part = &mut self.inverse[action * self.actions..][..self.actions];
            if part[row] == 0.0 {
                continue;
            }
            let scaled = part[row] / by;
            for (entry, factor) in part.iter_mut().zip(column) {
                *entry -= factor * scaled;
            }
            part[row] = scaled;
            self.share[action] += profit * scaled;
            self.work += self.actions as u64;
        }
        self.work += 4 * self.actions as u64;
        let step = self.value[row] / by;
        for (value, factor) in self.value.iter_mut().zip(column) {
            *value -= factor * step;
        }
        self.value[row] = step;
        if let Basic::Price(index) = self.basis[row] {
            self.columns[index].at = At::Zero;
        }
        if let Basic::Price(index) = entering {
            self.columns[index].at = At::Basis;
        }
        self.basis[row] = entering;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The prices of the landmarks added up, once they are best.
    fn best(programme: &mut Programme) -> f64 {
        programme.solve(100);
        assert!(programme.is_sound());
        programme.prices().map(|(_, price)| price).sum()
    }

    fn with(costs: &[f64], landmarks: &[&[usize]]) -> Programme {
        let mut programme = Programme::new(costs);
        for (number, members) in landmarks.iter().enumerate() {
            assert!(programme.add(number, Rc::from(*members)));
        }
        programme
    }

    /// Three actions of cost 1, each pair a landmark: half of each, 1.5 together (the odd cycle,
    /// the textbook case in which shares are not whole).
    #[test]
    fn an_odd_cycle_costs_one_and_a_half() {
        let mut programme = with(&[1.0, 1.0, 1.0], &[&[0, 1], &[1, 2], &[0, 2]]);
        assert!((best(&mut programme) - 1.5).abs() < 1e-9);
        assert!(programme.share.iter().all(|share| (share - 0.5).abs() < 1e-9));
    }

    /// The odd cycle without one action needs both others; with one paid for, one of the others.
    #[test]
    fn an_odd_cycle_follows_what_is_decided() {
        let mut programme = with(&[1.0, 1.0, 1.0], &[&[0, 1], &[1, 2], &[0, 2]]);
        best(&mut programme);
        let mut without = programme.clone();
        without.leave_out(1);
        assert!((best(&mut without) - 2.0).abs() < 1e-9);
        programme.pay_for(1);
        assert!((best(&mut programme) - 1.0).abs() < 1e-9);
    }

    /// A dear action that serves three landmarks against a cheap one for each: 4 < 3 x 2.
    #[test]
    fn shared_work_is_charged_once() {
        let mut programme = with(&[4.0, 2.0, 2.0, 2.0], &[&[0, 1], &[0, 2], &[0, 3]]);
        assert!((best(&mut programme) - 4.0).abs() < 1e-9);
        assert!((programme.share[0] - 1.0).abs() < 1e-9);
    }
}
