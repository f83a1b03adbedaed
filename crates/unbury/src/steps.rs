//! Writes the step sheet of a way in: pages to print with labels for the bags, and the drawings.

use std::path::{Path, PathBuf};

use analysis::{Case, Opening};
use anyhow::Result;
use depict::Picture;
use wording::Teller;

use crate::cli::Paper;
use crate::pack::put_file;
use crate::telling::Telling;

/// Writes every file to a folder, each whole or not at all; returns what was written.
pub(crate) fn write(
    folder: &Path,
    case: &Case,
    opening: &Opening,
    paper: Paper,
    telling: Telling,
) -> Result<Vec<(PathBuf, &'static str)>> {
    let teller = telling.teller();
    let opening = &teller.opening(opening);
    let drawings = depict::way_in_told(case, opening, &teller);
    let mut written = Vec::new();
    if let Some(bytes) = sheet(case, opening, &drawings, &teller, paper)? {
        written
            .push((put_file(folder, "steps.pdf", bytes)?, "the steps, with labels for the bags"));
    }
    for picture in drawings {
        let name = format!("{}.svg", picture.name);
        written.push((put_file(folder, &name, picture.svg.into_bytes())?, "a drawing"));
    }
    Ok(written)
}

#[cfg(feature = "pdf")]
fn sheet(
    case: &Case,
    opening: &Opening,
    drawings: &[Picture],
    teller: &Teller,
    paper: Paper,
) -> Result<Option<Vec<u8>>> {
    use anyhow::Context as _;

    let _progress = crate::progress::Progress::of("setting the step sheet");
    let paper = match paper {
        Paper::A4 => report::Paper::A4,
        Paper::Letter => report::Paper::Letter,
    };
    let sheet = report::StepSheet {
        texts: teller.texts().clone(),
        vehicle: case.vehicle_name().to_owned(),
        cautions: case.cautions().iter().map(|caution| teller.sentence(caution)).collect(),
        drawings: drawings.iter().map(|picture| picture.svg.clone()).collect(),
        codes: depict::bag_codes(case, opening),
    };
    let options = report::Options { paper, dated: None };
    report::step_sheet(opening, sheet, &options).map(Some).context("cannot set the step sheet")
}

#[cfg(not(feature = "pdf"))]
fn sheet(_: &Case, _: &Opening, _: &[Picture], _: &Teller, _: Paper) -> Result<Option<Vec<u8>>> {
    Ok(None)
}
