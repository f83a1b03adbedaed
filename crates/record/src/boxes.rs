//! Boxes: `forward 1.2 to 1.8 m, left -0.3 to 0.4 m, up 0 to 80 cm`, each axis once.

use diag::Diagnostic;
use model::{Cuboid, Direction, Fact, Place};
use units::{Dimension, Metre};

use crate::fact_text::{Stated, stated};
use crate::names;
use crate::reader::Reader;
use crate::text::Words;
use crate::tree::Value;

const EXAMPLE: &str = "write `forward 1.2 to 1.8 m, left -0.3 to 0.4 m, up 0 to 80 cm`";

impl Reader<'_> {
    /// The box of a thing, if one is written.
    pub(crate) fn space(&mut self, value: Option<&Value<'_>>, place: Place) -> Fact<Cuboid> {
        let Some(value) = value else { return Fact::Unknown };
        self.sources.set_field(place, "box", value.span());
        self.cuboid(value)
    }

    pub(crate) fn cuboid(&mut self, value: &Value<'_>) -> Fact<Cuboid> {
        let Some(words) = self.text_of(value) else { return Fact::Unknown };
        let bare = self.bare.clone();
        let Some(Stated { value: words, origin, .. }) = stated(words, &bare) else {
            return Fact::Unknown;
        };
        let mut axes: [Option<(Metre, Metre)>; 3] = [None; 3];
        let mut whole = true;
        for piece in self.pieces(words, ",").unwrap_or_default() {
            match self.axis(piece) {
                Some((direction, range)) if axes[direction.axis()].is_none() => {
                    axes[direction.axis()] = Some(range);
                }
                Some((direction, _)) => {
                    let message =
                        format!("the box says twice where it is along `{}`", direction.word());
                    self.report(Diagnostic::error("box", message, piece.span()).help(EXAMPLE));
                    whole = false;
                }
                None => whole = false,
            }
        }
        match axes {
            [Some(forward), Some(left), Some(up)] => Fact::known(
                Cuboid { low: [forward.0, left.0, up.0], high: [forward.1, left.1, up.1] },
                origin,
            ),
            _ => {
                if whole {
                    let message =
                        "a box needs all three: forward or back, left or right, up or down";
                    self.report(Diagnostic::error("box", message, words.span()).help(EXAMPLE));
                }
                Fact::Unknown
            }
        }
    }

    /// `left -0.3 to 0.4 m`: low and high along the axis, whichever way it was written.
    fn axis(&mut self, piece: Words<'_>) -> Option<(Direction, (Metre, Metre))> {
        let word = piece.text.split(' ').next().unwrap_or("");
        let Some(direction) = Direction::ALL.into_iter().find(|known| known.word() == word) else {
            let message = format!("`{}` is no direction of a box", names::shown(word));
            let fault = Diagnostic::error("box", message, piece.slice(0, word.len()).span());
            let known = Direction::ALL.map(Direction::word);
            self.faults.suggest(fault, word, known, EXAMPLE);
            return None;
        };
        let range = piece.slice(word.len(), piece.text.len()).trim();
        let Some((low, high)) = range.split_once(" to ") else {
            let message = "a box goes from one place to another";
            self.report(Diagnostic::error("box", message, range.span()).help(EXAMPLE));
            return None;
        };
        let (low_m, high_m) =
            (self.end_of_range(low, high)?, self.number(high, Dimension::Length)?);
        if low_m >= high_m {
            let message = if low_m > high_m {
                "the box ends before it begins"
            } else {
                "the box has no size this way"
            };
            self.report(Diagnostic::error("box", message, range.span()).help(
                "write the smaller figure first; a thin panel has its thickness: `0 to 12 mm`",
            ));
            return None;
        }
        let (low, high) = if direction.is_positive() { (low_m, high_m) } else { (-high_m, -low_m) };
        Some((direction, (Metre::from_si(low), Metre::from_si(high))))
    }

    /// The first figure may leave its unit to the second.
    fn end_of_range(&mut self, low: Words<'_>, high: Words<'_>) -> Option<f64> {
        let has_unit = low.text.ends_with(|c: char| !c.is_ascii_digit());
        let unit = high.text.trim_start_matches(|c: char| !c.is_alphabetic() && !c.is_whitespace());
        if has_unit || unit.contains(|c: char| c.is_ascii_digit()) {
            return self.number(low, Dimension::Length);
        }
        if low.text.parse::<f64>() == Ok(0.0) {
            return Some(0.0);
        }
        let text = format!("{}{unit}", low.text);
        self.number(Words::at(&text, low.span()), Dimension::Length)
    }
}
