//! The rules of the house that no compiler lint knows, read off the text of the repository.
//!
//! Each rule is a function from a file to the places that break it. It knows text and paths; it
//! does not know whether the code is right. Words that a rule forbids are written here in halves,
//! so that this file obeys its own rules.

#[cfg(test)]
mod tests;

use std::collections::BTreeSet;

use crate::files::TextFile;
use crate::scan::{Lifted, Scan, functions, numbers, scan, test_items, words};

/// A place that breaks a rule.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Breach {
    /// Path from the root of the repository.
    pub(crate) path: String,
    /// Line, counted from 1.
    pub(crate) line: usize,
    /// What is wrong and what to do.
    pub(crate) message: String,
}

impl std::fmt::Display for Breach {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}:{}: {}", self.path, self.line, self.message)
    }
}

/// Every breach in the files of the repository, by path and line.
pub(crate) fn breaches_in(files: Vec<TextFile>) -> Vec<Breach> {
    let mut out: Vec<Breach> = files.iter().flat_map(text_breaches).collect();
    out.extend(sources(files).iter().flat_map(rust_breaches));
    out.sort();
    out.dedup();
    out
}

/// A Rust file with what is known of it.
#[derive(Clone, Debug)]
pub(crate) struct Source {
    /// Path from the root of the repository.
    pub(crate) path: String,
    /// The whole text.
    pub(crate) text: String,
    /// The text taken apart.
    pub(crate) scan: Scan,
    /// The whole file is test code: a test, an example, a benchmark.
    pub(crate) whole_is_test: bool,
    test_lines: Vec<(usize, usize)>,
}

impl Source {
    /// Whether a line is test code.
    pub(crate) fn is_test(&self, line: usize) -> bool {
        self.whole_is_test
            || self.test_lines.iter().any(|&(first, last)| (first..=last).contains(&line))
    }
}

/// The Rust files among `files`, taken apart, with test code marked.
pub(crate) fn sources(files: Vec<TextFile>) -> Vec<Source> {
    let mut test_modules: BTreeSet<String> = BTreeSet::new();
    let mut out = Vec::new();
    for file in files.into_iter().filter(|file| file.path.ends_with(".rs")) {
        let scan = scan(&file.text);
        let (test_lines, modules) = test_items(&scan.code);
        let folder = module_folder(&file.path);
        test_modules.extend(modules.iter().map(|name| format!("{folder}/{name}")));
        let whole_is_test = is_test_path(&file.path);
        out.push(Source { path: file.path, text: file.text, scan, whole_is_test, test_lines });
    }
    for source in &mut out {
        source.whole_is_test |= test_modules.iter().any(|module| {
            source.path == format!("{module}.rs") || source.path.starts_with(&format!("{module}/"))
        });
    }
    out
}

const LONGEST_FUNCTION: usize = 70;
const LONGEST_FILE: usize = 600;
const LONGEST_TEST_FILE: usize = 1000;
const VAGUE_MODULES: [&str; 8] =
    ["utils", "util", "helpers", "helper", "common", "misc", "stuff", "shared"];
const MARKERS: [&str; 3] = [concat!("TO", "DO"), concat!("FIX", "ME"), concat!("XX", "X")];
const MACHINE_PATHS: [&str; 5] = [
    concat!("/wo", "rk/"),
    concat!("/ro", "ot/"),
    concat!("/ho", "me/"),
    concat!("/tmp/", "bash"),
    concat!("/tmp/", "target"),
];
const FORBIDDEN_WORD: &str = concat!("sa", "fe");
/// Data and texts of which the program prints parts.
const PRINTED_FOLDERS: [&str; 4] = ["crates/", "records/", "docs/checks/", "docs/schema/"];
const PACKAGE_INDEX: &str = "registry+https://github.com/rust-lang/crates.io-index";

