//! Allowable currents against the printed tables, cell by cell, and how a question is answered.

use std::sync::LazyLock;

use model::{Fact, Origin, Region};
use units::{Celsius, Dimension, SquareMillimetre};

use crate::ampacity::{Ampacity, NoRow, Question, Space, VoltageBand};
use crate::{Catalog, Standing};

/// 33 CFR 183.425(b) Table 5, read whole; columns 60, 75, 80, 90, 105, 125, 200 °C.
const CFR_TABLE_5: [(&str, &[f64]); 15] = [
    ("18 AWG", &[10.0, 10.0, 15.0, 20.0, 20.0, 25.0, 25.0]),
    ("16 AWG", &[15.0, 15.0, 20.0, 25.0, 25.0, 30.0, 35.0]),
    ("14 AWG", &[20.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0]),
    ("12 AWG", &[25.0, 25.0, 35.0, 40.0, 45.0, 50.0, 55.0]),
    ("10 AWG", &[40.0, 40.0, 50.0, 55.0, 60.0, 70.0, 70.0]),
    ("8 AWG", &[55.0, 65.0, 70.0, 70.0, 80.0, 90.0, 100.0]),
    ("6 AWG", &[80.0, 95.0, 100.0, 100.0, 120.0, 125.0, 135.0]),
    ("4 AWG", &[105.0, 125.0, 130.0, 135.0, 160.0, 170.0, 180.0]),
    ("3 AWG", &[120.0, 145.0, 150.0, 155.0, 180.0, 195.0, 210.0]),
    ("2 AWG", &[140.0, 170.0, 175.0, 180.0, 210.0, 225.0, 240.0]),
    ("1 AWG", &[165.0, 195.0, 210.0, 210.0, 245.0, 265.0, 280.0]),
    ("1/0 AWG", &[195.0, 230.0, 245.0, 245.0, 285.0, 305.0, 325.0]),
    ("2/0 AWG", &[225.0, 265.0, 285.0, 285.0, 330.0, 355.0, 370.0]),
    ("3/0 AWG", &[260.0, 310.0, 330.0, 330.0, 385.0, 410.0, 430.0]),
    ("4/0 AWG", &[300.0, 360.0, 385.0, 385.0, 445.0, 475.0, 510.0]),
];

/// NEC 2023 Table 310.16, copper, read; columns 60, 75, 90 °C; NAN: not printed.
const NEC_310_16: [(&str, &[f64]); 15] = [
    ("18 AWG", &[f64::NAN, f64::NAN, 14.0]),
    ("16 AWG", &[f64::NAN, f64::NAN, 18.0]),
    ("14 AWG", &[15.0, 20.0, 25.0]),
    ("12 AWG", &[20.0, 25.0, 30.0]),
    ("10 AWG", &[30.0, 35.0, 40.0]),
    ("8 AWG", &[40.0, 50.0, 55.0]),
    ("6 AWG", &[55.0, 65.0, 75.0]),
    ("4 AWG", &[70.0, 85.0, 95.0]),
    ("3 AWG", &[85.0, 100.0, 115.0]),
    ("2 AWG", &[95.0, 115.0, 130.0]),
    ("1 AWG", &[110.0, 130.0, 145.0]),
    ("1/0 AWG", &[125.0, 150.0, 170.0]),
    ("2/0 AWG", &[145.0, 175.0, 195.0]),
    ("3/0 AWG", &[165.0, 200.0, 225.0]),
    ("4/0 AWG", &[195.0, 230.0, 260.0]),
];

fn area(size: &str) -> SquareMillimetre {
    SquareMillimetre::from_si(units::parse(size, Dimension::Area).unwrap())
}

fn question(size: &str, insulation_c: f64) -> Question {
    Question {
        area: area(size),
        insulation: Celsius::new(insulation_c),
        ambient: Celsius::new(30.0),
        space: Space::Elsewhere,
        together: 1,
        band: VoltageBand::UnderFifty,
        region: None,
    }
}

/// Read once; reading is the slow part.
static TABLES: LazyLock<Ampacity> = LazyLock::new(Ampacity::embedded);

fn allowed_a(question: &Question) -> f64 {
    TABLES.allowable_current(question).unwrap().ampere.si()
}

