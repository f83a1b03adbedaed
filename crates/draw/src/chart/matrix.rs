//! Verdicts in rows and columns, told by shape and word first, by tone last.

use super::frame::{Heading, heading, notes};
use crate::label::lines;
use crate::paper::{Fill, LINE, MARGIN, Paper, Pen, SHEET, TEXT, Told, Words};
use crate::svg::{Anchor, Rect};
use crate::tone::Tone;

/// What is to be drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Matrix {
    /// Heading and notes.
    pub heading: Heading,
    /// What stands over the names of the rows.
    pub corner: String,
    /// What the columns are.
    pub columns: Vec<String>,
    /// The rows, each with a cell for each column.
    pub rows: Vec<MatrixRow>,
}

/// One row.
#[derive(Clone, Debug, PartialEq)]
pub struct MatrixRow {
    /// Its name for programs.
    pub id: String,
    /// What it is, in bold.
    pub label: String,
    /// More about it.
    pub about: String,
    /// Its cells; missing ones stay empty.
    pub cells: Vec<MatrixCell>,
}

/// One cell.
#[derive(Clone, Debug, PartialEq)]
pub struct MatrixCell {
    /// The verdict.
    pub verdict: Verdict,
    /// The result in a few words.
    pub words: String,
}

/// How a cell is judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Within its limits.
    Holds,
    /// Not past a rating that somebody stated; worth as much as that.
    WithinRating,
    /// Past a limit.
    Fails,
    /// A fact is missing.
    CannotTell,
    /// Nothing is judged here: a figure only.
    Figure,
}

impl Verdict {
    fn words(self) -> &'static str {
        match self {
            Verdict::Holds => "holds",
            Verdict::WithinRating => "within rating",
            Verdict::Fails => "fails",
            Verdict::CannotTell => "cannot tell",
            Verdict::Figure => "",
        }
    }
}

/// Room for the names of the rows: more where few columns want it.
const LABELS: (f64, f64) = (106.0, 220.0);
/// What a column wants, points.
const COLUMN: f64 = 92.0;
const PAD: f64 = 4.0;
const SIGN: f64 = 9.0;
/// Lines of words in a cell, at most.
const MOST: usize = 6;
/// How much wider bold letters run than plain ones.
const BOLD: f64 = 1.08;

/// Draws the matrix. `None` without rows or columns.
pub fn matrix(chart: &Matrix) -> Option<String> {
    if chart.rows.is_empty() || chart.columns.is_empty() {
        return None;
    }
    let mut paper = Paper::speaking(&chart.heading.speech);
    let top = heading(&mut paper, &chart.heading) + 2.0;
    let whole = SHEET - 2.0 * MARGIN;
    let count = chart.columns.len() as f64;
    let labels = (whole - COLUMN * count).clamp(LABELS.0, LABELS.1);
    let table = Table { labels, width: (whole - labels) / count, columns: chart.columns.len() };
    let mut y = column_heads(&mut paper, chart, top, &table);
    for row in &chart.rows {
        paper.line(&[(MARGIN, y), (SHEET - MARGIN, y)], Pen::narrow(Tone::Ink));
        y = one_row(&mut paper, row, y, &table);
    }
    paper.line(&[(MARGIN, y), (SHEET - MARGIN, y)], Pen::narrow(Tone::Ink));
    let end = notes(&mut paper, &chart.heading.notes, y + 4.0);
    let title = &chart.heading.title;
    let told = described(chart);
    let told = Told { kind: "matrix", title, description: &told };
    Some(paper.finish(SHEET, end + MARGIN, &told))
}

/// Where the columns stand.
struct Table {
    labels: f64,
    width: f64,
    columns: usize,
}

impl Table {
    fn column(&self, k: usize) -> f64 {
        MARGIN + self.labels + self.width * k as f64
    }
}

fn column_heads(paper: &mut Paper, chart: &Matrix, top: f64, table: &Table) -> f64 {
    let (width, labels) = (table.width, table.labels);
    let heads = chart.columns.iter().map(|column| lines(column, TEXT, width - 2.0 * PAD, 3));
    let heads: Vec<Vec<String>> =
        std::iter::once(lines(&chart.corner, TEXT, labels - PAD, 3)).chain(heads).collect();
    let most = heads.iter().map(Vec::len).max().unwrap_or(1);
    for (k, head) in heads.iter().enumerate() {
        let x = if k == 0 { MARGIN } else { table.column(k - 1) + PAD };
        let first = top + LINE * (most - head.len()) as f64;
        for (row, line) in head.iter().enumerate() {
            let at = (x, first + LINE * (row as f64 + 0.75));
            paper.text(at, Anchor::Start, Tone::Quiet, line);
        }
    }
    top + LINE * most as f64 + 3.0
}

