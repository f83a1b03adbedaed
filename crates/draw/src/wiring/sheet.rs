//! A sheet of paper: heading, drawing, findings, key to the lines, foot.

use super::canvas::{
    Anchor, Canvas, Ink, Stroke, Weight, Words, escaped, fitting, folded, mark_width, rounded,
    width, word,
};
use super::input::{LineState, Mark, Remark, Shows, Side, Status, Wire, WiringDrawing};
use super::net::{Net, Node};
use super::paint::{Painting, line_stroke};
use super::place::{Placed, leaf_marks, place};
use crate::label::TYPEFACE;
use crate::tone::{Tone, style};

/// Paper, held with the long side across.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// ISO A3, 420 by 297 mm.
    A3,
    /// ISO A4, 297 by 210 mm.
    A4,
    /// US letter, 11 by 8.5 in.
    Letter,
    /// US tabloid, 17 by 11 in.
    Tabloid,
    /// One sheet as large as it needs.
    Whole,
}

impl Paper {
    /// Half of it, where there is such a paper.
    pub(super) fn half(self) -> Option<Paper> {
        match self {
            Paper::A3 => Some(Paper::A4),
            Paper::Tabloid => Some(Paper::Letter),
            Paper::A4 | Paper::Letter | Paper::Whole => None,
        }
    }

    /// Width and height in points of 1/72 in; `None` where it is as large as needed.
    fn size(self) -> Option<(f64, f64)> {
        match self {
            Paper::A3 => Some((1190.55, 841.89)),
            Paper::A4 => Some((841.89, 595.28)),
            Paper::Letter => Some((792.0, 612.0)),
            Paper::Tabloid => Some((1224.0, 792.0)),
            Paper::Whole => None,
        }
    }
}

/// A finished sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct WiringSheet {
    /// The SVG file.
    pub svg: String,
    /// By how much it is drawn smaller or larger than words of the smallest standard size.
    pub scale: f64,
}

/// From the edge of the paper to words; the frame stands between. Printers leave 10 mm of the edge blank.
const MARGIN: f64 = 38.0;
/// From the frame to words.
const INSIDE: f64 = 10.0;
/// Below the frame, for the foot of a report that the sheet is bound into.
const BELOW: f64 = 16.0;
const HEADING: f64 = 30.0;
const FOOT: f64 = 30.0;
const REMARK_ROW: f64 = 9.6;
const REMARK_COLUMNS: usize = 3;
/// Size of the words of a remark.
const REMARK: f64 = 6.8;
/// Paper that is as large as it needs is no narrower between its margins.
const LEAST_WHOLE: f64 = 560.0;
/// Height of a row of the grid, points.
pub(super) const ROW: f64 = 5.0;
/// Rows are stretched to no more than this where the paper has room.
const TALLEST_ROW: f64 = 7.0;
/// Nothing is drawn larger than this.
const LARGEST: f64 = 1.35;
/// Smaller than this a sheet is too full: names of wires and devices are then set in type
/// of 6.5 points, with capitals 1.7 mm high.
pub(super) const SMALLEST: f64 = 0.91;

/// A finding in the foot of a sheet: where it stands there, and its words in lines.
struct Explained<'a> {
    remark: &'a Remark,
    column: usize,
    row: usize,
    lines: Vec<String>,
}

/// What goes on one sheet.
pub(super) struct Contents<'a> {
    pub(super) drawing: &'a WiringDrawing,
    pub(super) net: Net,
    pub(super) paper: Paper,
    /// Number of this sheet and of all.
    pub(super) number: (usize, usize),
}