#[test]
fn every_cell_of_cfr_table_5_is_the_printed_one() {
    let tables = &*TABLES;
    for (size, printed) in CFR_TABLE_5 {
        for (insulation_c, printed_a) in
            [60.0, 75.0, 80.0, 90.0, 105.0, 125.0, 200.0].iter().zip(printed)
        {
            let answer = tables.allowable_current(&question(size, *insulation_c)).unwrap();
            assert!(
                (answer.ampere.si() - printed_a).abs() < 1e-9,
                "{size} {insulation_c}: {answer:?}"
            );
            let bare = tables.allowable(area(size), Celsius::new(*insulation_c)).unwrap();
            assert!((bare.si() - printed_a).abs() < 1e-9, "{size} {insulation_c}: {bare:?}");
            assert!(answer.corrections.is_empty() && answer.source == "cfr33-183-425-t5");
        }
    }
}

#[test]
fn every_cell_of_nec_310_16_is_the_printed_one() {
    let tables = &*TABLES;
    for (size, printed) in NEC_310_16 {
        for (insulation_c, printed_a) in [60.0, 75.0, 90.0].iter().zip(printed) {
            let asked = Question {
                band: VoltageBand::FiftyAndOver,
                region: Some(Region::NorthAmerica),
                ..question(size, *insulation_c)
            };
            let answer = tables.allowable_current(&asked);
            if printed_a.is_nan() {
                assert_eq!(answer, Err(NoRow::NotPrinted), "{size} {insulation_c}");
                continue;
            }
            let answer = answer.unwrap();
            assert!(
                (answer.ampere.si() - printed_a).abs() < 1e-9,
                "{size} {insulation_c}: {answer:?}"
            );
            assert!(answer.source == "nec-310-16" && answer.of_region);
        }
    }
}

/// NEC 2023 Table 310.15(B)(1)(1) as printed, three cells of each column; and the rule it is made
/// by, `sqrt((Tr - Ta)/(Tr - 30))` at the top of each range, which all cells of 35 °C and above
/// meet to the printed digit.
#[test]
fn ambient_factors_are_the_printed_ones() {
    let factor = |insulation_c: f64, ambient_c: f64| {
        let asked =
            Question { ambient: Celsius::new(ambient_c), ..question("6 AWG", insulation_c) };
        let base = Question { ambient: Celsius::new(30.0), ..asked };
        allowed_a(&asked) / allowed_a(&base)
    };
    for (insulation_c, ambient_c, printed) in [
        (60.0, 10.0, 1.29),
        (60.0, 38.0, 0.82),
        (60.0, 55.0, 0.41),
        (75.0, 15.0, 1.15),
        (75.0, 50.0, 0.75),
        (75.0, 70.0, 0.33),
        (90.0, 25.0, 1.04),
        (90.0, 50.0, 0.82),
        (90.0, 85.0, 0.29),
    ] {
        let ours = factor(insulation_c, ambient_c);
        assert!((ours - printed).abs() < 1e-9, "{insulation_c} at {ambient_c}: {ours}");
    }
    for (insulation_c, warmest_c) in [(60.0_f64, 55.0), (75.0, 70.0), (90.0, 85.0)] {
        let mut ambient_c: f64 = 35.0;
        while ambient_c <= warmest_c {
            let law = ((insulation_c - ambient_c) / (insulation_c - 30.0)).sqrt();
            let ours = factor(insulation_c, ambient_c);
            assert!((ours - law).abs() <= 0.00501, "{insulation_c} at {ambient_c}: {ours} {law}");
            ambient_c += 5.0;
        }
    }
    let too_warm = Question { ambient: Celsius::new(60.0), ..question("6 AWG", 60.0) };
    assert_eq!(TABLES.allowable_current(&too_warm), Err(NoRow::TooWarm));
    let hotter = Question { ambient: Celsius::new(90.0), ..question("6 AWG", 200.0) };
    assert_eq!(TABLES.allowable_current(&hotter), Err(NoRow::TooWarm));
}