/// Conversion factors and their reciprocals as often typed by hand: international foot, inch,
/// square inch, pound, pound-force, pound-force inch and foot, kelvin offset, standard gravity,
/// circular mil. NIST SP 811 (2008), appendix B.8, from memory; the numbers only serve to find
/// the code that repeats them.
const CONVERSION_FACTORS: [f64; 20] = [
    0.3048,
    3.28084,
    25.4,
    0.0254,
    39.3701,
    645.16,
    6.4516e-4,
    0.45359237,
    2.2046226,
    4.4482216,
    0.22480894,
    0.11298483,
    8.8507458,
    1.3558179,
    0.73756215,
    273.15,
    9.80665,
    5.0670748e-4,
    0.50670748,
    28.349523,
];
/// How near a written number must be to count as the factor: 4.448 is 5e-5 away from its own.
const FACTOR_TOLERANCE: f64 = 6e-5;

/// Rules for every text file.
fn text_breaches(file: &TextFile) -> Vec<Breach> {
    let mut out = Vec::new();
    for (index, line) in file.text.lines().enumerate() {
        let mut report = |message: String| {
            out.push(Breach { path: file.path.clone(), line: index + 1, message });
        };
        if line.ends_with([' ', '\t', '\r']) {
            report("white space at the end of the line: remove it".to_owned());
        }
        for path in MACHINE_PATHS.iter().filter(|path| has_absolute_path(line, path)) {
            report(format!("names a path of one machine ({path}...): say it relative to the root"));
        }
        for marker in MARKERS.iter().filter(|marker| has_word(line, marker)) {
            report(format!("{marker} marker: do it, or write an issue"));
        }
        if is_printed_data(&file.path) && has_forbidden_word(line) {
            report(forbidden_message());
        }
        if file.path == "Cargo.lock"
            && line.starts_with("source = ")
            && !line.contains(PACKAGE_INDEX)
        {
            report("a package from elsewhere than crates.io".to_owned());
        }
    }
    if !file.text.is_empty() && !file.text.ends_with('\n') {
        let line = file.text.lines().count();
        let message = "no line break at the end of the file: add one".to_owned();
        out.push(Breach { path: file.path.clone(), line, message });
    }
    out
}

/// Rules for Rust files.
fn rust_breaches(source: &Source) -> Vec<Breach> {
    let mut out = Vec::new();
    file_shape(source, &mut out);
    long_functions(source, &mut out);
    vague_modules(source, &mut out);
    ignored_tests(source, &mut out);
    forbidden_words(source, &mut out);
    conversion_factors(source, &mut out);
    out
}

fn file_shape(source: &Source, out: &mut Vec<Breach>) {
    if !source.text.starts_with("//!") {
        let say = "no header: start with `//!`, what the file is and what it does not know";
        out.push(breach(source, 1, say.to_owned()));
    }
    let lines = source.text.lines().count();
    let most = if source.whole_is_test { LONGEST_TEST_FILE } else { LONGEST_FILE };
    if lines > most {
        out.push(breach(source, 1, format!("{lines} lines, {most} allowed: split the file")));
    }
}

fn long_functions(source: &Source, out: &mut Vec<Breach>) {
    for function in functions(&source.scan.code) {
        if function.lines > LONGEST_FUNCTION {
            let message = format!(
                "`{}` has {} lines, {LONGEST_FUNCTION} allowed: split it",
                function.name, function.lines
            );
            out.push(breach(source, function.line, message));
        }
    }
}

fn vague_modules(source: &Source, out: &mut Vec<Breach>) {
    let say = |name: &str| format!("`{name}` says nothing: name the module after what it knows");
    let stem = source.path.strip_suffix(".rs").unwrap_or(&source.path);
    for name in stem.split('/').filter(|name| VAGUE_MODULES.contains(name)) {
        out.push(breach(source, 1, say(name)));
    }
    let words = words(&source.scan.code);
    for pair in words.windows(2) {
        if pair[0].text == "mod" && VAGUE_MODULES.contains(&pair[1].text.as_str()) {
            out.push(breach(source, pair[1].line, say(&pair[1].text)));
        }
    }
}

fn ignored_tests(source: &Source, out: &mut Vec<Breach>) {
    for (index, line) in source.scan.code.lines().enumerate() {
        if line.contains("#[ignore") {
            let message = "an ignored test: make it pass or take it out".to_owned();
            out.push(breach(source, index + 1, message));
        }
    }
}