impl Contents<'_> {
    /// Lays out as loose as the paper allows.
    pub(super) fn laid_out(&self) -> Placed {
        let placed = place(self.drawing, &self.net, ROW);
        let Some(_) = self.paper.size() else { return placed };
        let room = self.room();
        let scale = self.scale(&placed);
        let row = (room.1 / scale / placed.height.max(1.0) * ROW).clamp(ROW, TALLEST_ROW);
        if row < ROW * 1.04 { placed } else { place(self.drawing, &self.net, row) }
    }

    fn size(&self, placed: &Placed) -> (f64, f64) {
        self.paper.size().unwrap_or_else(|| {
            let around = MARGIN * 2.0;
            let height =
                HEADING + FOOT + BELOW + self.remarks_height() + placed.height + 2.0 * AROUND;
            ((placed.width + 2.0 * AROUND).max(LEAST_WHOLE) + around, height + around)
        })
    }

    /// Room for the drawing itself.
    fn room(&self) -> (f64, f64) {
        let (w, h) = self.paper.size().unwrap_or((f64::INFINITY, f64::INFINITY));
        (
            w - 2.0 * MARGIN - 2.0 * AROUND,
            h - 2.0 * MARGIN - HEADING - FOOT - BELOW - self.remarks_height() - 2.0 * AROUND,
        )
    }

    pub(super) fn scale(&self, placed: &Placed) -> f64 {
        if self.paper.size().is_none() {
            return 1.0;
        }
        let room = self.room();
        (room.0 / placed.width.max(1.0)).min(room.1 / placed.height.max(1.0)).clamp(0.05, LARGEST)
    }

    /// How much of the height of its room a drawing takes that is drawn at a scale.
    pub(super) fn share_of_height(&self, placed: &Placed, scale: f64) -> f64 {
        scale * placed.height / self.room().1.max(1.0)
    }

    /// Height of the room that a drawing leaves empty; paper that is as large as it needs has none.
    fn spare_height(&self, placed: &Placed, scale: f64) -> f64 {
        match self.paper.size() {
            Some(_) => (self.room().1 - scale * placed.height).max(0.0),
            None => 0.0,
        }
    }

    /// Findings whose mark is on this sheet.
    fn remarks(&self) -> Vec<&Remark> {
        let mut shown: Vec<Mark> = Vec::new();
        for line in &self.net.lines {
            shown.extend(&self.drawing.wires[line.wire].marks);
        }
        for node in &self.net.nodes {
            match node {
                Node::Device(device) => shown.extend(&self.drawing.devices[*device].marks),
                Node::Leaf(leaf) => shown.extend(leaf_marks(self.drawing, leaf)),
            }
        }
        self.drawing.findings.iter().filter(|remark| shown.contains(&remark.mark)).collect()
    }

    fn remarks_height(&self) -> f64 {
        let (_, rows) = self.remark_columns();
        if rows == 0 { 0.0 } else { REMARK_ROW * rows as f64 + 8.0 }
    }

    /// Each remark with its column, its row and its words in one line or in two; and how many rows the
    /// fullest column has.
    fn remark_columns(&self) -> (Vec<Explained<'_>>, usize) {
        let column = self.remark_column();
        let explained = |remark| {
            let mark = self.mark_words(remark);
            let room = column - mark_width(&mark) - 14.0;
            Explained { remark, column: 0, row: 0, lines: folded(&remark.words, REMARK, room) }
        };
        let mut all: Vec<Explained<'_>> = self.remarks().into_iter().map(explained).collect();
        let lines: usize = all.iter().map(|one| one.lines.len()).sum();
        let longest = all.iter().map(|one| one.lines.len()).max().unwrap_or_default();
        let mut most = lines.div_ceil(REMARK_COLUMNS).max(longest);
        loop {
            let (mut at, mut row) = (0, 0);
            for one in &mut all {
                if row + one.lines.len() > most {
                    (at, row) = (at + 1, 0);
                }
                (one.column, one.row) = (at, row);
                row += one.lines.len();
            }
            if at < REMARK_COLUMNS {
                return (all, most);
            }
            most += 1;
        }
    }

    /// Width of a column of remarks; paper that is as large as it needs has none yet.
    fn remark_column(&self) -> f64 {
        let width = self.paper.size().map_or(LEAST_WHOLE, |size| size.0 - 2.0 * MARGIN);
        width / REMARK_COLUMNS as f64
    }

    fn mark_words(&self, remark: &Remark) -> String {
        let signal = self.drawing.speech.say(word(remark.mark.signal));
        format!("{} {signal}", remark.mark.number)
    }

    /// The sheet as SVG.
    pub(super) fn finish(&self) -> WiringSheet {
        let placed = self.laid_out();
        let scale = self.scale(&placed);
        let (w, h) = self.size(&placed);
        let mut canvas = Canvas::default();
        self.frame(&mut canvas, (w, h));
        self.heading(&mut canvas, w);
        let spare = (w - 2.0 * MARGIN - scale * placed.width).max(0.0);
        let x = MARGIN + spare / 2.0;
        let y = MARGIN + HEADING + AROUND + self.spare_height(&placed, scale) / 2.0;
        canvas.body.push_str(&format!(
            "<g transform=\"translate({} {}) scale({})\">\n",
            rounded(x),
            rounded(y),
            rounded_fine(scale)
        ));
        Painting { drawing: self.drawing, net: &self.net, placed: &placed }.paint(&mut canvas);
        canvas.close();
        self.foot(&mut canvas, (w, h));
        WiringSheet { svg: self.file(&canvas.body, (w, h)), scale }
    }

    fn frame(&self, canvas: &mut Canvas, (w, h): (f64, f64)) {
        let edge = MARGIN - INSIDE;
        let size = (w - 2.0 * edge, h - 2.0 * edge - BELOW);
        canvas.rect((edge, edge), size, Stroke::plain(0.8));
    }

    fn heading(&self, canvas: &mut Canvas, w: f64) {
        let sheet = match self.number {
            (_, 1) => String::new(),
            (number, all) => {
                let (number, all) = (number.to_string(), all.to_string());
                self.drawing.speech.fill("sheet {a} of {b}", &[&number, &all])
            }
        };
        let room = w - 2.0 * MARGIN - width(&sheet, 10.0, Weight::Bold) - 12.0;
        let title = fitting(&self.drawing.title, 13.0, Weight::Bold, room);
        canvas.words(&words((MARGIN, MARGIN + 9.0), 13.0, Weight::Bold, Ink::Full, &title));
        let end = Words {
            anchor: Anchor::End,
            ..words((w - MARGIN, MARGIN + 9.0), 10.0, Weight::Bold, Ink::Full, &sheet)
        };
        canvas.words(&end);
        let subtitle = fitting(&self.drawing.subtitle, 8.0, Weight::Plain, w - 2.0 * MARGIN);
        canvas.words(&words((MARGIN, MARGIN + 20.0), 8.0, Weight::Plain, Ink::Quiet, &subtitle));
        canvas.line(
            &[(MARGIN - INSIDE, MARGIN + 26.0), (w - MARGIN + INSIDE, MARGIN + 26.0)],
            Stroke::plain(0.5),
        );
    }

    fn foot(&self, canvas: &mut Canvas, (w, h): (f64, f64)) {
        let top = h - MARGIN - FOOT - BELOW;
        let column = (w - 2.0 * MARGIN) / REMARK_COLUMNS as f64;
        let first = top - self.remarks_height() + 4.0;
        for Explained { remark, column: at, row, lines } in self.remark_columns().0 {
            let x = MARGIN + column * at as f64;
            let y = first + REMARK_ROW * row as f64;
            let wide = canvas.mark((x, y), remark.mark, &self.mark_words(remark));
            for (line, text) in lines.iter().enumerate() {
                let at = (x + wide + 4.0, y + 5.8 + (REMARK_ROW - 1.6) * line as f64);
                canvas.words(&words(at, REMARK, Weight::Plain, Ink::Full, text));
            }
        }
        canvas.line(&[(MARGIN - INSIDE, top), (w - MARGIN + INSIDE, top)], Stroke::plain(0.5));
        self.key(canvas, (MARGIN, top + 12.0), w - 2.0 * MARGIN);
        let caution = fitting(&self.drawing.caution, 7.0, Weight::Plain, w - 2.0 * MARGIN);
        canvas.words(&words((MARGIN, top + 27.0), 7.0, Weight::Plain, Ink::Quiet, &caution));
    }

    /// What the lines mean.
    fn key(&self, canvas: &mut Canvas, (mut x, y): (f64, f64), room: f64) {
        let end = x + room;
        let say = |english: &str| self.drawing.speech.say(english).to_owned();
        let mut entries: Vec<(Option<Wire>, String)> =
            match self.drawing.shows {
                Shows::Wiring => Vec::new(),
                Shows::State => [
                    (Status::Live, "live"),
                    (Status::MayBeLive, "may be live"),
                    (Status::Return, "return"),
                    (Status::Floating, "floating: no voltage is known"),
                    (Status::NotReached, "not reached: prove dead"),
                ]
                .into_iter()
                .map(|(status, text)| (Some(sample(status, 0.0)), say(text)))
                .chain(self.shows_current().then(|| {
                    (Some(sample(Status::Live, 40.0)), say("thicker: more current (40 A)"))
                }))
                .collect(),
            };
        let codes = self.colour_codes();
        if !codes.is_empty() {
            entries.push((None, codes));
        }
        for (wire, text) in entries {
            if let Some(wire) = wire {
                canvas.line(&[(x, y - 2.5), (x + 26.0, y - 2.5)], line_stroke(&wire));
                x += 30.0;
            }
            let text = fitting(&text, 7.0, Weight::Plain, end - x);
            canvas.words(&words((x, y), 7.0, Weight::Plain, Ink::Full, &text));
            x += width(&text, 7.0, Weight::Plain) + 12.0;
            if x > end - 60.0 {
                break;
            }
        }
    }

    /// Whether any line of the drawing is as thick as its current wants.
    fn shows_current(&self) -> bool {
        let states = self.drawing.wires.iter().filter_map(|wire| wire.state.as_ref());
        states.into_iter().any(|state| state.current_a.is_some())
    }

    /// The colour codes used on this sheet, with their words.
    fn colour_codes(&self) -> String {
        let used: Vec<String> = CODES
            .iter()
            .filter(|(code, _)| {
                let has = |line: &super::net::Line| {
                    let facts = &self.drawing.wires[line.wire].facts;
                    facts.iter().any(|fact| fact == code)
                };
                self.net.lines.iter().any(has)
            })
            .map(|(code, word)| format!("{code} {}", self.drawing.speech.say(word)))
            .collect();
        used.join("   ")
    }

    fn file(&self, body: &str, (w, h): (f64, f64)) -> String {
        let key = &self.drawing.key;
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" id=\"{key}-{number}\" class=\"drawing\" data-drawing=\"wiring\" width=\"{w}pt\" \
             height=\"{h}pt\" viewBox=\"0 0 {w} {h}\" font-family=\"{TYPEFACE}\" \
             role=\"graphics-document document\">\n<title>{title}</title>\n<desc>{words}</desc>\n\
             {style}<rect width=\"{w}\" height=\"{h}\" class=\"f-ground\" fill=\"{ground}\"/>\n{body}</svg>\n",
            number = self.number.0,
            w = rounded(w),
            h = rounded(h),
            ground = Tone::Ground.on_light(),
            title = escaped(&self.drawing.title),
            words = escaped(&self.description()),
            style = style(),
        )
    }

    /// What a screen reader says of the whole.
    fn description(&self) -> String {
        let (nodes, lines) = (self.net.nodes.len().to_string(), self.net.lines.len().to_string());
        self.drawing.speech.fill(
            "{a} {b} devices and ends, {c} wires; every one has its own words.",
            &[&self.drawing.subtitle, &nodes, &lines],
        )
    }
}

