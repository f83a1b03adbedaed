//! Every example record told in Spanish: nothing of the program's own is left in English, names stay,
//! and figures are the same.

use std::path::{Path, PathBuf};

use analysis::{Case, Review};
use units::System;
use wording::{Language, Teller, Texts};

fn records() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../records");
    let mut found: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("records/ exists")
        .map(|entry| entry.expect("a readable folder").path())
        .filter(|path| path.is_dir())
        .map(|path| {
            let name = path.file_name().expect("a name").to_string_lossy().into_owned();
            path.join(format!("{name}.toml"))
        })
        .collect();
    found.sort();
    assert!(found.len() >= 5, "the example records");
    found
}

/// The review of a record, the record told, and what was left in English.
fn told(path: &Path) -> (Review, Review, Vec<String>) {
    let case = Case::of(&std::fs::read_to_string(path).expect("a record"));
    let review = case.review();
    let teller = Teller::new(Language::Spanish, System::Metric);
    let told = teller.review(&review);
    let _ = teller.handover(&case.handover());
    (review, told, teller.left())
}

/// Digits of a text, in order of size: what a translation may not change.
fn digits(text: &str) -> Vec<char> {
    let mut digits: Vec<char> = text.chars().filter(char::is_ascii_digit).collect();
    digits.sort_unstable();
    digits
}

#[test]
fn nothing_the_program_says_of_the_records_is_left_in_english() {
    for path in records() {
        let (review, told, left) = told(&path);
        assert!(left.is_empty(), "{}: {left:#?}", path.display());
        for (before, after) in review.findings.iter().zip(&told.findings) {
            assert_ne!(before.title, after.title);
            assert_ne!(before.hazard, after.hazard);
            assert_ne!(before.message, after.message);
            assert_eq!(digits(&before.message), digits(&after.message), "{}", after.message);
            assert_eq!(digits(&before.remedy), digits(&after.remedy), "{}", after.remedy);
        }
        assert_eq!(review.vehicle.complaint, told.vehicle.complaint, "the owner's own words");
        let names = |review: &Review| -> Vec<String> {
            review.wires.iter().map(|wire| wire.name.clone()).collect()
        };
        assert_eq!(names(&review), names(&told));
    }
}

#[test]
fn every_check_has_a_title_a_hazard_and_what_not_to_use_in_both_languages() {
    let teller = Teller::new(Language::Spanish, System::Metric);
    for (slug, title) in analysis::check_list() {
        let hazard = analysis::check_hazard(slug).expect("a check has a hazard");
        assert_ne!(teller.sentence(title), title, "{slug}");
        assert_ne!(teller.sentence(hazard), hazard, "{slug}");
        for language in Language::ALL {
            assert!(Texts::of(language).has(&format!("until.{slug}")), "{slug} in {language:?}");
        }
    }
}

#[test]
fn english_in_metric_units_is_the_review_itself() {
    let path = &records()[0];
    let review = Case::of(&std::fs::read_to_string(path).expect("a record")).review();
    assert_eq!(Teller::new(Language::English, System::Metric).review(&review), review);
}

#[test]
fn what_cannot_be_told_stays_and_is_named() {
    let teller = Teller::new(Language::Spanish, System::Us);
    assert_eq!(
        teller.sentence("a sentence nobody knows for 1.524 m"),
        "a sentence nobody knows for 5 ft"
    );
    assert_eq!(teller.left(), ["a sentence nobody knows for 1.524 m"]);
}