/// NEC 2023 Table 310.15(C)(1): 4 to 6 80 %, 7 to 9 70 %, 10 to 20 50 %, 21 to 30 45 %, 31 to 40
/// 40 %, 41 and more 35 %. 33 CFR 183.425 Table 5 note 2 (second-hand): 3 0.7, 4 to 6 0.6, 7 to 24
/// 0.5, 25 and more 0.4, at 50 V and over only.
#[test]
fn bundle_factors_are_the_printed_ones_on_their_side_of_50_volts() {
    let factor = |together, band, region| {
        let asked = Question { together, band, region, ..question("10 AWG", 75.0) };
        allowed_a(&asked) / allowed_a(&Question { together: 1, ..asked })
    };
    let nec = [
        (1, 1.0),
        (3, 1.0),
        (4, 0.8),
        (6, 0.8),
        (7, 0.7),
        (9, 0.7),
        (10, 0.5),
        (20, 0.5),
        (21, 0.45),
        (30, 0.45),
        (31, 0.4),
        (40, 0.4),
        (41, 0.35),
        (500, 0.35),
    ];
    for (together, printed) in nec {
        for region in [None, Some(Region::EuropeUk)] {
            let low = factor(together, VoltageBand::UnderFifty, region);
            assert!((low - printed).abs() < 1e-9, "{together} under 50 V: {low}");
        }
        let mains = factor(together, VoltageBand::FiftyAndOver, Some(Region::NorthAmerica));
        assert!((mains - printed).abs() < 1e-9, "{together} by the NEC: {mains}");
    }
    for (together, printed) in
        [(2, 1.0), (3, 0.7), (4, 0.6), (6, 0.6), (7, 0.5), (24, 0.5), (25, 0.4)]
    {
        let mains = factor(together, VoltageBand::FiftyAndOver, Some(Region::EuropeUk));
        assert!((mains - printed).abs() < 1e-9, "{together} at 50 V and over: {mains}");
    }
}

/// By hand: 10 AWG at 105 °C 60 A; in the engine space (50 °C) with the 90 °C column of the NEC
/// table, 0.82, and seven together 0.70: 60 x 0.82 x 0.70 = 34.44 A. The recalled note 1 says 0.85.
#[test]
fn corrections_multiply_and_say_where_they_come_from() {
    let catalog = Catalog::embedded();
    let asked = Question { space: Space::Engine, together: 7, ..question("10 AWG", 105.0) };
    let answer = catalog.ampacity.allowable_current(&asked).unwrap();
    assert!((answer.ampere.si() - 34.44).abs() < 1e-9);
    assert_eq!(answer.corrections.len(), 2);
    let words = answer.words();
    for part in [
        "33 CFR 183.425 Table 5",
        "10 AWG",
        "105 °C",
        "60 A",
        "x 0.82",
        "engine space",
        "x 0.7 for 7 to 9",
    ] {
        assert!(words.contains(part), "{words} lacks {part}");
    }
    assert_eq!(answer.standing(&catalog.sources), Standing::Seen);
    let hints = catalog.ampacity.hints(&asked);
    assert_eq!(hints.len(), 1);
    assert!((hints[0].ampere.si() - 60.0 * 0.85).abs() < 1e-9);
    assert_eq!(hints[0].standing(&catalog.sources), Standing::Memory);
}

/// What was recalled decides nothing: every source behind a deciding row was read somewhere.
#[test]
fn nothing_recalled_decides() {
    let catalog = Catalog::embedded();
    let mut kinds = (0, 0);
    for (key, decides) in catalog.ampacity.sources() {
        let standing = catalog.sources.get(key).unwrap_or_else(|| panic!("{key}")).standing;
        assert_eq!(decides, standing != Standing::Memory, "{key} {standing:?}");
        if decides { kinds.0 += 1 } else { kinds.1 += 1 }
    }
    assert_eq!(kinds, (5, 2));
    let europe = Question { region: Some(Region::EuropeUk), ..question("2.5 mm2", 70.0) };
    let hints = catalog.ampacity.hints(&europe);
    assert!((hints[0].ampere.si() - 25.0).abs() < 1e-9, "ISO 10133 A.1, from memory: {hints:?}");
    assert!(catalog.ampacity.hints(&question("2.5 mm2", 70.0)).is_empty());
}

