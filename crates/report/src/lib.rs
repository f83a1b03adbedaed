//! Printed pages as PDF: the hand-over report ([`Content`]), and the step sheet of an [`Opening`].
//!
//! A pure function of its input: the same review and options give the same bytes. Nothing is read
//! from disk, no clock is asked. This crate deliberately does not know how anything was computed;
//! it takes words and numbers as they stand in the review and adds none of its own.

mod blocks;
mod clean;
mod live;
mod sheet;
mod steps;
mod typeface;
mod world;

use analysis::{HandoverView, NoticedRow, Opening, Review};
use thiserror::Error;
use typst::diag::{SourceDiagnostic, Warned};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};
use wording::Texts;

pub use crate::steps::StepSheet;
use crate::world::{ReportWorld, Work};

/// Size of the sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// ISO 216 A4, 210 mm × 297 mm.
    #[default]
    A4,
    /// ANSI/ASME Y14.1 size A ("letter"), 8.5 in × 11 in.
    Letter,
}

/// How the report is set.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Options {
    /// Size of the sheet.
    pub paper: Paper,
    /// The date as it is to be printed. Without one the report says that it is undated.
    pub dated: Option<String>,
}

/// What a report says. Review and hand-over are told in the language of the texts.
#[derive(Clone, Debug)]
pub struct Content<'a> {
    /// The texts of the language.
    pub texts: &'a Texts,
    /// The review.
    pub review: &'a Review,
    /// What goes with it.
    pub handover: &'a HandoverView,
    /// What was noticed, the alarming first.
    pub noticed: Vec<NoticedRow>,
    /// What may be the cause, most likely first; empty when no ranking was made.
    pub suspects: Vec<Suspect>,
    /// How far the first of them stands out.
    pub favourite: Favourite,
    /// What can be done for how much; empty when no price was made.
    pub choices: Vec<Choice>,
    /// What holds for all choices; may be empty.
    pub choice_note: String,
    /// Further tables: price, materials, what was agreed to.
    pub tables: Vec<Table>,
    /// Drawings, in order.
    pub pictures: Vec<Picture>,
    /// Photos that can be shown.
    pub photos: Vec<Photo>,
    /// Names of photos that cannot, and why.
    pub refused: Vec<(String, String)>,
    /// Sentences for which the language has no words.
    pub left: Vec<String>,
}

impl<'a> Content<'a> {
    /// A report without drawings, photos, ranking and price.
    pub fn of(texts: &'a Texts, review: &'a Review, handover: &'a HandoverView) -> Content<'a> {
        Content {
            texts,
            review,
            handover,
            noticed: Vec::new(),
            suspects: Vec::new(),
            favourite: Favourite::None,
            choices: Vec::new(),
            choice_note: String::new(),
            tables: Vec::new(),
            pictures: Vec::new(),
            photos: Vec::new(),
            refused: Vec::new(),
            left: Vec::new(),
        }
    }
}

/// Whether one explanation of the readings is likelier than all others together.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Favourite {
    /// No explanation is.
    #[default]
    None,
    /// The first suspect is.
    First,
    /// That nothing is wrong beyond what the record holds, so likely as is to be printed.
    AsRecorded(String),
}

/// Something that may be the cause of the complaint.
#[derive(Clone, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub struct Suspect {
    /// What it is, as a sentence.
    pub what: String,
    /// How likely, as it is to be printed: `62 %`.
    pub chance: String,
    /// What speaks for it, in sentences.
    pub because: Vec<String>,
}

/// Something that can be done, with its price.
#[derive(Clone, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub struct Choice {
    /// What is done.
    pub what: String,
    /// What it comes to besides, in few words.
    pub about: String,
    /// How long it takes, as it is to be printed.
    pub minutes: String,
    /// What it costs, as it is to be printed.
    pub price: String,
}

/// A table as it is printed.
#[derive(Clone, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub struct Table {
    /// What it is called.
    pub title: String,
    /// Heads of its columns.
    pub head: Vec<String>,
    /// Its rows, as long as the head.
    pub rows: Vec<Vec<String>>,
}

