//! A square sparse matrix in columns; its LU factors are in `sparse/factors.rs`. The pattern is analysed
//! once; only the numbers change between iterations. Knows nothing of circuits.

mod factors;

pub(crate) use factors::Factors;

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
        for (col, x) in x.iter().enumerate() {
            for slot in self.slots(col) {
                product[self.row[slot] as usize] += values[slot] * x;
            }
        }
        product
    }

    /// The slots of a column.
    fn slots(&self, col: usize) -> std::ops::Range<usize> {
        self.col_start[col] as usize..self.col_start[col + 1] as usize
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
