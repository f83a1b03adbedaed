//! LU factors of a few equations, with rows scaled so that the size of a pivot says how much of
//! the accuracy is left. Knows no circuits.

/// A pivot below this part of its row's scale: the equations are singular, or too near to it.
const LEAST_PIVOT: f64 = 1e-7;

/// Factors of a small square matrix.
#[derive(Clone, Debug, Default)]
pub(super) struct Dense {
    size: usize,
    /// Row-major, `L` below the diagonal (its own is one), `U` above.
    lu: Vec<f64>,
    order: Vec<usize>,
    scale: Vec<f64>,
    is_negative: bool,
}

impl Dense {
    /// Factors `rows` (row-major). `scale` is the size of what each row was summed up from.
    /// `None` where a pivot is lost in the rounding of its row.
    pub(super) fn factor(size: usize, mut rows: Vec<f64>, scale: &[f64]) -> Option<Dense> {
        let scale: Vec<f64> = scale.iter().map(|s| if *s > 0.0 { 1.0 / s } else { 1.0 }).collect();
        for (row, by) in rows.chunks_mut(size.max(1)).zip(&scale) {
            row.iter_mut().for_each(|x| *x *= by);
        }
        let mut order: Vec<usize> = (0..size).collect();
        let mut is_negative = false;
        for k in 0..size {
            let size_at = |row: usize| rows[row * size + k].abs();
            let best = (k..size).max_by(|&a, &b| size_at(a).total_cmp(&size_at(b)))?;
            if best != k {
                for col in 0..size {
                    rows.swap(k * size + col, best * size + col);
                }
                order.swap(k, best);
                is_negative = !is_negative;
            }
            let pivot = rows[k * size + k];
            // Written so that a pivot that is not a number is refused too.
            if !(pivot.abs() >= LEAST_PIVOT && pivot.is_finite()) {
                return None;
            }
            is_negative ^= pivot < 0.0;
            for row in k + 1..size {
                let factor = rows[row * size + k] / pivot;
                rows[row * size + k] = factor;
                if factor.abs() > 0.0 {
                    for col in k + 1..size {
                        rows[row * size + col] -= factor * rows[k * size + col];
                    }
                }
            }
        }
        Some(Dense { size, lu: rows, order, scale, is_negative })
    }

    /// Whether the determinant is below zero.
    pub(super) fn is_negative(&self) -> bool {
        self.is_negative
    }

    /// Solves in place.
    pub(super) fn solve(&self, rhs: &mut [f64]) {
        let size = self.size;
        if size == 1 {
            rhs[0] *= self.scale[0] / self.lu[0];
            return;
        }
        let mut x: Vec<f64> = self.order.iter().map(|&row| rhs[row] * self.scale[row]).collect();
        for row in 1..size {
            let known: f64 = (0..row).map(|col| self.lu[row * size + col] * x[col]).sum();
            x[row] -= known;
        }
        for row in (0..size).rev() {
            let known: f64 = (row + 1..size).map(|col| self.lu[row * size + col] * x[col]).sum();
            x[row] = (x[row] - known) / self.lu[row * size + row];
        }
        rhs.copy_from_slice(&x);
    }
}

#[cfg(test)]
mod tests {
    use super::Dense;

    #[test]
    fn three_equations_worked_by_hand_are_solved() {
        // x = 1, y = 2, z = 3 in: 2y + z = 7; x + y + z = 6; 4x + z = 7.
        let rows = vec![0.0, 2.0, 1.0, 1.0, 1.0, 1.0, 4.0, 0.0, 1.0];
        let factors = Dense::factor(3, rows, &[2.0, 1.0, 4.0]).unwrap();
        let mut x = [7.0, 6.0, 7.0];
        factors.solve(&mut x);
        for (ours, exact) in x.iter().zip([1.0, 2.0, 3.0]) {
            assert!((ours - exact).abs() < 1e-14);
        }
        // det = 0(1) - 2(1 - 4) + 1(0 - 4) = 2.
        assert!(!factors.is_negative());
        assert!(Dense::factor(2, vec![0.0, 1.0, 1.0, 0.0], &[1.0, 1.0]).unwrap().is_negative());
    }

    #[test]
    fn what_cancels_almost_to_nothing_is_refused() {
        assert!(Dense::factor(1, vec![1e-9], &[1.0]).is_none());
        assert!(Dense::factor(1, vec![1e-9], &[1e-9]).is_some());
        assert!(Dense::factor(2, vec![1.0, 2.0, 2.0, 4.0], &[2.0, 4.0]).is_none());
        assert!(Dense::factor(1, vec![f64::NAN], &[1.0]).is_none());
    }
}
