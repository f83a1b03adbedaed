//! The tests in a browser: `e2e/`, run by node, in Debian's Chromium, against the program itself.
//!
//! Knows how they are set up and started; what they look for is in `e2e/`.

use std::fs;
use std::path::PathBuf;
use std::process::Command;
use std::time::SystemTime;

use anyhow::{Context as _, Result, ensure};

use crate::files::root;
use crate::setup;
use crate::shell::{cargo, run, target_folder};

/// Brings the packages that only these tests use, as the lock file says.
pub(crate) fn install() -> Result<()> {
    let changed = |path: &str| fs::metadata(folder().join(path)).and_then(|file| file.modified());
    let locked = changed("package-lock.json").context("e2e/package-lock.json is missing")?;
    if changed("node_modules/.package-lock.json").unwrap_or(SystemTime::UNIX_EPOCH) >= locked {
        return Ok(());
    }
    println!("installing the packages of e2e/ with npm");
    run(Command::new("npm").args(["ci", "--silent"]).current_dir(folder()))
        .context("cannot install the packages of e2e/: is the npm registry in reach?")
}

/// Modules by themselves: pure parts in node, the others on pages of the tests' own.
pub(crate) fn modules() -> Result<()> {
    run_tests("unit")?;
    run_tests("modules")
}

/// The whole job with the program as it is.
pub(crate) fn whole_job() -> Result<()> {
    run(&mut cargo(&["build", "-p", "unbury", "--locked"]))?;
    run_tests("browser")
}

/// Pictures of every page, and those of the README, from the program as it is.
pub(crate) fn screenshots() -> Result<()> {
    setup::install()?;
    run(&mut cargo(&["build", "-p", "unbury", "--locked"]))?;
    run(node().arg("screenshots.js").arg(target_folder().join("screenshots")))
}

fn folder() -> PathBuf {
    root().join("e2e")
}

fn node() -> Command {
    let mut node = Command::new("node");
    node.current_dir(folder()).env("UNBURY", target_folder().join("debug").join("unbury"));
    node
}

/// Every `*.test.js` of a folder; they share a machine, so one file at a time.
fn run_tests(name: &str) -> Result<()> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder().join(name)).with_context(|| format!("no e2e/{name}"))? {
        let path = entry?.path();
        if path.to_string_lossy().ends_with(".test.js") {
            files.push(path);
        }
    }
    files.sort();
    ensure!(!files.is_empty(), "e2e/{name} holds no test");
    run(node().args(["--test", "--test-concurrency=1"]).args(files))
}
