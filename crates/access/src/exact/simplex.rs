//! The best prices for a set of landmarks, as a linear programme: raise the sum of the landmarks'
//! prices so that no action is charged more than it costs. Simplex method with an explicit inverse
//! (Dantzig 1951; from memory), landmarks entering as columns when they are found.
//!
//! The other side of the same programme gives each action a share between 0 and 1: a relaxed plan.
//! Floating point: what comes out is a proposal, which `dual` turns into proved whole numbers.

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

/// The programme with its current solution.
pub(crate) struct Programme {
    actions: usize,
    /// Column by column: entry `[action * actions + row]`.
    inverse: Vec<f64>,
    basis: Vec<Basic>,
    /// By row: the value of what is basic in it.
    value: Vec<f64>,
    /// By action: its share in the relaxed plan.
    pub(crate) share: Vec<f64>,
    /// The landmarks, by members.
    columns: Vec<Vec<usize>>,
    /// By landmark: whether its price is basic.
    is_basic: Vec<bool>,
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
            share: vec![0.0; actions],
            columns: Vec::new(),
            is_basic: Vec::new(),
        }
    }

    /// Adds a landmark.
    pub(crate) fn add(&mut self, members: Vec<usize>) {
        self.columns.push(members);
        self.is_basic.push(false);
    }

    /// Improves prices until they are best or `pivots` are used up; gives what was used.
    pub(crate) fn solve(&mut self, pivots: u64) -> u64 {
        for used in 0..pivots {
            let Some((entering, profit)) = self.entering() else { return used };
            let column = self.column(entering);
            let Some(row) = self.leaving(&column) else { return used };
            self.pivot(entering, &column, row, profit);
        }
        pivots
    }

    /// By landmark, in the order added: its price.
    pub(crate) fn prices(&self) -> Vec<f64> {
        let mut prices = vec![0.0; self.columns.len()];
        for (basic, value) in self.basis.iter().zip(&self.value) {
            if let Basic::Price(landmark) = basic {
                prices[*landmark] = value.max(0.0);
            }
        }
        prices
    }

    /// What promises most per unit: the landmark with the smallest share in the relaxed plan, or an
    /// action whose share is below zero.
    fn entering(&self) -> Option<(Basic, f64)> {
        let mut best = (None, SLACK);
        for (landmark, members) in self.columns.iter().enumerate() {
            if !self.is_basic[landmark] {
                let covered: f64 = members.iter().map(|action| self.share[*action]).sum();
                if 1.0 - covered > best.1 {
                    best = (Some(Basic::Price(landmark)), 1.0 - covered);
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
            Basic::Price(landmark) => {
                let mut sum = vec![0.0; self.actions];
                for &action in &self.columns[landmark] {
                    for (sum, entry) in sum.iter_mut().zip(part(action)) {
                        *sum += entry;
                    }
                }
                sum
            }
        }
    }

    /// The row that bounds the step; of equal ones that with the largest pivot.
    fn leaving(&self, column: &[f64]) -> Option<usize> {
        let mut best: Option<(f64, usize)> = None;
        for row in (0..self.actions).filter(|row| column[*row] > SLACK) {
            let step = self.value[row].max(0.0) / column[row];
            let better = match best {
                None => true,
                Some((least, other)) => {
                    step < least - SLACK || (step <= least + SLACK && column[row] > column[other])
                }
            };
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
        }
        let step = self.value[row].max(0.0) / by;
        for (value, factor) in self.value.iter_mut().zip(column) {
            *value -= factor * step;
        }
        self.value[row] = step;
        if let Basic::Price(landmark) = self.basis[row] {
            self.is_basic[landmark] = false;
        }
        if let Basic::Price(landmark) = entering {
            self.is_basic[landmark] = true;
        }
        self.basis[row] = entering;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Three actions of cost 1, each pair a landmark: half of each, 1.5 together (the odd cycle,
    /// the textbook case in which shares are not whole).
    #[test]
    fn an_odd_cycle_costs_one_and_a_half() {
        let mut programme = Programme::new(&[1.0, 1.0, 1.0]);
        for pair in [vec![0, 1], vec![1, 2], vec![0, 2]] {
            programme.add(pair);
        }
        programme.solve(100);
        let sum: f64 = programme.prices().iter().sum();
        assert!((sum - 1.5).abs() < 1e-9);
        assert!(programme.share.iter().all(|share| (share - 0.5).abs() < 1e-9));
    }

    /// A dear action that serves three landmarks against a cheap one for each: 4 < 3 x 2.
    #[test]
    fn shared_work_is_charged_once() {
        let mut programme = Programme::new(&[4.0, 2.0, 2.0, 2.0]);
        for cheap in 1..4 {
            programme.add(vec![0, cheap]);
        }
        programme.solve(100);
        let sum: f64 = programme.prices().iter().sum();
        assert!((sum - 4.0).abs() < 1e-9);
        assert!((programme.share[0] - 1.0).abs() < 1e-9);
    }
}
