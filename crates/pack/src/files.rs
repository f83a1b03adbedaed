//! Which files a pack has, and what they are called.

use std::collections::BTreeSet;

use analysis::{Case, HandoverView, NoticedRow, PriceAsked, PriceView, Review, SuspectsView};
#[cfg(not(feature = "pdf"))]
use depict::Picture;
use wording::Teller;

use crate::{Options, Pack, PackError, PackFile, Paper, PhotoFound, Request};
use crate::{manifest, photo, price_tables, tables, workbook};

/// A photo fit for the pack.
pub(crate) struct Photo {
    pub(crate) name: String,
    pub(crate) jpeg: Vec<u8>,
}

/// What is told, and who tells it.
pub(crate) struct Told<'a> {
    pub(crate) teller: &'a Teller,
    pub(crate) review: &'a Review,
    pub(crate) handover: &'a HandoverView,
    pub(crate) noticed: &'a [NoticedRow],
    pub(crate) price: Option<&'a PriceView>,
    pub(crate) cause: Option<&'a SuspectsView>,
}

/// What the vehicle is asked, told in the language, before anything is set in type.
struct Asked {
    review: Review,
    handover: HandoverView,
    /// The same in English and metric units, for programs.
    plain_handover: HandoverView,
    noticed: Vec<NoticedRow>,
    pictures: Vec<depict::Picture>,
    photos: Vec<Photo>,
    refused: Vec<(String, String)>,
    decks: Vec<(String, String)>,
    price: Option<PriceView>,
}

impl Asked {
    fn of(request: &Request<'_>, paper: Paper, teller: &Teller) -> Asked {
        let case = request.case;
        let plain_handover = case.handover();
        let handover = teller.handover(&plain_handover);
        let pictures = depict::pictures_told(case, sheet(paper), teller);
        let mut whole = request.review.clone();
        whole.sources.extend(case.chart_sources(request.review));
        let review = teller.review(&whole);
        let noticed = teller.noticed(&case.noticed(request.review));
        let (photos, refused) = photos(&handover, &request.photos);
        let decks = decks(case);
        // Last, since it waits for the suspects, which are weighed meanwhile. Without a rate it tells minutes.
        // One that cannot be made is no reason to hand over nothing; `unbury price` says why.
        let is_wanted = case.wants_price() || !request.review.findings.is_empty();
        let wanted = is_wanted.then(|| case.price(&PriceAsked::default()));
        let price = wanted.and_then(Result::ok);
        Asked { review, handover, plain_handover, noticed, pictures, photos, refused, decks, price }
    }
}

/// What may be the cause by the readings. It takes as long as all else that is asked; page one of the
/// report names it, and the price of what was complained of turns on it.
fn cause(case: &Case) -> Option<SuspectsView> {
    cfg!(feature = "pdf").then(|| case.suspects())
}

/// Does both at the same time; what comes out does not depend on which ends first.
fn both<A: Send, B>(one: impl FnOnce() -> A + Send, other: impl FnOnce() -> B) -> (A, B) {
    std::thread::scope(|scope| {
        let one = scope.spawn(one);
        let other = other();
        (one.join().unwrap_or_else(|fault| std::panic::resume_unwind(fault)), other)
    })
}

/// Makes every file of the pack.
///
/// # Errors
/// [`PackError`] says which file could not be made. A photo that cannot be used is no error: it is
/// named in [`Pack::refused`] and in the report.
pub fn make(request: &Request<'_>, options: &Options) -> Result<Pack, PackError> {
    let case = request.case;
    let teller = Teller::new(options.language, options.system);
    let (cause, asked) = both(|| cause(case), || Asked::of(request, options.paper, &teller));
    let texts = teller.texts();
    let mut shelf = Shelf::default();
    let told = Told {
        teller: &teller,
        review: &asked.review,
        handover: &asked.handover,
        noticed: &asked.noticed,
        price: asked.price.as_ref(),
        cause: cause.as_ref(),
    };
    if let Some(pdf) = report(&told, &asked.pictures, &asked.photos, &asked.refused, options)? {
        shelf.put("report", "pdf", texts.get("file.report"), pdf);
    }
    put_tables(&mut shelf, &told, options)?;
    for picture in &asked.pictures {
        let name = format!("drawing-{}", picture.name);
        shelf.put(&name, "svg", &picture.title, picture.svg.clone().into_bytes());
    }
    for photo in asked.photos {
        let words = texts.get("file.photo").to_owned();
        shelf.put(&format!("photo-{}", photo.name), "jpg", &words, photo.jpeg);
    }
    for (name, deck) in asked.decks {
        shelf.put(&name, "cir", texts.get("file.deck"), deck.into_bytes());
    }
    let json = |name: &str, made: serde_json::Result<Vec<u8>>| {
        made.map_err(|fault| PackError::Table(format!("{name}.json"), fault.to_string()))
    };
    let review = json("review", serde_json::to_vec_pretty(request.review))?;
    shelf.put("review", "json", texts.get("file.data"), review);
    let handover = json("handover", serde_json::to_vec_pretty(&asked.plain_handover))?;
    shelf.put("handover", "json", texts.get("file.handover"), handover);
    shelf.put("record", "toml", texts.get("file.record"), request.record.as_bytes().to_vec());
    let list = manifest::list(&shelf.files).into_bytes();
    shelf.files.push(PackFile {
        name: manifest::NAME.to_owned(),
        what: texts.get("file.manifest").to_owned(),
        bytes: list,
    });
    Ok(Pack { files: shelf.files, refused: asked.refused })
}

