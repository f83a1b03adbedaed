//! Cables in still air against published tables, figures and an independent script.

use proptest::prelude::*;
use units::Gauge;

use super::*;

/// PVC, from 0.17 W/(m K) (IEC 60287-2-1: 5 to 6 K m/W, from memory), emissivity 0.9.
const PVC_W_PER_MK: f64 = 0.17;
const DULL: f64 = 0.9;

fn cable(ohm_per_metre_20c: f64, mm2: f64, conductor_mm: f64, outside_mm: f64, k: f64) -> Cable {
    let metal = Metal {
        ohm_per_metre_20c,
        area: SquareMillimetre::new(mm2),
        diameter: Metre::new(conductor_mm * 1e-3),
    };
    Cable::new(metal, Metre::new(outside_mm * 1e-3), k, DULL).unwrap()
}

/// Stranded gauge with boat-cable wall; the geometry the reference script assumes.
fn boat_cable(number: i8, wall_mm: f64) -> Cable {
    let gauge = Gauge::new(number).unwrap();
    let conductor_mm = 1.15 * gauge.diameter().si() * 1e3;
    let ohm_per_metre = 1.7241e-2 * 1.04 / gauge.area().si();
    cable(
        ohm_per_metre,
        gauge.area().si(),
        conductor_mm,
        conductor_mm + 2.0 * wall_mm,
        PVC_W_PER_MK,
    )
}

/// 33 CFR 183.425 Table 5, columns 60, 75, 80, 90, 105 °C (read whole), with the wall of boat cable
/// in mm (assumption of the reference script).
const TABLE_5: [(i8, f64, [f64; 5]); 14] = [
    (18, 0.76, [10.0, 10.0, 15.0, 20.0, 20.0]),
    (16, 0.76, [15.0, 15.0, 20.0, 25.0, 25.0]),
    (14, 0.76, [20.0, 20.0, 25.0, 30.0, 35.0]),
    (12, 0.76, [25.0, 25.0, 35.0, 40.0, 45.0]),
    (10, 0.76, [40.0, 40.0, 50.0, 55.0, 60.0]),
    (8, 1.14, [55.0, 65.0, 70.0, 70.0, 80.0]),
    (6, 1.52, [80.0, 95.0, 100.0, 100.0, 120.0]),
    (4, 1.52, [105.0, 125.0, 130.0, 135.0, 160.0]),
    (2, 1.52, [140.0, 170.0, 175.0, 180.0, 210.0]),
    (1, 2.03, [165.0, 195.0, 210.0, 210.0, 245.0]),
    (0, 2.03, [195.0, 230.0, 245.0, 245.0, 285.0]),
    (-1, 2.03, [225.0, 265.0, 285.0, 285.0, 330.0]),
    (-2, 2.03, [260.0, 310.0, 330.0, 330.0, 385.0]),
    (-3, 2.03, [300.0, 360.0, 385.0, 385.0, 445.0]),
];

/// The ratio of the model to 33 CFR 183.425 Table 5 at 30 °C, least and most in each column, as an
/// independent script (Python, scipy brentq, the same published laws) finds it. The physics lies 5
/// to 15 % above the regulation where the regulation is not rounded down; that is the reason why
/// tables decide what is allowed and physics only how warm it gets.
#[test]
fn model_against_cfr_table_5_is_the_reference_ratio() {
    let least_and_most = [(0.98, 1.36), (1.02, 1.67), (1.02, 1.23), (0.97, 1.17), (1.04, 1.15)];
    for (column, rating_c) in [60.0, 75.0, 80.0, 90.0, 105.0].into_iter().enumerate() {
        let ratios: Vec<f64> = TABLE_5
            .iter()
            .map(|(number, wall_mm, printed)| {
                let model = boat_cable(*number, *wall_mm)
                    .allowable_current(Celsius::new(rating_c), Celsius::new(30.0))
                    .unwrap();
                model.si() / printed[column]
            })
            .collect();
        let least = ratios.iter().copied().fold(f64::INFINITY, f64::min);
        let most = ratios.iter().copied().fold(0.0, f64::max);
        let (least_there, most_there) = least_and_most[column];
        assert!((least - least_there).abs() < 0.0051, "{rating_c}: least {least}");
        assert!((most - most_there).abs() < 0.0051, "{rating_c}: most {most}");
        if column == 4 {
            let mean = ratios.iter().sum::<f64>() / ratios.len() as f64;
            assert!((mean - 1.09).abs() < 0.0051, "mean {mean}");
        }
    }
}

