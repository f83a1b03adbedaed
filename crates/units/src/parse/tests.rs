//! What people write, what is refused, and what is said about it. Expected values by hand from the
//! definitions of the units.

use proptest::prelude::*;

use super::*;
use crate::awg::Gauge;

#[track_caller]
fn reads(text: &str, dimension: Dimension, expected: f64) {
    let value = parse(text, dimension).unwrap_or_else(|error| panic!("{text}: {error}"));
    assert!((value - expected).abs() <= expected.abs() * 1e-12, "{text}: {value} {expected}");
}

#[track_caller]
fn refused(text: &str, dimension: Dimension) -> ParseError {
    let error = match parse(text, dimension) {
        Ok(value) => panic!("{text} was read as {value}"),
        Err(error) => error,
    };
    assert!(text.get(error.start..error.end).is_some(), "{text}: {error:?}");
    error
}

#[track_caller]
fn refused_for(text: &str, dimension: Dimension, kind: ParseErrorKind, piece: &str) -> ParseError {
    let error = refused(text, dimension);
    assert_eq!(error.kind, kind, "{text}: {error}");
    assert_eq!(&text[error.start..error.end], piece, "{text}: {error}");
    assert!(error.help.is_some(), "{text}: {error}");
    error
}

fn area_of(number: i8) -> f64 {
    Gauge::new(number).unwrap().area().square_millimetres()
}

#[test]
fn gauges_are_read_as_areas() {
    for (text, number) in [
        ("6 AWG", 6),
        ("AWG 6", 6),
        ("AWG6", 6),
        ("6awg", 6),
        ("AWG-6", 6),
        (" 6  AWG ", 6),
        ("40 AWG", 40),
        ("4/0", -3),
        ("4/0 AWG", -3),
        ("AWG 4/0", -3),
        ("2/0awg", -1),
        ("1/0", 0),
        ("0 AWG", 0),
        ("0000 AWG", -3),
    ] {
        reads(text, Dimension::Area, area_of(number));
        assert_eq!(parse_any(text), Ok((Dimension::Area, area_of(number))), "{text}");
    }
}

#[test]
fn gauges_that_do_not_exist_are_refused() {
    for text in [
        "41 AWG",
        "5/0",
        "0/0",
        "6.5 AWG",
        "-6 AWG",
        "AWG",
        "AWG six",
        "007 AWG",
        "00000 AWG",
        "4/1 AWG",
        "999999999999/0",
    ] {
        assert_eq!(refused(text, Dimension::Area).kind, ParseErrorKind::BadGauge, "{text}");
    }
}

#[test]
fn areas_are_read_in_every_spelling() {
    for text in
        ["16 mm2", "16 mm²", "16mm²", "16 sqmm", "16 sq mm", "16 mm^2", "16 MM2", "16,0 mm2"]
    {
        reads(text, Dimension::Area, 16.0);
    }
    reads("250 kcmil", Dimension::Area, 126.676_869_774_374_46); // 250 000 x pi/4 x 0.0254^2
}

#[test]
fn lengths_are_read_in_every_spelling() {
    for (text, metres) in [
        ("8 ft", 2.4384),
        ("8'", 2.4384),
        ("8′", 2.4384),
        ("6 in", 0.1524),
        ("6 in.", 0.1524),
        ("6\"", 0.1524),
        ("6”", 0.1524),
        ("5 ft 6 in", 1.6764),
        ("5' 6\"", 1.6764),
        ("5'6\"", 1.6764),
        ("5 ft 6 1/2 in", 1.6891),
        ("1/2 in", 0.0127),
        ("5 1/2 in", 0.1397),
        ("-5 ft 6 in", -1.6764),
        ("2.4 m", 2.4),
        ("240 cm", 2.4),
        ("2400 mm", 2.4),
        ("2,4 m", 2.4),
        (".5 m", 0.5),
        ("0,125 m", 0.125),
        ("0 m", 0.0),
        ("\u{2212}0.3 m", -0.3),
        ("2.4\u{a0}m", 2.4),
    ] {
        reads(text, Dimension::Length, metres);
    }
}

#[test]
fn exact_conversions_stay_exact() {
    // What is written in centimetres and millimetres gives the very number written in metres.
    assert_eq!(parse("240 cm", Dimension::Length), Ok(2.4));
    assert_eq!(parse("2400 mm", Dimension::Length), Ok(2.4));
    assert_eq!(parse("300 mA", Dimension::Current), Ok(0.3));
    assert_eq!(parse("80 %", Dimension::Fraction), Ok(0.8));
}

