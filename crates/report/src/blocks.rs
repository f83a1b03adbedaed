//! Gathers findings of one check and one gravity into a block, so that what they have in common is
//! said once and only the places are listed.
//!
//! No word is lost: where two sentences differ only in words that their own row tells anyway, those
//! words become a gap; where they differ otherwise, each stands in full in its row.

use std::collections::BTreeSet;

use analysis::{FindingView, HeldAgainst};
use serde::Serialize;

/// Stands in a shared sentence where the row tells the word.
const GAP: &str = "…";

/// Gaps a shared sentence may have; with more it is no sentence any more.
const MOST_GAPS: usize = 2;

/// Words a shared sentence must keep.
const LEAST_WORDS: usize = 3;

/// Findings that are told together.
#[derive(Debug, PartialEq, Serialize)]
pub(crate) struct Block<'a> {
    /// Their places in the list of the review, in order.
    pub(crate) numbers: Vec<usize>,
    /// What holds for all of them.
    pub(crate) shared: Shared<'a>,
    /// What holds for each alone, in the order of `numbers`.
    pub(crate) own: Vec<Own<'a>>,
}

/// What is said once for the block.
#[derive(Debug, Default, PartialEq, Serialize)]
pub(crate) struct Shared<'a> {
    /// The sentence that tells the defect; empty when it differs by more than the place.
    pub(crate) message: String,
    /// What all rest on.
    pub(crate) evidence: Vec<String>,
    /// What all are held against.
    pub(crate) limit: Option<Limit<'a>>,
    /// What to do; empty when it differs from place to place.
    pub(crate) remedy: String,
}

/// A limit that holds for all.
#[derive(Debug, PartialEq, Serialize)]
pub(crate) struct Limit<'a> {
    /// In words.
    pub(crate) words: String,
    /// Key of the source.
    pub(crate) source: &'a str,
}

/// What is said in the row of one finding.
#[derive(Debug, Default, PartialEq, Serialize)]
pub(crate) struct Own<'a> {
    /// The sentence that tells the defect at this place alone.
    pub(crate) message: &'a str,
    /// What it alone rests on.
    pub(crate) evidence: Vec<&'a str>,
    /// What it alone is held against.
    pub(crate) limit: Option<&'a HeldAgainst>,
    /// What to do at this place alone.
    pub(crate) remedy: &'a str,
}

/// Gathers the findings; blocks stand in the order of their first finding.
pub(crate) fn gather(findings: &[FindingView]) -> Vec<Block<'_>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (at, finding) in findings.iter().enumerate() {
        let alike = |group: &&mut Vec<usize>| {
            group.first().is_some_and(|first| same_defect(&findings[*first], finding))
        };
        match groups.iter_mut().find(alike) {
            Some(group) => group.push(at),
            None => groups.push(vec![at]),
        }
    }
    groups.into_iter().map(|numbers| block(findings, numbers)).collect()
}

fn same_defect(a: &FindingView, b: &FindingView) -> bool {
    a.check == b.check && a.signal == b.signal && a.title == b.title && a.hazard == b.hazard
}

fn block(findings: &[FindingView], numbers: Vec<usize>) -> Block<'_> {
    let members: Vec<&FindingView> = numbers.iter().map(|at| &findings[*at]).collect();
    let places: Vec<BTreeSet<&str>> = members.iter().map(|finding| place_words(finding)).collect();
    let told: Vec<BTreeSet<&str>> = members.iter().map(|finding| told(finding)).collect();
    let mut own: Vec<Own<'_>> = members.iter().map(|_| Own::default()).collect();
    let mut shared = Shared::default();
    let messages: Vec<&str> = members.iter().map(|finding| finding.message.as_str()).collect();
    // One finding keeps its sentence: there is nothing to share it with.
    match common(&messages, &places).filter(|_| members.len() > 1) {
        Some(words) => shared.message = words,
        None => own.iter_mut().zip(messages).for_each(|(own, message)| own.message = message),
    }
    share_evidence(&members, &told, &mut shared, &mut own);
    share_limit(&members, &told, &mut shared, &mut own);
    let remedies: Vec<&str> = members.iter().map(|finding| finding.remedy.as_str()).collect();
    match common(&remedies, &told) {
        Some(words) => shared.remedy = words,
        None => own.iter_mut().zip(remedies).for_each(|(own, remedy)| own.remedy = remedy),
    }
    Block { numbers, shared, own }
}

