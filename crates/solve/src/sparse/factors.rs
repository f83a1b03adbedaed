//! LU factors of matrices over one pattern, `A = P' L U Q'`. Column order and pivots are chosen once;
//! matrices that follow are eliminated with the same, as long as those pivots are large enough.
//!
//! The circuit is solved some tens of times with conductances that differ a little. Where the entries
//! of the factors stand is then known, and what is left is arithmetic: several times as fast as to look
//! for them again. Threshold of a pivot after I. S. Duff, A. M. Erisman, J. K. Reid, Direct Methods for
//! Sparse Matrices, 1986 (from memory). Checked by: `tests.rs` beside this file.

use faer::dyn_stack::{MemBuffer, MemStack};
use faer::sparse::linalg::SupernodalThreshold;
use faer::sparse::linalg::lu::simplicial::{
    SimplicialLu, factorize_simplicial_numeric_lu, factorize_simplicial_numeric_lu_scratch,
};
use faer::sparse::linalg::lu::{LuSymbolicParams, SymbolicLu, factorize_symbolic_lu};
use faer::sparse::{SparseColMatRef, SymbolicSparseColMatRef};

use super::Pattern;

/// A pivot taken over from another matrix has to be at least this part of the largest number below it.
const LEAST_PIVOT_PART: f64 = 0.1;

/// LU factors over one pattern.
pub(crate) struct Factors {
    order: SymbolicLu<u32>,
    memory: MemBuffer,
    chosen: Option<Eliminated>,
    /// A column, or right-hand side, in the order of the pivots; zero between uses.
    work: Vec<f64>,
}

/// Factors in the order of the pivots.
struct Eliminated {
    /// Below the diagonal of `L`, whose diagonal is one.
    lower: Columns,
    /// Above the diagonal of `U`, rows ascending.
    upper: Columns,
    diagonal: Vec<f64>,
    /// By pivot: the column of the matrix.
    col: Vec<u32>,
    /// By row of the matrix: its pivot.
    pivot: Vec<u32>,
}

/// Columns of a sparse matrix.
#[derive(Default)]
struct Columns {
    start: Vec<u32>,
    row: Vec<u32>,
    value: Vec<f64>,
}

impl Columns {
    #[inline]
    fn slots(&self, col: usize) -> std::ops::Range<usize> {
        self.start[col] as usize..self.start[col + 1] as usize
    }

    #[inline]
    fn entries(&self, col: usize) -> impl Iterator<Item = (usize, f64)> {
        let slots = self.slots(col);
        let rows = self.row[slots.clone()].iter().map(|row| *row as usize);
        rows.zip(self.value[slots].iter().copied())
    }

    /// Adds the entries of a column, rows ascending.
    fn push(&mut self, mut entries: Vec<(u32, f64)>) {
        entries.sort_unstable_by_key(|entry| entry.0);
        for (row, value) in entries {
            self.row.push(row);
            self.value.push(value);
        }
        self.start.push(self.row.len() as u32);
    }
}

impl Factors {
    /// Finds a column order with little fill. `None` if memory runs out.
    pub(crate) fn new(pattern: &Pattern) -> Option<Factors> {
        let params = LuSymbolicParams {
            // Circuit matrices are far too thin for dense blocks to pay.
            supernodal_flop_ratio_threshold: SupernodalThreshold::FORCE_SIMPLICIAL,
            ..LuSymbolicParams::default()
        };
        let order = factorize_symbolic_lu(symbolic(pattern), params).ok()?;
        let size = pattern.size;
        let need = factorize_simplicial_numeric_lu_scratch::<u32, f64>(size, size);
        let memory = MemBuffer::try_new(need).ok()?;
        Some(Factors { order, memory, chosen: None, work: vec![0.0; size] })
    }

    /// Solves `A x = rhs` in place. `None` if the matrix is singular to working precision.
    pub(crate) fn solve(
        &mut self,
        pattern: &Pattern,
        values: &[f64],
        rhs: &mut [f64],
    ) -> Option<()> {
        self.factor(pattern, values)?;
        self.substitute(rhs)
    }

    /// Computes the factors of a matrix. `None` if it is singular.
    pub(crate) fn factor(&mut self, pattern: &Pattern, values: &[f64]) -> Option<()> {
        let work = &mut self.work;
        if !self.chosen.as_mut().is_some_and(|known| known.eliminate(pattern, values, work)) {
            self.chosen = None;
            self.chosen = Some(self.choose(pattern, values)?);
        }
        Some(())
    }