#[test]
fn electrical_values_are_read() {
    for (text, dimension, expected) in [
        ("12.8V", Dimension::Voltage, 12.8),
        ("12,8 V", Dimension::Voltage, 12.8),
        ("12 v", Dimension::Voltage, 12.0),
        ("12 VDC", Dimension::Voltage, 12.0),
        ("12 V DC", Dimension::Voltage, 12.0),
        ("-40 mV", Dimension::Voltage, -0.04),
        ("+12 V", Dimension::Voltage, 12.0),
        ("1e-3 V", Dimension::Voltage, 0.001),
        ("20 A", Dimension::Current, 20.0),
        ("20 amps", Dimension::Current, 20.0),
        ("300 mA", Dimension::Current, 0.3),
        ("1,200.5 A", Dimension::Current, 1200.5),
        ("1.200,5 A", Dimension::Current, 1200.5),
        ("200 mOhm", Dimension::Resistance, 0.2),
        ("200 m\u{3a9}", Dimension::Resistance, 0.2),
        ("200 m\u{2126}", Dimension::Resistance, 0.2),
        ("200 mohm", Dimension::Resistance, 0.2),
        ("50 µΩ", Dimension::Resistance, 5e-5),
        ("2 MΩ", Dimension::Resistance, 2e6),
        ("2 MOHM", Dimension::Resistance, 2e6),
        ("4 ohms", Dimension::Resistance, 4.0),
        ("1.2 kW", Dimension::Power, 1200.0),
        ("60 W", Dimension::Power, 60.0),
        ("60 watts", Dimension::Power, 60.0),
        ("100 Ah", Dimension::Charge, 100.0),
        ("100 A·h", Dimension::Charge, 100.0),
        ("2500 mAh", Dimension::Charge, 2.5),
        ("-43 Ah", Dimension::Charge, -43.0),
        ("1.2 kWh", Dimension::Energy, 1200.0),
        ("1,234,567 Wh", Dimension::Energy, 1_234_567.0),
        ("800 W/m2", Dimension::Irradiance, 800.0),
        ("800 W/m²", Dimension::Irradiance, 800.0),
    ] {
        reads(text, dimension, expected);
        assert_eq!(parse_any(text).map(|(found, _)| found), Ok(dimension), "{text}");
    }
}

#[test]
fn workshop_values_are_read() {
    let lbf_in = 0.45359237 * 9.80665 * 0.0254;
    for (text, dimension, expected) in [
        ("75 C", Dimension::Temperature, 75.0),
        ("75 °C", Dimension::Temperature, 75.0),
        ("75 deg C", Dimension::Temperature, 75.0),
        ("75℃", Dimension::Temperature, 75.0),
        ("167 F", Dimension::Temperature, 75.0),
        ("-40 °F", Dimension::Temperature, -40.0),
        ("5 in-lb", Dimension::Torque, 5.0 * lbf_in),
        ("5 in-lbs", Dimension::Torque, 5.0 * lbf_in),
        ("5 lbf·in", Dimension::Torque, 5.0 * lbf_in),
        ("5 in lb", Dimension::Torque, 5.0 * lbf_in),
        ("5 ft-lb", Dimension::Torque, 60.0 * lbf_in),
        ("6 N·m", Dimension::Torque, 6.0),
        ("6 N m", Dimension::Torque, 6.0),
        ("6 Nm", Dimension::Torque, 6.0),
        ("6 N.m", Dimension::Torque, 6.0),
        ("12 lb", Dimension::Mass, 5.443_108_44),
        ("5 lb 4 oz", Dimension::Mass, 5.25 * 0.45359237),
        ("5 kg", Dimension::Mass, 5.0),
        ("25 min", Dimension::Minutes, 25.0),
        ("1 h 20 min", Dimension::Minutes, 80.0),
        ("1h20min", Dimension::Minutes, 80.0),
        ("1.5 h", Dimension::Minutes, 90.0),
        ("2 min 30 s", Dimension::Minutes, 2.5),
        ("0.3 s", Dimension::Seconds, 0.3),
        ("80 %", Dimension::Fraction, 0.8),
        ("80%", Dimension::Fraction, 0.8),
        ("2000 rpm", Dimension::RotationalSpeed, 2000.0),
    ] {
        reads(text, dimension, expected);
        assert_eq!(parse_any(text).map(|(found, _)| found), Ok(dimension), "{text}");
    }
    reads("90 s", Dimension::Minutes, 1.5);
    reads("1.5 min", Dimension::Seconds, 90.0);
    reads("4/5", Dimension::Fraction, 0.8);
    reads("0.8", Dimension::Fraction, 0.8);
    reads("1.0", Dimension::Fraction, 1.0);
    reads("3", Dimension::Number, 3.0);
    reads("180.50 EUR", Dimension::Money, 18_050.0);
}