/// Around the drawing.
const AROUND: f64 = 10.0;

/// Colour codes of IEC 60757 (from memory) with the words used in records.
pub(super) const CODES: [(&str, &str); 13] = [
    ("BK", "black"),
    ("BN", "brown"),
    ("RD", "red"),
    ("OG", "orange"),
    ("YE", "yellow"),
    ("GN", "green"),
    ("BU", "blue"),
    ("VT", "violet"),
    ("GY", "grey"),
    ("WH", "white"),
    ("PK", "pink"),
    ("SR", "silver"),
    ("GNYE", "green and yellow"),
];

fn sample(status: Status, ampere: f64) -> Wire {
    Wire {
        name: String::new(),
        facts: Vec::new(),
        words: String::new(),
        ends: [super::input::End::Unseen, super::input::End::Unseen],
        side: Side::Feed,
        cores: 1,
        state: Some(LineState { status, current_a: Some(ampere), words: String::new() }),
        marks: Vec::new(),
        suspicion: None,
    }
}

fn words(at: (f64, f64), size: f64, weight: Weight, ink: Ink, text: &str) -> Words<'_> {
    Words { at, size, weight, anchor: Anchor::Start, ink, text }
}

fn rounded_fine(value: f64) -> String {
    format!("{value:.4}")
}