/// 16 mm² lies between 6 AWG (13.3 mm²) and 4 AWG (21.2 mm²) and may carry what 6 AWG may; 70 °C
/// insulation lies between the columns 60 and 75 and counts as 60.
#[test]
fn between_rows_and_columns_the_lower_one_is_taken() {
    assert!((allowed_a(&question("16 mm2", 105.0)) - 120.0).abs() < 1e-9);
    assert!((allowed_a(&question("16 mm2", 70.0)) - 80.0).abs() < 1e-9);
    assert!((allowed_a(&question("13.29 mm2", 105.0)) - 80.0).abs() < 1e-9, "just below 6 AWG");
}

#[test]
fn outside_the_table_nothing_is_invented() {
    let tables = &*TABLES;
    let ask = |size, insulation_c| tables.allowable_current(&question(size, insulation_c));
    assert!(
        matches!(ask("0.5 mm2", 105.0), Err(NoRow::Thinner(most)) if (most.si() - 20.0).abs() < 1e-9)
    );
    assert_eq!(ask("150 mm2", 105.0), Err(NoRow::Thicker));
    assert_eq!(ask("16 mm2", 50.0), Err(NoRow::NotPrinted), "no column at or below 50 °C");
}

#[test]
fn more_copper_or_a_higher_rating_never_carries_less() {
    let ratings = [60.0, 70.0, 75.0, 80.0, 85.0, 90.0, 105.0, 125.0, 150.0, 200.0];
    let tables = &*TABLES;
    let base = question("6 AWG", 60.0);
    for ambient_c in [30.0, 45.0, 50.0] {
        let ask = |mm2: f64, insulation_c: f64| {
            let asked = Question {
                area: SquareMillimetre::new(mm2),
                insulation: Celsius::new(insulation_c),
                ambient: Celsius::new(ambient_c),
                ..base
            };
            tables.allowable_current(&asked).unwrap().ampere.si()
        };
        let mut mm2 = 0.83;
        while mm2 < 105.0 {
            for pair in ratings.windows(2) {
                assert!(ask(mm2, pair[0]) <= ask(mm2, pair[1]), "{mm2} mm2 {pair:?}");
                assert!(ask(mm2, pair[0]) <= ask(mm2 * 1.02, pair[0]), "{mm2} mm2 {pair:?}");
            }
            mm2 *= 1.02;
        }
    }
}

/// What is not told, seen or measured counts at its strictest when something is to be passed.
#[test]
fn the_strictest_question_takes_the_largest_bundle_and_the_engine_space() {
    let mut wire = model::Wire {
        name: "w1".to_owned(),
        ends: [model::WireEnd::From, model::WireEnd::To].map(|_| model::End {
            landing: model::Landing::Unknown,
            joint: model::Id::from_index(0),
        }),
        area: Fact::Unknown,
        size_words: String::new(),
        length: Fact::Unknown,
        core: Fact::Unknown,
        insulation: Fact::Unknown,
        colour: None,
        sheathed: Fact::Unknown,
        bundle: Fact::Unknown,
        engine_space: Fact::Unknown,
        runs_behind: None,
        course: model::Course::default(),
    };
    let of = |wire: &model::Wire| {
        let size = area("10 AWG");
        Question::of_wire(wire, size, Celsius::new(90.0), VoltageBand::UnderFifty, None)
    };
    let open = of(&wire);
    assert_eq!((open.together, open.space), (1, Space::Elsewhere));
    // By hand: 55 A x 0.82 (46 to 50 °C, 90 °C column) x 0.35 (41 or more) = 15.785 A.
    assert!((allowed_a(&open.strictest(&wire)) - 15.785).abs() < 1e-9);
    wire.bundle = Fact::known(5, Origin::seen());
    wire.engine_space = Fact::known(false, Origin::seen());
    let known = of(&wire);
    assert_eq!(known.strictest(&wire), known);
    assert!((allowed_a(&known) - 44.0).abs() < 1e-9, "55 A x 0.80");
    wire.bundle = Fact::assumed(5, "looks like it");
    assert!((allowed_a(&of(&wire).strictest(&wire)) - 19.25).abs() < 1e-9, "55 A x 0.35");
}
