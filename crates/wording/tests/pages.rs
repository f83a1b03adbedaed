//! Every example on the pages of the checks, told in Spanish: no sentence of a finding is left in
//! English, whichever way a check may end.

use std::collections::BTreeSet;

use analysis::Case;
use units::System;
use wording::{Language, Teller};

/// The records in the fences of a page.
fn examples(page: &str) -> Vec<String> {
    let pieces = page.split("```toml\n").skip(1);
    pieces.filter_map(|piece| piece.split("```").next()).map(str::to_owned).collect()
}

#[test]
fn no_sentence_of_a_finding_is_left_in_english() {
    let mut left = BTreeSet::new();
    for (slug, _) in analysis::check_list() {
        let page = analysis::check_page(slug).expect("a check has a page");
        for record in examples(page) {
            let mut review = Case::of(&record).review();
            review.findings.retain(|finding| finding.check == slug);
            review.cannot_tell.retain(|finding| finding.check == slug);
            review.states.clear();
            let teller = Teller::new(Language::Spanish, System::Metric);
            let _ = teller.review(&review);
            left.extend(teller.left().into_iter().map(|sentence| format!("{slug}: {sentence}")));
        }
    }
    assert!(left.is_empty(), "{} sentences: {left:#?}", left.len());
}
