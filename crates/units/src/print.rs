//! The one formatter: a value becomes text, rounded once to three significant digits, with a unit
//! a technician would write. Knows neither columns nor languages.
//!
//! Exceptions to three digits: money keeps its cents; times from one to ten hours are whole minutes
//! (`1 h 20 min`); in [`System::Us`] an area within 3 % of a gauge is printed as that gauge.

use crate::awg::Gauge;
use crate::dimension::Dimension;
use crate::money::amount_text;
use crate::quantity::SquareMillimetre;
use crate::symbol::{Conversion, FAHRENHEIT, FOOT, INCH, POUND, POUND_FORCE_INCH};

/// Which units a reader wants.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum System {
    /// Metres, square millimetres, degrees Celsius, newton metres, kilograms.
    #[default]
    Metric,
    /// Feet and inches, wire gauges, degrees Fahrenheit, pound-force inches, pounds, pounds-force.
    Us,
}

/// Which signs may be printed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Charset {
    /// `Ω`, `mm²`, `°C`, `N·m`.
    #[default]
    Unicode,
    /// `Ohm`, `mm2`, `deg C`, `N m`.
    Ascii,
}

/// How far a gauge's area may be from an area that is printed as that gauge.
pub const GAUGE_TOLERANCE: f64 = 0.03;

/// What is printed for a value that is no number or has no end.
pub const NO_NUMBER: &str = "no number";

/// The value as text with its unit, in Unicode signs. `si` is in the unit the [`Dimension`] names.
#[must_use]
pub fn format(si: f64, dimension: Dimension, system: System) -> String {
    format_with(si, dimension, system, Charset::Unicode)
}

/// The value as text with its unit, in the wished signs. `si` is in the unit the [`Dimension`]
/// names. What is printed can be read back by [`crate::parse()`], within half a unit of the
/// third digit, unless rounding carried it over the edge of the believable range.
#[must_use]
pub fn format_with(si: f64, dimension: Dimension, system: System, charset: Charset) -> String {
    if !si.is_finite() {
        return NO_NUMBER.to_owned();
    }
    let text = match dimension {
        Dimension::Money => money(si),
        Dimension::Minutes => minutes(si),
        Dimension::Area => area(si, system),
        _ => with_scale(si, scale(si, dimension, system), significant(si, dimension)),
    };
    match charset {
        Charset::Unicode => text,
        Charset::Ascii => ascii(&text),
    }
}

/// The number of a value and its unit as a scale counts in it: metres or feet, degrees Celsius or
/// Fahrenheit; what both systems share as it is. Nothing is rounded. `si` is in the unit the
/// [`Dimension`] names.
#[must_use]
pub fn in_unit(si: f64, dimension: Dimension, system: System) -> (f64, &'static str) {
    let (conversion, unit) = match (dimension, system) {
        (Dimension::Length, System::Us) => (Some(FOOT), "ft"),
        (Dimension::Length, System::Metric) => (None, "m"),
        (Dimension::Temperature, System::Us) => (Some(FAHRENHEIT), "°F"),
        (Dimension::Temperature, System::Metric) => (None, "°C"),
        _ => (None, ""),
    };
    (conversion.map_or(si, |conversion| conversion.of_own(si)), unit)
}

/// A force in pounds-force, as text with its unit.
pub(crate) fn pounds_force(newtons: f64) -> String {
    if !newtons.is_finite() {
        return NO_NUMBER.to_owned();
    }
    let lbf = crate::imperial::lbf_from_n(newtons);
    with_scale(lbf, metric(&[(0, " lbf")]), USUAL_DIGITS)
}