fn one_row(paper: &mut Paper, row: &MatrixRow, top: f64, table: &Table) -> f64 {
    let (width, labels) = (table.width, table.labels);
    let label = lines(&row.label, TEXT, labels - 2.0 * PAD, 3);
    let about = lines(&row.about, TEXT, labels - 2.0 * PAD, MOST);
    let cells: Vec<Cell> =
        row.cells.iter().take(table.columns).map(|cell| Cell::of(paper, cell, width)).collect();
    let tallest = cells.iter().map(|cell| cell.head.len() + cell.words.len()).max().unwrap_or(0);
    let rows = tallest.max(label.len() + about.len());
    let height = LINE * rows as f64 + 2.0 * PAD;
    paper.begin_named("row", &[("item", &row.id)], &row.label);
    let mut y = top + PAD + 0.75 * LINE;
    for line in &label {
        let (size, tone, anchor, weight) = (TEXT, Tone::Ink, Anchor::Start, 700);
        paper.words(&Words { at: (MARGIN, y), size, tone, anchor, weight, text: line });
        y += LINE;
    }
    for line in &about {
        paper.text((MARGIN, y), Anchor::Start, Tone::Quiet, line);
        y += LINE;
    }
    for (k, cell) in cells.iter().enumerate() {
        let place = Rect { x: table.column(k), y: top, w: width, h: height };
        one_cell(paper, cell, place);
    }
    paper.end();
    top + height
}

/// A cell in lines that fit its column.
struct Cell {
    verdict: Verdict,
    /// The verdict in the reader's words; none of a figure.
    head: Vec<String>,
    words: Vec<String>,
}

impl Cell {
    fn of(paper: &Paper, cell: &MatrixCell, width: f64) -> Cell {
        let head = match cell.verdict {
            Verdict::Figure => Vec::new(),
            verdict => {
                let room = width - 2.0 * PAD - SIGN - 3.0;
                lines(&paper.say(verdict.words()), TEXT * BOLD, room, 3)
            }
        };
        let words = lines(&cell.words, TEXT, width - 2.0 * PAD, MOST);
        Cell { verdict: cell.verdict, head, words }
    }
}

fn one_cell(paper: &mut Paper, cell: &Cell, place: Rect) {
    let Rect { x, y, h, .. } = place;
    paper.begin("cell", &[("verdict", cell.verdict.words())]);
    if cell.verdict == Verdict::Fails {
        paper.rect(place, Fill::Flat(Tone::Wash), None);
        let bar = Rect { x, y, w: 2.5, h };
        paper.rect(bar, Fill::Flat(Tone::Danger), None);
    }
    let mut base = y + PAD + 0.75 * LINE;
    if cell.verdict != Verdict::Figure {
        let middle = (x + PAD + SIGN / 2.0, base - 0.36 * TEXT);
        sign(paper, cell.verdict, middle);
    }
    let tone = if cell.verdict == Verdict::Fails { Tone::Danger } else { Tone::Ink };
    for text in &cell.head {
        let at = (x + PAD + SIGN + 3.0, base);
        let (size, anchor, weight) = (TEXT, Anchor::Start, 700);
        paper.words(&Words { at, size, tone, anchor, weight, text });
        base += LINE;
    }
    for line in &cell.words {
        paper.text((x + PAD, base), Anchor::Start, Tone::Ink, line);
        base += LINE;
    }
    paper.end();
}

/// A ring with a tick, a filled square with a cross, a lozenge with a stroke: three outlines, so that they
/// differ in print, in poor light and for everyone.
fn sign(paper: &mut Paper, verdict: Verdict, (x, y): (f64, f64)) {
    let r = SIGN / 2.0;
    match verdict {
        Verdict::Holds => {
            paper.circle((x, y), r, Fill::Open, Some(Pen::narrow(Tone::Ink)));
            let tick = [(x - 2.2, y + 0.2), (x - 0.6, y + 2.0), (x + 2.3, y - 1.9)];
            paper.line(&tick, Pen::wide(Tone::Ink));
        }
        Verdict::WithinRating => {
            paper.circle((x, y), r, Fill::Open, Some(Pen::narrow(Tone::Ink)));
            paper.line(&[(x - 2.2, y), (x + 2.2, y)], Pen::wide(Tone::Ink));
        }
        Verdict::Fails => {
            let square = Rect { x: x - r, y: y - r, w: SIGN, h: SIGN };
            paper.rect(square, Fill::Flat(Tone::Danger), None);
            let d = 2.2;
            paper.line(&[(x - d, y - d), (x + d, y + d)], Pen::wide(Tone::Ground));
            paper.line(&[(x - d, y + d), (x + d, y - d)], Pen::wide(Tone::Ground));
        }
        Verdict::CannotTell => {
            let d = r + 0.6;
            let lozenge = [(x, y - d), (x + d, y), (x, y + d), (x - d, y)];
            paper.area(&lozenge, Fill::Flat(Tone::Ground), Some(Pen::narrow(Tone::Ink)));
            paper.line(&[(x, y - 2.2), (x, y + 0.7)], Pen::wide(Tone::Ink));
            paper.circle((x, y + 2.3), 0.8, Fill::Flat(Tone::Ink), None);
        }
        Verdict::Figure => {}
    }
}

fn described(chart: &Matrix) -> String {
    let rows = chart.rows.iter().map(|row| {
        let cells = row.cells.iter().zip(&chart.columns).map(|(cell, column)| {
            let verdict = match cell.verdict {
                Verdict::Figure => "",
                verdict => chart.heading.speech.say(verdict.words()),
            };
            format!("{column} {verdict} {}", cell.words)
        });
        let cells: Vec<String> = cells.collect();
        format!("{}: {}", row.label, cells.join(", "))
    });
    let rows: Vec<String> = rows.collect();
    format!("{}.", rows.join(". "))
}
