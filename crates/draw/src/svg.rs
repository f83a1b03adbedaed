//! The few SVG elements the drawings use. Every word that goes in is escaped here and nowhere else.

use std::fmt::Write as _;

use crate::label::TYPEFACE;

/// Ink of outlines and words.
pub(crate) const INK: &str = "#15181c";
/// Ink of what only helps to find one's way.
pub(crate) const QUIET: &str = "#565d66";
/// Ink of what stands by.
pub(crate) const FAINT: &str = "#a3a9b0";

/// A rectangle on paper, in points from the upper left corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Rect {
    pub(crate) x: f64,
    pub(crate) y: f64,
    pub(crate) w: f64,
    pub(crate) h: f64,
}

impl Rect {
    pub(crate) fn middle(&self) -> (f64, f64) {
        (self.x + self.w / 2.0, self.y + self.h / 2.0)
    }
}

/// How an outline is drawn.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pen {
    pub(crate) ink: &'static str,
    pub(crate) width: f64,
    pub(crate) dashes: &'static str,
}

/// Where a word stands against its point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// Text of an SVG file, growing.
#[derive(Debug, Default)]
pub(crate) struct Svg {
    body: String,
}

impl Svg {
    pub(crate) fn rect(&mut self, rect: Rect, fill: &str, pen: Pen) {
        let Rect { x, y, w, h } = rect;
        let Pen { ink, width, dashes } = pen;
        let dashes = if dashes.is_empty() {
            String::new()
        } else {
            format!(" stroke-dasharray=\"{dashes}\"")
        };
        self.line_of(&format!(
            "<rect x=\"{x:.1}\" y=\"{y:.1}\" width=\"{w:.1}\" height=\"{h:.1}\" fill=\"{fill}\" \
             stroke=\"{ink}\" stroke-width=\"{width}\"{dashes}/>"
        ));
    }

    pub(crate) fn path(&mut self, points: &[(f64, f64)], pen: Pen) {
        let mut d = String::new();
        for (k, (x, y)) in points.iter().enumerate() {
            let command = if k == 0 { 'M' } else { 'L' };
            let _ = write!(d, "{command}{x:.1} {y:.1} ");
        }
        let Pen { ink, width, .. } = pen;
        self.line_of(&format!(
            "<path d=\"{}\" fill=\"none\" stroke=\"{ink}\" stroke-width=\"{width}\"/>",
            d.trim_end()
        ));
    }

    pub(crate) fn arrow_head(&mut self, at: (f64, f64), towards_left: Heading) {
        let (x, y) = at;
        let back = match towards_left {
            Heading::Left => 5.0,
            Heading::Right => -5.0,
        };
        self.line_of(&format!(
            "<path d=\"M{x:.1} {y:.1} L{:.1} {:.1} L{:.1} {:.1} Z\" fill=\"{INK}\"/>",
            x + back,
            y - 2.5,
            x + back,
            y + 2.5
        ));
    }

    pub(crate) fn badge(&mut self, at: (f64, f64), radius: f64, number: usize) {
        let (x, y) = at;
        self.line_of(&format!(
            "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{radius}\" fill=\"#ffffff\" \
             stroke=\"{INK}\" stroke-width=\"1\"/>"
        ));
        let size = if number < 100 { 8.5 } else { 6.5 };
        self.words(&Words {
            at: (x, y + 0.36 * size),
            size,
            ink: INK,
            anchor: Anchor::Middle,
            weight: 700,
            text: &number.to_string(),
        });
    }

    pub(crate) fn words(&mut self, words: &Words<'_>) {
        let Words { at: (x, y), size, ink, anchor, weight, text } = *words;
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        self.line_of(&format!(
            "<text x=\"{x:.1}\" y=\"{y:.1}\" font-size=\"{size}\" font-weight=\"{weight}\" \
             fill=\"{ink}\" text-anchor=\"{anchor}\">{}</text>",
            escaped(text)
        ));
    }

    fn line_of(&mut self, element: &str) {
        self.body.push_str(element);
        self.body.push('\n');
    }

    /// The whole file; `title` and `description` are what a screen reader says.
    pub(crate) fn finish(self, width: f64, height: f64, title: &str, description: &str) -> String {
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width:.0}\" height=\"{height:.0}\" \
             viewBox=\"0 0 {width:.0} {height:.0}\" font-family=\"{TYPEFACE}\" role=\"img\">\n\
             <title>{}</title>\n<desc>{}</desc>\n\
             <defs><pattern id=\"hatch\" width=\"5\" height=\"5\" patternUnits=\"userSpaceOnUse\" \
             patternTransform=\"rotate(45)\"><rect width=\"5\" height=\"5\" fill=\"#ffffff\"/>\
             <rect width=\"1.4\" height=\"5\" fill=\"{INK}\"/></pattern></defs>\n\
             <rect width=\"100%\" height=\"100%\" fill=\"#ffffff\"/>\n{}</svg>\n",
            escaped(title),
            escaped(description),
            self.body
        )
    }
}

/// Which way an arrow points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Heading {
    Left,
    Right,
}

/// One line of words.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Words<'a> {
    pub(crate) at: (f64, f64),
    pub(crate) size: f64,
    pub(crate) ink: &'static str,
    pub(crate) anchor: Anchor,
    pub(crate) weight: u16,
    pub(crate) text: &'a str,
}

/// Text as XML allows it: marks escaped, characters that XML forbids left out.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\t' | '\n' | '\r' => out.push(' '),
            '\u{0}'..='\u{1f}' | '\u{7f}'..='\u{9f}' | '\u{fffe}' | '\u{ffff}' => {}
            _ => out.push(letter),
        }
    }
    out
}
