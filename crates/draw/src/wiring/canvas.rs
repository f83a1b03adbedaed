//! The elements of a wiring drawing. Everything carries its tone as a class for screens and as a value
//! for print (see `tone`), so that a page can turn the drawing dark; nothing is told by colour alone.

use std::fmt::Write as _;

use super::input::{Mark, Signal};
use crate::tone::Tone;

/// Fill and ink of a signal word: the safety colours of ISO 3864-4, as in the report.
pub(super) fn colours(signal: Signal) -> (&'static str, &'static str) {
    match signal {
        Signal::Danger => ("#9b2423", "#ffffff"),
        Signal::Warning => ("#d05d29", "#000000"),
        Signal::Caution => ("#f9a800", "#000000"),
        Signal::Notice => ("#005387", "#ffffff"),
    }
}

/// The signal word.
pub(super) fn word(signal: Signal) -> &'static str {
    match signal {
        Signal::Danger => "DANGER",
        Signal::Warning => "WARNING",
        Signal::Caution => "CAUTION",
        Signal::Notice => "NOTICE",
    }
}

/// How wide a line of words is, points: the widths of a plain grotesque with 6 % to spare.
pub(super) fn width(text: &str, size: f64, weight: Weight) -> f64 {
    let share = |letter: char| match letter {
        'i' | 'j' | 'l' | '\'' | '|' | '.' | ',' | ':' | ';' | ' ' | '!' => 0.29,
        'f' | 't' | 'r' | '-' | '(' | ')' | '/' | 'I' | '[' | ']' => 0.36,
        'm' | 'M' | 'W' | '@' | '%' => 0.92,
        'w' => 0.77,
        'A'..='Z' | '+' | '=' | '~' | '?' => 0.73,
        letter if letter.is_ascii() => 0.585,
        '²' | '…' | '·' | '–' | '—' | '°' => 0.6,
        letter if u32::from(letter) < 0x250 => 0.65,
        _ => 1.05,
    };
    let bold = if weight == Weight::Bold { 1.08 } else { 1.0 };
    bold * size * text.chars().map(share).sum::<f64>()
}

/// Cut so that it fits.
pub(super) fn fitting(text: &str, size: f64, weight: Weight, room: f64) -> String {
    if width(text, size, weight) <= room {
        return text.to_owned();
    }
    let mut kept = String::new();
    for letter in text.chars() {
        kept.push(letter);
        if width(&kept, size, weight) + width("…", size, weight) > room {
            kept.pop();
            break;
        }
    }
    let kept = kept.trim_end_matches([' ', '-', ',']);
    format!("{kept}…")
}

/// In one line, or in two broken between words; the second is cut so that it fits.
pub(super) fn folded(text: &str, size: f64, room: f64) -> Vec<String> {
    if width(text, size, Weight::Plain) <= room {
        return vec![text.to_owned()];
    }
    let mut breaks = text.match_indices(' ').map(|(at, _)| at);
    let fits = |at: &usize| width(&text[..*at], size, Weight::Plain) <= room;
    match breaks.rfind(fits) {
        Some(at) => {
            let rest = fitting(text[at..].trim_start(), size, Weight::Plain, room);
            vec![text[..at].to_owned(), rest]
        }
        None => vec![fitting(text, size, Weight::Plain, room)],
    }
}

/// Weight of words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Weight {
    Plain,
    Bold,
}

/// Where words stand against their point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// What ink.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Ink {
    Full,
    Quiet,
}

impl Ink {
    fn tone(self) -> Tone {
        match self {
            Ink::Full => Tone::Ink,
            Ink::Quiet => Tone::Quiet,
        }
    }
}

/// A line's look.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stroke {
    pub(super) width: f64,
    pub(super) dashes: &'static str,
    pub(super) ink: Ink,
}

impl Stroke {
    pub(super) const fn plain(width: f64) -> Stroke {
        Stroke { width, dashes: "", ink: Ink::Full }
    }

    pub(super) const fn quiet(width: f64) -> Stroke {
        Stroke { width, dashes: "", ink: Ink::Quiet }
    }

    /// Attributes of something with this outline; `fill` is the tone it is filled with.
    fn attributes(&self, fill: Option<Tone>) -> String {
        let tone = self.ink.tone();
        let mut text = match fill {
            Some(fill) => format!(
                " class=\"f-{} s-{}\" fill=\"{}\"",
                fill.name(),
                tone.name(),
                fill.on_light()
            ),
            None => format!(" class=\"s-{}\" fill=\"none\"", tone.name()),
        };
        let _ = write!(text, " stroke=\"{}\"", tone.on_light());
        let _ = write!(text, " stroke-width=\"{}\"", rounded(self.width));
        if !self.dashes.is_empty() {
            let _ = write!(text, " stroke-dasharray=\"{}\"", self.dashes);
        }
        text
    }
}

/// Words on one line; more than one piece where the weight changes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Words<'a> {
    pub(super) at: (f64, f64),
    pub(super) size: f64,
    pub(super) weight: Weight,
    pub(super) anchor: Anchor,
    pub(super) ink: Ink,
    pub(super) text: &'a str,
}

/// Elements, growing.
#[derive(Clone, Debug, Default)]
pub(super) struct Canvas {
    pub(super) body: String,
}

impl Canvas {
    /// Opens a group for one element of the vehicle; `title` is what is said of it.
    pub(super) fn open(&mut self, class: &str, id: &str, data: &str, title: &str) {
        let _ = writeln!(
            self.body,
            "<g class=\"{class}\" id=\"{id}\"{data}><title>{}</title>",
            escaped(title)
        );
    }

