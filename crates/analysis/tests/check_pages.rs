//! Runs the examples on the pages of the checks: every example reads without faults, and its check
//! finds what the example's last lines say, there and nowhere else.
//!
//! The expected outcomes are written on the pages, worked out by hand from the published tables
//! named there; nothing here comes from a run of the program.

use std::collections::BTreeSet;

use analysis::{Case, Review};

const HEADINGS: [&str; 7] = [
    "## What it finds",
    "## Why it matters",
    "## How it decides",
    "## How bad it is",
    "## What to do",
    "## Sources",
    "## Examples",
];

const KINDS: [&str; 5] = [
    "### It fails",
    "### It holds",
    "### Exactly at the limit",
    "### Not known",
    "### Not this check",
];

/// What a page that was only started says.
const UNWRITTEN: &str = "(write here)";

const NO_LIMIT: &str = "There is no limit value.";

/// What a page says whose check only names things: gas is for licensed people.
const NEVER_JUDGES: &str = "It never fails and never holds";

/// An example on a page.
struct Example {
    heading: String,
    line: usize,
    record: String,
}

/// What an example says its check finds.
#[derive(Debug, Default, PartialEq, Eq)]
struct Expected {
    fails: BTreeSet<String>,
    cannot_tell: BTreeSet<String>,
    /// It looked at something, and all of it holds.
    holds: bool,
}

#[test]
fn every_page_has_its_headings_in_order() {
    for (slug, title) in analysis::check_list() {
        let page = page(slug);
        assert_eq!(page.lines().next(), Some(format!("# {title}").as_str()), "{slug}");
        let hazard = page.lines().nth(2).unwrap_or_default();
        assert!(
            hazard.ends_with('.') && hazard.len() < 130,
            "{slug}: what can happen, in one line"
        );
        assert!(page.contains("It reads"), "{slug}: which facts it reads");
        assert!(!page.contains(UNWRITTEN), "{slug}: something is still to be written");
        let mut from = 0;
        for heading in HEADINGS {
            let line = format!("\n{heading}\n");
            let at = page[from..].find(&line);
            from += at.unwrap_or_else(|| panic!("{slug}: no `{heading}` where it belongs"));
        }
    }
}

#[test]
fn every_page_shows_a_failure_the_limit_the_unknown_and_the_neighbour() {
    for (slug, _) in analysis::check_list() {
        let examples = examples(page(slug));
        for kind in KINDS {
            let shown = examples.iter().any(|example| example.heading == kind);
            let excused = match kind {
                "### Exactly at the limit" => page(slug).contains(NO_LIMIT),
                "### It fails" | "### It holds" => page(slug).contains(NEVER_JUDGES),
                _ => false,
            };
            assert!(shown || excused, "{slug}: no example under `{kind}`");
        }
        for example in examples {
            assert!(KINDS.contains(&example.heading.as_str()), "{slug} line {}", example.line);
        }
    }
}

#[test]
fn every_example_reads_without_faults() {
    for (slug, _) in analysis::check_list() {
        for example in examples(page(slug)) {
            let faults = Case::of(&example.record).record_faults();
            assert!(faults.is_empty(), "{slug} line {}: {faults:#?}", example.line);
        }
    }
}