/// A prefixed unit: power of ten over the base unit, and symbol with the space before it.
type Step = (i32, &'static str);

/// How a dimension is shown: a conversion out of its own unit, then steps of ten, smallest first.
struct Scale {
    conversion: Option<Conversion>,
    steps: &'static [Step],
}

const fn metric(steps: &'static [Step]) -> Scale {
    Scale { conversion: None, steps }
}

const fn converted(conversion: Conversion, steps: &'static [Step]) -> Scale {
    Scale { conversion: Some(conversion), steps }
}

fn scale(si: f64, dimension: Dimension, system: System) -> Scale {
    match (dimension, system) {
        (Dimension::Length, System::Us) => us_length(si),
        (Dimension::Temperature, System::Us) => converted(FAHRENHEIT, &[(0, " °F")]),
        (Dimension::Torque, System::Us) => converted(POUND_FORCE_INCH, &[(0, " lbf·in")]),
        (Dimension::Mass, System::Us) => converted(POUND, &[(0, " lb")]),
        (Dimension::Voltage, _) => metric(&[(-3, " mV"), (0, " V")]),
        (Dimension::Current, _) => metric(&[(-3, " mA"), (0, " A"), (3, " kA")]),
        (Dimension::Resistance, _) => metric(&[(-3, " mΩ"), (0, " Ω"), (3, " kΩ"), (6, " MΩ")]),
        (Dimension::Power, _) => metric(&[(0, " W"), (3, " kW")]),
        (Dimension::Capacitance, _) => metric(&[(-6, " µF"), (-3, " mF"), (0, " farad")]),
        (Dimension::Energy, _) => metric(&[(0, " Wh"), (3, " kWh")]),
        (Dimension::Charge, _) => metric(&[(0, " Ah")]),
        (Dimension::Length, System::Metric) => metric(&[(-3, " mm"), (0, " m")]),
        (Dimension::Area, _) => metric(&[(0, " mm²")]),
        (Dimension::Temperature, System::Metric) => metric(&[(0, " °C")]),
        (Dimension::Torque, System::Metric) => metric(&[(0, " N·m")]),
        (Dimension::Mass, System::Metric) => metric(&[(0, " kg")]),
        (Dimension::Minutes, _) => metric(&[(0, " min")]),
        (Dimension::Seconds, _) => metric(&[(-3, " ms"), (0, " s")]),
        (Dimension::Irradiance, _) => metric(&[(0, " W/m²")]),
        (Dimension::Fraction, _) => metric(&[(-2, " %")]),
        (Dimension::RotationalSpeed, _) => metric(&[(0, " rpm")]),
        (Dimension::Money | Dimension::Number, _) => metric(&[(0, "")]),
    }
}

/// Inches below a foot, feet from there on.
fn us_length(si: f64) -> Scale {
    if rounded(INCH.of_own(si)).abs() < 12.0 {
        converted(INCH, &[(0, " in")])
    } else {
        converted(FOOT, &[(0, " ft")])
    }
}

/// Digits printed. House voltages get four, so that 12.45 V and 12.64 V, half full and full, can be
/// told apart; everything else three.
fn significant(si: f64, dimension: Dimension) -> usize {
    let house_side = (10.0..100.0).contains(&si.abs());
    if dimension == Dimension::Voltage && house_side { 4 } else { USUAL_DIGITS }
}

/// Significant digits of what has no reason for more.
const USUAL_DIGITS: usize = 3;

fn with_scale(si: f64, scale: Scale, significant: usize) -> String {
    let value = scale.conversion.map_or(si, |conversion| conversion.of_own(si));
    let digits = Digits::of(value, significant);
    let smallest = scale.steps.first().copied().unwrap_or((0, ""));
    let base = scale.steps.iter().copied().find(|step| step.0 == 0).unwrap_or(smallest);
    let (power, symbol) = if digits.is_zero() {
        base
    } else {
        scale.steps.iter().rev().copied().find(|step| step.0 <= digits.power).unwrap_or(smallest)
    };
    std::format!("{}{symbol}", digits.over(power))
}

fn area(si: f64, system: System) -> String {
    match (system, Gauge::nearest(SquareMillimetre::new(si))) {
        (System::Us, Some((gauge, off))) if off.abs() <= GAUGE_TOLERANCE => gauge.to_string(),
        _ => with_scale(si, scale(si, Dimension::Area, system), USUAL_DIGITS),
    }
}

/// Below one hour minutes, below ten hours hours and whole minutes, then hours.
fn minutes(si: f64) -> String {
    let whole = si.round();
    if rounded(si).abs() < 60.0 {
        with_scale(si, scale(si, Dimension::Minutes, System::Metric), USUAL_DIGITS)
    } else if whole.abs() < 600.0 {
        let sign = if whole < 0.0 { "-" } else { "" };
        let (hours, rest) = ((whole.abs() / 60.0).floor(), whole.abs() % 60.0);
        if rest < 0.5 {
            std::format!("{sign}{hours} h")
        } else {
            std::format!("{sign}{hours} h {rest} min")
        }
    } else {
        std::format!("{} h", Digits::of(si / 60.0, USUAL_DIGITS).over(0))
    }
}

/// Cents as an amount. A value beyond what cents can hold is no number of cents.
fn money(cents: f64) -> String {
    let whole = cents.round();
    if whole.abs() > crate::dimension::MAX_MONEY_CENTS {
        return NO_NUMBER.to_owned();
    }
    #[allow(clippy::cast_possible_truncation, reason = "bounded by the line above, and whole")]
    let whole = whole as i64;
    amount_text(whole)
}

fn ascii(text: &str) -> String {
    text.replace('Ω', "Ohm")
        .replace('µ', "u")
        .replace('²', "2")
        .replace("°", "deg ")
        .replace('·', " ")
}

/// The value rounded as it will be printed.
fn rounded(value: f64) -> f64 {
    std::format!("{value:.2e}").parse().unwrap_or(value)
}

/// A few significant decimal digits: `d.dd x 10^power`.
struct Digits {
    negative: bool,
    digits: String,
    power: i32,
}

impl Digits {
    fn of(value: f64, significant: usize) -> Self {
        let text = std::format!("{:.1$e}", value.abs(), significant.saturating_sub(1));
        let (mantissa, power) = text.split_once('e').unwrap_or((&text, "0"));
        let digits: String = mantissa.chars().filter(char::is_ascii_digit).collect();
        let digits = digits.trim_end_matches('0').to_owned();
        Self {
            negative: value < 0.0 && !digits.is_empty(),
            digits,
            power: power.parse().unwrap_or(0),
        }
    }

    const fn is_zero(&self) -> bool {
        self.digits.is_empty()
    }

    /// The digits in units of `10^power`, without trailing zeros; with an exponent where plain
    /// digits would run long.
    fn over(&self, power: i32) -> String {
        if self.is_zero() {
            return "0".to_owned();
        }
        let sign = if self.negative { "-" } else { "" };
        let point = self.power - power;
        let text = match usize::try_from(point) {
            Ok(places) if places < MAX_PLAIN_DIGITS => before_point(&self.digits, places + 1),
            Err(_) if point > -MAX_LEADING_ZEROS => {
                let zeros = usize::try_from(-point - 1).unwrap_or(0);
                std::format!("0.{}{}", "0".repeat(zeros), self.digits)
            }
            _ => std::format!("{}e{point}", before_point(&self.digits, 1)),
        };
        sign.to_owned() + &text
    }
}

const MAX_PLAIN_DIGITS: usize = 9;
const MAX_LEADING_ZEROS: i32 = 6;

/// `digits` with `places` of them before the point.
fn before_point(digits: &str, places: usize) -> String {
    match digits.split_at_checked(places) {
        Some((whole, "")) => whole.to_owned(),
        Some((whole, rest)) => std::format!("{whole}.{rest}"),
        None => std::format!("{digits:0<places$}"),
    }
}

#[cfg(test)]
mod tests;
