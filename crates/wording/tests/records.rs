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

fn example(name: &str) -> Case {
    let path = records().into_iter().find(|path| path.ends_with(format!("{name}.toml")));
    Case::of(&std::fs::read_to_string(path.expect("an example record")).expect("a record"))
}

/// The figures of MIL-STD-1472 in inches: 110 mm, 200 mm and 300 mm by 25.4 mm.
#[test]
fn both_lengths_of_a_pair_are_told_in_inches() {
    let rests_on = example("bracken").hatch_table().rests_on;
    for language in Language::ALL {
        let teller = Teller::new(language, System::Us);
        let told: Vec<String> = rests_on.iter().map(|words| teller.drawn(words)).collect();
        let size = told.iter().find(|words| words.contains("MIL-STD")).expect("how big");
        for pair in ["4.33 in x 4.33 in", "7.87 in x 11.8 in"] {
            assert!(size.contains(pair), "{size}");
        }
    }
}

/// What the record says an hour costs is what a hatch is weighed with.
#[test]
fn a_hatch_counts_the_hour_of_the_record() {
    let rests_on = example("dunlin").hatch_table().rests_on.join("\n");
    assert!(rests_on.contains("an hour counts 68.00 EUR (as recorded)"), "{rests_on}");
    assert!(rests_on.contains("25.00 EUR of material"), "{rests_on}");
}

#[test]
fn what_the_sums_give_for_something_noticed_is_told() {
    let teller = Teller::new(Language::Spanish, System::Metric);
    for (name, words) in [("plover", "apagado: se ha apagado por sí mismo"), ("wren", "se carga")]
    {
        let case = example(name);
        let told = teller.noticed(&case.noticed(&case.review()));
        let computed: Vec<&str> = told.iter().map(|row| row.computed.as_str()).collect();
        assert!(computed.iter().any(|told| told.ends_with(words)), "{name}: {computed:?}");
        let is_english = |told: &&str| told.contains("while") || told.contains("charging");
        assert!(!computed.iter().any(is_english), "{name}: {computed:?}");
    }
}

#[test]
fn names_side_by_side_have_the_word_of_the_language_before_the_last_alone() {
    let wanted = [("dcdc, solar and mains-charger", 0), ("dcdc, solar y mains-charger", 1)];
    let review = example("plover").review();
    for (names, language) in wanted {
        let teller = Teller::new(Language::ALL[language], System::Metric);
        let told = teller.review(&review);
        let asked = told.cannot_tell.iter().flat_map(|finding| &finding.find_out);
        let asked: Vec<&str> = asked.map(|missing| missing.what.as_str()).collect();
        assert!(asked.iter().any(|what| what.contains(names)), "{names}: {asked:#?}");
        // A colon that belongs to the sentence is not written on to a name.
        assert!(!asked.iter().any(|what| what.contains("mains-charger:")), "{asked:#?}");
    }
}

/// Every reason why a value is usual that the catalog or the program gives: they stand under what was
/// assumed in a pack.
fn reasons() -> Vec<String> {
    let table = |source: &str| source.parse::<toml::Table>().expect("a table of the catalog");
    let kinds = table(include_str!("../../catalog/data/kinds.toml"));
    let usual = kinds.values().filter_map(|kind| kind.get("usual")?.as_table());
    let why = |value: &toml::Value| Some(value.get(1)?.as_str()?.to_owned());
    let mut reasons: Vec<String> = usual.flat_map(|usual| usual.values().filter_map(why)).collect();
    assert!(reasons.len() > 100, "{} reasons", reasons.len());
    let machines = table(include_str!("../../catalog/data/machines.toml"));
    // Those that the network lists with what it assumes of an alternator.
    for key in [
        "alternator_fall_per_kelvin",
        "alternator_low_share",
        "alternator_pulley",
        "alternator_hot_share",
    ] {
        let note = machines[key].get("note").and_then(toml::Value::as_str);
        reasons.push(note.expect("a note").to_owned());
    }
    let said = [
        "not recorded; stand-in for the sums",
        "batteries resist more in the cold, estimate",
        "bypass diodes not recorded; two groups are usual up to 36 cells, three above",
        "by sun, air and a light wind (Faiman)",
        "the engine commands it, and the state does not say what",
        "the state does not say how fast the engine turns",
        "its two rated currents do not make a curve",
        "no wire is recorded on its run terminal",
        "where its run signal comes from is not recorded",
        "no wire is recorded on its mains side",
        "the state does not say how full",
        "its power is not recorded; the sums leave it out",
        "base vehicle: no wire recorded on its minus",
        "the record has no [states]",
    ];
    reasons.extend(said.map(str::to_owned));
    let in_proportion = reasons[0].clone() + "; in proportion to 24 V";
    reasons.push(in_proportion);
    reasons
}

/// Nothing is told by halves: no word of the English stands in the Spanish but those that both have.
#[test]
fn every_reason_for_an_assumed_value_is_told_in_spanish() {
    const BOTH: [&str; 11] = [
        "mOhm",
        "Ohm",
        "ISO",
        "Faiman",
        "usual",
        "motor",
        "commanded",
        "states",
        "kelvin",
        "manual",
        "base",
    ];
    let teller = Teller::new(Language::Spanish, System::Metric);
    for reason in reasons() {
        let told = teller.perhaps(&reason);
        let words = |text: &str| -> Vec<String> {
            let words = text.split(|c: char| !c.is_alphabetic());
            words.filter(|word| word.len() > 2).map(str::to_owned).collect()
        };
        let english = words(&reason);
        let left: Vec<String> = words(&told)
            .into_iter()
            .filter(|word| english.contains(word) && !BOTH.contains(&word.as_str()))
            .collect();
        assert!(left.is_empty(), "{reason} -> {told}: {left:?}");
        assert_ne!(told, reason);
    }
}

#[test]
fn reasons_for_assumed_values_have_their_temperatures_in_the_units() {
    for language in Language::ALL {
        let teller = Teller::new(language, System::Us);
        let told: Vec<String> = reasons().iter().map(|reason| teller.perhaps(reason)).collect();
        assert!(told.iter().any(|reason| reason.contains("77 °F")));
        let is_metric = |told: &&String| told.contains("°C") || told.ends_with(" C");
        assert_eq!(told.iter().find(is_metric), None);
    }
}
