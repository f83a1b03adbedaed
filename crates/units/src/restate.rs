//! Sentences that hold printed quantities, told in the other system of units: `at most 178 mm` becomes
//! `at most 7.01 in`. Finds what [`crate::format`] prints, and nothing a person would have to guess.
//! Knows no languages: words around the quantities stay as they are.
//!
//! A value is rounded when it is printed and once more when it is told anew, so it may be off by one
//! unit of its third digit.

use crate::dimension::Dimension;
use crate::parse::parse;
use crate::print::{System, format, pounds_force};

/// What is told anew, by the unit it was printed in. Longer spellings stand before their beginnings.
const UNITS: [(&str, Kind); 11] = [
    ("mm²", Kind::Of(Dimension::Area)),
    ("mm2", Kind::Of(Dimension::Area)),
    ("mm", Kind::Of(Dimension::Length)),
    ("cm", Kind::Of(Dimension::Length)),
    ("m", Kind::Of(Dimension::Length)),
    ("°C", Kind::Of(Dimension::Temperature)),
    ("N·m", Kind::Of(Dimension::Torque)),
    ("kg", Kind::Of(Dimension::Mass)),
    ("kN", Kind::Force(1000.0)),
    ("N", Kind::Force(1.0)),
    ("K", Kind::Rise),
];

/// What a unit counts.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Kind {
    /// Something that is read and printed everywhere.
    Of(Dimension),
    /// A force, which is printed in few places and never read; newtons in the unit.
    Force(f64),
    /// A difference of temperatures, in kelvins.
    Rise,
}

/// What stands in brackets behind a metric value where a text gives both.
const OTHER_SYSTEM: [&str; 6] = ["in", "ft", "AWG", "°F", "lb", "lbf"];

/// The text with every metric quantity of a length, area, temperature, torque, mass or force told in
/// `system`. In [`System::Metric`] the text as it is. Kelvins are differences of temperatures.
///
/// Where the text gives both (`178 mm (7 in)`), the two change places. A spread (`20 °C ± 2 °C`) of a
/// temperature is a difference: it is scaled, not shifted.
#[must_use]
pub fn restate(text: &str, system: System) -> String {
    if system == System::Metric {
        return text.to_owned();
    }
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    let mut before = None;
    while let Some(first) = rest.chars().next() {
        match quantity_at(rest, before) {
            Some(found) => {
                out.push_str(&found.told(text, text.len() - rest.len(), system));
                before = rest[..found.length].chars().next_back();
                rest = &rest[found.length..];
            }
            None => {
                out.push(first);
                before = Some(first);
                rest = &rest[first.len_utf8()..];
            }
        }
    }
    out
}

/// A quantity found in a text.
struct Quantity<'t> {
    /// The quantity as it stands there.
    words: &'t str,
    kind: Kind,
    /// The same in the other system, where it stands in brackets behind.
    other: Option<&'t str>,
    /// Bytes it takes up, brackets included.
    length: usize,
}

impl Quantity<'_> {
    fn told(&self, text: &str, at: usize, system: System) -> String {
        if let Some(other) = self.other {
            return std::format!("{other} ({})", self.words);
        }
        let dimension = match self.kind {
            Kind::Of(dimension) => dimension,
            Kind::Force(newtons) => {
                return self
                    .number()
                    .map_or_else(|| self.words.to_owned(), |n| pounds_force(n * newtons));
            }
            Kind::Rise => {
                return self
                    .number()
                    .map_or_else(|| self.words.to_owned(), |n| spread_of_temperature(n, system));
            }
        };
        let Ok(si) = parse(self.words, dimension) else { return self.words.to_owned() };
        let is_spread = text[..at].trim_end().ends_with('±');
        if is_spread && dimension == Dimension::Temperature {
            return spread_of_temperature(si, system);
        }
        format(si, dimension, system)
    }

    /// The number alone.
    fn number(&self) -> Option<f64> {
        let number = &self.words[..number_length(self.words).unwrap_or_default()];
        number.replace('−', "-").parse().ok()
    }
}

/// A difference of temperatures: what the two ends differ by in the other system.
fn spread_of_temperature(kelvin: f64, system: System) -> String {
    let degrees = |celsius: f64| {
        let printed = format(celsius, Dimension::Temperature, system);
        printed.split(' ').next().and_then(|number| number.parse::<f64>().ok())
    };
    let unit = format(0.0, Dimension::Temperature, system);
    let unit = unit.split(' ').nth(1).unwrap_or_default();
    match (degrees(kelvin), degrees(0.0)) {
        (Some(end), Some(start)) => std::format!("{} {unit}", end - start),
        _ => std::format!("{kelvin} °C"),
    }
}

