//! The embedded data loads, agrees with itself, and gives back its printed values.

use model::{Chemistry, Fact, Fixing, FixingCondition, HeadAccess, Origin, Region, WorkPosition};
use units::{Ampere, Fraction, Volt};

use crate::Catalog;

mod ampacity;

#[test]
fn every_limit_and_fixing_names_a_registered_source() {
    let catalog = Catalog::embedded();
    for limit in catalog.limits.iter() {
        assert!(catalog.sources.get(&limit.source).is_some(), "{}", limit.source);
    }
    for source in catalog.fixings.sources().chain(catalog.work.sources()) {
        assert!(catalog.sources.get(source).is_some(), "{source}");
    }
    for (constant, source) in catalog.machines.sources() {
        assert!(catalog.sources.get(source).is_some(), "{constant}: {source}");
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
/// MIL-HDBK-472 Notice 1 (1984), Procedure V, minutes remove / replace of one fastener; MEMORY: the
/// table itself was not read.
#[test]
fn elemental_times_are_those_of_the_handbook() {
    let fixings = Catalog::embedded().fixings;
    for (name, out, back) in [
        ("screw", 0.16, 0.26),
        ("set screw", 0.17, 0.43),
        ("captive screw", 0.15, 0.20),
        ("quarter turn", 0.08, 0.05),
        ("thumbscrew", 0.06, 0.08),
        ("machine screw", 0.21, 0.46),
        ("bolt", 0.34, 0.44),
        ("nut", 0.34, 0.44),
        ("latch", 0.03, 0.03),
        ("clip", 0.04, 0.03),
    ] {
        let (_, kind) = fixings.find(name).unwrap();
        assert!((kind.out - out).abs() + (kind.back - back).abs() < 1e-12, "{name}");
        assert_eq!(kind.source, "handbook-472", "{name}");
    }
    for name in fixings.names() {
        let (_, kind) = fixings.find(name).unwrap();
        assert!(kind.out > 0.0 && kind.back > 0.0, "{name} takes time");
        assert!((0.0..=1.0).contains(&kind.spent) && (kind.spent > 0.0) != kind.supply.is_empty());
    }
}

fn held_by(count: u32, kind: &str) -> Fixing {
    Fixing {
        count,
        kind: kind.to_owned(),
        tool: None,
        head: Fact::Unknown,
        condition: Fact::Unknown,
        torque: Fact::Unknown,
        into: None,
    }
}

/// Expected operations (closed form): each of n fixings takes t, and d more with likelihood q:
/// n (t + q d). By hand with the rows of the data: 4 bolts, angled (x 2), seized (x 3, 30 % cut out at
/// 4 min, 2 % each damage the part): out 1 + 4 (0.34 x 6 + 1.2) = 13.96, back 1.5 + 4 x 0.88 = 5.02,
/// damage 1 - 0.98^4 = 0.07763184.
#[test]
fn usual_work_grows_with_head_and_condition() {
    let fixings = Catalog::embedded().fixings;
    let bad = Fixing {
        head: Fact::known(HeadAccess::Angled, Origin::seen()),
        condition: Fact::known(FixingCondition::Seized, Origin::seen()),
        ..held_by(4, "bolt")
    };
    let work = fixings.usual(&[bad]);
    assert!((work.out_min - 13.96).abs() < 1e-12, "{work:?}");
    assert!((work.back_min - 5.02).abs() < 1e-12, "{work:?}");
    assert!((work.breaks - 0.077_631_84).abs() < 1e-12, "{work:?}");
    let plain = fixings.usual(&[held_by(4, "bolt")]);
    assert!((plain.out_min - 2.36).abs() < 1e-12 && plain.breaks.abs() < 1e-12, "{plain:?}");
}

/// A hidden screw is a kind with minutes of its own; saying again that it is hidden adds nothing.
#[test]
fn usual_work_of_what_the_kind_implies_is_not_counted_twice() {
    let fixings = Catalog::embedded().fixings;
    let hidden = Fact::known(HeadAccess::Hidden, Origin::seen());
    let twice = Fixing { head: hidden, ..held_by(6, "hidden screw") };
    assert_eq!(fixings.usual(&[twice]), fixings.usual(&[held_by(6, "hidden screw")]));
}

#[test]
fn every_head_condition_position_and_tool_has_its_row() {
    let catalog = Catalog::embedded();
    for (head, _) in HeadAccess::ALL {
        assert!(catalog.fixings.head(head).slower >= 1.0);
    }
    for (condition, _) in FixingCondition::ALL {
        let row = catalog.fixings.condition(condition);
        assert!(row.slower >= 1.0 && (0.0..=1.0).contains(&row.fails), "{condition:?}");
        assert!((0.0..=1.0).contains(&row.breaks) && (row.fails > 0.0) == (row.cut_out > 0.0));
    }
    for (position, _) in WorkPosition::ALL {
        assert!(catalog.work.position(position).out >= 0.0);
    }
    for tool in catalog.fixings.tools() {
        assert!(catalog.work.tool(tool).is_some(), "{tool}");
    }
}

/// Kodak's recommended upper limits: kneeling 188 N, standing with the whole body 225 N (second-hand);
/// MIL-STD-1472 lift to 0.9 m, men and women: 20.0 kg (MEMORY).
#[test]
fn limits_of_one_person_are_the_published_ones() {
    let limits = Catalog::embedded().limits;
    for (key, value) in [
        ("one-person-lift", 20.0),
        ("one-person-force-standing", 225.0),
        ("one-person-force-kneeling", 188.0),
    ] {
        assert!((limits.get(key, None).value - value).abs() < 1e-9, "{key}");
    }
}

/// Every class a mode or an answer names exists, every source is in the register, shares sum to one,
/// and the mode split of connectors is the one of MIL-HDBK-338B (1998), read second-hand: open .61,
/// poor contact .23, short .16.
#[test]
fn fault_modes_hang_together() {
    let catalog = Catalog::embedded();
    let faults = &catalog.faults;
    let shares: f64 = faults.classes.iter().map(|class| class.share).sum();
    assert!((shares - 1.0).abs() < 1e-12, "{shares}");
    for mode in &faults.modes {
        assert!(faults.class(&mode.class).is_some(), "{mode:?}");
        assert!(catalog.sources.get(&mode.source).is_some(), "{mode:?}");
        assert!(mode.odds > 0.0 && mode.minutes > 0.0, "{mode:?}");
    }
    for row in &faults.history {
        assert!(row.factors.keys().all(|class| faults.class(class).is_some()), "{row:?}");
        assert!(catalog.sources.get(&row.source).is_some(), "{row:?}");
    }
    let split: Vec<f64> = faults.of(crate::Befalls::Joint).map(|mode| mode.odds / 0.0018).collect();
    assert_eq!(split.len(), 3);
    for (split, published) in split.iter().zip([0.61, 0.23, 0.16]) {
        assert!((split - published).abs() < 1e-12);
    }
}

#[test]
fn sizes_of_an_unwanted_resistance_are_evenly_spaced_by_ratio() {
    let ohm = Catalog::embedded().faults.resistances_ohm;
    assert!((ohm[0] - 0.010).abs() < 1e-12 && (ohm[ohm.len() - 1] - 1_000.0).abs() < 1e-6);
    // Five decades in five steps.
    assert!(ohm.windows(2).all(|pair| (pair[1] / pair[0] - 10.0).abs() < 1e-9));
}

/// 12.34 V on 0.5 % and 0.02 V may be off by 0.0817 V (by hand).
#[test]
fn a_multimeter_may_be_off_by_its_class() {
    let catalog = Catalog::embedded();
    let meter = catalog.instruments.get("multimeter volts").expect("the class exists");
    assert!((meter.gain * 12.34 + meter.zero - 0.0817).abs() < 1e-12);
    for (_, instrument) in catalog.instruments.iter() {
        assert!(catalog.sources.get(&instrument.source).is_some());
    }
}

#[test]
fn every_size_of_cable_has_a_thin_and_a_thick_wall() {
    let catalog = Catalog::embedded();
    assert!(catalog.sources.get(&catalog.cables.source).is_some());
    let mut before = units::Metre::new(0.0);
    for mm2 in [0.35, 0.75, 2.5, 6.0, 10.0, 35.0, 70.0, 240.0] {
        let [thin, thick] = catalog.cables.walls(units::SquareMillimetre::new(mm2)).unwrap();
        assert!(thin < thick && thin >= before, "{mm2} mm2");
        before = thin;
    }
}

/// What a document says stays as it says it; whoever reads in other units finds those too.
#[test]
fn the_figure_of_a_source_is_not_lost_in_other_units() {
    let limits = Catalog::embedded().limits;
    let mut seen = 0;
    for limit in limits.iter().filter(|limit| limit.source != "practice") {
        let told = units::restate(&limit.words, units::System::Us);
        let words: Vec<&str> = limit.words.split(' ').collect();
        for pair in words.windows(2) {
            let is_metric = ["mm", "cm", "m", "kg", "N", "K", "°C"].contains(&pair[1]);
            if is_metric && pair[0].parse::<f64>().is_ok() {
                let figure = format!("({} {})", pair[0], pair[1]);
                assert!(told.contains(&figure), "{}: {told}", limit.words);
                seen += 1;
            }
        }
    }
    assert!(seen > 8, "{seen} figures");
}
