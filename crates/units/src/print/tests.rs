//! What is printed, and that it can be read back. Expected texts by hand.

use proptest::prelude::*;

use super::*;
use crate::parse::parse;

fn metric(si: f64, dimension: Dimension) -> String {
    format(si, dimension, System::Metric)
}

fn us(si: f64, dimension: Dimension) -> String {
    format(si, dimension, System::Us)
}

#[test]
fn values_print_with_their_digits_and_a_prefix_of_the_trade() {
    for (si, dimension, text) in [
        (12.8, Dimension::Voltage, "12.8 V"),
        (12.849, Dimension::Voltage, "12.85 V"),
        (12.6449, Dimension::Voltage, "12.64 V"),
        (9.9951, Dimension::Voltage, "10 V"),
        (230.4, Dimension::Voltage, "230 V"),
        (0.35, Dimension::Voltage, "350 mV"),
        (0.9996, Dimension::Voltage, "1 V"),
        (-0.0421, Dimension::Voltage, "-42.1 mV"),
        (0.0, Dimension::Voltage, "0 V"),
        (-0.0, Dimension::Voltage, "0 V"),
        (0.3, Dimension::Current, "300 mA"),
        (20.0, Dimension::Current, "20 A"),
        (1499.0, Dimension::Current, "1.5 kA"),
        (0.0002, Dimension::Resistance, "0.2 mΩ"),
        (0.2, Dimension::Resistance, "200 mΩ"),
        (4700.0, Dimension::Resistance, "4.7 kΩ"),
        (2e6, Dimension::Resistance, "2 MΩ"),
        (60.0, Dimension::Power, "60 W"),
        (1200.0, Dimension::Power, "1.2 kW"),
        (1280.0, Dimension::Energy, "1.28 kWh"),
        (100.0, Dimension::Charge, "100 Ah"),
        (0.4, Dimension::Length, "400 mm"),
        (2.4, Dimension::Length, "2.4 m"),
        (16.0, Dimension::Area, "16 mm²"),
        (75.0, Dimension::Temperature, "75 °C"),
        (6.0, Dimension::Torque, "6 N·m"),
        (5.0, Dimension::Mass, "5 kg"),
        (25.0, Dimension::Minutes, "25 min"),
        (80.0, Dimension::Minutes, "1 h 20 min"),
        (59.97, Dimension::Minutes, "1 h"),
        (90.0, Dimension::Minutes, "1 h 30 min"),
        (1234.0, Dimension::Minutes, "20.6 h"),
        (0.15, Dimension::Seconds, "150 ms"),
        (800.0, Dimension::Irradiance, "800 W/m²"),
        (0.8, Dimension::Fraction, "80 %"),
        (0.005, Dimension::Fraction, "0.5 %"),
        (1234.0, Dimension::RotationalSpeed, "1230 rpm"),
        (18_050.0, Dimension::Money, "180.50"),
        (-5.0, Dimension::Money, "-0.05"),
        (1234.0, Dimension::Number, "1230"),
        (3.0, Dimension::Number, "3"),
    ] {
        assert_eq!(metric(si, dimension), text);
    }
}

#[test]
fn american_readers_get_feet_gauges_and_fahrenheit() {
    for (si, dimension, text) in [
        (2.4384, Dimension::Length, "8 ft"),
        (0.1524, Dimension::Length, "6 in"),
        (0.3048, Dimension::Length, "1 ft"),
        (75.0, Dimension::Temperature, "167 °F"),
        (-40.0, Dimension::Temperature, "-40 °F"),
        (6.0, Dimension::Torque, "53.1 lbf·in"),
        (5.0, Dimension::Mass, "11 lb"),
        (13.3, Dimension::Area, "6 AWG"),
        (107.2, Dimension::Area, "4/0 AWG"),
        (16.0, Dimension::Area, "16 mm²"),
        (0.0, Dimension::Area, "0 mm²"),
        (12.8, Dimension::Voltage, "12.8 V"),
    ] {
        assert_eq!(us(si, dimension), text);
    }
}

/// Definitions: 1 ft = 0.3048 m (international yard and pound agreement, 1959); water boils at 212 °F.
#[test]
fn scales_count_in_the_units_of_the_reader() {
    assert_eq!(in_unit(0.3048, Dimension::Length, System::Us), (1.0, "ft"));
    assert_eq!(in_unit(100.0, Dimension::Temperature, System::Us), (212.0, "°F"));
    assert_eq!(in_unit(0.3048, Dimension::Length, System::Metric), (0.3048, "m"));
    assert_eq!(in_unit(-40.0, Dimension::Temperature, System::Metric), (-40.0, "°C"));
}

#[test]
fn no_metric_size_is_mistaken_for_a_gauge() {
    for size in crate::iec60228::sizes() {
        let area_mm2 = size.area().square_millimetres();
        assert!(!us(area_mm2, Dimension::Area).contains("AWG"), "{area_mm2}");
    }
}

