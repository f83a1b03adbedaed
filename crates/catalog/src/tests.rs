//! The embedded data loads, agrees with itself, and gives back its printed values.

use model::{Chemistry, Region};
use units::{Ampere, Celsius, Dimension, Fraction, SquareMillimetre, Volt};

use crate::Catalog;

#[test]
fn every_limit_and_fixing_names_a_registered_source() {
    let catalog = Catalog::embedded();
    for limit in catalog.limits.iter() {
        assert!(catalog.sources.get(&limit.source).is_some(), "{}", limit.source);
    }
    for name in catalog.fixings.names() {
        let (_, kind) = catalog.fixings.find(name).unwrap();
        assert!(catalog.sources.get(&kind.source).is_some(), "{}", kind.source);
    }
    for chemistry in [Chemistry::Lfp, Chemistry::Agm, Chemistry::Gel, Chemistry::Flooded] {
        assert!(catalog.sources.get(catalog.curves.rest_voltage_source(chemistry)).is_some());
    }
    assert!(catalog.sources.get(catalog.curves.acceptance_source()).is_some());
    assert!(catalog.sources.get(&catalog.ampacity.source).is_some());
}

#[test]
fn australia_has_the_shorter_unprotected_length() {
    let limits = Catalog::embedded().limits;
    let length = |region| limits.get("unprotected-length", Some(region)).value;
    assert!((length(Region::AustraliaNz) - 0.2).abs() < 1e-12);
    assert!((length(Region::EuropeUk) - 0.45).abs() < 1e-12);
}

/// 33 CFR 183.425(b) Table 5, five cells read from the table: 18/60 10 A, 10/105 60 A, 6/75 95 A,
/// 2/0 at 90 285 A, 4/0 at 200 510 A.
#[test]
fn ampacity_on_a_row_is_the_printed_value() {
    let table = Catalog::embedded().ampacity;
    for (size, insulation_c, printed_a) in [
        ("18 AWG", 60.0, 10.0),
        ("10 AWG", 105.0, 60.0),
        ("6 AWG", 75.0, 95.0),
        ("2/0 AWG", 90.0, 285.0),
        ("4/0 AWG", 200.0, 510.0),
    ] {
        let area = SquareMillimetre::from_si(units::parse(size, Dimension::Area).unwrap());
        let allowed = table.allowable(area, Celsius::from_si(insulation_c)).unwrap();
        assert!((allowed.si() - printed_a).abs() < 1e-9, "{size} at {insulation_c}: {allowed:?}");
    }
}

#[test]
fn ampacity_of_a_metric_size_lies_between_its_gauge_neighbours() {
    let table = Catalog::embedded().ampacity;
    let allowed =
        table.allowable(SquareMillimetre::from_si(16.0), Celsius::from_si(105.0)).unwrap().si();
    assert!(allowed > 120.0 && allowed < 160.0, "6 AWG 120 A, 4 AWG 160 A, got {allowed}");
}

#[test]
fn ampacity_outside_the_table_is_not_invented() {
    let table = Catalog::embedded().ampacity;
    let insulation = Celsius::from_si(105.0);
    assert!(table.allowable(SquareMillimetre::from_si(0.5), insulation).is_none());
    assert!(table.allowable(SquareMillimetre::from_si(150.0), insulation).is_none());
    assert!(
        table.allowable(SquareMillimetre::from_si(16.0), Celsius::from_si(50.0)).is_none(),
        "no column at or below 50 C"
    );
}

/// BCI rest voltages (12.65 V full, 12.24 V half); LFP four times the published cell break points.
#[test]
fn rest_voltages_are_the_published_points() {
    let curves = Catalog::embedded().curves;
    let at = |chemistry, charge, nominal| {
        curves.rest_voltage(chemistry, Fraction::from_si(charge), Volt::from_si(nominal)).si()
    };
    assert!((at(Chemistry::Flooded, 1.0, 12.0) - 12.65).abs() < 1e-12);
    assert!((at(Chemistry::Flooded, 0.5, 24.0) - 24.48).abs() < 1e-12);
    assert!((at(Chemistry::Lfp, 0.2972, 12.0) - 4.0 * 3.2772).abs() < 1e-12);
    assert!((at(Chemistry::Lfp, 0.9833, 12.0) - 4.0 * 3.3511).abs() < 1e-12);
}

/// Common practice, no source: at 14.4 V a flooded or AGM block takes a quarter of its capacity per
/// hour up to half full, a tenth at 80 %, a hundredth when full; LFP takes what comes. Half-way
/// between 80 and 100 % by hand: (0.10 + 0.01) / 2 = 0.055.
#[test]
fn a_full_lead_battery_accepts_a_hundredth_of_its_capacity() {
    let curves = Catalog::embedded().curves;
    let at = |chemistry, charge, nominal| {
        curves.acceptance(chemistry, Fraction::from_si(charge), Volt::from_si(nominal))
    };
    for (charge, share) in [(0.2, 0.25), (0.5, 0.25), (0.8, 0.10), (0.9, 0.055), (1.0, 0.01)] {
        let accepted = at(Chemistry::Agm, charge, 12.0).unwrap();
        assert!((accepted.share_per_hour.si() - share).abs() < 1e-12, "{charge}: {accepted:?}");
        assert!((accepted.at.si() - 14.4).abs() < 1e-12);
    }
    assert!((at(Chemistry::Gel, 1.0, 24.0).unwrap().at.si() - 28.8).abs() < 1e-12);
    assert_eq!(at(Chemistry::Lfp, 0.5, 12.0), None);
}

/// Maker sheets as quoted: 10 A 7.70 mOhm, 30 A 1.97 mOhm.
#[test]
fn blade_fuse_resistance_is_the_quoted_value() {
    let curves = Catalog::embedded().curves;
    let ohm = |rated| curves.blade_fuse(Ampere::from_si(rated)).map(units::Ohm::si);
    assert!((ohm(10.0).unwrap() - 0.0077).abs() < 1e-9);
    assert!((ohm(30.0).unwrap() - 0.00197).abs() < 1e-9);
    assert!(ohm(200.0).is_none());
}

mod bands;