/// A quantity at the beginning of a text, unless the number is the tail of a name or of another one.
fn quantity_at(rest: &str, before: Option<char>) -> Option<Quantity<'_>> {
    let within = |c: char| c.is_alphanumeric() || matches!(c, '.' | '-' | '−' | '_' | '/' | '#');
    if before.is_some_and(within) {
        return None;
    }
    let number = number_length(rest)?;
    let gap = rest[number..].strip_prefix([' ', '\u{a0}'])?;
    let unit_at = rest.len() - gap.len();
    let (unit, kind) = UNITS.iter().find(|(unit, _)| is_unit(gap, unit))?;
    let end = unit_at + unit.len();
    let words = &rest[..end];
    match bracketed(&rest[end..]) {
        Some((other, length)) => {
            Some(Quantity { words, kind: *kind, other: Some(other), length: end + length })
        }
        None => Some(Quantity { words, kind: *kind, other: None, length: end }),
    }
}

/// The unit stands there and the word ends with it.
fn is_unit(text: &str, unit: &str) -> bool {
    let more = |c: char| c.is_alphanumeric() || matches!(c, '²' | '³' | '/' | '·' | '_' | '-');
    text.strip_prefix(unit).is_some_and(|after| !after.chars().next().is_some_and(more))
}

/// ` (7 in)`: the quantity inside, and the length of the whole.
fn bracketed(text: &str) -> Option<(&str, usize)> {
    let inside = text.strip_prefix(" (")?;
    let close = inside.find(')')?;
    let words = &inside[..close];
    let unit = words[fraction_length(words)?..].strip_prefix(' ')?;
    OTHER_SYSTEM.contains(&unit).then_some((words, 2 + close + 1))
}

/// Bytes of a number or a fraction (`1/2`), as inches are written.
fn fraction_length(text: &str) -> Option<usize> {
    let number = number_length(text)?;
    let below = text[number..].strip_prefix('/').and_then(number_length);
    Some(number + below.map_or(0, |below| 1 + below))
}

/// Bytes of a plain decimal number with an optional sign.
fn number_length(text: &str) -> Option<usize> {
    let sign = text.len() - text.trim_start_matches(['-', '−']).len();
    let digits =
        |text: &str| text.len() - text.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let whole = digits(&text[sign..]);
    if whole == 0 {
        return None;
    }
    let end = sign + whole;
    let part = text[end..].strip_prefix('.').map_or(0, digits);
    Some(if part == 0 { end } else { end + 1 + part })
}

#[cfg(test)]
mod tests {
    //! Pairs of values: NIST Special Publication 811 (2008), appendix B.8, for the inch, foot, pound and
    //! pound-force inch; ASTM B258 for gauges (6 AWG is 13.3 mm²); all from memory.

    use super::*;

    fn us(text: &str) -> String {
        restate(text, System::Us)
    }

    #[test]
    fn quantities_in_a_sentence_are_told_in_the_other_system() {
        for (metric, told) in [
            ("fed from house for 1.524 m", "fed from house for 5 ft"),
            ("within 254 mm of the battery", "within 10 in of the battery"),
            ("13.3 mm², 105 °C", "6 AWG, 221 °F"),
            ("house, 45.4 kg, is held", "house, 100 lb, is held"),
            ("tighten to 11.3 N·m.", "tighten to 100 lbf·in."),
            ("(2.54 cm)", "(1 in)"),
            ("air at -40 °C", "air at -40 °F"),
            ("rated 445 N, pulls 4.45 kN at 20 g", "rated 100 lbf, pulls 1000 lbf at 20 g"),
        ] {
            assert_eq!(us(metric), told);
            assert_eq!(restate(metric, System::Metric), metric);
        }
    }

    #[test]
    fn a_spread_of_temperature_is_scaled_and_not_shifted() {
        assert_eq!(us("20 °C ± 5 °C"), "68 °F ± 9 °F");
        assert_eq!(us("a rise past 150 K if it lasts"), "a rise past 270 °F if it lasts");
        assert_eq!(us("at most 45 K above"), "at most 81 °F above");
        assert_eq!(us("1.524 m ± 30.5 mm"), "5 ft ± 1.2 in");
    }

    #[test]
    fn a_text_that_gives_both_lets_them_change_places() {
        assert_eq!(us("within 178 mm (7 in) of the source"), "within 7 in (178 mm) of the source");
        assert_eq!(us("at least 12.7 mm (1/2 in) apart"), "at least 1/2 in (12.7 mm) apart");
        assert_eq!(us("at most 45 K (81 °F) of rise"), "at most 81 °F (45 K) of rise");
        assert_eq!(us("16 mm² (told)"), "16 mm² (told)", "no gauge within 3 %");
    }

    #[test]
    fn what_is_no_quantity_stays() {
        for text in [
            "w12 m",
            "house.2 m",
            "12.4 V and 5 A",
            "800 W/m²",
            "5 min in, 7 min back",
            "3 m/s",
            "20 Kg",
            "box way 3 makes 4 more",
            "10 mm2x",
            "5 NO",
            "230 V, N and L",
            "",
            "±",
            "1.2.3 m",
        ] {
            assert_eq!(us(text), text);
        }
    }
}