#[test]
fn torque_conversions_are_the_right_ones() {
    // Two manuals print 180 lbf in as 18.0 and 428 lbf in as 22 N m; by the definition of the
    // pound-force they are 20.3 and 48.4 (recomputed by hand).
    for (lbf_in, nm) in [("180 lbf in", "20.3 N·m"), ("428 lbf in", "48.4 N·m")] {
        let si = parse(lbf_in, Dimension::Torque).unwrap();
        assert_eq!(metric(si, Dimension::Torque), nm);
    }
}

#[test]
fn plain_signs_are_plain() {
    let plain = |si, dimension, system| format_with(si, dimension, system, Charset::Ascii);
    assert_eq!(plain(0.2, Dimension::Resistance, System::Metric), "200 mOhm");
    assert_eq!(plain(16.0, Dimension::Area, System::Metric), "16 mm2");
    assert_eq!(plain(75.0, Dimension::Temperature, System::Metric), "75 deg C");
    assert_eq!(plain(75.0, Dimension::Temperature, System::Us), "167 deg F");
    assert_eq!(plain(6.0, Dimension::Torque, System::Metric), "6 N m");
    assert_eq!(plain(6.0, Dimension::Torque, System::Us), "53.1 lbf in");
    assert_eq!(plain(800.0, Dimension::Irradiance, System::Metric), "800 W/m2");
}

#[test]
fn what_is_no_number_is_not_printed_as_one() {
    for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        for dimension in Dimension::ALL {
            assert_eq!(metric(value, dimension), NO_NUMBER);
        }
    }
    assert_eq!(metric(1e300, Dimension::Money), NO_NUMBER);
}

#[test]
fn types_print_metric_and_obey_width() {
    assert_eq!(crate::Volt::new(12.8).to_string(), "12.8 V");
    assert_eq!(std::format!("{:>8}", crate::Volt::new(12.8)), "  12.8 V");
}

/// Half a unit of the third significant digit of a printed text, in the unit of the dimension.
fn half_third_digit(text: &str, dimension: Dimension) -> f64 {
    let (number, unit) = text.split_once(' ').unwrap_or((text, ""));
    let number: f64 = number.parse().unwrap();
    let read = |number: &str| parse(&std::format!("{number} {unit}"), dimension).unwrap();
    // 0.9 and 0.1 because a bare 1 is refused as a fraction and 0.1 is above every range's low end.
    let factor = (read("0.9") - read("0.1")) / 0.8;
    let third = if number == 0.0 { 0.0 } else { 10_f64.powf(number.abs().log10().floor() - 2.0) };
    third * factor * 0.5
}

fn any_dimension() -> impl Strategy<Value = Dimension> {
    prop::sample::select(Dimension::ALL.to_vec())
}

/// A value of a size that is met: six decades around one unit, inside the believable range.
fn ordinary(dimension: Dimension, seed: f64, decade: f64) -> f64 {
    let (low, high) = dimension.believable_range();
    let value = seed * 10_f64.powf(decade);
    // Absolute zero, -459.67 F, would print as -460 F, which nobody may write.
    let low = if dimension == Dimension::Temperature { -250.0 } else { low };
    if dimension == Dimension::Money { (value * 1000.0).round() } else { value.clamp(low, high) }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn what_is_printed_is_read_back(
        dimension in any_dimension(),
        seed in -9.99_f64..9.99,
        decade in -3.0_f64..3.0,
        american: bool,
        plain: bool,
    ) {
        let system = if american { System::Us } else { System::Metric };
        let charset = if plain { Charset::Ascii } else { Charset::Unicode };
        let value = ordinary(dimension, seed, decade);
        let text = format_with(value, dimension, system, charset);
        let back = parse(&text, dimension).unwrap_or_else(|error| panic!("{text}: {error}"));
        let tolerance = if text.contains("AWG") {
            value * (GAUGE_TOLERANCE + 1e-9)
        } else if dimension == Dimension::Minutes && (59.9..=600.0).contains(&value) {
            0.5
        } else if dimension == Dimension::Money {
            0.0
        } else {
            half_third_digit(&text, dimension) * (1.0 + 1e-9) + value.abs() * 1e-14
        };
        prop_assert!((back - value).abs() <= tolerance, "{value} {text} {back} {tolerance}");
    }

    #[test]
    fn printing_never_fails(dimension in any_dimension(), bits: u64, american: bool) {
        let system = if american { System::Us } else { System::Metric };
        let text = format_with(f64::from_bits(bits), dimension, system, Charset::Ascii);
        prop_assert!(!text.is_empty() && text.is_ascii() && text.len() < 40, "{text}");
    }

    #[test]
    fn printing_a_read_value_again_changes_nothing(
        dimension in any_dimension(), seed in 0.0_f64..9.99, decade in -2.0_f64..3.0
    ) {
        let text = metric(ordinary(dimension, seed, decade), dimension);
        prop_assert_eq!(metric(parse(&text, dimension).unwrap(), dimension), text);
    }
}
