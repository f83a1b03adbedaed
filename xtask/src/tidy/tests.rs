//! Each rule against a file that keeps it and a file that breaks it, and the repository against
//! all of them.

use super::*;
use crate::files::{root, text_files};

fn file(path: &str, text: &str) -> TextFile {
    TextFile { path: path.to_owned(), text: text.to_owned() }
}

fn messages(path: &str, text: &str) -> Vec<String> {
    breaches_in(vec![file(path, text)]).iter().map(ToString::to_string).collect()
}

#[track_caller]
fn keeps(path: &str, text: &str) {
    assert_eq!(messages(path, text), Vec::<String>::new());
}

#[track_caller]
fn breaks(path: &str, text: &str, line: usize, why: &str) {
    let found = messages(path, text);
    let start = format!("{path}:{line}: ");
    assert!(
        found.len() == 1 && found[0].starts_with(&start) && found[0].contains(why),
        "expected one breach at {start}about {why}, found {found:?}"
    );
}

fn code_of(lines: usize) -> String {
    format!("//! Header.\n{}", "// line\n".repeat(lines - 1))
}

fn function_of(lines: usize) -> String {
    format!("//! Header.\nfn long() {{\n{}}}\n", "    step();\n".repeat(lines - 2))
}

#[test]
fn the_repository_is_tidy() {
    let found = breaches_in(text_files(&root()).unwrap());
    let listed: Vec<String> = found.iter().map(ToString::to_string).collect();
    assert!(found.is_empty(), "{} breaches:\n{}", found.len(), listed.join("\n"));
}

#[test]
fn a_file_starts_with_a_header() {
    keeps("crates/a/src/lib.rs", "//! What it is.\n");
    breaks("crates/a/src/lib.rs", "mod b;\n", 1, "no header");
}

#[test]
fn a_file_of_exactly_the_limit_is_allowed() {
    keeps("crates/a/src/b.rs", &code_of(600));
    breaks("crates/a/src/b.rs", &code_of(601), 1, "601 lines");
}

#[test]
fn a_test_file_may_be_longer() {
    keeps("crates/a/tests/b.rs", &code_of(1000));
    breaks("crates/a/tests/b.rs", &code_of(1001), 1, "1001 lines");
}

#[test]
fn a_function_of_exactly_the_limit_is_allowed() {
    keeps("crates/a/src/b.rs", &function_of(70));
    breaks("crates/a/src/b.rs", &function_of(71), 2, "`long` has 71 lines");
}

#[test]
fn vague_module_names_are_refused() {
    breaks("crates/a/src/utils.rs", "//! H.\n", 1, "`utils` says nothing");
    breaks("crates/a/tests/common/mod.rs", "//! H.\n", 1, "`common` says nothing");
    breaks("crates/a/src/b.rs", "//! H.\nmod helpers {}\n", 2, "`helpers` says nothing");
    keeps("crates/a/src/b.rs", "//! H.\nmod cables {} // no helpers\n");
}

#[test]
fn markers_of_unfinished_work_are_refused_anywhere() {
    let marker = concat!("TO", "DO");
    breaks("docs/a.md", &format!("one\n{marker}: two\n"), 2, "marker");
    keeps("docs/a.md", &format!("{marker}S and a{marker}\n"));
}

#[test]
fn ignored_tests_are_refused() {
    let text = "//! H.\n#[test]\n#[ignore = \"slow\"]\nfn a() {}\n";
    breaks("crates/a/tests/b.rs", text, 3, "ignored test");
    keeps("crates/a/tests/b.rs", "//! H.\n// #[ignore] is not allowed\n");
}

#[test]
fn paths_of_one_machine_are_refused() {
    let path = concat!("/ho", "me/");
    breaks("docs/a.md", &format!("see {path}x\n"), 1, "path of one machine");
    breaks("Cargo.toml", &format!("path = \"{path}x\"\n"), 1, "path of one machine");
    keeps("docs/a.md", &format!("see https://example.org{path}x and docs{path}x\n"));
}

#[test]
fn white_space_at_line_ends_is_refused() {
    breaks("docs/a.md", "one \n", 1, "white space");
    breaks("docs/a.md", "one\t\n", 1, "white space");
}

#[test]
fn a_file_ends_with_a_line_break() {
    breaks("docs/a.md", "one\ntwo", 2, "no line break");
    keeps("docs/a.md", "");
}

