//! Sizes against the worked examples of AC 43.13-1B, chapter 11.

use units::{Gauge, SquareMillimetre};

use super::{GAUGES, Run, Size, least_copper};

/// Metal resistance of AC 43.13-1B Table 11-9 (Change 1, 2001), ohm for 1000 ft at 20 °C.
const OHM_PER_KFT: [(i8, f64); 8] =
    [(18, 6.23), (16, 4.81), (14, 3.06), (12, 2.02), (10, 1.26), (8, 0.7), (6, 0.44), (4, 0.28)];

/// A run of so many feet of a gauge at a current.
fn run(gauge: i8, feet: f64, ampere: f64) -> Run {
    let (_, ohm) = OHM_PER_KFT.iter().find(|(known, _)| *known == gauge).expect("a row");
    let area = Gauge::new(gauge).expect("a gauge").area();
    let larger =
        GAUGES.iter().filter(|other| **other < gauge).filter_map(|other| Gauge::new(*other));
    Run {
        volt: ohm / 1000.0 * feet * ampere,
        area,
        larger: larger.map(|gauge| Size { area: gauge.area(), words: gauge.to_string() }).collect(),
    }
}

fn chosen(runs: &[Run], limit_v: f64) -> Vec<String> {
    let sizes = least_copper(runs, limit_v).expect("a size does it");
    sizes
        .into_iter()
        .map(|size| size.map_or_else(|| "stays".to_owned(), |size| size.words))
        .collect()
}

/// AC 43.13-1B Table 11-7: limit, run, current and the gauge it prints; started one gauge thinner.
#[test]
fn table_11_7_gives_the_gauges_printed() {
    for (limit_v, feet, ampere, thinner, printed) in [
        (1.0, 107.0, 20.0, 8, "6 AWG"),
        (0.5, 90.0, 20.0, 6, "4 AWG"),
        (4.0, 88.0, 20.0, 14, "12 AWG"),
        (7.0, 100.0, 20.0, 16, "14 AWG"),
    ] {
        assert_eq!(chosen(&[run(thinner, feet, ampere)], limit_v), [printed], "{limit_v} V");
    }
}

/// Table 11-8: what just holds stays as it is.
#[test]
fn table_11_8_lengths_just_hold() {
    for (limit_v, feet) in [(1.0, 39.0), (0.5, 19.5), (4.0, 156.0), (7.0, 273.0)] {
        assert_eq!(chosen(&[run(10, feet, 20.0)], limit_v), ["stays"], "{limit_v} V");
    }
}

/// Paragraph 11-68, example 1: 50 ft with the ground, 20 A, 28 V continuous (1 V): No. 8.
#[test]
fn example_1_takes_number_8() {
    assert_eq!(chosen(&[run(10, 50.0, 20.0)], 1.0), ["8 AWG"]);
}

#[test]
fn what_loses_most_grows_and_nothing_helps_where_nothing_is_sold() {
    let (short, long) = (run(14, 5.0, 10.0), run(14, 40.0, 10.0));
    let sizes = chosen(&[short.clone(), long], 1.0);
    assert_eq!(sizes[0], "stays");
    assert_ne!(sizes[1], "stays");
    let fixed = Run { larger: Vec::new(), area: SquareMillimetre::from_si(2.5), volt: 2.0 };
    assert_eq!(least_copper(&[short, fixed], 1.0), None);
}
