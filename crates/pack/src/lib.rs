//! The hand-over pack as files in memory: report, tables, drawings, circuits, photos, the record, and
//! checksums of them all.
//!
//! A pure function of the record, what was read beside it, and the options: the same input gives the
//! same bytes. Reads and writes nothing; whoever calls it brings the photos and puts the files away.
//!
//! | file | what it holds |
//! |---|---|
//! | `files.rs` | which files a pack has, and their names |
//! | `report_file.rs` | the report, where the program was built with it |
//! | `tables.rs`, `workbook.rs` | tables; as CSV and as a workbook |
//! | `price_tables.rs` | the tables of a price, and the choices of page one |
//! | `photo.rs` | a photo turned upright, made small and stripped of everything but the picture |
//! | `manifest.rs`, `archive.rs` | checksums; everything in one file |

mod archive;
mod files;
mod manifest;
mod photo;
mod price_tables;
#[cfg(feature = "pdf")]
mod report_file;
mod tables;
mod workbook;

use analysis::{Case, Review};
use thiserror::Error;
use units::System;
use wording::Language;

pub use archive::zip;
pub use files::make;
pub use photo::{MAX_PHOTO_BYTES, PhotoRefused, clean as clean_photo};
pub use price_tables::price_tables;

/// Size of the sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// ISO 216 A4, 210 mm × 297 mm.
    #[default]
    A4,
    /// ANSI/ASME Y14.1 size A ("letter"), 8.5 in × 11 in.
    Letter,
}

/// A day of the calendar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Day {
    /// Year, 1900 to 9999.
    pub year: u16,
    /// Month, from 1.
    pub month: u8,
    /// Day of the month, from 1.
    pub day: u8,
}

impl Day {
    /// Reads `2026-05-02`; nothing when there is no such day.
    pub fn of(text: &str) -> Option<Day> {
        let mut pieces = text.split('-');
        let (year, month, day) = (pieces.next()?, pieces.next()?, pieces.next()?);
        let digits =
            |text: &str, count| text.len() == count && text.bytes().all(|b| b.is_ascii_digit());
        if pieces.next().is_some() || !digits(year, 4) || !digits(month, 2) || !digits(day, 2) {
            return None;
        }
        let day =
            Day { year: year.parse().ok()?, month: month.parse().ok()?, day: day.parse().ok()? };
        let fits = day.year >= 1900 && day.day >= 1 && day.day <= day.days_in_month()?;
        fits.then_some(day)
    }

    /// Days of its month by the Gregorian calendar; nothing when there is no such month.
    fn days_in_month(self) -> Option<u8> {
        let divides = |years: u16| self.year.is_multiple_of(years);
        let leap = divides(4) && (!divides(100) || divides(400));
        Some(match self.month {
            1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
            4 | 6 | 9 | 11 => 30,
            2 if leap => 29,
            2 => 28,
            _ => return None,
        })
    }
}

impl std::fmt::Display for Day {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

/// How a pack is made.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Options {
    /// Size of the sheet.
    pub paper: Paper,
    /// Language of report and tables.
    pub language: Language,
    /// Units of report and tables.
    pub system: System,
    /// The day the report carries; without one it says that it is undated.
    pub dated: Option<Day>,
}

/// What a pack is made from.
#[derive(Clone, Debug)]
pub struct Request<'a> {
    /// The text of the record.
    pub record: &'a str,
    /// The record under analysis.
    pub case: &'a Case,
    /// Its review.
    pub review: &'a Review,
    /// Photos the record names, as they were found; those it names and which are not here are told as
    /// missing.
    pub photos: Vec<PhotoFound>,
}

/// A photo as it was found beside the record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PhotoFound {
    /// Its name in the record.
    pub name: String,
    /// Its bytes, or why they could not be read.
    pub bytes: Result<Vec<u8>, String>,
}

/// A file of the pack.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PackFile {
    /// Its name, without a folder.
    pub name: String,
    /// What it is, in the language of the pack.
    pub what: String,
    /// Its content.
    pub bytes: Vec<u8>,
}

/// A pack.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Pack {
    /// Its files; the last is the list of checksums.
    pub files: Vec<PackFile>,
    /// Photos that are not in it, by name, and why.
    pub refused: Vec<(String, String)>,
}

/// Why no pack could be made.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum PackError {
    /// The report could not be set in type.
    #[error("the report cannot be made: {0}")]
    Report(String),
    /// A table could not be written.
    #[error("the table `{0}` cannot be written: {1}")]
    Table(String, String),
    /// The archive could not be written.
    #[error("the archive cannot be written: {0}")]
    Archive(String),
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_is_one_of_the_calendar() {
        // Leap years by the Gregorian rule: 2000 was one, 1900 was not.
        for good in ["2026-05-02", "2000-02-29", "2024-02-29", "1999-12-31"] {
            assert_eq!(Day::of(good).map(|day| day.to_string()).as_deref(), Some(good));
        }
        let bad = ["2026-02-29", "1900-02-29", "2026-13-01", "2026-00-10", "26-05-02", "2026-5-2"];
        for text in bad.into_iter().chain(["", "2026-05-02-1", "2026-05-0x", "+026-05-02"]) {
            assert_eq!(Day::of(text), None, "{text}");
        }
    }
}
