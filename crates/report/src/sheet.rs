//! The data file the template reads: the review as it stands, beside it what the page needs in
//! another shape. No value is put into the template as markup.

use analysis::{HandoverView, NoticedRow, PhotoView, Review};
use serde::Serialize;
use wording::Texts;

use crate::blocks::{self, Block};
use crate::live::{self, LiveMap};
use crate::typeface::Shapes;
use crate::{
    Choice, Content, Favourite, Options, Paper, ReportError, Stands, Suspect, Table, clean,
};

/// File name and content.
pub(crate) type File = (String, Vec<u8>);

#[derive(Serialize)]
struct Sheet<'a> {
    language: &'static str,
    review: &'a Review,
    handover: &'a HandoverView,
    noticed: &'a [NoticedRow],
    paper: &'static str,
    dated: Option<&'a str>,
    /// Findings told together.
    blocks: Vec<Block<'a>>,
    live: LiveMap<'a>,
    /// One for each state.
    residuals: Vec<String>,
    suspects: &'a [Suspect],
    #[serde(rename = "stands-out")]
    stands_out: bool,
    /// How likely it is that nothing is wrong beyond the record, if that is the favourite.
    #[serde(rename = "as-recorded")]
    as_recorded: Option<&'a str>,
    choices: &'a [Choice],
    /// What holds for all choices.
    #[serde(rename = "choice-note")]
    choice_note: &'a str,
    tables: &'a [Table],
    pictures: Vec<Drawn<'a>>,
    photos: Vec<Shown<'a>>,
    refused: Vec<Refused<'a>>,
    left: &'a [String],
}

/// A drawing and the file it is in.
#[derive(Serialize)]
struct Drawn<'a> {
    title: &'a str,
    file: String,
    stands: Stands,
    /// Height over width.
    ratio: f64,
    /// Too tall for half a page.
    tall: bool,
}

/// A photo and the file it is in.
#[derive(Serialize)]
struct Shown<'a> {
    photo: &'a PhotoView,
    file: String,
}

#[derive(Serialize)]
struct Refused<'a> {
    name: &'a str,
    why: &'a str,
}

/// Writes the data file and names the pictures it speaks of.
pub(crate) fn files(
    content: &Content<'_>,
    options: &Options,
) -> Result<(Vec<u8>, Vec<File>), ReportError> {
    let review = content.review;
    let mut pictures: Vec<File> = Vec::new();
    let drawn = drawings(content, &mut pictures);
    let photos = photos(content, &mut pictures);
    let refused = content.refused.iter().map(|(name, why)| Refused { name, why });
    let sheet = Sheet {
        language: content.texts.language().code(),
        review,
        handover: content.handover,
        noticed: &content.noticed,
        paper: paper_name(options.paper),
        dated: options.dated.as_deref(),
        blocks: blocks::gather(&review.findings),
        live: live::gather(&review.live),
        residuals: residuals(review, content.texts),
        suspects: &content.suspects,
        stands_out: content.favourite == Favourite::First,
        as_recorded: match &content.favourite {
            Favourite::AsRecorded(share) => Some(share),
            Favourite::None | Favourite::First => None,
        },
        choices: &content.choices,
        choice_note: &content.choice_note,
        tables: &content.tables,
        pictures: drawn,
        photos,
        refused: refused.collect(),
        left: &content.left,
    };
    let mut value = serde_json::to_value(&sheet).map_err(data_fault)?;
    clean::printable(&mut value);
    let unshown = clean::without_shape(&value, &Shapes::load());
    if let Some(fields) = value.as_object_mut() {
        fields.insert("unshown".to_owned(), unshown.into());
    }
    let data = serde_json::to_vec(&value).map_err(data_fault)?;
    pictures.push(words(content.texts)?);
    Ok((data, pictures))
}

fn drawings<'a>(content: &'a Content<'_>, files: &mut Vec<File>) -> Vec<Drawn<'a>> {
    let mut drawn = Vec::new();
    for (number, picture) in content.pictures.iter().enumerate() {
        let file = format!("drawing-{number}.svg");
        files.push((file.clone(), picture.svg.clone().into_bytes()));
        // A drawing that does not say gets a square; one that is none is refused when it is set.
        let ratio = height_to_width(&picture.svg).unwrap_or(1.0);
        drawn.push(Drawn {
            title: &picture.title,
            file,
            stands: picture.stands,
            ratio,
            tall: ratio > TALL,
        });
    }
    drawn
}

/// From this ratio of height to width a drawing would be too small on half a page.
const TALL: f64 = 0.9;

/// How tall a drawing is over its width, by its `viewBox` (SVG 1.1, 7.7).
fn height_to_width(svg: &str) -> Option<f64> {
    let start = svg.find("viewBox=\"").map_or(svg.len(), |at| at + "viewBox=\"".len());
    let numbers: Vec<f64> = svg[start..]
        .split('"')
        .next()
        .unwrap_or_default()
        .split([' ', ','])
        .filter_map(|number| number.parse().ok())
        .collect();
    match numbers[..] {
        [_, _, width, height] if width > 0.0 && height > 0.0 => Some(height / width),
        _ => None,
    }
}

/// The photos that are here, in the order of the record.
fn photos<'a>(content: &'a Content<'_>, files: &mut Vec<File>) -> Vec<Shown<'a>> {
    let mut shown = Vec::new();
    for photo in &content.handover.photos {
        let Some(found) = content.photos.iter().find(|found| found.name == photo.name) else {
            continue;
        };
        let file = format!("photo-{}.jpg", shown.len());
        files.push((file.clone(), found.jpeg.clone()));
        shown.push(Shown { photo, file });
    }
    shown
}

fn residuals(review: &Review, texts: &Texts) -> Vec<String> {
    review.states.iter().map(|state| residual_words(state.residual_a, texts)).collect()
}

/// The words of the language, as the template reads them.
pub(crate) fn words(texts: &Texts) -> Result<File, ReportError> {
    Ok(("texts.json".to_owned(), serde_json::to_vec(texts.all()).map_err(data_fault)?))
}

fn data_fault(fault: serde_json::Error) -> ReportError {
    ReportError::Data(fault.to_string())
}

fn paper_name(paper: Paper) -> &'static str {
    match paper {
        Paper::A4 => "a4",
        Paper::Letter => "us-letter",
    }
}

fn residual_words(residual_a: Option<f64>, texts: &Texts) -> String {
    match residual_a {
        Some(amount_a) if amount_a.is_finite() => format!("{amount_a:.1e} A"),
        Some(_) => texts.get("states.residual-nan").to_owned(),
        None => texts.get("states.residual-none").to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_missing_balance_is_said_not_shown_as_zero() {
        let texts = Texts::of(wording::Language::English);
        assert_eq!(residual_words(None, &texts), "none, there is no answer");
        assert_eq!(residual_words(Some(f64::NAN), &texts), "not a number");
        assert_eq!(residual_words(Some(2.31e-10), &texts), "2.3e-10 A");
    }
}
