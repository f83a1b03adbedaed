//! The data file and the pictures of a step sheet. Takes the way in as it is and adds nothing to it.

use analysis::Opening;
use serde::Serialize;
use wording::Texts;

use crate::{Options, Paper, ReportError, clean};

/// What goes on a step sheet beside the way in itself; all of it, and the way in, told in the language of
/// the texts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StepSheet {
    /// The texts of the language.
    pub texts: Texts,
    /// Name of the vehicle.
    pub vehicle: String,
    /// What to mind, a sentence each.
    pub cautions: Vec<String>,
    /// Drawings as SVG.
    pub drawings: Vec<String>,
    /// For each bag of the way in, its code as SVG; empty: no labels.
    pub codes: Vec<String>,
}

#[derive(Serialize)]
struct Sheet<'a> {
    language: &'static str,
    opening: &'a Opening,
    vehicle: &'a str,
    cautions: &'a [String],
    paper: &'static str,
    /// Names of the files the drawings are in.
    drawings: Vec<String>,
    labels: Vec<Label<'a>>,
}

#[derive(Serialize)]
struct Label<'a> {
    number: usize,
    label: &'a str,
    count: u32,
    /// Name of the file the code is in.
    code: String,
}

/// File name and content.
type Picture = (String, Vec<u8>);

/// Writes the data file and names the pictures it speaks of.
pub(crate) fn files(
    opening: &Opening,
    sheet: StepSheet,
    options: &Options,
) -> Result<(Vec<u8>, Vec<Picture>), ReportError> {
    let named = |kind: &str, all: Vec<String>| -> Vec<Picture> {
        let name = |k: usize| format!("{kind}-{k}.svg");
        all.into_iter().enumerate().map(|(k, svg)| (name(k), svg.into_bytes())).collect()
    };
    let drawings = named("drawing", sheet.drawings);
    let codes = named("code", sheet.codes);
    let labels = opening
        .bags
        .iter()
        .zip(&codes)
        .map(|(bag, code)| Label {
            number: bag.number,
            label: &bag.label,
            count: bag.count,
            code: code.0.clone(),
        })
        .collect();
    let data = Sheet {
        language: sheet.texts.language().code(),
        opening,
        vehicle: &sheet.vehicle,
        cautions: &sheet.cautions,
        paper: match options.paper {
            Paper::A4 => "a4",
            Paper::Letter => "us-letter",
        },
        drawings: drawings.iter().map(|drawing| drawing.0.clone()).collect(),
        labels,
    };
    let fault = |fault: serde_json::Error| ReportError::Data(fault.to_string());
    let mut value = serde_json::to_value(&data).map_err(fault)?;
    clean::printable(&mut value);
    let data = serde_json::to_vec(&value).map_err(fault)?;
    let words = crate::sheet::words(&sheet.texts)?;
    Ok((data, drawings.into_iter().chain(codes).chain([words]).collect()))
}