/// FAA AC 43.13-1B (Change 1), par 11-68 example 2: one 14 AWG wire in free air, conductor 200 °C in
/// 50 °C, reads 47 A on figure 11-4a; 3.06 ohm/1000 ft by Table 11-9. The wall is not given:
/// thin-wall aircraft wire of 0.15 to 0.40 mm, conductivity 0.24 W/(m K), must come within 4 %.
/// Independent script: 45.14, 46.06 and 47.28 A.
#[test]
fn one_wire_in_free_air_is_the_figure_of_ac_43_13() {
    let ohm_per_metre = 3.06 / 304.8;
    let gauge = Gauge::new(14).unwrap();
    let conductor_mm = 1.15 * gauge.diameter().si() * 1e3;
    for (wall_mm, script_a) in [(0.15, 45.14), (0.25, 46.06), (0.40, 47.28)] {
        let outside_mm = conductor_mm + 2.0 * wall_mm;
        let wire = cable(ohm_per_metre, gauge.area().si(), conductor_mm, outside_mm, 0.24);
        let current = wire.allowable_current(Celsius::new(200.0), Celsius::new(50.0)).unwrap().si();
        assert!((current / 47.0 - 1.0).abs() < 0.04, "wall {wall_mm}: {current}");
        assert!((current - script_a).abs() < 0.01, "wall {wall_mm}: {current}");
    }
}

/// mm², microhm/m, conductor and outside mm, then A at 70, 85 and 105 °C in 30 °C air, by the same
/// independent script.
const METRIC: [(f64, f64, f64, f64, [f64; 3]); 6] = [
    (1.5, 12_700.0, 1.8, 3.0, [21.94, 25.80, 30.09]),
    (2.5, 7_600.0, 2.2, 3.6, [30.05, 35.34, 41.23]),
    (6.0, 3_140.0, 3.4, 5.0, [52.62, 61.94, 72.34]),
    (16.0, 1_160.0, 6.3, 8.3, [104.80, 123.47, 144.36]),
    (35.0, 527.0, 9.0, 11.6, [175.90, 207.19, 242.15]),
    (70.0, 259.0, 12.5, 15.5, [281.64, 331.75, 387.74]),
];

#[test]
fn metric_cables_carry_the_reference_currents() {
    for (mm2, microhm, conductor_mm, outside_mm, amperes) in METRIC {
        let cable = cable(microhm * 1e-6, mm2, conductor_mm, outside_mm, PVC_W_PER_MK);
        for (conductor_c, script_a) in [70.0, 85.0, 105.0].into_iter().zip(amperes) {
            let ambient = Celsius::new(30.0);
            let current = cable.allowable_current(Celsius::new(conductor_c), ambient).unwrap();
            assert!((current.si() - script_a).abs() < 0.006, "{mm2} at {conductor_c}: {current:?}");
            let back = cable.resting_temperature(Ampere::new(script_a), ambient).unwrap();
            assert!((back.degrees() - conductor_c).abs() < 0.03, "{mm2}: {back:?}");
        }
    }
}

#[test]
fn an_impossible_cable_does_not_exist() {
    let metal = Metal {
        ohm_per_metre_20c: 7.6e-3,
        area: SquareMillimetre::new(2.5),
        diameter: Metre::new(2.2e-3),
    };
    let cable = |metal, outside_m, k, e| Cable::new(metal, Metre::new(outside_m), k, e);
    assert!(cable(metal, 3.6e-3, 0.17, 0.9).is_some());
    assert!(cable(metal, 2.0e-3, 0.17, 0.9).is_none(), "outside inside the metal");
    assert!(cable(metal, f64::NAN, 0.17, 0.9).is_none());
    assert!(cable(metal, 3.6e-3, 0.0, 0.9).is_none());
    assert!(cable(metal, 3.6e-3, 0.17, 1.1).is_none());
    assert!(cable(Metal { ohm_per_metre_20c: -1.0, ..metal }, 3.6e-3, 0.17, 0.9).is_none());
}

#[test]
fn no_figure_where_the_laws_end() {
    let cable = cable(7.6e-3, 2.5, 2.2, 3.6, PVC_W_PER_MK);
    let at =
        |ampere, ambient_c| cable.resting_temperature(Ampere::new(ampere), Celsius::new(ambient_c));
    assert_eq!(at(500.0, 30.0), Err(NoFigure::HotterThan(Cable::HOTTEST)));
    assert_eq!(at(f64::NAN, 30.0), Err(NoFigure::Impossible));
    assert_eq!(at(1.0, -300.0), Err(NoFigure::Impossible));
    let idle = at(0.0, 30.0).unwrap();
    assert!((idle.degrees() - 30.0).abs() < 1e-9, "without current it is as warm as the air");
}