/// How a drawing stands in the report.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stands {
    /// On a sheet of its own.
    #[default]
    Alone,
    /// Among others.
    Among,
}

/// A drawing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Picture {
    /// How it stands.
    pub stands: Stands,
    /// What it shows.
    pub title: String,
    /// The drawing as SVG.
    pub svg: String,
}

/// A photo, ready to be shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Photo {
    /// Its name in the hand-over.
    pub name: String,
    /// The photo as JPEG.
    pub jpeg: Vec<u8>,
}

/// Why no report could be made.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum ReportError {
    /// The review could not be written as data.
    #[error("the review cannot be written as data for the report: {0}")]
    Data(String),
    /// The pages could not be set.
    #[error("the report cannot be set in type: {}", .0.join("; "))]
    Typeset(Vec<String>),
    /// The pages were set, the file could not be written.
    #[error("the pages are set but cannot be written as PDF: {}", .0.join("; "))]
    Export(Vec<String>),
}

/// Sets a report in type and returns the bytes of a tagged PDF file.
///
/// # Errors
/// [`ReportError`] says at which step it failed; a drawing that is no SVG is one cause.
pub fn pdf(content: &Content<'_>, options: &Options) -> Result<Vec<u8>, ReportError> {
    let made = sheet::files(content, options)
        .and_then(|(data, pictures)| render(Work::Report, data, pictures));
    forget();
    made.map(|made| made.bytes)
}

/// Sets the step sheet of a way in, with its drawings and bag labels, and returns the bytes of a
/// tagged PDF file.
///
/// # Errors
/// [`ReportError`] says at which step it failed; a drawing that is no SVG is one cause.
pub fn step_sheet(
    opening: &Opening,
    sheet: StepSheet,
    options: &Options,
) -> Result<Vec<u8>, ReportError> {
    let made = steps::files(opening, sheet, options)
        .and_then(|(data, pictures)| render(Work::Steps, data, pictures));
    forget();
    made.map(|made| made.bytes)
}

/// What the typesetter remembers between renders is of no use and would pile up. Nobody waits until it is
/// let go.
fn forget() {
    std::thread::spawn(|| typst::comemo::evict(0));
}

/// A finished report and what the typesetter complained about.
struct Rendered {
    bytes: Vec<u8>,
    #[cfg_attr(not(test), expect(dead_code, reason = "read by the test that wants no complaint"))]
    complaints: Vec<String>,
}

fn render(
    work: Work,
    data: Vec<u8>,
    pictures: Vec<(String, Vec<u8>)>,
) -> Result<Rendered, ReportError> {
    let world = ReportWorld::new(work, data, pictures)
        .map_err(|fault| ReportError::Typeset(vec![fault]))?;
    let Warned { output, warnings } = typst::compile::<PagedDocument>(&world);
    let document = output.map_err(|faults| ReportError::Typeset(words_of(&faults)))?;
    let bytes = typst_pdf::pdf(&document, &settings(accessible()?))
        // A character without a shape breaks a rule of PDF/UA; the file is tagged all the same.
        .or_else(|_| typst_pdf::pdf(&document, &settings(PdfStandards::default())))
        .map_err(|faults| ReportError::Export(words_of(&faults)))?;
    Ok(Rendered { bytes, complaints: words_of(&warnings) })
}

fn settings(standards: PdfStandards) -> PdfOptions {
    PdfOptions {
        creator: typst::foundations::Smart::Custom(Some("Unbury".to_owned())),
        standards,
        ..PdfOptions::default()
    }
}

/// Made for people who do not see the page (ISO 14289-1, PDF/UA-1).
fn accessible() -> Result<PdfStandards, ReportError> {
    PdfStandards::new(&[PdfStandard::Ua_1])
        .map_err(|fault| ReportError::Export(vec![fault.message().to_string()]))
}

fn words_of(diagnostics: &[SourceDiagnostic]) -> Vec<String> {
    diagnostics.iter().map(|diagnostic| diagnostic.message.to_string()).collect()
}

#[cfg(test)]
mod tests;
