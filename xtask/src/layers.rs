//! Which crate may depend on which, and what the crates below the binary may not touch.
//!
//! The edges are data; the test beside this file compares them with what cargo says and with the
//! text of the sources. It does not know why a crate needs another: ARCHITECTURE.md says that.

#[cfg(test)]
mod tests;

use std::path::Path;
use std::process::Command;

use anyhow::{Context as _, Result, ensure};
use serde_json::Value;

use crate::scan::{imports, words};
use crate::tidy::{Breach, Source};

/// A crate, the layer it lives in, and the crates of the workspace it may use outside tests.
/// It may use fewer.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Allowed {
    /// The name of the crate.
    pub(crate) name: &'static str,
    /// Its layer; a crate may only use crates of lower layers.
    pub(crate) layer: u8,
    /// The crates of the workspace it may use.
    pub(crate) uses: &'static [&'static str],
}

/// The house, lowest layer first.
pub(crate) const HOUSE: &[Allowed] = &[
    crate_at(0, "units", &[]),
    crate_at(0, "diag", &[]),
    crate_at(0, "circuit", &[]),
    crate_at(0, "testkit", &[]),
    crate_at(
        5,
        "trial",
        &[
            "units", "circuit", "catalog", "model", "record", "network", "solve", "access",
            "diagnose", "testkit",
        ],
    ),
    crate_at(1, "draw", &["units"]),
    crate_at(1, "model", &["units"]),
    crate_at(1, "solve", &["units", "circuit"]),
    crate_at(1, "heat", &["units"]),
    crate_at(2, "catalog", &["units", "model"]),
    crate_at(3, "access", &["units", "catalog", "model"]),
    crate_at(3, "restraint", &["units", "catalog", "model"]),
    crate_at(3, "record", &["units", "diag", "catalog", "model"]),
    crate_at(3, "network", &["units", "catalog", "model", "circuit", "solve"]),
    crate_at(
        4,
        "checks",
        &[
            "units",
            "heat",
            "catalog",
            "model",
            "network",
            "circuit",
            "solve",
            "access",
            "restraint",
        ],
    ),
    crate_at(4, "price", &["units", "access"]),
    crate_at(4, "mains", &["units", "catalog", "model", "circuit", "solve"]),
    crate_at(
        4,
        "diagnose",
        &["units", "access", "circuit", "catalog", "model", "network", "solve"],
    ),
    crate_at(4, "dead", &["access", "catalog", "model", "network"]),
    crate_at(
        4,
        "mend",
        &["units", "circuit", "catalog", "model", "record", "network", "solve", "restraint"],
    ),
    crate_at(4, "live", &["units", "model", "network"]),
    crate_at(4, "thermal", &["units", "heat", "catalog", "model", "network", "circuit", "solve"]),
    crate_at(4, "protect", &["units", "catalog", "model", "network", "circuit", "solve", "heat"]),
    crate_at(
        5,
        "analysis",
        &[
            "units",
            "diag",
            "circuit",
            "catalog",
            "model",
            "record",
            "network",
            "access",
            "solve",
            "checks",
            "mains",
            "mend",
            "live",
            "dead",
            "thermal",
            "protect",
            "price",
            "restraint",
            "diagnose",
        ],
    ),
    crate_at(7, "depict", &["analysis", "draw", "wording"]),
    crate_at(6, "wording", &["units", "analysis"]),
    crate_at(7, "store", &["record"]),
    crate_at(7, "report", &["analysis", "wording"]),
    crate_at(8, "pack", &["units", "analysis", "depict", "wording", "report"]),
    crate_at(9, "web", &["units", "analysis", "depict", "wording", "pack", "store"]),
    crate_at(
        10,
        "unbury",
        &["units", "analysis", "depict", "report", "wording", "pack", "web", "store"],
    ),
];

/// Crates that may reach the world outside: files, the clock, other programs, the terminal.
pub(crate) const MAY_REACH_OUT: [&str; 3] = ["unbury", "trial", "store"];

/// A dependency between two crates of the workspace, outside tests and build scripts.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Edge {
    /// The crate that depends.
    pub(crate) from: String,
    /// The crate it depends on.
    pub(crate) to: String,
}

/// Asks cargo which crates the workspace has and which of them use each other.
pub(crate) fn workspace(root: &Path) -> Result<(Vec<String>, Vec<Edge>)> {
    let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let output = Command::new(cargo)
        .args(["metadata", "--no-deps", "--format-version", "1", "--offline"])
        .current_dir(root)
        .output()
        .context("cannot start cargo")?;
    let complaint = String::from_utf8_lossy(&output.stderr);
    ensure!(output.status.success(), "cargo metadata failed:\n{complaint}");
    let metadata = serde_json::from_slice(&output.stdout).context("cargo metadata is not JSON")?;
    Ok(edges(&metadata))
}