#[test]
fn the_unit_tells_the_dimension() {
    assert_eq!(parse_any("35 mm2"), Ok((Dimension::Area, 35.0)));
    assert_eq!(parse_any("0.4 m"), Ok((Dimension::Length, 0.4)));
    assert_eq!(parse_any("15 A"), Ok((Dimension::Current, 15.0)));
    assert_eq!(parse_any("CAD 90"), Ok((Dimension::Money, 9000.0)));
    assert_eq!(parse_any("3"), Ok((Dimension::Number, 3.0)));
    assert_eq!(parse_any("12 XYZ").unwrap_err().kind, ParseErrorKind::UnknownUnit);
}

#[test]
fn a_comma_that_means_two_things_is_refused_with_both() {
    let error = refused_for("1,200 V", Dimension::Voltage, ParseErrorKind::Ambiguous, "1,200");
    assert!(error.message.contains("1.200") && error.message.contains("1200"), "{error}");
    refused_for("1", Dimension::Fraction, ParseErrorKind::Ambiguous, "1");
}

#[test]
fn a_missing_unit_is_named() {
    let error = refused_for(" 4 ", Dimension::Length, ParseErrorKind::MissingUnit, "4");
    assert_eq!(error.message, "a length needs a unit: 4 m, 13 ft");
    refused_for("80", Dimension::Fraction, ParseErrorKind::MissingUnit, "80");
    refused_for("4/5", Dimension::Area, ParseErrorKind::MissingUnit, "4/5");
    for dimension in Dimension::ALL {
        if !matches!(dimension, Dimension::Number | Dimension::Money) {
            assert_eq!(refused("7", dimension).kind, ParseErrorKind::MissingUnit);
        }
    }
}

#[test]
fn a_unit_of_another_quantity_is_told_with_both() {
    let error = refused_for("12 A", Dimension::Voltage, ParseErrorKind::WrongDimension, "A");
    assert!(error.message.contains("a current") && error.message.contains("a voltage"), "{error}");
    let error = refused_for("25 m", Dimension::Minutes, ParseErrorKind::WrongDimension, "m");
    assert!(error.help.unwrap().contains("25 min"));
    refused_for("6 AWG", Dimension::Length, ParseErrorKind::WrongDimension, "6 AWG");
    refused_for("3 V", Dimension::Number, ParseErrorKind::WrongDimension, "V");
}

#[test]
fn unknown_units_are_pointed_at() {
    refused_for("12 volz", Dimension::Voltage, ParseErrorKind::UnknownUnit, "volz");
    refused_for("6 gauge", Dimension::Area, ParseErrorKind::UnknownUnit, "gauge");
    refused_for("5 m m", Dimension::Length, ParseErrorKind::UnknownUnit, "m m");
    refused_for("5 m2", Dimension::Area, ParseErrorKind::UnknownUnit, "m2");
    refused_for("10-12 V", Dimension::Voltage, ParseErrorKind::UnknownUnit, "-");
    refused_for("5 ft -", Dimension::Length, ParseErrorKind::UnknownUnit, "ft -");
    refused_for("5 -ft", Dimension::Length, ParseErrorKind::UnknownUnit, "-ft");
}

#[test]
fn a_capital_m_is_not_silently_made_small() {
    for text in ["300 MA", "50 MV", "5 MW", "100 MAH"] {
        let error = parse_any(text).unwrap_err();
        assert_eq!(error.kind, ParseErrorKind::UnknownUnit);
        assert!(error.message.contains("mega"), "{error}");
    }
}

#[test]
fn numbers_that_do_not_belong_together_are_refused() {
    for text in [
        "5 ft 14 in",
        "5 m 6 in",
        "5 in 6 ft",
        "5.5 ft 6 in",
        "5 ft -6 in",
        "5 ft 6",
        "5 6 in",
        "5 ft 6 in 7 in",
        "1 200 mm",
        "5 V 6 in",
        "5 ft 6 ft",
    ] {
        assert_eq!(refused(text, Dimension::Length).kind, ParseErrorKind::BadCompound, "{text}");
    }
}

#[test]
fn what_is_no_number_is_refused() {
    for text in ["", "   ", "\t"] {
        assert_eq!(refused(text, Dimension::Voltage).kind, ParseErrorKind::Empty);
    }
    for text in [
        "nan V",
        "NaN",
        "inf A",
        "-inf V",
        "Infinity",
        "-0 V",
        "-0.0 V",
        "1.2.3 V",
        "1,23,4 V",
        "5, V",
        "1,2.3,4 V",
        "3/0 V",
        "99999999999/7 in",
    ] {
        assert_eq!(refused(text, Dimension::Voltage).kind, ParseErrorKind::BadNumber, "{text}");
    }
    for text in ["V", "twelve V", "--5 V", "+-5 V", "- V", ". V", "0x10 V", "% 5"] {
        refused(text, Dimension::Voltage);
    }
}

