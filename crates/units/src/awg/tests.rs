//! The gauge law against a printed table.

use super::*;

/// Square millimetres in a square inch: 25.4^2, exact.
const MM2_PER_IN2: f64 = 645.16;

/// Gauge number, diameter in, area circular mils, area in2, each as printed (a trailing zero may be
/// missing). Seen: Kuphaldt, Lessons in Electric Circuits vol. V, "Conductor and insulator tables",
/// copper wire gage table (git FauxFaux/lessons-in-electric-circuits, commit 594fe93d,
/// Ref/src/citable.sml). Its mass column is not used: mass is not computed here.
const KUPHALDT: [(i8, &str, &str, &str); 28] = [
    (-3, "0.46", "211600", "0.1662"),
    (-2, "0.4096", "167800", "0.1318"),
    (-1, "0.3648", "133100", "0.1045"),
    (0, "0.3249", "105500", "0.08289"),
    (1, "0.2893", "83690", "0.06573"),
    (2, "0.2576", "66370", "0.05213"),
    (3, "0.2294", "52630", "0.04134"),
    (4, "0.2043", "41740", "0.03278"),
    (5, "0.1819", "33100", "0.026"),
    (6, "0.162", "26250", "0.02062"),
    (7, "0.1443", "20820", "0.01635"),
    (8, "0.1285", "16510", "0.01297"),
    (9, "0.1144", "13090", "0.01028"),
    (10, "0.1019", "10380", "0.008155"),
    (11, "0.09074", "8234", "0.006467"),
    (12, "0.08081", "6530", "0.005129"),
    (13, "0.07196", "5178", "0.004067"),
    (14, "0.06408", "4107", "0.003225"),
    (15, "0.05707", "3257", "0.002558"),
    (16, "0.05082", "2583", "0.002028"),
    (17, "0.04526", "2048", "0.001609"),
    (18, "0.0403", "1624", "0.001276"),
    (19, "0.03589", "1288", "0.001012"),
    (20, "0.03196", "1022", "0.0008023"),
    (21, "0.02846", "810.1", "0.0006363"),
    (22, "0.02535", "642.5", "0.0005046"),
    (23, "0.02257", "509.5", "0.0004001"),
    (24, "0.0201", "404.0", "0.0003173"),
];

/// Half a unit of the last of `digits` significant digits of `printed`.
fn half_digit(printed: f64, digits: i32) -> f64 {
    0.5 * 10_f64.powf(printed.log10().floor() - f64::from(digits) + 1.0)
}

#[test]
fn diameters_and_areas_are_those_of_the_handbook() {
    // The table carries four significant digits in every column; trailing zeros are not shown.
    // One entry was rounded twice: 22 AWG is 642.449 cmil, printed 642.5 (HyperPhysics: 642.4).
    let mut off = Vec::new();
    for (number, diameter_in, area_cmil, area_in2) in KUPHALDT {
        let gauge = Gauge::new(number).unwrap();
        let d_in = gauge.diameter().metres() / 0.0254;
        let area_mm2 = gauge.area().square_millimetres();
        for (what, printed, ours) in [
            ("diameter", diameter_in, d_in),
            ("cmil", area_cmil, (d_in * 1000.0).powi(2)),
            ("in2", area_in2, area_mm2 / MM2_PER_IN2),
        ] {
            let printed: f64 = printed.parse().unwrap();
            let tolerance = half_digit(printed, 4) * (1.0 + 1e-9);
            if (ours - printed).abs() > tolerance {
                off.push((number, what, (ours * 1000.0).round() / 1000.0));
            }
        }
    }
    assert_eq!(off, [(22, "cmil", 642.449)]);
}

#[test]
fn a_gauge_is_found_again_by_its_area() {
    for gauge in Gauge::all() {
        assert_eq!(Gauge::at_or_below(gauge.area()), Some(gauge));
        let (nearest, off) = Gauge::nearest(gauge.area()).unwrap();
        assert_eq!(nearest, gauge);
        assert!(off.abs() < 1e-12);
    }
}

#[test]
fn the_gauge_at_or_below_never_flatters_the_area() {
    // 16 mm2 lies between 6 AWG (13.30) and 5 AWG (16.77); 35 mm2 between 2 (33.63) and 1 (42.41).
    let below = |area| Gauge::at_or_below(SquareMillimetre::new(area));
    assert_eq!(below(16.0), Gauge::new(6));
    assert_eq!(below(35.0), Gauge::new(2));
    assert_eq!(below(500.0), Some(Gauge::THICKEST));
    assert_eq!(below(0.001), None);
    assert_eq!(below(f64::NAN), None);
    assert_eq!(below(-16.0), None);
}

#[test]
fn no_gauge_beyond_the_ends() {
    assert_eq!(Gauge::new(41), None);
    assert_eq!(Gauge::new(-4), None);
    assert_eq!(Gauge::aught(0), None);
    assert_eq!(Gauge::aught(5), None);
    assert_eq!(Gauge::aught(200), None);
    assert_eq!(Gauge::aught(4), Some(Gauge::THICKEST));
    assert_eq!(Gauge::nearest(SquareMillimetre::new(f64::NAN)), None);
    assert_eq!(Gauge::nearest(SquareMillimetre::new(0.0)), None);
}

#[test]
fn gauges_print_as_the_trade_writes_them() {
    let print = |number| Gauge::new(number).unwrap().to_string();
    assert_eq!(print(-3), "4/0 AWG");
    assert_eq!(print(0), "1/0 AWG");
    assert_eq!(print(6), "6 AWG");
}
