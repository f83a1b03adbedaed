//! `cargo xtask findings-diff`: what a change does to the findings of all example records.
//!
//! Knows the list that is kept and how to compare lists. Does not know what a finding means.

use std::collections::BTreeMap;
use std::fs;

use anyhow::{Context as _, Result, ensure};

use crate::files::root;
use crate::shell::{cargo, printed};

/// The list that is kept: one finding a line.
const KEPT: &str = "records/findings.tsv";

/// Prints what changed against the kept list.
pub(crate) fn show() -> Result<()> {
    let kept =
        fs::read_to_string(root().join(KEPT)).with_context(|| format!("cannot read {KEPT}"))?;
    let changes = changes(&kept, &now()?);
    for change in &changes {
        println!("{change}");
    }
    match changes.len() {
        0 => println!("the findings of all records are as kept in {KEPT}"),
        count => println!(
            "{count} changes; when they are meant, `cargo xtask findings-diff --write` keeps them"
        ),
    }
    Ok(())
}

/// Keeps the findings as they are now.
pub(crate) fn write() -> Result<()> {
    let now = now()?;
    fs::write(root().join(KEPT), &now).with_context(|| format!("cannot write {KEPT}"))?;
    println!("wrote {KEPT}: {} findings", now.lines().count());
    Ok(())
}

/// The findings of every record, sorted.
fn now() -> Result<String> {
    let mut records = Vec::new();
    for entry in fs::read_dir(root().join("records")).context("cannot list records/")? {
        let name = entry?.file_name().to_string_lossy().into_owned();
        let path = format!("records/{name}/{name}.toml");
        if root().join(&path).is_file() {
            records.push(path);
        }
    }
    ensure!(!records.is_empty(), "records/ holds no record");
    records.sort();
    let example = ["run", "--quiet", "--package", "analysis", "--example", "findings", "--"];
    let text = printed(cargo(&example).args(&records))?;
    let mut lines: Vec<&str> = text.lines().collect();
    lines.sort_unstable();
    Ok(lines.into_iter().map(|line| format!("{line}\n")).collect())
}

/// A finding's place in the list: record, check and place; and the rest of what is said of it.
fn split(line: &str) -> Option<(String, String)> {
    let [record, signal, check, verdict, place, message] =
        line.split('\t').collect::<Vec<_>>().try_into().ok()?;
    Some((format!("{record}: {check} at {place}"), format!("{verdict} {signal}: {message}")))
}

/// What came, went and says something else, in the order of the list.
fn changes(before: &str, after: &str) -> Vec<String> {
    let table = |text: &str| {
        let mut table: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for (key, words) in text.lines().filter_map(split) {
            table.entry(key).or_default().push(words);
        }
        table
    };
    let (before, after) = (table(before), table(after));
    let mut changes = Vec::new();
    for key in before.keys().chain(after.keys().filter(|key| !before.contains_key(*key))) {
        let none = Vec::new();
        let (old, new) = (before.get(key).unwrap_or(&none), after.get(key).unwrap_or(&none));
        for words in old.iter().filter(|words| !new.contains(words)) {
            changes.push(format!("- {key}: {words}"));
        }
        for words in new.iter().filter(|words| !old.contains(words)) {
            changes.push(format!("+ {key}: {words}"));
        }
    }
    changes
}

#[cfg(test)]
mod tests {
    use super::*;

    const LINE: &str = "records/a/a.toml\tDANGER\thot\tfails\twire w1\tw1 is hot\n";

    #[test]
    fn the_same_findings_are_no_change() {
        assert!(changes(LINE, LINE).is_empty());
    }

    #[test]
    fn what_came_went_and_changed_is_told() {
        assert_eq!(
            changes(LINE, ""),
            ["- records/a/a.toml: hot at wire w1: fails DANGER: w1 is hot"]
        );
        assert_eq!(
            changes("", LINE),
            ["+ records/a/a.toml: hot at wire w1: fails DANGER: w1 is hot"]
        );
        let milder = LINE.replace("DANGER", "WARNING");
        let told = changes(LINE, &milder);
        assert_eq!(told.len(), 2, "{told:?}");
        assert!(told[0].starts_with('-') && told[1].contains("fails WARNING"));
    }

    #[test]
    fn the_list_that_is_kept_reads() {
        let kept = fs::read_to_string(root().join(KEPT)).unwrap();
        assert!(kept.lines().count() > 50);
        for line in kept.lines() {
            assert!(split(line).is_some(), "{line}");
        }
    }
}
