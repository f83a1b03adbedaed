//! A square sparse matrix in columns and its LU factors. The pattern is analysed once; only the
//! numbers change between iterations. Knows nothing of circuits.

use faer::dyn_stack::{MemBuffer, MemStack, StackReq};
use faer::sparse::linalg::SupernodalThreshold;
use faer::sparse::linalg::lu::{
    LuRef, LuSymbolicParams, NumericLu, SymbolicLu, factorize_symbolic_lu,
};
use faer::sparse::{SparseColMatRef, SymbolicSparseColMatRef};
use faer::{Conj, MatMut, Par};

/// No entry: a row or column that is grounded away.
pub(crate) const NO_SLOT: u32 = u32::MAX;

/// The places of a matrix that may hold numbers, in columns, rows ascending.
#[derive(Clone, Debug)]
pub(crate) struct Pattern {
    size: usize,
    col_start: Vec<u32>,
    row: Vec<u32>,
}

impl Pattern {
    /// Builds the pattern from `(row, column)` entries, repeats allowed, and tells for every
    /// entry which slot it fell into. Entries with [`NO_SLOT`] for row or column get none.
    pub(crate) fn new(size: usize, entries: &[(u32, u32)]) -> (Pattern, Vec<u32>) {
        let by_row = counting_order(size, entries, None, |e| e.0);
        let ordered = counting_order(size, entries, Some(&by_row), |e| e.1);
        let mut slots = vec![NO_SLOT; entries.len()];
        let mut col_start = vec![0_u32; size + 1];
        let mut row = Vec::with_capacity(ordered.len());
        let mut last = (NO_SLOT, NO_SLOT);
        for &index in &ordered {
            let entry = entries[index as usize];
            if entry != last {
                row.push(entry.0);
                col_start[entry.1 as usize + 1] += 1;
                last = entry;
            }
            slots[index as usize] = row.len() as u32 - 1;
        }
        for col in 0..size {
            col_start[col + 1] += col_start[col];
        }
        (Pattern { size, col_start, row }, slots)
    }

    pub(crate) fn slot_count(&self) -> usize {
        self.row.len()
    }

    /// `A x` for the values of this pattern.
    pub(crate) fn times(&self, values: &[f64], x: &[f64]) -> Vec<f64> {
        let mut product = vec![0.0; self.size];
        for (ends, x) in self.col_start.windows(2).zip(x) {
            for slot in ends[0] as usize..ends[1] as usize {
                product[self.row[slot] as usize] += values[slot] * x;
            }
        }
        product
    }

    fn symbolic(&self) -> SymbolicSparseColMatRef<'_, u32> {
        SymbolicSparseColMatRef::new_checked(self.size, self.size, &self.col_start, None, &self.row)
    }
}

/// LU factors over one pattern.
pub(crate) struct Factors {
    symbolic: SymbolicLu<u32>,
    numeric: NumericLu<u32, f64>,
    memory: MemBuffer,
}

impl Factors {
    /// Finds a column order with little fill. `None` if memory runs out.
    pub(crate) fn new(pattern: &Pattern) -> Option<Factors> {
        let params = LuSymbolicParams {
            // Circuit matrices are far too thin for dense blocks to pay.
            supernodal_flop_ratio_threshold: SupernodalThreshold::FORCE_SIMPLICIAL,
            ..LuSymbolicParams::default()
        };
        let symbolic = factorize_symbolic_lu(pattern.symbolic(), params).ok()?;
        let need = StackReq::or(
            symbolic.factorize_numeric_lu_scratch::<f64>(Par::Seq, Default::default()),
            StackReq::or(
                symbolic.solve_in_place_scratch::<f64>(1, Par::Seq),
                symbolic.solve_transpose_in_place_scratch::<f64>(1, Par::Seq),
            ),
        );
        let memory = MemBuffer::try_new(need).ok()?;
        Some(Factors { symbolic, numeric: NumericLu::new(), memory })
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
        let matrix = SparseColMatRef::new(pattern.symbolic(), values);
        let stack = MemStack::new(&mut self.memory);
        self.symbolic
            .factorize_numeric_lu(&mut self.numeric, matrix, Par::Seq, stack, Default::default())
            .ok()
            .map(|_| ())
    }

    /// Solves `A x = rhs` in place with the factors last computed.
    pub(crate) fn substitute(&mut self, rhs: &mut [f64]) -> Option<()> {
        let size = rhs.len();
        LuRef::new_unchecked(&self.symbolic, &self.numeric).solve_in_place_with_conj(
            Conj::No,
            MatMut::from_column_major_slice_mut(rhs, size, 1),
            Par::Seq,
            MemStack::new(&mut self.memory),
        );
        rhs.iter().all(|x| x.is_finite()).then_some(())
    }

    /// Solves `A' x = rhs` in place, `A'` the transpose, with the factors last computed.
    pub(crate) fn substitute_transposed(&mut self, rhs: &mut [f64]) -> Option<()> {
        let size = rhs.len();
        LuRef::new_unchecked(&self.symbolic, &self.numeric).solve_transpose_in_place_with_conj(
            Conj::No,
            MatMut::from_column_major_slice_mut(rhs, size, 1),
            Par::Seq,
            MemStack::new(&mut self.memory),
        );
        rhs.iter().all(|x| x.is_finite()).then_some(())
    }
}

/// Indices of the entries that have slots, stably ordered by a key below `size`.
fn counting_order(
    size: usize,
    entries: &[(u32, u32)],
    order: Option<&[u32]>,
    key: impl Fn(&(u32, u32)) -> u32,
) -> Vec<u32> {
    let has_slot = |e: &(u32, u32)| e.0 != NO_SLOT && e.1 != NO_SLOT;
    let mut start = vec![0_u32; size + 1];
    for entry in entries.iter().filter(|e| has_slot(e)) {
        start[key(entry) as usize + 1] += 1;
    }
    for k in 0..size {
        start[k + 1] += start[k];
    }
    let mut sorted = vec![0_u32; start[size] as usize];
    let mut place = |index: u32| {
        let entry = &entries[index as usize];
        if has_slot(entry) {
            let at = &mut start[key(entry) as usize];
            sorted[*at as usize] = index;
            *at += 1;
        }
    };
    match order {
        Some(order) => order.iter().copied().for_each(&mut place),
        None => (0..entries.len() as u32).for_each(&mut place),
    }
    sorted
}
