//! The rows against a second transcription, and the way sizes are looked up.

use super::*;

fn at(area_mm2: f64) -> SquareMillimetre {
    SquareMillimetre::new(area_mm2)
}

fn limit(area_mm2: f64, build: Build) -> f64 {
    nominal(at(area_mm2)).unwrap().max_ohm_per_metre_20c(build, Finish::Plain)
}

/// mm2, and the four columns in ohm/km: class 1 and 2 plain, 5 and 6 plain, 1 and 2 tinned, 5 and 6
/// tinned. Seen: IEC 60228:2004 Tables 1 to 4, as reproduced; written from the table a second time,
/// so that a slip in the rows of the program shows.
const IEC_60228: [(f64, f64, f64, f64, f64); 15] = [
    (0.5, 36.0, 39.0, 36.7, 40.1),
    (0.75, 24.5, 26.0, 24.8, 26.7),
    (1.0, 18.1, 19.5, 18.2, 20.0),
    (1.5, 12.1, 13.3, 12.2, 13.7),
    (2.5, 7.41, 7.98, 7.56, 8.21),
    (4.0, 4.61, 4.95, 4.7, 5.09),
    (6.0, 3.08, 3.3, 3.11, 3.39),
    (10.0, 1.83, 1.91, 1.84, 1.95),
    (16.0, 1.15, 1.21, 1.16, 1.24),
    (25.0, 0.727, 0.78, 0.734, 0.795),
    (35.0, 0.524, 0.554, 0.529, 0.565),
    (50.0, 0.387, 0.386, 0.391, 0.393),
    (70.0, 0.268, 0.272, 0.27, 0.277),
    (95.0, 0.193, 0.206, 0.195, 0.21),
    (120.0, 0.153, 0.161, 0.154, 0.164),
];

#[test]
fn every_size_carries_the_limits_of_the_standard() {
    assert_eq!(sizes().len(), IEC_60228.len());
    for (area_mm2, plain, flexible, tinned, flexible_tinned) in IEC_60228 {
        let size = nominal(at(area_mm2)).unwrap();
        for (build, finish, ohm_per_km) in [
            (Build::Class1And2, Finish::Plain, plain),
            (Build::Class5And6, Finish::Plain, flexible),
            (Build::Class1And2, Finish::Tinned, tinned),
            (Build::Class5And6, Finish::Tinned, flexible_tinned),
        ] {
            let ours = size.max_ohm_per_metre_20c(build, finish) * 1000.0;
            assert!((ours - ohm_per_km).abs() < 1e-9, "{area_mm2} {build:?} {finish:?}");
        }
    }
}

#[test]
fn a_thicker_size_resists_less_and_tin_adds() {
    for pair in sizes().windows(2) {
        for build in [Build::Class1And2, Build::Class5And6] {
            let [thin, thick] = [pair[0], pair[1]];
            assert!(thin.area() < thick.area());
            let plain = |size: NominalSize| size.max_ohm_per_metre_20c(build, Finish::Plain);
            assert!(plain(thin) > plain(thick));
            assert!(plain(thin) < thin.max_ohm_per_metre_20c(build, Finish::Tinned));
        }
    }
}

#[test]
fn at_50_mm2_the_flexible_limit_is_below_the_stranded_one_and_nowhere_else() {
    // IEC 60228:2004: class 5 0.386, class 2 0.387 ohm/km. So in every copy; not a slip.
    for size in sizes() {
        let area_mm2 = size.area().square_millimetres();
        let flexible_is_lower =
            limit(area_mm2, Build::Class5And6) < limit(area_mm2, Build::Class1And2);
        assert_eq!(flexible_is_lower, (area_mm2 - 50.0).abs() < 1e-9, "{area_mm2}");
    }
}

#[test]
fn sizes_are_found_from_below() {
    let area = |size: Option<NominalSize>| size.map(|s| s.area().square_millimetres());
    assert_eq!(area(size_at_least(at(16.0))), Some(16.0));
    assert_eq!(area(size_at_least(at(16.1))), Some(25.0));
    assert_eq!(area(next_size_up(at(16.0))), Some(25.0));
    assert_eq!(area(next_size_up(at(13.3))), Some(16.0));
    assert_eq!(area(next_size_up(at(-1.0))), Some(0.5));
    assert_eq!(area(next_size_up(at(120.0))), None);
    assert_eq!(area(size_at_least(at(f64::NAN))), None);
    assert_eq!(area(next_size_up(at(f64::NAN))), None);
    assert_eq!(area(nominal(at(13.3))), None);
}
