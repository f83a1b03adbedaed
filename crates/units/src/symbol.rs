//! The units people write, each with its quantity and its conversion. The only conversion factors
//! of the program live here (and, for wire gauges, in `awg`). Knows no numbers and no sentences.

use crate::dimension::Dimension;

/// How a number in some unit becomes a number in the dimension's own unit:
/// `own = (number - zero) * mul / div`. Two whole factors keep `240 cm` at exactly 2.4 m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Conversion {
    zero: f64,
    mul: f64,
    div: f64,
}

impl Conversion {
    pub(crate) const fn to_own(self, number: f64) -> f64 {
        (number - self.zero) * self.mul / self.div
    }

    pub(crate) const fn of_own(self, own: f64) -> f64 {
        own * self.div / self.mul + self.zero
    }
}

const fn times(mul: f64) -> Conversion {
    Conversion { zero: 0.0, mul, div: 1.0 }
}

const fn part(div: f64) -> Conversion {
    Conversion { zero: 0.0, mul: 1.0, div }
}

/// The dimension's own unit.
pub(crate) const SAME: Conversion = times(1.0);
/// 1 in = 0.0254 m (exact, international yard and pound agreement, 1959).
pub(crate) const INCH: Conversion = Conversion { zero: 0.0, mul: 254.0, div: 10_000.0 };
/// Feet in a metre: 1 ft = 0.3048 m (exact, international yard and pound agreement, 1959).
pub const FEET_PER_METRE: f64 = 10_000.0 / 3048.0;

/// 1 ft = 0.3048 m (exact, same agreement).
pub(crate) const FOOT: Conversion = Conversion { zero: 0.0, mul: 3048.0, div: 10_000.0 };
/// 1 lb = 0.45359237 kg (exact, same agreement).
pub(crate) const POUND: Conversion = Conversion { zero: 0.0, mul: 45_359_237.0, div: 1e8 };
/// 1 lbf in = 0.45359237 kg x 9.80665 m/s2 (standard gravity, exact) x 0.0254 m.
pub(crate) const POUND_FORCE_INCH: Conversion = times(0.112_984_829_027_616_7);
/// T(C) = (T(F) - 32) x 5/9 (definition).
pub(crate) const FAHRENHEIT: Conversion = Conversion { zero: 32.0, mul: 5.0, div: 9.0 };
/// A circular mil is the area of a circle of 0.001 in: pi/4 x (0.0254 mm)^2; a kcmil a thousand.
const KILO_CIRCULAR_MIL: Conversion =
    times(core::f64::consts::FRAC_PI_4 * 0.0254 * 0.0254 * 1000.0);
const OUNCE: Conversion = Conversion { zero: 0.0, mul: 45_359_237.0, div: 16e8 };
const POUND_FORCE_FOOT: Conversion = times(12.0 * 0.112_984_829_027_616_7);

/// One unit, with every spelling it is known by. The first spelling is the one shown.
#[derive(Debug)]
pub(crate) struct Unit {
    pub(crate) dimension: Dimension,
    pub(crate) spellings: &'static [&'static str],
    pub(crate) conversion: Conversion,
    /// The next smaller unit it is written together with (`5 ft 6 in`).
    pub(crate) minor: Option<&'static str>,
}

impl Unit {
    pub(crate) fn shown(&self) -> &'static str {
        self.spellings.first().copied().unwrap_or_default()
    }
}

/// Why a spelling gave no unit.
#[derive(Debug)]
pub(crate) enum Unknown {
    /// Nothing like it.
    Nothing,
    /// A unit, but for the size of its first letter, which is a prefix: `MA`.
    PrefixCase(&'static Unit),
}

/// The unit of a spelling in which the reader has turned signs into letters and joints into dots
/// (`N.m`, `mOhm`, `degC`). Capitals matter only in the prefixes m and M of electrical units.
pub(crate) fn find(spelling: &str) -> Result<&'static Unit, Unknown> {
    let by = |same: fn(&Unit, &str, &str) -> bool| {
        UNITS.iter().find(|unit| unit.spellings.iter().any(|known| same(unit, known, spelling)))
    };
    by(|_, known, written| known == written).or_else(|| by(same_but_for_case)).ok_or_else(|| {
        match by(|_, known, written| known.eq_ignore_ascii_case(written)) {
            Some(unit) => Unknown::PrefixCase(unit),
            None => Unknown::Nothing,
        }
    })
}

