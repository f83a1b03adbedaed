//! A sheet that lines, areas and words are put on, one point a unit. Every word that goes in is
//! escaped here; every mark carries its tone as a rule for screens and as a value for print.
//!
//! Lines follow the practice of technical drawing (ISO 128-2, from memory): two widths, one twice the
//! other; hidden edges dashed; where something is only thought to be, long dashes with dots. Lengths of
//! dashes are multiples of the width of the line.

use std::fmt::Write as _;

use crate::label::TYPEFACE;
use crate::speech::Speech;
use crate::svg::{Anchor, Rect, escaped};
use crate::tone::{Tone, style};

/// Narrow lines, points (0.25 mm).
pub(crate) const NARROW: f64 = 0.7;
/// Wide lines, points (0.5 mm).
pub(crate) const WIDE: f64 = 1.4;
/// Words, points. No word is smaller.
pub(crate) const TEXT: f64 = 9.0;
/// From one line of words to the next, points.
pub(crate) const LINE: f64 = 11.5;
/// Headings, points.
pub(crate) const HEADING: f64 = 12.5;
/// Width of a sheet, points: what fits between the margins of A4 and of letter paper.
pub(crate) const SHEET: f64 = 500.0;
/// What stays free around a sheet, points.
pub(crate) const MARGIN: f64 = 12.0;

/// How a line is broken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Dashes {
    /// Not at all.
    Whole,
    /// Hidden edges: dashes.
    Hidden,
    /// What is thought, not seen: long dashes and dots.
    Chain,
    /// Something else that has to be told apart: dots.
    Dots,
}

/// How a line is drawn.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pen {
    pub(crate) tone: Tone,
    pub(crate) width: f64,
    pub(crate) dashes: Dashes,
}

impl Pen {
    pub(crate) const fn narrow(tone: Tone) -> Pen {
        Pen { tone, width: NARROW, dashes: Dashes::Whole }
    }

    pub(crate) const fn wide(tone: Tone) -> Pen {
        Pen { tone, width: WIDE, dashes: Dashes::Whole }
    }

    pub(crate) const fn broken(self, dashes: Dashes) -> Pen {
        Pen { dashes, ..self }
    }
}

/// What an area is filled with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Fill {
    /// Nothing.
    Open,
    /// A tone.
    Flat(Tone),
    /// A tone through which what lies under it can be seen.
    Glass(Tone),
    /// Slanting lines.
    Hatch,
    /// Slanting lines in the tone of danger.
    DangerHatch,
}

/// One line of words.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Words<'a> {
    pub(crate) at: (f64, f64),
    pub(crate) size: f64,
    pub(crate) tone: Tone,
    pub(crate) anchor: Anchor,
    pub(crate) weight: u16,
    pub(crate) text: &'a str,
}

/// What a screen reader says, and what a program can take hold of.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Told<'a> {
    /// What sort of drawing it is, for programs.
    pub(crate) kind: &'a str,
    pub(crate) title: &'a str,
    pub(crate) description: &'a str,
}

/// The sheet, growing.
#[derive(Debug, Default)]
pub(crate) struct Paper {
    body: String,
    /// The words of the drawing itself.
    pub(crate) speech: Speech,
}

impl Paper {
    /// A sheet whose own words are told so.
    pub(crate) fn speaking(speech: &Speech) -> Paper {
        Paper { body: String::new(), speech: speech.clone() }
    }

    /// A word of the drawing itself.
    pub(crate) fn say(&self, english: &str) -> String {
        self.speech.say(english).to_owned()
    }

    /// Begins a group of marks that belong together, with its data: names without `data-`.
    pub(crate) fn begin(&mut self, class: &str, data: &[(&str, &str)]) {
        let _ = write!(self.body, "<g class=\"{class}\"");
        for (name, value) in data {
            let _ = write!(self.body, " data-{name}=\"{}\"", escaped(value));
        }
        self.body.push_str(">\n");
    }

    /// The same for marks that have words of their own: who points at them reads these, and who cannot
    /// see them is told.
    pub(crate) fn begin_named(&mut self, class: &str, data: &[(&str, &str)], title: &str) {
        self.begin(class, data);
        if !title.is_empty() {
            let _ = writeln!(self.body, "<title>{}</title>", escaped(title));
        }
    }

    /// Ends the group begun last.
    pub(crate) fn end(&mut self) {
        self.body.push_str("</g>\n");
    }

    pub(crate) fn rect(&mut self, rect: Rect, fill: Fill, pen: Option<Pen>) {
        let Rect { x, y, w, h } = rect;
        let look = look(fill, pen);
        let _ = writeln!(
            self.body,
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"{look}/>",
            short(x),
            short(y),
            short(w),
            short(h)
        );
    }

    pub(crate) fn line(&mut self, points: &[(f64, f64)], pen: Pen) {
        self.path(points, "", Fill::Open, Some(pen));
    }

    pub(crate) fn area(&mut self, points: &[(f64, f64)], fill: Fill, pen: Option<Pen>) {
        self.path(points, "Z", fill, pen);
    }

    fn path(&mut self, points: &[(f64, f64)], end: &str, fill: Fill, pen: Option<Pen>) {
        if points.len() < 2 {
            return;
        }
        let mut d = String::new();
        for (k, (x, y)) in points.iter().enumerate() {
            let command = if k == 0 { "M" } else { " L" };
            let _ = write!(d, "{command}{} {}", short(*x), short(*y));
        }
        let _ = writeln!(self.body, "<path d=\"{d}{end}\"{}/>", look(fill, pen));
    }

    pub(crate) fn circle(&mut self, at: (f64, f64), radius: f64, fill: Fill, pen: Option<Pen>) {
        let _ = writeln!(
            self.body,
            "<circle cx=\"{}\" cy=\"{}\" r=\"{}\"{}/>",
            short(at.0),
            short(at.1),
            short(radius),
            look(fill, pen)
        );
    }

