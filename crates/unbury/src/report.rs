//! `unbury report`: the hand-over pack of a record.

use std::path::Path;

use analysis::Case;
use anyhow::Result;
use serde::Serialize;

use crate::cli::{End, RecordFile};
use crate::page::Page;
use crate::progress::Progress;
use crate::{commands, pack, show};

/// Where the pack goes, and how it is made.
pub(crate) struct Target<'a> {
    pub(crate) folder: &'a Path,
    pub(crate) zip: bool,
    pub(crate) options: ::pack::Options,
}

#[derive(Serialize)]
struct Told<'a> {
    schema: &'static str,
    folder: String,
    files: Vec<ToldFile<'a>>,
    refused: Vec<ToldPhoto<'a>>,
}

#[derive(Serialize)]
struct ToldFile<'a> {
    file: String,
    what: &'a str,
}

#[derive(Serialize)]
struct ToldPhoto<'a> {
    photo: &'a str,
    file: &'a str,
    why: &'a str,
}

/// Makes and writes it. A record with errors still gets one, which says what is missing.
pub(crate) fn write(
    page: &mut Page,
    record: &RecordFile,
    json: bool,
    target: &Target<'_>,
) -> Result<End> {
    let (path, text) = commands::read(record)?;
    let progress = Progress::of("reviewing");
    let case = Case::of(&text);
    let review = case.review();
    drop(progress);
    show::faults::on_standard_error(page, &path, &text, &review.record_faults)?;
    let beside = pack::Beside::of(&record.path);
    let (made, mut written) =
        pack::write(target.folder, &text, beside, (&case, &review), &target.options)?;
    if target.zip {
        let archive = pack::write_zip(target.folder, &made)?;
        written.files.push((archive, "all of it in one file".to_owned()));
    }
    if json {
        page.json(&told(target.folder, &written))?;
    } else {
        show::pack::files(page, target.folder, &written.files)?;
    }
    show::pack::refused(page, &written.refused)?;
    Ok(if commands::has_errors(&review) {
        End::RecordErrors
    } else if written.refused.is_empty() {
        End::Done
    } else {
        End::NoFile
    })
}

fn told<'a>(folder: &Path, written: &'a pack::Written) -> Told<'a> {
    let files = written.files.iter();
    let refused = written.refused.iter();
    Told {
        schema: "unbury.report/1",
        folder: folder.display().to_string(),
        files: files
            .map(|(path, what)| ToldFile { file: path.display().to_string(), what })
            .collect(),
        refused: refused.map(|(photo, file, why)| ToldPhoto { photo, file, why }).collect(),
    }
}
