//! The house as it stands against the house as it is meant to be.

use super::*;
use crate::files::{TextFile, root, text_files};
use crate::tidy::sources;

fn edge(from: &str, to: &str) -> Edge {
    Edge { from: from.to_owned(), to: to.to_owned() }
}

fn outside(path: &str, text: &str) -> Vec<usize> {
    let file = TextFile { path: path.to_owned(), text: text.to_owned() };
    let mut lines: Vec<usize> =
        sources(vec![file]).iter().flat_map(reaching_out).map(|breach| breach.line).collect();
    lines.dedup();
    lines
}

#[test]
fn every_crate_depends_only_on_what_its_layer_allows() {
    let (names, found) = workspace(&root()).unwrap();
    assert!(names.iter().any(|name| name == "unbury"), "cargo named no crates: {names:?}");
    assert_eq!(edge_faults(&names, &found), Vec::<String>::new());
}

#[test]
fn only_the_binary_reaches_files_clock_network_and_terminal() {
    let found: Vec<String> = sources(text_files(&root()).unwrap())
        .iter()
        .flat_map(reaching_out)
        .map(|breach| breach.to_string())
        .collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn the_allowed_edges_only_lead_down() {
    assert_eq!(house_faults(), Vec::<String>::new());
}

#[test]
fn an_edge_upward_is_a_fault() {
    let names = ["solve".to_owned(), "model".to_owned()];
    let faults = edge_faults(&names, &[edge("solve", "model")]);
    assert_eq!(faults, ["`solve` must not depend on `model`"]);
}

#[test]
fn a_crate_without_a_layer_is_a_fault() {
    assert_eq!(edge_faults(&["attic".to_owned()], &[]).len(), 1);
}

#[test]
fn edges_are_read_from_cargo_without_tests_and_foreign_crates() {
    let metadata = serde_json::json!({ "packages": [
        { "name": "model", "dependencies": [
            { "name": "units", "kind": null },
            { "name": "catalog", "kind": "dev" },
            { "name": "serde", "kind": null },
        ] },
        { "name": "units", "dependencies": [] },
        { "name": "catalog", "dependencies": [] },
        { "name": "xtask", "dependencies": [{ "name": "units", "kind": null }] },
    ] });
    let (names, found) = edges(&metadata);
    assert_eq!(names, ["model", "units", "catalog"]);
    assert_eq!(found, [edge("model", "units")]);
}

#[test]
fn a_file_opened_below_the_binary_is_found() {
    let path = "crates/record/src/a.rs";
    assert_eq!(outside(path, "//! H.\nuse std::fs::File;\n"), [2]);
    assert_eq!(outside(path, "//! H.\nuse std::{fmt, fs};\n"), [2]);
    assert_eq!(outside(path, "//! H.\nfn a() { std::fs::read(b); }\n"), [2]);
    assert_eq!(outside(path, "//! H.\nuse std::time::{Duration, Instant};\n"), [2]);
    assert_eq!(outside(path, "//! H.\nfn a() { println!(); }\n"), [2]);
}

#[test]
fn mentions_that_do_not_reach_outside_are_allowed() {
    let path = "crates/record/src/a.rs";
    let text = "//! std::fs\nuse std::{fmt, time::Duration};\nconst A: &str = \"std::env\";\n\
        fn print() { println(); std::fsx::a(); env!(\"A\"); }\n";
    assert_eq!(outside(path, text), Vec::<usize>::new());
}

#[test]
fn tests_examples_and_the_binary_may_reach_outside() {
    let text = "//! H.\nuse std::fs;\n";
    assert_eq!(outside("crates/unbury/src/main.rs", text), Vec::<usize>::new());
    assert_eq!(outside("crates/solve/examples/a.rs", text), Vec::<usize>::new());
    assert_eq!(outside("crates/record/src/a/tests.rs", text), Vec::<usize>::new());
    let inner = "//! H.\n#[cfg(test)]\nmod tests {\n    use std::fs;\n}\n";
    assert_eq!(outside("crates/record/src/a.rs", inner), Vec::<usize>::new());
}