#[test]
fn absurd_sizes_are_refused() {
    for text in ["1e400 V", "1e99999999999 V", "1e-400 V", "1e-300 V", "1e9 V", "-1e9 V"] {
        assert_eq!(refused(text, Dimension::Voltage).kind, ParseErrorKind::OutOfRange, "{text}");
    }
    for (text, dimension) in [
        ("120 %", Dimension::Fraction),
        ("-5 %", Dimension::Fraction),
        ("1.2", Dimension::Fraction),
        ("-300 C", Dimension::Temperature),
        ("-16 mm2", Dimension::Area),
        ("-5 Ohm", Dimension::Resistance),
        ("11 km", Dimension::Length),
        ("-5 min", Dimension::Minutes),
        ("1e300", Dimension::Number),
    ] {
        assert_eq!(refused(text, dimension).kind, ParseErrorKind::OutOfRange, "{text}");
    }
    let long = "9".repeat(10_000) + " V";
    assert_eq!(refused(&long, Dimension::Voltage).kind, ParseErrorKind::TooLong);
}

#[test]
fn look_alike_letters_are_named() {
    let error =
        refused_for("20 \u{410}", Dimension::Current, ParseErrorKind::StrangeCharacter, "\u{410}");
    assert_eq!(error.message, "`\u{410}` (U+0410) is a Cyrillic letter that only looks like `A`");
    for (text, latin) in [
        ("6 \u{410}WG", 'A'),
        ("75 \u{421}", 'C'),
        ("16 \u{43c}m2", ' '),
        ("5 \u{39d}m", 'N'),
        ("\u{ff11}2 V", '1'),
        ("12 \u{2164}", ' '),
        ("12\u{200b} V", ' '),
        ("\u{feff}12 V", ' '),
        ("12 \u{202e}V", ' '),
        ("\u{661}2 V", ' '),
        ("½ in", ' '),
        ("€ 5", ' '),
        ("12\0 V", ' '),
        ("12 V\n", ' '),
    ] {
        let error = parse_any(text).unwrap_err();
        assert_eq!(error.kind, ParseErrorKind::StrangeCharacter, "{text}: {error}");
        let named = std::format!("looks like `{latin}`");
        assert_eq!(error.message.contains(&named), latin != ' ', "{text}: {error}");
    }
}

#[test]
fn a_refusal_reads_as_a_sentence() {
    let text = refused("4", Dimension::Length).to_string();
    assert_eq!(text, "a length needs a unit: 4 m, 13 ft (write the unit after the number)");
}

#[test]
fn quantities_read_themselves() {
    let volts: crate::Volt = "12,8 V".parse().unwrap();
    assert!((volts.volts() - 12.8).abs() < 1e-12);
    assert!("12,8 A".parse::<crate::Volt>().is_err());
}

/// Texts made of the pieces quantities are made of, so that the deeper paths are reached.
fn near_quantity() -> impl Strategy<Value = String> {
    let piece = prop::sample::select(vec![
        "1", "0", "12", "/", "/0", ",", ".", "-", "+", "e", "E9", " ", "  ", "AWG", "ft", "'",
        "\"", "in", "mm", "2", "²", "m", "V", "Ω", "°", "C", "h", "min", "s", "lb", "%", "EUR",
        "CAD", "nan", "·", "^", "\u{2212}", "\u{a0}", "\u{410}", "\u{200b}", "999", "000",
    ]);
    prop::collection::vec(piece, 0..12).prop_map(|pieces| pieces.concat())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(3000))]

    #[test]
    fn nothing_written_makes_the_reader_fail(text in prop_oneof![near_quantity(), any::<String>()]) {
        for dimension in Dimension::ALL {
            match parse(&text, dimension) {
                Ok(value) => {
                    let (low, high) = dimension.believable_range();
                    prop_assert!((low..=high).contains(&value), "{text}");
                    prop_assert!(value.to_bits() != (-0.0_f64).to_bits(), "{text}");
                }
                Err(error) => {
                    prop_assert!(text.get(error.start..error.end).is_some(), "{text} {error:?}");
                    prop_assert!(!error.message.is_empty());
                }
            }
        }
        if let Ok((dimension, value)) = parse_any(&text) {
            let again = parse(&text, dimension);
            prop_assert!(again == Ok(value), "{text}: {again:?}");
        }
    }

    #[test]
    fn every_plain_number_is_read_to_the_bit(value in 1e-6_f64..1e5) {
        prop_assert_eq!(parse(&std::format!("{value} V"), Dimension::Voltage), Ok(value));
    }

    #[test]
    fn feet_and_inches_add_up(feet in 0_u16..1000, inches in 0_u8..12) {
        let value = parse(&std::format!("{feet} ft {inches} in"), Dimension::Length).unwrap();
        let expected = f64::from(feet) * 0.3048 + f64::from(inches) * 0.0254;
        prop_assert!((value - expected).abs() < 1e-9);
    }
}