#[test]
fn the_forbidden_word_is_found_in_printed_literals_only() {
    let word = FORBIDDEN_WORD;
    let literal = format!("//! H.\nfn a() -> &'static str {{ \"It is {word}.\" }}\n");
    breaks("crates/a/src/b.rs", &literal, 2, "never be printed");
    keeps("crates/a/src/b.rs", &format!("//! {word}\n// {word}\nfn {word}() {{}}\n"));
    keeps("crates/a/tests/b.rs", &literal);
    let test = format!("//! H.\n#[cfg(test)]\nmod tests {{ const A: &str = \"{word}\"; }}\n");
    keeps("crates/a/src/b.rs", &test);
}

#[test]
fn the_forbidden_word_is_found_in_doc_comments_that_become_help_text() {
    let word = FORBIDDEN_WORD;
    let text = format!("//! H.\n/// {word} to touch\n#[derive(JsonSchema)]\nstruct A;\n");
    breaks("crates/a/src/b.rs", &text, 2, "never be printed");
}

#[test]
fn the_forbidden_word_is_found_in_any_case_and_on_its_own_line() {
    let capital = concat!("SA", "FE");
    let text = format!("//! H.\nconst A: &str = \"one\n {capital}\";\n");
    breaks("crates/a/src/b.rs", &text, 3, "never be printed");
}

#[test]
fn making_a_place_ready_for_work_may_be_asked_for() {
    let word = FORBIDDEN_WORD;
    let say = |text: String| format!("//! H.\nconst A: &str = \"{text}\";\n");
    keeps("crates/a/src/b.rs", &say(format!("Make {word} first")));
    keeps("crates/a/src/b.rs", &say(format!("make-{word}")));
    keeps("crates/a/src/b.rs", &say(format!("un{word} {word}ty {word}_x")));
    breaks("crates/a/src/b.rs", &say(format!("fail-{word}")), 2, "never be printed");
}

#[test]
fn the_forbidden_word_is_found_in_printed_data() {
    let line = format!("text = \"{FORBIDDEN_WORD}\"\n");
    breaks("crates/catalog/data/a.toml", &line, 1, "never be printed");
    breaks("records/a/a.toml", &line, 1, "never be printed");
    keeps("docs/manual.md", &line);
}

#[test]
fn conversion_factors_live_in_units() {
    let text = "//! H.\nfn a(x: f64) -> f64 { x * 25.4 }\n";
    breaks("crates/record/src/a.rs", text, 2, "conversions belong in `units`");
    keeps("crates/units/src/a.rs", text);
    keeps("crates/record/tests/a.rs", text);
    keeps("crates/record/src/a.rs", "//! 1 in = 25.4 mm.\nconst A: f64 = 25.5;\n");
}

#[test]
fn a_rounded_factor_is_still_a_factor() {
    let text = "//! H.\nconst A: f64 = 4.448;\nconst B: f64 = 0.4536;\n";
    assert_eq!(messages("crates/record/src/a.rs", text).len(), 2);
}

#[test]
fn a_datum_that_looks_like_a_factor_is_explained_beside_it() {
    breaks("crates/access/src/a.rs", "//! H.\n\nconst A: f64 = 25.4;\n", 3, "conversions");
    keeps("crates/access/src/a.rs", "//! H.\n\nconst A: f64 = 25.4; // datum, table 3\n");
    breaks("crates/record/src/a.rs", "//! H.\n\nconst A: f64 = 25.4; // datum\n", 3, "conversions");
}

#[test]
fn a_package_from_elsewhere_is_refused() {
    breaks("Cargo.lock", "source = \"git+https://example.org/a\"\n", 1, "elsewhere");
    keeps("Cargo.lock", &format!("source = \"{PACKAGE_INDEX}\"\n"));
}

#[test]
fn a_module_declared_for_tests_is_test_code() {
    let files = vec![
        file("crates/a/src/lib.rs", "//! H.\n#[cfg(test)]\nmod cases;\nmod b;\n"),
        file("crates/a/src/cases.rs", "//! H.\n"),
        file("crates/a/src/cases/deep.rs", "//! H.\n"),
        file("crates/a/src/b.rs", "//! H.\n"),
    ];
    let marked: Vec<bool> = sources(files).iter().map(|source| source.whole_is_test).collect();
    assert_eq!(marked, [false, true, true, false]);
}