    /// A filled arrow head whose tip is at a point, pointing away from another.
    pub(crate) fn arrow_head(&mut self, tip: (f64, f64), from: (f64, f64), tone: Tone) {
        const LONG: f64 = 5.5;
        const HALF: f64 = 2.4;
        let length = (tip.0 - from.0).hypot(tip.1 - from.1);
        if length <= 0.0 {
            return;
        }
        let (ux, uy) = ((tip.0 - from.0) / length, (tip.1 - from.1) / length);
        let back = (tip.0 - LONG * ux, tip.1 - LONG * uy);
        let wing = |side: f64| (back.0 - side * HALF * uy, back.1 + side * HALF * ux);
        self.area(&[tip, wing(1.0), wing(-1.0)], Fill::Flat(tone), None);
    }

    pub(crate) fn words(&mut self, words: &Words<'_>) {
        let Words { at: (x, y), size, tone, anchor, weight, text } = *words;
        let anchor = match anchor {
            Anchor::Start => "",
            Anchor::Middle => " text-anchor=\"middle\"",
            Anchor::End => " text-anchor=\"end\"",
        };
        let weight =
            if weight == 400 { String::new() } else { format!(" font-weight=\"{weight}\"") };
        let _ = writeln!(
            self.body,
            "<text x=\"{}\" y=\"{}\" font-size=\"{size}\"{weight}{anchor} class=\"f-{}\" fill=\"{}\">{}</text>",
            short(x),
            short(y),
            tone.name(),
            tone.on_light(),
            escaped(text)
        );
    }

    /// One line of plain words; the usual size.
    pub(crate) fn text(&mut self, at: (f64, f64), anchor: Anchor, tone: Tone, text: &str) {
        self.words(&Words { at, size: TEXT, tone, anchor, weight: 400, text });
    }

    /// A number in a circle.
    pub(crate) fn badge(&mut self, at: (f64, f64), radius: f64, number: usize) {
        self.circle(at, radius, Fill::Flat(Tone::Ground), Some(Pen::narrow(Tone::Ink)));
        let at = (at.0, at.1 + 0.36 * TEXT);
        let text = number.to_string();
        let (anchor, weight) = (Anchor::Middle, 700);
        self.words(&Words { at, size: TEXT, tone: Tone::Ink, anchor, weight, text: &text });
    }

    /// The whole file.
    pub(crate) fn finish(self, width: f64, height: f64, told: &Told<'_>) -> String {
        let Told { kind, title, description } = told;
        let (ground, ink) = (Tone::Ground.on_light(), Tone::Ink.on_light());
        let danger = Tone::Danger.on_light();
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"drawing\" data-drawing=\"{kind}\" \
             width=\"{width:.0}pt\" height=\"{height:.0}pt\" viewBox=\"0 0 {width:.0} {height:.0}\" \
             font-family=\"{TYPEFACE}\" role=\"graphics-document document\">\n\
             <title>{}</title>\n<desc>{}</desc>\n{}\
             <defs><pattern id=\"hatch\" width=\"5\" height=\"5\" patternUnits=\"userSpaceOnUse\" \
             patternTransform=\"rotate(45)\"><rect width=\"1.2\" height=\"5\" class=\"f-ink\" fill=\"{ink}\"/></pattern>\
             <pattern id=\"danger-hatch\" width=\"4\" height=\"4\" patternUnits=\"userSpaceOnUse\" \
             patternTransform=\"rotate(45)\"><rect width=\"1.4\" height=\"4\" class=\"f-danger\" fill=\"{danger}\"/>\
             </pattern></defs>\n\
             <rect width=\"{width:.0}\" height=\"{height:.0}\" class=\"f-ground\" fill=\"{ground}\"/>\n{}</svg>\n",
            escaped(title),
            escaped(description),
            style(),
            self.body
        )
    }
}

/// Class and attributes of a mark.
fn look(fill: Fill, pen: Option<Pen>) -> String {
    let mut class = String::new();
    let mut rest = String::new();
    match fill {
        Fill::Open => rest.push_str(" fill=\"none\""),
        Fill::Flat(tone) | Fill::Glass(tone) => {
            let _ = write!(class, "f-{}", tone.name());
            let _ = write!(rest, " fill=\"{}\"", tone.on_light());
            if matches!(fill, Fill::Glass(_)) {
                rest.push_str(" fill-opacity=\"0.55\"");
            }
        }
        Fill::Hatch => rest.push_str(" fill=\"url(#hatch)\""),
        Fill::DangerHatch => rest.push_str(" fill=\"url(#danger-hatch)\""),
    }
    if let Some(Pen { tone, width, dashes }) = pen {
        let _ = write!(class, " s-{}", tone.name());
        let _ = write!(rest, " stroke=\"{}\" stroke-width=\"{width}\"", tone.on_light());
        let pattern: &[f64] = match dashes {
            Dashes::Whole => &[],
            // Half of the lengths of the standard: its dashes are for sheets of a metre.
            Dashes::Hidden => &[6.0, 3.0],
            Dashes::Chain => &[12.0, 3.0, 1.0, 3.0],
            Dashes::Dots => &[1.0, 3.0],
        };
        if !pattern.is_empty() {
            let lengths: Vec<String> = pattern.iter().map(|part| short(part * width)).collect();
            let _ = write!(rest, " stroke-dasharray=\"{}\"", lengths.join(" "));
        }
    }
    let class = class.trim();
    if class.is_empty() { rest } else { format!(" class=\"{class}\"{rest}") }
}

/// A length to a hundredth of a point, without idle zeros.
fn short(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}