/// Reads crates and edges out of cargo's answer. `xtask` is left out: it is not of the house.
pub(crate) fn edges(metadata: &Value) -> (Vec<String>, Vec<Edge>) {
    let none = Vec::new();
    let packages = metadata["packages"].as_array().unwrap_or(&none);
    let names: Vec<String> = packages
        .iter()
        .filter_map(|package| package["name"].as_str())
        .filter(|&name| name != "xtask")
        .map(ToOwned::to_owned)
        .collect();
    let mut found = Vec::new();
    for package in packages {
        let from = package["name"].as_str().unwrap_or_default();
        let dependencies = package["dependencies"].as_array().unwrap_or(&none);
        let normal = dependencies.iter().filter(|dependency| dependency["kind"].is_null());
        for to in normal.filter_map(|dependency| dependency["name"].as_str()) {
            if from != "xtask" && names.iter().any(|name| name == to) {
                found.push(Edge { from: from.to_owned(), to: to.to_owned() });
            }
        }
    }
    (names, found)
}

/// What is wrong with the edges: a crate the house does not know, an edge it does not allow.
pub(crate) fn edge_faults(names: &[String], found: &[Edge]) -> Vec<String> {
    let unknown = names
        .iter()
        .filter(|name| allowed(name).is_none())
        .map(|name| format!("`{name}` has no place in HOUSE: give it a layer"));
    let forbidden = found
        .iter()
        .filter(|edge| allowed(&edge.from).is_some_and(|a| !a.uses.contains(&edge.to.as_str())))
        .map(|edge| format!("`{}` must not depend on `{}`", edge.from, edge.to));
    unknown.chain(forbidden).collect()
}

/// Edges of the house itself that do not lead to a lower layer.
pub(crate) fn house_faults() -> Vec<String> {
    let leads_down =
        |upper: &Allowed, name: &str| allowed(name).is_some_and(|lower| lower.layer < upper.layer);
    HOUSE
        .iter()
        .flat_map(|upper| upper.uses.iter().map(move |name| (upper, *name)))
        .filter(|(upper, name)| !leads_down(upper, name))
        .map(|(upper, name)| format!("HOUSE lets `{}` use `{name}`: not a lower layer", upper.name))
        .collect()
}

/// Where a crate below the binary reaches outside in code that is not a test or example.
pub(crate) fn reaching_out(source: &Source) -> Vec<Breach> {
    let inside = source.path.strip_prefix("crates/").and_then(|rest| rest.split_once("/src/"));
    let Some((crate_name, _)) = inside else { return Vec::new() };
    if MAY_REACH_OUT.contains(&crate_name) {
        return Vec::new();
    }
    let mut lines = forbidden_paths(&source.scan.code);
    lines.extend(forbidden_macros(&source.scan.code));
    lines
        .into_iter()
        .filter(|(line, _)| !source.is_test(*line))
        .map(|(line, what)| Breach {
            path: source.path.clone(),
            line,
            message: format!("`{crate_name}` reaches outside with {what}: only `unbury` may"),
        })
        .collect()
}

const fn crate_at(layer: u8, name: &'static str, uses: &'static [&'static str]) -> Allowed {
    Allowed { name, layer, uses }
}

fn allowed(name: &str) -> Option<&'static Allowed> {
    HOUSE.iter().find(|allowed| allowed.name == name)
}

/// Paths into the standard library that touch the world, written out or imported.
fn forbidden_paths(code: &str) -> Vec<(usize, String)> {
    const OUTSIDE: [&str; 7] = [
        "std::fs",
        "std::env",
        "std::process",
        "std::net",
        "std::os",
        "std::time::Instant",
        "std::time::SystemTime",
    ];
    let mut out = Vec::new();
    for import in imports(code) {
        let hit = OUTSIDE.iter().find(|path| is_path_or_below(&import.text, path));
        out.extend(hit.map(|path| (import.line, (*path).to_owned())));
    }
    for (index, line) in code.lines().enumerate() {
        let hit = OUTSIDE.iter().find(|path| {
            line.match_indices(*path).any(|(at, _)| {
                let after = line[at + path.len()..].chars().next();
                !after.is_some_and(|c| c.is_alphanumeric() || c == '_')
            })
        });
        out.extend(hit.map(|path| (index + 1, (*path).to_owned())));
    }
    out
}

fn is_path_or_below(import: &str, path: &str) -> bool {
    let import = import.trim_start_matches("::");
    import == path || import.strip_prefix(path).is_some_and(|rest| rest.starts_with("::"))
}

fn forbidden_macros(code: &str) -> Vec<(usize, String)> {
    const PRINTING: [&str; 5] = ["println", "eprintln", "print", "eprint", "dbg"];
    let chars: Vec<char> = code.chars().collect();
    words(code)
        .into_iter()
        .filter(|word| PRINTING.contains(&word.text.as_str()))
        .filter(|word| chars.get(word.offset + word.text.chars().count()) == Some(&'!'))
        .map(|word| (word.line, format!("`{}!`", word.text)))
        .collect()
}