fn same_but_for_case(unit: &Unit, known: &str, written: &str) -> bool {
    let prefixed = known.len() > 1 && known.starts_with(['m', 'M']) && carries_prefix(unit);
    let first_letters_agree = known.get(..1) == written.get(..1);
    known.eq_ignore_ascii_case(written) && (!prefixed || first_letters_agree)
}

const fn carries_prefix(unit: &Unit) -> bool {
    matches!(
        unit.dimension,
        Dimension::Voltage
            | Dimension::Current
            | Dimension::Resistance
            | Dimension::Power
            | Dimension::Capacitance
            | Dimension::Energy
            | Dimension::Charge
    )
}

const fn unit(
    dimension: Dimension,
    conversion: Conversion,
    spellings: &'static [&'static str],
) -> Unit {
    Unit { dimension, spellings, conversion, minor: None }
}

const fn with_minor(
    dimension: Dimension,
    conversion: Conversion,
    minor: &'static str,
    spellings: &'static [&'static str],
) -> Unit {
    Unit { dimension, spellings, conversion, minor: Some(minor) }
}

use Dimension as D;

/// Prefixes are the SI's; h, min, the degree and % are accepted beside it (SI brochure).
static UNITS: &[Unit] = &[
    unit(D::Voltage, SAME, &["V", "volt", "volts", "VDC", "V.DC", "VAC", "V.AC"]),
    unit(D::Voltage, part(1e3), &["mV", "millivolt", "millivolts"]),
    unit(D::Voltage, part(1e6), &["uV", "microvolt", "microvolts"]),
    unit(D::Voltage, times(1e3), &["kV", "kilovolt", "kilovolts"]),
    unit(D::Current, SAME, &["A", "amp", "amps", "ampere", "amperes", "ADC", "A.DC"]),
    unit(D::Current, part(1e3), &["mA", "milliamp", "milliamps", "milliampere", "milliamperes"]),
    unit(D::Current, part(1e6), &["uA", "microamp", "microamps"]),
    unit(D::Current, times(1e3), &["kA", "kiloamp", "kiloamps"]),
    unit(D::Resistance, SAME, &["Ohm", "ohms"]),
    unit(D::Resistance, part(1e3), &["mOhm", "mOhms", "milliohm", "milliohms"]),
    unit(D::Resistance, part(1e6), &["uOhm", "uOhms", "microohm", "microohms"]),
    unit(D::Resistance, times(1e3), &["kOhm", "kOhms", "kilohm", "kilohms", "kiloohm"]),
    unit(D::Resistance, times(1e6), &["MOhm", "MOhms", "megohm", "megohms", "megaohm"]),
    unit(D::Resistance, times(1e9), &["GOhm", "GOhms", "gigohm", "gigaohm"]),
    unit(D::Power, SAME, &["W", "watt", "watts"]),
    unit(D::Power, part(1e3), &["mW", "milliwatt", "milliwatts"]),
    unit(D::Power, times(1e3), &["kW", "kilowatt", "kilowatts"]),
    // The farad's own letter stays with the Fahrenheit degree, which is written far more often.
    unit(D::Capacitance, SAME, &["farad", "farads"]),
    unit(D::Capacitance, part(1e3), &["mF", "millifarad", "millifarads"]),
    unit(D::Capacitance, part(1e6), &["uF", "microfarad", "microfarads"]),
    unit(D::Energy, SAME, &["Wh", "W.h", "watt.hour", "watt.hours", "watthour", "watthours"]),
    unit(D::Energy, times(1e3), &["kWh", "kW.h", "kilowatt.hour", "kilowatt.hours"]),
    unit(D::Charge, SAME, &["Ah", "A.h", "amp.hour", "amp.hours", "ampere.hours", "amphours"]),
    unit(D::Charge, part(1e3), &["mAh", "mA.h"]),
    unit(D::Length, SAME, &["m", "metre", "metres", "meter", "meters"]),
    unit(D::Length, part(1e2), &["cm", "centimetre", "centimetres", "centimeter", "centimeters"]),
    unit(D::Length, part(1e3), &["mm", "millimetre", "millimetres", "millimeter", "millimeters"]),
    unit(D::Length, times(1e3), &["km"]),
    with_minor(D::Length, FOOT, "in", &["ft", "'", "foot", "feet"]),
    unit(D::Length, INCH, &["in", "\"", "''", "inch", "inches"]),
    unit(D::Area, SAME, &["mm2", "sqmm", "sq.mm", "mm.sq"]),
    unit(D::Area, KILO_CIRCULAR_MIL, &["kcmil", "MCM"]),
    unit(D::Temperature, SAME, &["degC", "C", "deg.C", "degrees.C", "celsius", "deg.celsius"]),
    unit(
        D::Temperature,
        FAHRENHEIT,
        &["degF", "F", "deg.F", "degrees.F", "fahrenheit", "deg.fahrenheit"],
    ),
    unit(D::Torque, SAME, &["N.m", "Nm", "newton.metre", "newton.metres", "newton.meters"]),
    unit(D::Torque, part(1e2), &["N.cm", "Ncm"]),
    unit(
        D::Torque,
        POUND_FORCE_INCH,
        &[
            "lbf.in", "in.lb", "in.lbs", "in.lbf", "lb.in", "lbs.in", "lbfin", "inlb", "inlbs",
            "inlbf",
        ],
    ),
    unit(
        D::Torque,
        POUND_FORCE_FOOT,
        &[
            "lbf.ft", "ft.lb", "ft.lbs", "ft.lbf", "lb.ft", "lbs.ft", "lbfft", "ftlb", "ftlbs",
            "ftlbf",
        ],
    ),
    unit(D::Mass, SAME, &["kg", "kilo", "kilos", "kilogram", "kilograms"]),
    unit(D::Mass, part(1e3), &["g", "gram", "grams"]),
    with_minor(D::Mass, POUND, "oz", &["lb", "lbs", "pound", "pounds"]),
    unit(D::Mass, OUNCE, &["oz", "ounce", "ounces"]),
    with_minor(D::Minutes, times(60.0), "min", &["h", "hr", "hrs", "hour", "hours"]),
    with_minor(D::Minutes, SAME, "s", &["min", "mins", "minute", "minutes"]),
    unit(D::Seconds, SAME, &["s", "sec", "secs", "second", "seconds"]),
    unit(D::Seconds, part(1e3), &["ms", "millisecond", "milliseconds"]),
    unit(D::Irradiance, SAME, &["W/m2", "W/sqm", "W/sq.m"]),
    unit(D::Fraction, part(100.0), &["%", "percent", "per.cent"]),
    unit(D::RotationalSpeed, SAME, &["rpm", "r/min", "rev/min", "1/min"]),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_spelling_means_two_units() {
        let all: Vec<_> = UNITS.iter().flat_map(|unit| unit.spellings).collect();
        for (index, spelling) in all.iter().enumerate() {
            assert!(!all[index + 1..].contains(spelling), "{spelling}");
        }
    }

    #[test]
    fn every_minor_unit_exists_and_is_smaller() {
        for unit in UNITS {
            let Some(minor) = unit.minor else { continue };
            let small = find(minor).unwrap();
            assert_eq!(small.shown(), minor);
        }
    }

    #[test]
    fn a_conversion_comes_back() {
        // NIST SP 811 (2008) appendix B.8, from memory: 1 lbf in = 0.1129848 N m;
        // 1 kcmil = 0.5067075 mm2; 212 F = 100 C.
        assert!((POUND_FORCE_INCH.to_own(1.0) - 0.112_984_8).abs() < 5e-8);
        assert!((KILO_CIRCULAR_MIL.to_own(1.0) - 0.506_707_5).abs() < 5e-8);
        assert!((FAHRENHEIT.to_own(212.0) - 100.0).abs() < 1e-12);
        assert!((FAHRENHEIT.of_own(100.0) - 212.0).abs() < 1e-12);
    }
}
