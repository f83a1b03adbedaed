//! The report of a pack.

use depict::Picture;

use crate::files::{Photo, Told};
use crate::{Options, PackError, Paper};

/// The report as PDF.
pub(crate) fn report(
    told: &Told<'_>,
    pictures: &[Picture],
    photos: &[Photo],
    refused: &[(String, String)],
    options: &Options,
) -> Result<Option<Vec<u8>>, PackError> {
    let drawn = pictures
        .iter()
        .map(|picture| report::Picture { title: picture.title.clone(), svg: picture.svg.clone() });
    let shown = photos
        .iter()
        .map(|photo| report::Photo { name: photo.name.clone(), jpeg: photo.jpeg.clone() });
    let content = report::Content {
        pictures: drawn.collect(),
        photos: shown.collect(),
        refused: refused.to_vec(),
        left: told.teller.left(),
        ..report::Content::of(told.teller.texts(), told.review, told.handover)
    };
    let settings = report::Options {
        paper: match options.paper {
            Paper::A4 => report::Paper::A4,
            Paper::Letter => report::Paper::Letter,
        },
        dated: options.dated.map(|day| day.to_string()),
    };
    report::pdf(&content, &settings).map(Some).map_err(|fault| PackError::Report(fault.to_string()))
}
