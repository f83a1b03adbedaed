//! Writes the step sheet of a way in: pages to print with labels for the bags, and the drawings.

use std::path::{Path, PathBuf};

use analysis::{Case, Opening};
use anyhow::Result;

use crate::cli::Paper;
use crate::drawing;
use crate::pack::put_file;

/// Writes every file to a folder, each whole or not at all; returns what was written.
pub(crate) fn write(
    folder: &Path,
    case: &Case,
    opening: &Opening,
    paper: Paper,
) -> Result<Vec<(PathBuf, &'static str)>> {
    let drawings = drawing::of(case, opening);
    let mut written = Vec::new();
    if let Some(bytes) = sheet(case, opening, &drawings, paper)? {
        written
            .push((put_file(folder, "steps.pdf", bytes)?, "the steps, with labels for the bags"));
    }
    for (number, drawing) in drawings.into_iter().enumerate() {
        let name = format!("way-in-{}.svg", number + 1);
        written.push((put_file(folder, &name, drawing.into_bytes())?, "a drawing"));
    }
    Ok(written)
}

#[cfg(feature = "pdf")]
fn sheet(
    case: &Case,
    opening: &Opening,
    drawings: &[String],
    paper: Paper,
) -> Result<Option<Vec<u8>>> {
    use anyhow::Context as _;

    let _progress = crate::progress::Progress::of("setting the step sheet");
    let paper = match paper {
        Paper::A4 => report::Paper::A4,
        Paper::Letter => report::Paper::Letter,
    };
    let sheet = report::StepSheet {
        vehicle: case.vehicle_name().to_owned(),
        cautions: case.cautions(),
        drawings: drawings.to_vec(),
        codes: opening.bags.iter().filter_map(|bag| draw::qr(&code(case, bag))).collect(),
    };
    let options = report::Options { paper, dated: None };
    report::step_sheet(opening, sheet, &options).map(Some).context("cannot set the step sheet")
}

/// What the code on a bag says: the vehicle, the bag, the part, and how many pieces of what.
#[cfg(feature = "pdf")]
fn code(case: &Case, bag: &analysis::Bag) -> String {
    let pieces: Vec<String> = bag.fixings.iter().map(|fixing| fixing.words.clone()).collect();
    format!("{}\nbag {}\n{}\n{}", case.vehicle_name(), bag.number, bag.label, pieces.join(", "))
}

#[cfg(not(feature = "pdf"))]
fn sheet(_: &Case, _: &Opening, _: &[String], _: Paper) -> Result<Option<Vec<u8>>> {
    Ok(None)
}
