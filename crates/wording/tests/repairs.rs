//! Repairs and prices of every example record, and of the examples on the pages of the checks, told in
//! Spanish: no title, no line, no goods are left in English, wholly or in part.

use std::collections::BTreeSet;
use std::path::Path;

use analysis::{Case, PriceAsked};
use units::System;
use wording::{Language, Teller};

/// English words that are no Spanish ones: they give away a sentence told by halves.
const ENGLISH: [&str; 26] = [
    "the", "of", "and", "with", "to", "into", "where", "is", "for", "at", "from", "its", "by",
    "way", "wire", "fuse", "end", "through", "behind", "holder", "that", "which", "not", "be",
    "it", "one",
];

fn records() -> Vec<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../records");
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .expect("records/ exists")
        .map(|entry| entry.expect("a readable folder").path())
        .filter(|path| path.is_dir())
        .collect();
    paths.sort();
    let read = |path: &std::path::PathBuf| {
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        std::fs::read_to_string(path.join(format!("{name}.toml"))).expect("a record")
    };
    paths.iter().map(read).collect()
}

/// The records that fail on the pages of the checks.
fn examples() -> Vec<String> {
    let pages = analysis::check_list().map(|(slug, _)| analysis::check_page(slug));
    let pages = pages.map(|page| page.expect("a check has a page"));
    pages
        .flat_map(|page| {
            let failing = page.split("### It fails").nth(1).unwrap_or_default();
            let failing = failing.split("\n### ").next().unwrap_or_default();
            let pieces = failing.split("```toml\n").skip(1);
            let records = pieces.filter_map(|piece| piece.split("```").next());
            records.map(str::to_owned).collect::<Vec<_>>()
        })
        .collect()
}

/// What a record itself calls its things: it stays as it is written.
fn own_words(record: &str) -> BTreeSet<String> {
    let quoted = record.split('"').skip(1).step_by(2);
    let mut words: Vec<String> = quoted.map(str::to_owned).collect();
    let names = record.lines().filter_map(|line| line.split(['=', ']']).next());
    words.extend(names.map(|name| name.trim_matches(['[', ' ', '"']).to_owned()));
    words.retain(|word| word.len() > 2);
    words.into_iter().collect()
}

/// English words in a text, what the record itself says taken out.
fn english(text: &str, own: &BTreeSet<String>) -> Vec<String> {
    let mut text = text.to_owned();
    let mut longest: Vec<&String> =
        own.iter().filter(|word| text.contains(word.as_str())).collect();
    longest.sort_by_key(|word| std::cmp::Reverse(word.len()));
    let longest: Vec<String> = longest.into_iter().cloned().collect();
    for word in longest {
        text = text.replace(&word, "_");
    }
    let words = text.split(|c: char| !c.is_alphanumeric() && c != '-' && c != '_');
    words.filter(|word| ENGLISH.contains(word)).map(str::to_owned).collect()
}

/// Everything a record's repairs and price say, in Spanish, that is not all Spanish.
fn left(record: &str) -> BTreeSet<String> {
    let case = Case::of(record);
    let teller = Teller::new(Language::Spanish, System::Metric);
    let mends = teller.mends(case.mends());
    let mut told: Vec<String> = Vec::new();
    for offer in mends.offers {
        told.push(offer.title);
        told.extend(offer.parts.into_iter().map(|part| part.what));
        told.extend(offer.cautions.into_iter().map(|caution| caution.words));
    }
    told.extend(mends.chosen.into_iter().map(|chosen| chosen.words));
    if let Ok(price) = case.price(&PriceAsked::default()) {
        let price = teller.price(&price);
        told.extend(price.asked.lines.into_iter().map(|line| line.what));
        told.extend(price.materials.into_iter().map(|row| row.what));
        told.extend(price.flags);
    }
    let own = own_words(record);
    let mut left: BTreeSet<String> = teller.left().into_iter().collect();
    left.extend(told.into_iter().filter(|text| !english(text, &own).is_empty()));
    left
}

#[test]
fn no_repair_and_no_price_is_left_in_english() {
    let left: BTreeSet<String> =
        records().iter().chain(&examples()).flat_map(|record| left(record)).collect();
    assert!(left.is_empty(), "{} texts: {left:#?}", left.len());
}

#[test]
fn a_title_told_by_halves_is_noticed() {
    let own = own_words("[devices]\nhouse = { label = \"the box of the house\" }\n");
    assert_eq!(english("Bolt house a the structure", &own), ["the"]);
    assert!(english("Atornillar the box of the house a la estructura", &own).is_empty());
}

/// Heavy things held in as many ways as there are questions about them.
const HELD: [&str; 10] = [
    "strap, 2 screws 4 mm, into 9 mm lining",
    "4 bolts M8, through 0.8 mm skin",
    "4 bolts M8 8.8, into rib",
    "glue",
    "bracket, unknown",
    "screws, into 18 mm ply",
    "4 screws 5 x 40 mm, into plank",
    "4 rivets, into 0.8 mm skin",
    "2 straps 1500 N, pulled at 60 deg",
    "bracket, rated assumed 3000 N because it looks strong; strap",
];

#[test]
fn no_question_about_what_holds_a_thing_is_left_in_english() {
    let things = HELD.iter().enumerate().map(|(at, held)| {
        format!("thing-{at} = {{ kind = \"other\", mass = \"20 kg\", held = \"{held}\" }}\n")
    });
    let things: String = things.collect();
    let record =
        format!("unbury = 1\n[vehicle]\nname = \"Held\"\nregion = \"europe\"\n[devices]\n{things}");
    let teller = Teller::new(Language::Spanish, System::Metric);
    let mut count = 0;
    for record in records().iter().chain([&record]) {
        for row in Case::of(record).restraint() {
            count += row.find_out.len();
            let _: Vec<String> = row.find_out.iter().map(|what| teller.sentence(what)).collect();
        }
    }
    assert!(count > 30, "{count} questions");
    assert!(teller.left().is_empty(), "{:#?}", teller.left());
}
