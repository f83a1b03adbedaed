//! Figures of the trial against cases worked out by hand.

use trial::{bins, calibration_error, information_bit, interval, mean, percentile};

#[test]
fn percentiles_lie_straight_between_neighbours() {
    // (n - 1) p = 4 * 0.9 = 3.6: between the fourth and the fifth value, six tenths on.
    let values = [50.0, 10.0, 40.0, 20.0, 30.0];
    assert!((percentile(&values, 0.9) - 46.0).abs() < 1e-12);
    assert!((percentile(&values, 0.5) - 30.0).abs() < 1e-12);
    assert!((percentile(&values, 1.0) - 50.0).abs() < 1e-12);
    assert!((mean(&values) - 30.0).abs() < 1e-12);
}

/// Half of 400 cases are 1, half 0: the mean has the standard error `sqrt(0.25 / 400) = 0.025`, so the
/// middle 95 % reach 1.96 of it to either side of a half.
#[test]
fn an_interval_over_resampled_cases_is_as_wide_as_the_normal_one() {
    let values: Vec<f64> = (0..400).map(|k| f64::from(k % 2)).collect();
    let figure = |at: &[usize]| at.iter().map(|k| values[*k]).sum::<f64>() / at.len() as f64;
    let (low, high) = interval(values.len(), 1, figure);
    assert!((low - (0.5 - 0.049)).abs() < 0.006, "{low}");
    assert!((high - (0.5 + 0.049)).abs() < 0.006, "{high}");
}

/// Ten statements. Of four at 0.85 two held: 0.5, off by 0.35. Of four at 0.75 three held: exact. Of
/// two at 1 both held: exact. Error `4/10 * 0.35 = 0.14`.
#[test]
fn calibration_error_of_ten_statements() {
    let mut statements = vec![(0.85, true), (0.85, true), (0.85, false), (0.85, false)];
    statements.extend([(0.75, true), (0.75, true), (0.75, true), (0.75, false)]);
    statements.extend([(1.0, true), (1.0, true)]);
    let bins = bins(&statements);
    assert_eq!(bins.map(|bin| bin.count), [0, 0, 0, 0, 0, 0, 0, 4, 4, 2]);
    assert!((bins[8].stated - 0.85).abs() < 1e-12 && (bins[8].held - 0.5).abs() < 1e-12);
    assert!((bins[7].held - 0.75).abs() < 1e-12);
    assert!((calibration_error(&bins) - 0.14).abs() < 1e-12);
}

/// Tests that are certain: the information is the entropy of the split (Shannon 1948). Five causes of
/// 0.20, 0.30, 0.10, 0.25, 0.15; splits of 0.2, 0.5, 0.4 and 0.15 give
/// `H(p) = -p log2 p - (1 - p) log2 (1 - p)` = 0.72193, 1, 0.97095, 0.60984 bit.
#[test]
fn information_of_a_certain_test_is_the_entropy_of_its_split() {
    let weights = [0.20, 0.30, 0.10, 0.25, 0.15];
    let of = [0, 1, 2, 3, 4];
    let split = |dead: &[usize]| -> Vec<Vec<f64>> {
        (0..5).map(|k| if dead.contains(&k) { vec![1.0, 0.0] } else { vec![0.0, 1.0] }).collect()
    };
    for (dead, expected) in [
        (vec![0], 0.72193),
        (vec![0, 1], 1.0),
        (vec![0, 1, 2], 0.97095),
        (vec![0, 1, 2, 3], 0.60984),
    ] {
        let found = information_bit(&split(&dead), &weights, &of);
        assert!((found - expected).abs() < 1e-5, "{dead:?}: {found}");
    }
}

#[test]
fn telling_apart_causes_that_one_repair_cures_is_worth_nothing() {
    let outcomes = [vec![1.0, 0.0], vec![0.0, 1.0]];
    assert!(information_bit(&outcomes, &[0.5, 0.5], &[0, 0]).abs() < 1e-12);
    assert!((information_bit(&outcomes, &[0.5, 0.5], &[0, 1]) - 1.0).abs() < 1e-12);
}