proptest! {
    #[test]
    fn more_current_is_hotter(ampere in 0.1f64..40.0, more in 0.01f64..10.0, ambient_c in -20.0f64..70.0) {
        let cable = cable(7.6e-3, 2.5, 2.2, 3.6, PVC_W_PER_MK);
        let at = |ampere: f64| cable.resting_temperature(Ampere::new(ampere), Celsius::new(ambient_c)).unwrap();
        prop_assert!(at(ampere + more) > at(ampere));
    }

    #[test]
    fn warmer_air_is_hotter(ampere in 0.1f64..40.0, ambient_c in -20.0f64..60.0, more in 0.1f64..10.0) {
        let cable = cable(7.6e-3, 2.5, 2.2, 3.6, PVC_W_PER_MK);
        let at = |ambient: f64| cable.resting_temperature(Ampere::new(ampere), Celsius::new(ambient)).unwrap();
        prop_assert!(at(ambient_c + more) > at(ambient_c));
    }

    #[test]
    fn a_thinner_wire_is_hotter(ampere in 0.1f64..15.0, number in -3i8..17) {
        let ambient = Celsius::new(30.0);
        let at = |number| boat_cable(number, 0.76).resting_temperature(Ampere::new(ampere), ambient).unwrap();
        prop_assert!(at(number + 1) > at(number));
    }

    #[test]
    fn current_and_temperature_turn_each_other_round(conductor_c in 31.0f64..249.0, number in -3i8..18) {
        let (cable, ambient) = (boat_cable(number, 0.76), Celsius::new(30.0));
        let current = cable.allowable_current(Celsius::new(conductor_c), ambient).unwrap();
        let back = cable.resting_temperature(current, ambient).unwrap();
        prop_assert!((back.degrees() - conductor_c).abs() < 1e-6);
    }
}

/// FAA AC 43.13-1B (Change 1) Table 11-9, read in two copies: gauge, amperes at 105, 150 and 200 °C
/// in a bundle in 70 °C (33 or more wires to 10 AWG, 9 from 8 AWG on, a fifth of them loaded,
/// 60 000 ft), ohm/1000 ft. Alone at the ground a wire carries more than in such a bundle; the
/// printed resistance is the largest allowed and never below that of the copper.
#[test]
fn a_wire_alone_carries_more_than_in_the_bundle_of_ac_43_13() {
    let table: [(i8, [f64; 3], f64, f64); 15] = [
        (22, [3.0, 5.0, 6.0], 16.2, 755.0),
        (20, [4.0, 7.0, 9.0], 9.88, 1216.0),
        (18, [6.0, 9.0, 12.0], 6.23, 1900.0),
        (16, [7.0, 11.0, 14.0], 4.81, 2426.0),
        (14, [10.0, 14.0, 18.0], 3.06, 3831.0),
        (12, [13.0, 19.0, 25.0], 2.02, 5874.0),
        (10, [17.0, 26.0, 32.0], 1.26, 9354.0),
        (8, [38.0, 57.0, 71.0], 0.7, 16_983.0),
        (6, [50.0, 76.0, 97.0], 0.44, 26_818.0),
        (4, [68.0, 103.0, 133.0], 0.28, 42_615.0),
        (2, [95.0, 141.0, 179.0], 0.18, 66_500.0),
        (0, [128.0, 192.0, 243.0], 0.12, 104_500.0),
        (-1, [147.0, 222.0, 285.0], 0.09, 133_000.0),
        (-2, [172.0, 262.0, 335.0], 0.07, 166_500.0),
        (-3, [204.0, 310.0, 395.0], 0.06, 210_900.0),
    ];
    for (gauge, printed_a, ohm_per_kft, circular_mils) in table {
        // 10.371 ohm circular mil per foot: IACS copper.
        assert!(ohm_per_kft > 10_371.0 / circular_mils, "{gauge} AWG");
        let conductor_mm = 1.15 * Gauge::new(gauge).unwrap().diameter().si() * 1e3;
        let mm2 = circular_mils * 5.067e-4;
        let wire = cable(ohm_per_kft / 304.8, mm2, conductor_mm, conductor_mm + 0.5, 0.24);
        for (rating_c, printed) in [105.0, 150.0, 200.0].into_iter().zip(printed_a) {
            let alone =
                wire.allowable_current(Celsius::new(rating_c), Celsius::new(70.0)).unwrap().si();
            assert!(alone > printed, "{gauge} AWG at {rating_c}: {alone}");
        }
    }
}
