//! The report of a pack.

use analysis::{SuspectRow, SuspectsView};
use depict::Picture;
use wording::Teller;

use crate::files::{Photo, Told};
use crate::{Options, PackError, Paper};

/// Suspects shown on page one, and how likely one must be to be among them.
const MOST_SUSPECTS: usize = 3;
const LEAST_SHARE: f64 = 0.03;

/// Charts of opening times in the report: they differ little from wire to wire of one fuse.
const MOST_TRIPS: usize = 4;

/// The report as PDF.
pub(crate) fn report(
    told: &Told<'_>,
    pictures: &[Picture],
    photos: &[Photo],
    refused: &[(String, String)],
    options: &Options,
) -> Result<Option<Vec<u8>>, PackError> {
    let drawn = printed(pictures).map(|picture| {
        let sheet = picture.is_of("wiring") || picture.is_of("vehicle");
        report::Picture {
            stands: if sheet { report::Stands::Alone } else { report::Stands::Among },
            title: picture.title.clone(),
            svg: picture.svg.clone(),
        }
    });
    let shown = photos
        .iter()
        .map(|photo| report::Photo { name: photo.name.clone(), jpeg: photo.jpeg.clone() });
    let (suspects, favourite) = suspects(told.teller, told.cause);
    let (choices, choice_note) = choices(told);
    let content = report::Content {
        noticed: told.noticed.to_vec(),
        suspects,
        favourite,
        choices,
        choice_note,
        tables: tables(told),
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

/// What can be done for how much, and what holds for all of it.
fn choices(told: &Told<'_>) -> (Vec<report::Choice>, String) {
    told.price.map_or_else(Default::default, |price| {
        crate::price_tables::choices(price, told.teller.texts())
    })
}

/// Price, materials, what was agreed to.
fn tables(told: &Told<'_>) -> Vec<report::Table> {
    let all =
        told.price.map_or_else(Vec::new, |price| crate::price_tables::tables(price, told.teller));
    let text = |cell: crate::tables::Cell| match cell {
        crate::tables::Cell::Words(words) => words,
        crate::tables::Cell::Number(number) => number.to_string(),
        crate::tables::Cell::Money(cents) => crate::tables::money(cents),
    };
    let rows = |rows: Vec<Vec<crate::tables::Cell>>| {
        rows.into_iter().map(|row| row.into_iter().map(text).collect()).collect()
    };
    let table = |one: crate::tables::Table| report::Table {
        title: one.title,
        head: one.head,
        rows: rows(one.rows),
    };
    all.into_iter().map(table).collect()
}

/// The drawings of the report; of charts of one kind the worst, all of them lie beside it.
fn printed(all: &[Picture]) -> impl Iterator<Item = &Picture> {
    let mut trips = 0;
    all.iter().filter(move |picture| {
        trips += usize::from(picture.is_of("trip"));
        is_printed(picture, all) && (!picture.is_of("trip") || trips <= MOST_TRIPS)
    })
}

/// The wiring is printed once, with its findings where there are any; state by state it lies beside
/// the report only.
fn is_printed(picture: &Picture, all: &[Picture]) -> bool {
    let any = |name: &str| all.iter().any(|other| other.is_of(name));
    let sheet_of = |name: &str| {
        let rest = picture.name.strip_prefix(name);
        rest.is_some_and(|rest| rest.chars().all(|c| c == '-' || c.is_ascii_digit()))
    };
    let is_told_better = sheet_of("wiring") && any("wiring-findings")
        || sheet_of("wiring-mains") && any("wiring-mains-findings");
    let is_a_state = picture.is_of("wiring-state") || picture.is_of("wiring-mains-state");
    !is_a_state && !is_told_better
}

/// What may be the cause by the readings; nothing when there is no reading to weigh.
fn suspects(
    teller: &Teller,
    cause: Option<&SuspectsView>,
) -> (Vec<report::Suspect>, report::Favourite) {
    let rows = cause.map_or(&[][..], |view| &view.rows);
    let Some(first) = rows.first().filter(|row| !row.says.is_empty()) else {
        return (Vec::new(), report::Favourite::None);
    };
    let stands_out = first.probability > 0.5;
    if stands_out && first.as_built {
        return (Vec::new(), report::Favourite::AsRecorded(share(first.probability)));
    }
    let shown = rows.iter().take(MOST_SUSPECTS).filter(|row| row.probability >= LEAST_SHARE);
    let favourite = if stands_out { report::Favourite::First } else { report::Favourite::None };
    (shown.map(|row| suspect(teller, row)).collect(), favourite)
}

fn suspect(teller: &Teller, row: &SuspectRow) -> report::Suspect {
    let each = row.words.iter().zip(&row.sizes).map(|(words, size)| {
        let words = teller.sentence(words);
        if size.is_empty() { words } else { format!("{words} ({})", teller.sentence(size)) }
    });
    let speak: Vec<&str> = row
        .says
        .iter()
        .filter(|says| says.speaks == "for")
        .map(|says| says.reading.as_str())
        .collect();
    let because = match speak[..] {
        [] => Vec::new(),
        _ => vec![teller.texts().fill("first.speak-for", &[("readings", &speak.join(", "))])],
    };
    report::Suspect {
        what: each.collect::<Vec<_>>().join(" + "),
        chance: share(row.probability),
        because,
    }
}

/// A probability as it is printed: never certain, never nothing.
fn share(probability: f64) -> String {
    let percent = (probability * 100.0).round();
    if percent > 99.0 {
        "> 99 %".to_owned()
    } else if percent < 1.0 {
        "< 1 %".to_owned()
    } else {
        format!("{percent:.0} %")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_probability_is_never_printed_as_certain_or_as_nothing() {
        assert_eq!(share(1.0), "> 99 %");
        assert_eq!(share(0.996), "> 99 %");
        assert_eq!(share(0.624), "62 %");
        assert_eq!(share(0.0), "< 1 %");
    }
}