fn share_evidence<'a>(
    members: &[&'a FindingView],
    told: &[BTreeSet<&str>],
    shared: &mut Shared<'a>,
    own: &mut [Own<'a>],
) {
    let most = members.iter().map(|finding| finding.evidence.len()).max().unwrap_or(0);
    for at in 0..most {
        let column: Vec<&str> = members
            .iter()
            .filter_map(|finding| finding.evidence.get(at))
            .map(String::as_str)
            .collect();
        let everywhere = column.len() == members.len();
        if let Some(words) = everywhere.then(|| common(&column, told)).flatten() {
            shared.evidence.push(words);
            continue;
        }
        for (own, finding) in own.iter_mut().zip(members) {
            own.evidence.extend(finding.evidence.get(at).map(String::as_str));
        }
    }
}

fn share_limit<'a>(
    members: &[&'a FindingView],
    told: &[BTreeSet<&str>],
    shared: &mut Shared<'a>,
    own: &mut [Own<'a>],
) {
    let limits: Vec<&HeldAgainst> = members.iter().filter_map(|f| f.limit.as_ref()).collect();
    let first = limits.first().filter(|first| {
        limits.len() == members.len() && limits.iter().all(|limit| limit.source == first.source)
    });
    let words: Vec<&str> = limits.iter().map(|limit| limit.words.as_str()).collect();
    match first.and_then(|first| Some((common(&words, told)?, first))) {
        Some((words, first)) => shared.limit = Some(Limit { words, source: &first.source }),
        None => own.iter_mut().zip(members).for_each(|(own, f)| own.limit = f.limit.as_ref()),
    }
}

/// The words of the place, which always stand in the row.
fn place_words(finding: &FindingView) -> BTreeSet<&str> {
    [&finding.place.name, &finding.place.label]
        .into_iter()
        .flat_map(|text| text.split_whitespace())
        .map(bare)
        .collect()
}

/// The words a row tells by itself: a message is shared only where the place tells the rest of it.
fn told(finding: &FindingView) -> BTreeSet<&str> {
    let mut words = place_words(finding);
    words.extend(finding.message.split_whitespace().map(bare));
    words
}

/// One sentence for all `texts`, or nothing when they say different things.
fn common(texts: &[&str], told: &[BTreeSet<&str>]) -> Option<String> {
    let first = texts.first()?;
    if texts.iter().all(|text| text == first) {
        return Some((*first).to_owned());
    }
    let rows: Vec<Vec<&str>> = texts.iter().map(|text| text.split_whitespace().collect()).collect();
    let length = rows.first()?.len();
    if rows.iter().any(|row| row.len() != length) {
        return None;
    }
    let mut words: Vec<String> = Vec::new();
    let mut gaps = 0;
    for at in 0..length {
        let column: Vec<&str> = rows.iter().filter_map(|row| row.get(at).copied()).collect();
        let word = column.first().copied().unwrap_or_default();
        if column.iter().all(|other| *other == word) {
            words.push(word.to_owned());
            continue;
        }
        let in_row = |(word, told): (&&str, &BTreeSet<&str>)| {
            !bare(word).is_empty() && told.contains(bare(word))
        };
        if !column.iter().zip(told).all(in_row) {
            return None;
        }
        gaps += 1;
        words.push(format!("{GAP}{}", stop_of(&column)));
    }
    (gaps <= MOST_GAPS && length - gaps >= LEAST_WORDS).then(|| words.join(" "))
}

/// A word without the stops, brackets and quotes around it; the sign of a pole stays.
fn bare(word: &str) -> &str {
    word.trim_matches([',', ';', ':', '.', '(', ')', '"', '`'])
}

/// The stop with which all of the words end.
fn stop_of(words: &[&str]) -> &'static str {
    [",", ";", ":", "."]
        .into_iter()
        .find(|stop| words.iter().all(|word| word.ends_with(stop)))
        .unwrap_or("")
}

#[cfg(test)]
mod tests {
    use analysis::PlaceView;

    use super::*;

    fn finding(place: &str, message: &str, evidence: &[&str], remedy: &str) -> FindingView {
        FindingView {
            check: "solid".to_owned(),
            title: "solid wire".to_owned(),
            signal: "CAUTION".to_owned(),
            verdict: "fails".to_owned(),
            confidence: "firm".to_owned(),
            place: PlaceView {
                name: place.to_owned(),
                label: String::new(),
                things: Vec::new(),
                line: 3,
                column: 1,
            },
            related: vec![],
            message: message.to_owned(),
            evidence: evidence.iter().map(|words| (*words).to_owned()).collect(),
            limit: Some(HeldAgainst { words: "stranded".to_owned(), source: "rule".to_owned() }),
            hazard: "It breaks.".to_owned(),
            grade: String::new(),
            follows_from: None,
            remedy: remedy.to_owned(),
            find_out: vec![],
            access: None,
        }
    }

    #[test]
    fn a_remedy_that_differs_by_the_place_alone_is_said_once() {
        let findings = [
            finding("wire l4", "l4 is solid wire", &["seen"], "replace l4, by stranded wire"),
            finding("wire l5", "l5 is solid wire", &["seen"], "replace l5, by stranded wire"),
        ];
        let blocks = gather(&findings);
        assert_eq!(blocks.len(), 1);
        assert_eq!(blocks[0].numbers, [0, 1]);
        assert_eq!(blocks[0].shared.remedy, "replace …, by stranded wire");
        assert_eq!(blocks[0].shared.evidence, ["seen"]);
        assert_eq!(blocks[0].shared.message, "… is solid wire");
        assert!(blocks[0].own.iter().all(|own| *own == Own::default()));
    }

    #[test]
    fn a_figure_the_row_does_not_tell_stays_in_its_row() {
        let findings = [
            finding("wire l4", "l4 is solid", &["read 20 A in the lead"], "fit one of 20 A"),
            finding("wire l5", "l5 is solid", &["read 80 A in the lead"], "fit one of 80 A"),
        ];
        let blocks = gather(&findings);
        assert_eq!(blocks[0].shared.remedy, "");
        assert_eq!(blocks[0].own[1].remedy, "fit one of 80 A");
        assert_eq!(blocks[0].own[0].evidence, ["read 20 A in the lead"]);
    }

    #[test]
    fn plus_and_minus_of_a_device_are_not_told_as_the_same() {
        let findings = [
            finding("w1", "at house.+ it is solid", &["lug seen loose on house.-"], "replace it"),
            finding("w2", "at spare.+ it is solid", &["lug seen loose on spare.-"], "replace it"),
        ];
        assert_eq!(gather(&findings)[0].own[0].evidence, ["lug seen loose on house.-"]);
    }

    #[test]
    fn evidence_that_only_one_place_has_stays_with_it() {
        let findings = [
            finding("w1", "w1 is solid", &["seen", "told by the owner too"], "replace it"),
            finding("w2", "w2 is solid", &["seen"], "replace it"),
        ];
        let blocks = gather(&findings);
        assert_eq!(blocks[0].shared.evidence, ["seen"]);
        assert_eq!(blocks[0].own[0].evidence, ["told by the owner too"]);
        assert!(blocks[0].own[1].evidence.is_empty());
    }

    #[test]
    fn another_limit_or_another_source_is_not_told_as_the_same() {
        let mut findings = [
            finding("w1", "w1 is solid", &[], "replace it"),
            finding("w2", "w2 is solid", &[], "replace it"),
        ];
        findings[1].limit =
            Some(HeldAgainst { words: "stranded".to_owned(), source: "another".to_owned() });
        let blocks = gather(&findings);
        assert!(blocks[0].shared.limit.is_none());
        assert_eq!(blocks[0].own[1].limit.map(|limit| limit.source.as_str()), Some("another"));
    }

    #[test]
    fn a_graver_finding_of_the_same_check_stands_in_its_own_block() {
        let mut findings = [
            finding("w1", "w1 is solid", &[], "replace it"),
            finding("w2", "w2 is solid", &[], "replace it"),
            finding("w3", "w3 is solid", &[], "replace it"),
        ];
        findings[1].signal = "DANGER".to_owned();
        let numbers: Vec<Vec<usize>> = gather(&findings).into_iter().map(|b| b.numbers).collect();
        assert_eq!(numbers, [vec![0, 2], vec![1]]);
    }
}
