//! Every example vehicle gives exactly the findings its `expected.toml` reasons out by hand: none
//! missing, none more.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Command;

use serde::Deserialize;

#[derive(Deserialize)]
struct Expected {
    finding: Vec<ExpectedFinding>,
}

#[derive(Deserialize)]
struct ExpectedFinding {
    check: String,
    place: String,
    verdict: String,
    because: String,
}

fn records() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../records");
    let mut found: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("records/ exists")
        .map(|entry| entry.expect("a readable folder").path())
        .filter(|path| path.is_dir())
        .collect();
    found.sort();
    assert!(found.len() >= 5, "Dunlin and four more");
    found
}

fn record_of(folder: &Path) -> PathBuf {
    let name = folder.file_name().expect("a folder has a name").to_string_lossy().into_owned();
    folder.join(format!("{name}.toml"))
}

fn review(record: &Path) -> serde_json::Value {
    let output = Command::new(env!("CARGO_BIN_EXE_unbury"))
        .args(["review", "--json"])
        .arg(record)
        .output()
        .expect("unbury runs");
    serde_json::from_slice(&output.stdout).expect("review --json prints JSON")
}

fn words(value: &serde_json::Value) -> &str {
    value.as_str().expect("a text")
}

#[test]
fn every_vehicle_gives_the_findings_reasoned_out_by_hand() {
    let mut wrong = String::new();
    for folder in records() {
        let text = std::fs::read_to_string(folder.join("expected.toml")).expect("expected.toml");
        let expected: Expected = toml::from_str(&text).expect("expected.toml reads");
        let review = review(&record_of(&folder));
        let pair = |finding: &serde_json::Value| {
            (words(&finding["check"]).to_owned(), words(&finding["place"]["name"]).to_owned())
        };
        let found: BTreeSet<(String, String)> =
            review["findings"].as_array().expect("findings").iter().map(pair).collect();
        let wanted: BTreeSet<(String, String)> = expected
            .finding
            .iter()
            .filter(|finding| finding.verdict == "fails")
            .map(|finding| (finding.check.clone(), finding.place.clone()))
            .collect();
        for (check, place) in wanted.difference(&found) {
            wrong.push_str(&format!("{}: missing {check} at {place}\n", folder.display()));
        }
        for (check, place) in found.difference(&wanted) {
            wrong.push_str(&format!("{}: not expected {check} at {place}\n", folder.display()));
        }
        for finding in &expected.finding {
            assert!(
                finding.because.len() > 20,
                "{}: {} gives its reasoning",
                folder.display(),
                finding.place
            );
            if finding.verdict == "cannot tell" && !is_open(&review, finding) {
                wrong.push_str(&format!(
                    "{}: {} at {} should be `cannot tell`\n",
                    folder.display(),
                    finding.check,
                    finding.place
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

/// The place is judged `cannot tell` by the check, alone or in a group.
fn is_open(review: &serde_json::Value, wanted: &ExpectedFinding) -> bool {
    review["cannot_tell"].as_array().expect("a list").iter().any(|group| {
        let related = group["related"].as_array().expect("a list").iter();
        let items = group["find_out"]
            .as_array()
            .expect("a list")
            .iter()
            .flat_map(|missing| missing["items"].as_array().expect("a list").iter().map(words));
        words(&group["check"]) == wanted.check
            && (words(&group["place"]["name"]) == wanted.place
                || related.map(|place| words(&place["name"])).any(|name| name == wanted.place)
                || items.into_iter().any(|name| name == wanted.place))
    })
}

#[test]
fn every_vehicle_reads_without_a_fault_and_is_of_ordinary_size() {
    for folder in records() {
        let review = review(&record_of(&folder));
        let faults = review["record_faults"].as_array().expect("a list");
        assert!(faults.is_empty(), "{}: {faults:?}", folder.display());
        let count = |what: &str| review["understood"][what].as_u64().expect("a count");
        assert!((60..=160).contains(&count("wires")), "{}: wires", folder.display());
        assert!((40..=80).contains(&count("parts")), "{}: parts", folder.display());
    }
}

#[test]
fn every_state_of_every_vehicle_settles_or_hunts_with_a_checked_balance() {
    for folder in records() {
        let review = review(&record_of(&folder));
        for state in review["states"].as_array().expect("a list") {
            let name = words(&state["name"]);
            assert_ne!(words(&state["outcome"]), "no answer", "{}: {name}", folder.display());
            let residual_a = state["residual_a"].as_f64().expect("a residual");
            assert!(residual_a < 1e-6, "{}: {name} {residual_a}", folder.display());
        }
    }
}

#[test]
fn a_hundred_wires_and_sixty_parts_read_in_about_four_hundred_lines() {
    for folder in records() {
        let record = record_of(&folder);
        let lines = std::fs::read_to_string(&record).expect("a record").lines().count();
        let review = review(&record);
        let things = ["wires", "parts", "devices"]
            .iter()
            .map(|what| review["understood"][what].as_u64().expect("a count"))
            .sum::<u64>() as usize;
        assert!(
            lines <= 2 * things + 60,
            "{}: {lines} lines for {things} things",
            folder.display()
        );
    }
}