    /// Opens a group without a name.
    pub(super) fn open_plain(&mut self, class: &str) {
        let _ = writeln!(self.body, "<g class=\"{class}\">");
    }

    pub(super) fn close(&mut self) {
        self.body.push_str("</g>\n");
    }

    pub(super) fn line(&mut self, points: &[(f64, f64)], stroke: Stroke) {
        let mut d = String::new();
        for (k, (x, y)) in points.iter().enumerate() {
            let command = if k == 0 { 'M' } else { 'L' };
            let _ = write!(d, "{command}{} {}", rounded(*x), rounded(*y));
        }
        let _ = writeln!(self.body, "<path d=\"{d}\"{}/>", stroke.attributes(None));
    }

    /// Arcs and curves: path data given whole.
    pub(super) fn curve(&mut self, d: &str, stroke: Stroke) {
        let _ = writeln!(self.body, "<path d=\"{d}\"{}/>", stroke.attributes(None));
    }

    /// A filled shape of straight edges.
    pub(super) fn solid(&mut self, points: &[(f64, f64)]) {
        let mut d = String::new();
        for (k, (x, y)) in points.iter().enumerate() {
            let command = if k == 0 { 'M' } else { 'L' };
            let _ = write!(d, "{command}{} {}", rounded(*x), rounded(*y));
        }
        let _ = writeln!(self.body, "<path d=\"{d}Z\"{}/>", filled(Tone::Ink));
    }

    pub(super) fn rect(&mut self, (x, y): (f64, f64), (w, h): (f64, f64), stroke: Stroke) {
        let _ = writeln!(
            self.body,
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"{}/>",
            rounded(x),
            rounded(y),
            rounded(w),
            rounded(h),
            stroke.attributes(Some(Tone::Ground))
        );
    }

    /// Shade of what is suspected: the more, the darker.
    pub(super) fn shade(&mut self, (x, y): (f64, f64), (w, h): (f64, f64), share: f64) {
        let _ = writeln!(
            self.body,
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" rx=\"2\"{} \
             fill-opacity=\"{:.2}\"/>",
            rounded(x),
            rounded(y),
            rounded(w),
            rounded(h),
            filled(Tone::Ink),
            0.06 + 0.30 * share.clamp(0.0, 1.0)
        );
    }

    pub(super) fn circle(&mut self, (x, y): (f64, f64), radius: f64, stroke: Stroke) {
        let _ = writeln!(
            self.body,
            "<circle cx=\"{}\" cy=\"{}\" r=\"{}\"{}/>",
            rounded(x),
            rounded(y),
            rounded(radius),
            stroke.attributes(Some(Tone::Ground))
        );
    }

    pub(super) fn dot(&mut self, (x, y): (f64, f64), radius: f64) {
        let _ = writeln!(
            self.body,
            "<circle cx=\"{}\" cy=\"{}\" r=\"{}\"{}/>",
            rounded(x),
            rounded(y),
            rounded(radius),
            filled(Tone::Ink)
        );
    }

    pub(super) fn words(&mut self, words: &Words<'_>) {
        self.words_with(words, &[]);
    }

    /// Words of which the first piece is bold.
    pub(super) fn words_with(&mut self, words: &Words<'_>, rest: &[&str]) {
        let Words { at: (x, y), size, weight, anchor, ink, text } = *words;
        let anchor = match anchor {
            Anchor::Start => "",
            Anchor::Middle => " text-anchor=\"middle\"",
            Anchor::End => " text-anchor=\"end\"",
        };
        let weight = if weight == Weight::Bold { " font-weight=\"700\"" } else { "" };
        let _ = write!(
            self.body,
            "<text x=\"{}\" y=\"{}\" font-size=\"{}\"{anchor}{}>",
            rounded(x),
            rounded(y),
            rounded(size),
            filled(ink.tone())
        );
        if rest.is_empty() {
            let _ = write!(self.body, "<tspan{weight}>{}</tspan>", escaped(text));
        } else {
            let _ = write!(self.body, "<tspan font-weight=\"700\">{}</tspan>", escaped(text));
            for piece in rest {
                let _ = write!(self.body, " {}", escaped(piece));
            }
        }
        self.body.push_str("</text>\n");
    }

    /// Words on the colour of a mark; returns how wide it is. On the drawing that is its number, which is
    /// explained below with the signal word.
    pub(super) fn mark(&mut self, (x, y): (f64, f64), mark: Mark, text: &str) -> f64 {
        let (number, text) = (mark.number, escaped(text));
        let (fill, ink) = colours(mark.signal);
        let w = mark_width(&text);
        let _ = writeln!(
            self.body,
            "<g class=\"mark\" data-finding=\"{number}\"><rect x=\"{}\" y=\"{}\" width=\"{}\" \
             height=\"7\" rx=\"1\" fill=\"{fill}\" stroke=\"none\"/><text x=\"{}\" y=\"{}\" font-size=\"{MARK_SIZE}\" \
             font-weight=\"700\" text-anchor=\"middle\" fill=\"{ink}\">{text}</text></g>",
            rounded(x),
            rounded(y),
            rounded(w),
            rounded(x + w / 2.0),
            rounded(y + 5.75)
        );
        w
    }
}

const MARK_SIZE: f64 = 6.2;

/// How wide a mark is.
pub(super) fn mark_width(text: &str) -> f64 {
    width(text, MARK_SIZE, Weight::Bold) + 4.0
}

fn filled(tone: Tone) -> String {
    format!(" class=\"f-{}\" fill=\"{}\"", tone.name(), tone.on_light())
}

/// A number as short as one hundredth of a point allows.
pub(super) fn rounded(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

pub(super) use crate::svg::escaped;