#[cfg(feature = "pdf")]
use crate::report_file::report;

/// The program was built without what sets pages in type.
#[cfg(not(feature = "pdf"))]
fn report(
    told: &Told<'_>,
    pictures: &[Picture],
    _: &[Photo],
    _: &[(String, String)],
    options: &Options,
) -> Result<Option<Vec<u8>>, PackError> {
    let _ = (told.teller, told.review, told.handover, told.noticed, told.price, told.cause);
    let _ = (pictures.len(), options.paper);
    Ok(None)
}

/// Drawings are cut into sheets of the paper of the report, so that nothing in them is made smaller.
fn sheet(paper: Paper) -> depict::Paper {
    match paper {
        Paper::A4 => depict::Paper::A4,
        Paper::Letter => depict::Paper::Letter,
    }
}

fn put_tables(shelf: &mut Shelf, told: &Told<'_>, options: &Options) -> Result<(), PackError> {
    let (review, texts) = (told.review, told.teller.texts());
    let mut all = tables::all(review, told.handover, texts);
    if let Some(price) = told.price {
        all.extend(price_tables::tables(price, told.teller));
    }
    let title = texts.fill("doc.title", &[("vehicle", &review.vehicle.name)]);
    let book = workbook::xlsx(&all, &title, options.dated)?;
    shelf.put("tables", "xlsx", texts.get("file.workbook"), book);
    for table in &all {
        let what = format!("{}: {}", texts.get("file.table"), table.title);
        shelf.put(table.name, "csv", &what, workbook::csv(table)?);
    }
    Ok(())
}

/// The circuit of each state as SPICE decks with their names, direct current and mains.
fn decks(case: &Case) -> Vec<(String, String)> {
    let mut decks = Vec::new();
    for state in case.state_names() {
        let name = format!("state-{state}");
        decks.extend(case.netlist(&state).map(|deck| (name.clone(), deck)));
        decks.extend(case.mains_netlist(&state).map(|deck| (format!("{name}-mains"), deck)));
    }
    decks
}

/// The photos the record names that can be used, and the others with the reason.
fn photos(handover: &HandoverView, found: &[PhotoFound]) -> (Vec<Photo>, Vec<(String, String)>) {
    let mut good = Vec::new();
    let mut refused = Vec::new();
    for wanted in &handover.photos {
        let bytes = match found.iter().find(|photo| photo.name == wanted.name) {
            Some(PhotoFound { bytes: Ok(bytes), .. }) => bytes,
            Some(PhotoFound { bytes: Err(why), .. }) => {
                refused.push((wanted.name.clone(), why.clone()));
                continue;
            }
            None => {
                refused.push((wanted.name.clone(), "it was not handed in".to_owned()));
                continue;
            }
        };
        match photo::clean(bytes) {
            Ok((jpeg, ..)) => good.push(Photo { name: wanted.name.clone(), jpeg }),
            Err(why) => refused.push((wanted.name.clone(), why.to_string())),
        }
    }
    (good, refused)
}

/// Files with names that every system takes and that differ.
#[derive(Default)]
struct Shelf {
    files: Vec<PackFile>,
    taken: BTreeSet<String>,
}

impl Shelf {
    fn put(&mut self, stem: &str, ending: &str, what: &str, bytes: Vec<u8>) {
        let stem: String = stem
            .chars()
            .map(|c| if c.is_ascii_alphanumeric() || c == '-' { c } else { '-' })
            .collect();
        // Some systems do not tell small letters from capitals.
        let mut name = format!("{stem}.{ending}");
        let mut number = 2;
        while !self.taken.insert(name.to_lowercase()) {
            name = format!("{stem}-{number}.{ending}");
            number += 1;
        }
        self.files.push(PackFile { name, what: what.to_owned(), bytes });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_a_system_takes_for_the_same_get_numbers_and_no_folder() {
        let mut shelf = Shelf::default();
        for stem in ["state-Night", "state-night", "state-../night", "state-nächt"] {
            shelf.put(stem, "cir", "", Vec::new());
        }
        let names: Vec<&str> = shelf.files.iter().map(|file| file.name.as_str()).collect();
        let wanted =
            ["state-Night.cir", "state-night-2.cir", "state----night.cir", "state-n-cht.cir"];
        assert_eq!(names, wanted);
    }
}
