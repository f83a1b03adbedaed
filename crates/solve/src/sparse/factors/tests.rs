//! Factors held against `A x` multiplied out: whatever the way to `x`, it has to give the right-hand side.

use proptest::prelude::*;

use super::*;

/// A pattern with the diagonal and what is given beside it, and where the given entries fell.
fn pattern(size: usize, beside: &[(u32, u32)]) -> (Pattern, Vec<u32>) {
    let diagonal = (0..size as u32).map(|k| (k, k));
    let entries: Vec<(u32, u32)> = diagonal.chain(beside.iter().copied()).collect();
    Pattern::new(size, &entries)
}

/// Largest miss of `A x = b`, and of `A' y = b`, as a part of the largest number in it.
fn misses(factors: &mut Factors, pattern: &Pattern, values: &[f64], rhs: &[f64]) -> [f64; 2] {
    let (mut x, mut y) = (rhs.to_vec(), rhs.to_vec());
    factors.solve(pattern, values, &mut x).expect("regular");
    factors.substitute_transposed(&mut y).expect("regular");
    let product = pattern.times(values, &x);
    let mut transposed = vec![0.0; rhs.len()];
    for (col, sum) in transposed.iter_mut().enumerate() {
        *sum = pattern.slots(col).map(|slot| values[slot] * y[pattern.row[slot] as usize]).sum();
    }
    let scale = |x: &[f64]| {
        let most = |of: &[f64]| of.iter().fold(0.0_f64, |most, v| most.max(v.abs()));
        most(rhs).max(most(values) * most(x))
    };
    let miss = |product: &[f64], x: &[f64]| {
        product.iter().zip(rhs).fold(0.0_f64, |most, (p, b)| most.max((p - b).abs())) / scale(x)
    };
    [miss(&product, &x), miss(&transposed, &y)]
}

proptest! {
    /// The same pattern filled anew again and again, also with numbers that want other pivots.
    #[test]
    fn every_filling_of_a_pattern_is_solved(
        beside in prop::collection::vec((0_u32..12, 0_u32..12), 0..40),
        fillings in prop::collection::vec(prop::collection::vec(-3.0_f64..3.0, 160), 1..6),
    ) {
        let (pattern, _) = pattern(12, &beside);
        let mut factors = Factors::new(&pattern).expect("memory");
        for filling in fillings {
            let values: Vec<f64> = filling[..pattern.slot_count()].to_vec();
            let rhs = &filling[filling.len() - 12..];
            if factors.factor(&pattern, &values).is_none() {
                continue;
            }
            // A matrix drawn by lot may be next to singular; then no way of solving it is exact.
            let mut again = Factors::new(&pattern).expect("memory");
            let own = misses(&mut factors, &pattern, &values, rhs);
            let anew = misses(&mut again, &pattern, &values, rhs);
            for (own, anew) in own.into_iter().zip(anew) {
                prop_assert!(own <= 1e-12_f64.max(1e3 * anew), "{own:e} against {anew:e}");
            }
        }
    }
}

#[test]
fn a_pivot_that_has_become_small_is_chosen_anew() {
    let (pattern, slots) = pattern(2, &[(0, 1), (1, 0)]);
    let mut factors = Factors::new(&pattern).expect("memory");
    let filled = |diagonal: f64, beside: f64| {
        let mut values = vec![0.0; pattern.slot_count()];
        for (k, slot) in slots.iter().enumerate() {
            values[*slot as usize] = if k < 2 { diagonal } else { beside };
        }
        values
    };
    for (diagonal, beside) in [(1.0, 0.5), (1e-20, 1.0), (0.0, 1.0), (1.0, 0.0)] {
        let of = misses(&mut factors, &pattern, &filled(diagonal, beside), &[1.0, 2.0]);
        assert!(of.iter().all(|miss| *miss < 1e-15), "{diagonal} beside {beside}: {of:?}");
    }
}

#[test]
fn a_singular_matrix_is_none_and_the_next_is_solved() {
    let (pattern, _) = pattern(2, &[(0, 1), (1, 0)]);
    let mut factors = Factors::new(&pattern).expect("memory");
    let regular = [2.0, 1.0, 1.0, 3.0];
    for _ in 0..2 {
        let mut x = [5.0, 10.0];
        factors.solve(&pattern, &regular, &mut x).expect("regular");
        assert!((x[0] - 1.0).abs() < 1e-15 && (x[1] - 3.0).abs() < 1e-15, "{x:?}");
        assert!(factors.solve(&pattern, &[1.0, 1.0, 1.0, 1.0], &mut [1.0, 2.0]).is_none());
        assert!(factors.solve(&pattern, &[0.0; 4], &mut [1.0, 2.0]).is_none());
    }
}