#[test]
fn every_example_is_found_as_it_says_and_nowhere_else() {
    let mut wrong = Vec::new();
    for (slug, _) in analysis::check_list() {
        for example in examples(page(slug)) {
            let expected = expected(slug, &example);
            let mut found = found(slug, &Case::of(&example.record).review());
            // An example that is silent leaves open whether anything was looked at.
            found.holds &= expected.holds;
            if expected != found {
                wrong.push(format!(
                    "{slug} line {} ({}):\n  says  {expected:?}\n  found {found:?}",
                    example.line, example.heading
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_failing_example_fails_and_every_unknown_cannot_be_told() {
    for (slug, _) in analysis::check_list() {
        for example in examples(page(slug)) {
            let expected = expected(slug, &example);
            let (fails, unknown) = (!expected.fails.is_empty(), !expected.cannot_tell.is_empty());
            let line = example.line;
            match example.heading.as_str() {
                "### It fails" => assert!(fails, "{slug} line {line}"),
                "### It holds" => assert!(expected.holds, "{slug} line {line}"),
                "### Not known" => assert!(unknown && !fails, "{slug} line {line}"),
                "### Not this check" => assert!(!unknown && !fails, "{slug} line {line}"),
                _ => {}
            }
        }
    }
}

#[test]
fn no_page_promises_that_something_is_safe() {
    for (slug, _) in analysis::check_list() {
        let words = page(slug).to_lowercase();
        let mut words = words.split(|c: char| !c.is_alphanumeric());
        assert!(!words.any(|word| matches!(word, "safe" | "safely")), "{slug}");
    }
}

fn page(slug: &str) -> &'static str {
    analysis::check_page(slug).unwrap_or_else(|| panic!("{slug} has no page"))
}

/// The fenced records of a page with the heading each stands under.
fn examples(page: &str) -> Vec<Example> {
    let mut examples: Vec<Example> = Vec::new();
    let (mut heading, mut inside) = (String::new(), false);
    for (index, line) in page.lines().enumerate() {
        match (inside, line) {
            (false, "```toml") => {
                inside = true;
                let record = String::new();
                examples.push(Example { heading: heading.clone(), line: index + 1, record });
            }
            (false, line) if line.starts_with('#') => line.clone_into(&mut heading),
            (true, "```") => inside = false,
            (true, line) => {
                if let Some(example) = examples.last_mut() {
                    example.record.push_str(line);
                    example.record.push('\n');
                }
            }
            _ => {}
        }
    }
    assert!(!inside, "a record is not closed");
    examples
}

/// The last comment lines of an example.
fn expected(slug: &str, example: &Example) -> Expected {
    let mut expected = Expected::default();
    let mut is_silent = false;
    for line in example.record.lines().rev() {
        if let Some(place) = line.strip_prefix("# fails: ") {
            assert!(expected.fails.insert(place.to_owned()), "{slug}: {place} twice");
        } else if let Some(place) = line.strip_prefix("# cannot tell: ") {
            assert!(expected.cannot_tell.insert(place.to_owned()), "{slug}: {place} twice");
        } else if line == "# holds" {
            expected.holds = true;
        } else if line == "# silent" {
            is_silent = true;
        } else {
            break;
        }
    }
    let says_nothing = expected == Expected::default();
    assert_eq!(is_silent, says_nothing, "{slug} line {}: what is expected?", example.line);
    expected
}

/// What a check found in a review; what cannot be told is grouped there, here it is taken apart.
fn found(slug: &str, review: &Review) -> Expected {
    let fails = review.findings.iter().filter(|finding| finding.check == slug);
    let unknown = review.cannot_tell.iter().filter(|finding| finding.check == slug);
    let tally = review.tallies.iter().find(|tally| tally.check == slug);
    let holds =
        |tally: &analysis::Tally| (tally.fails, tally.cannot_tell) == (0, 0) && tally.holds > 0;
    Expected {
        holds: tally.is_some_and(holds),
        fails: fails.map(|finding| finding.place.name.clone()).collect(),
        cannot_tell: unknown
            .flat_map(|finding| std::iter::once(&finding.place).chain(&finding.related))
            .map(|place| place.name.clone())
            .collect(),
    }
}

#[test]
fn every_signal_of_a_failing_example_is_reasoned_out_on_its_page() {
    for (slug, _) in analysis::check_list() {
        for example in examples(page(slug)) {
            let review = Case::of(&example.record).review();
            let of_check = |finding: &&analysis::FindingView| {
                finding.check == slug && finding.confidence != "hint"
            };
            for finding in review.findings.iter().filter(of_check) {
                let reasoned = page(slug).contains(&format!("\n- {}: ", finding.signal));
                assert!(reasoned, "{slug} line {}: why {}?", example.line, finding.signal);
            }
        }
    }
}