    /// Chooses the largest pivot of each column, and computes the factors.
    fn choose(&mut self, pattern: &Pattern, values: &[f64]) -> Option<Eliminated> {
        let size = pattern.size;
        let matrix = SparseColMatRef::new(symbolic(pattern), values);
        let (mut row, mut pivot) = (vec![0_u32; size], vec![0_u32; size]);
        let mut found = SimplicialLu::new();
        let (col, stack) = (self.order.col_perm(), MemStack::new(&mut self.memory));
        factorize_simplicial_numeric_lu(&mut row, &mut pivot, &mut found, matrix, col, stack)
            .ok()?;
        let start = || Columns { start: vec![0], ..Columns::default() };
        let (mut lower, mut upper, mut diagonal) = (start(), start(), Vec::with_capacity(size));
        let (all_lower, all_upper) = (found.l_factor_unsorted(), found.u_factor_unsorted());
        for at in 0..size {
            let of = |factor: SparseColMatRef<'_, u32, f64>| -> Vec<(u32, f64)> {
                let rows = factor.row_idx_of_col_raw(at).iter().copied();
                rows.zip(factor.val_of_col(at).iter().copied()).collect()
            };
            let (mut below, mut above) = (of(all_lower), of(all_upper));
            below.retain(|entry| entry.0 as usize != at);
            diagonal.push(above.iter().find(|entry| entry.0 as usize == at)?.1);
            above.retain(|entry| entry.0 as usize != at);
            lower.push(below);
            upper.push(above);
        }
        let col = col.arrays().0.to_vec();
        Some(Eliminated { lower, upper, diagonal, col, pivot })
    }

    /// Solves `A x = rhs` in place with the factors last computed.
    pub(crate) fn substitute(&mut self, rhs: &mut [f64]) -> Option<()> {
        let Eliminated { lower, upper, diagonal, col, pivot } = self.chosen.as_ref()?;
        let work = &mut self.work;
        for (value, pivot) in rhs.iter().zip(pivot) {
            work[*pivot as usize] = *value;
        }
        for at in 0..work.len() {
            let value = work[at];
            // What a current at one place does starts with next to nothing but zeros.
            if value != 0.0 {
                lower.entries(at).for_each(|(row, factor)| work[row] -= factor * value);
            }
        }
        for at in (0..work.len()).rev() {
            work[at] /= diagonal[at];
            let value = work[at];
            upper.entries(at).for_each(|(row, factor)| work[row] -= factor * value);
        }
        for (value, col) in work.iter_mut().zip(col) {
            rhs[*col as usize] = std::mem::take(value);
        }
        rhs.iter().all(|x| x.is_finite()).then_some(())
    }

    /// Solves `A' x = rhs` in place, `A'` the transpose, with the factors last computed.
    pub(crate) fn substitute_transposed(&mut self, rhs: &mut [f64]) -> Option<()> {
        let Eliminated { lower, upper, diagonal, col, pivot } = self.chosen.as_ref()?;
        let work = &mut self.work;
        for (value, col) in work.iter_mut().zip(col) {
            *value = rhs[*col as usize];
        }
        for at in 0..work.len() {
            let above: f64 = upper.entries(at).map(|(row, factor)| factor * work[row]).sum();
            work[at] = (work[at] - above) / diagonal[at];
        }
        for at in (0..work.len()).rev() {
            work[at] -= lower.entries(at).map(|(row, factor)| factor * work[row]).sum::<f64>();
        }
        for (value, pivot) in rhs.iter_mut().zip(pivot) {
            *value = work[*pivot as usize];
        }
        work.fill(0.0);
        rhs.iter().all(|x| x.is_finite()).then_some(())
    }
}

impl Eliminated {
    /// Computes the factors of another matrix with the pivots that are known, a column at a time from
    /// the left: `L x = a`, the upper part of `x` belongs to `U`, the lower, over its first, to `L`.
    /// `false`, with factors of nothing left behind, where a pivot is too small.
    fn eliminate(&mut self, pattern: &Pattern, values: &[f64], work: &mut [f64]) -> bool {
        for at in 0..work.len() {
            for slot in pattern.slots(self.col[at] as usize) {
                work[self.pivot[pattern.row[slot] as usize] as usize] = values[slot];
            }
            for slot in self.upper.slots(at) {
                let row = self.upper.row[slot] as usize;
                let value = std::mem::take(&mut work[row]);
                self.upper.value[slot] = value;
                self.lower.entries(row).for_each(|(below, factor)| work[below] -= factor * value);
            }
            let pivot = std::mem::take(&mut work[at]);
            let mut largest = 0.0_f64;
            for slot in self.lower.slots(at) {
                let value = std::mem::take(&mut work[self.lower.row[slot] as usize]);
                largest = largest.max(value.abs());
                self.lower.value[slot] = value / pivot;
            }
            self.diagonal[at] = pivot;
            let is_enough = pivot.abs() >= LEAST_PIVOT_PART * largest && pivot != 0.0;
            if !is_enough || !pivot.is_finite() {
                work.fill(0.0);
                return false;
            }
        }
        true
    }
}

fn symbolic(pattern: &Pattern) -> SymbolicSparseColMatRef<'_, u32> {
    let Pattern { size, col_start, row } = pattern;
    SymbolicSparseColMatRef::new_checked(*size, *size, col_start, None, row)
}

#[cfg(test)]
mod tests;