/// String literals outside tests; and doc comments where a derive turns them into printed text.
fn forbidden_words(source: &Source, out: &mut Vec<Breach>) {
    let words = words(&source.scan.code);
    let docs_are_printed = words
        .iter()
        .any(|word| matches!(word.text.as_str(), "JsonSchema" | "Parser" | "Subcommand" | "Args"));
    let docs = source.scan.comments.iter().filter(|comment| comment.text.starts_with('/'));
    let docs = docs.filter(|_| docs_are_printed);
    for lifted in source.scan.strings.iter().chain(docs) {
        out.extend(
            forbidden_lines(lifted)
                .filter(|&line| !source.is_test(line))
                .map(|line| breach(source, line, forbidden_message())),
        );
    }
}

fn forbidden_lines(lifted: &Lifted) -> impl Iterator<Item = usize> {
    let lines = lifted.text.lines().enumerate();
    lines.filter(|(_, text)| has_forbidden_word(text)).map(|(index, _)| lifted.line + index)
}

fn conversion_factors(source: &Source, out: &mut Vec<Breach>) {
    if source.path.starts_with("crates/units/") {
        return;
    }
    for number in numbers(&source.scan.code) {
        let hit = CONVERSION_FACTORS
            .iter()
            .any(|factor| (number.value - factor).abs() <= factor * FACTOR_TOLERANCE);
        if hit && !source.is_test(number.line) && !is_explained_datum(source, number.line) {
            let message = format!("{}: conversions belong in `units`", number.value);
            out.push(breach(source, number.line, message));
        }
    }
}

/// In `access`, `restraint` and this crate, a cited datum may happen to look like a factor: a
/// comment on the same line or the line above says what it is.
fn is_explained_datum(source: &Source, line: usize) -> bool {
    let here = ["crates/access/", "crates/restraint/", "xtask/"];
    here.iter().any(|folder| source.path.starts_with(folder))
        && (source.path.starts_with("xtask/")
            || source.scan.comments.iter().any(|note| (line - 1..=line).contains(&note.line)))
}

fn is_test_path(path: &str) -> bool {
    let stem = path.strip_suffix(".rs").unwrap_or(path);
    stem.split('/').any(|part| matches!(part, "tests" | "examples" | "benches"))
}

/// The folder in which the modules declared by a file are looked up.
fn module_folder(path: &str) -> &str {
    let stem = path.strip_suffix(".rs").unwrap_or(path);
    let (folder, name) = stem.rsplit_once('/').unwrap_or(("", stem));
    if matches!(name, "lib" | "main" | "mod") { folder } else { stem }
}

fn is_printed_data(path: &str) -> bool {
    !path.ends_with(".rs")
        && !path.ends_with("Cargo.toml")
        && PRINTED_FOLDERS.iter().any(|folder| path.starts_with(folder))
}

/// A path counts as absolute where nothing that could be a folder or host stands before it.
fn has_absolute_path(line: &str, path: &str) -> bool {
    line.match_indices(path).any(|(at, _)| {
        let before = line[..at].chars().next_back();
        before
            .is_none_or(|c| !c.is_alphanumeric() && !matches!(c, '.' | '_' | '-' | '*' | '}' | '>'))
    })
}

fn has_word(line: &str, word: &str) -> bool {
    line.match_indices(word).any(|(at, _)| stands_alone(line, at, word.len()))
}

/// The forbidden word standing alone in any case, unless as an order to be carried out
/// ("make ... before work").
fn has_forbidden_word(line: &str) -> bool {
    let line = line.to_ascii_lowercase();
    line.match_indices(FORBIDDEN_WORD).any(|(at, _)| {
        stands_alone(&line, at, FORBIDDEN_WORD.len())
            && !line[..at].trim_end_matches(['-', ' ']).ends_with("make")
    })
}

fn forbidden_message() -> String {
    format!("`{FORBIDDEN_WORD}` must never be printed: say what was checked and what was not")
}

fn stands_alone(line: &str, at: usize, length: usize) -> bool {
    let is_part = |c: char| c.is_alphanumeric() || c == '_';
    let before = line[..at].chars().next_back();
    let after = line[at + length..].chars().next();
    !before.is_some_and(is_part) && !after.is_some_and(is_part)
}

fn breach(source: &Source, line: usize, message: String) -> Breach {
    Breach { path: source.path.clone(), line, message }
}
