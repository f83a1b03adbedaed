//! Printed pages as PDF: the hand-over report of a [`Review`], and the step sheet of an [`Opening`].
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

use analysis::{Opening, Review};
use thiserror::Error;
use typst::diag::{SourceDiagnostic, Warned};
use typst_layout::PagedDocument;
use typst_pdf::PdfOptions;

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

/// Sets a review in type and returns the bytes of a tagged PDF file.
///
/// # Errors
/// [`ReportError`] says at which step it failed; no input known fails.
pub fn pdf(review: &Review, options: &Options) -> Result<Vec<u8>, ReportError> {
    let made = sheet::json(review, options).and_then(|data| render(Work::Report, data, Vec::new()));
    // What the typesetter remembers between renders is of no use here and would pile up.
    typst::comemo::evict(0);
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
    typst::comemo::evict(0);
    made.map(|made| made.bytes)
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
    let settings = PdfOptions {
        creator: typst::foundations::Smart::Custom(Some("Unbury".to_owned())),
        ..PdfOptions::default()
    };
    let bytes = typst_pdf::pdf(&document, &settings)
        .map_err(|faults| ReportError::Export(words_of(&faults)))?;
    Ok(Rendered { bytes, complaints: words_of(&warnings) })
}

fn words_of(diagnostics: &[SourceDiagnostic]) -> Vec<String> {
    diagnostics.iter().map(|diagnostic| diagnostic.message.to_string()).collect()
}

#[cfg(test)]
mod tests;
