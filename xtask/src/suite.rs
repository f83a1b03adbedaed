//! `cargo xtask test`: every check of the repository, in order, on a machine with nothing but
//! the Rust toolchain.
//!
//! Knows the steps and their order; what each looks for is known elsewhere.

use std::fs;
use std::path::PathBuf;
use std::process::Command;

use anyhow::{Context as _, Result, ensure};

use crate::files::root;
use crate::generated::{self, RECORD_SCHEMA, REVIEW_SCHEMA};
use crate::setup::{self, SCHEMA_VALIDATOR, python_tool};
use crate::shell::{Steps, cargo, run};
use crate::{browser, cuts, findings_diff, new_check, packs, trial, ways};

/// Runs the steps from the `first` on and stops at the first that fails.
pub(crate) fn test(first: usize) -> Result<()> {
    let mut steps = Steps::new(15).from(first);
    steps.step("install what the tests need", setup::install)?;
    steps.step("format", || run(&mut cargo(&["fmt", "--all", "--check"])))?;
    steps.step("lints", || {
        let clippy = ["clippy", "--workspace", "--all-targets", "--locked", "--"];
        run(cargo(&clippy).args(["-D", "warnings"]))
    })?;
    steps.step("tests", || run(&mut cargo(&["test", "--workspace", "--locked"])))?;
    steps.step("documentation", || {
        let doc = ["doc", "--workspace", "--no-deps", "--locked"];
        run(cargo(&doc).env("RUSTDOCFLAGS", "-Dwarnings"))
    })?;
    steps.step("generated files", generated::check)?;
    steps.step("what changed in the findings", findings_diff::show)?;
    steps.step("a check started and not written", new_check::try_out)?;
    steps.step("records against their schema", validate)?;
    steps.step("ways in against a general solver", ways::compare)?;
    steps.step("openings against minimum cuts", cuts::compare)?;
    steps.step("packs read by others", packs::read_by_others)?;
    steps.step("a few cases of the trial", trial::quick)?;
    steps.step("modules of the app", browser::modules)?;
    steps.step("the whole job in a browser", browser::whole_job)?;
    match first {
        0 | 1 => println!("all steps passed"),
        first => println!("steps {first} to 15 passed"),
    }
    Ok(())
}

/// Validates the schemas against the rules for schemas, and every record against its schema.
/// The validator is a general one from elsewhere (check-jsonschema): it shares no code with the
/// reader of records.
fn validate() -> Result<()> {
    let validator = python_tool(SCHEMA_VALIDATOR)?.join(SCHEMA_VALIDATOR.name);
    let at_root = || {
        let mut command = Command::new(&validator);
        command.current_dir(root());
        command
    };
    run(at_root().args(["--check-metaschema", RECORD_SCHEMA, REVIEW_SCHEMA]))?;
    let records = records()?;
    run(at_root().args(["--schemafile", RECORD_SCHEMA]).args(records))
}

/// Every `records/<name>/*.toml` except the expected findings beside it, seen from the root.
fn records() -> Result<Vec<PathBuf>> {
    let mut out = Vec::new();
    let root = root();
    let folder = root.join("records");
    for entry in fs::read_dir(&folder).context("cannot list records/")? {
        let entry = entry?.path();
        if !entry.is_dir() {
            continue;
        }
        for file in fs::read_dir(&entry)? {
            let path = file?.path();
            let is_toml = path.extension().is_some_and(|extension| extension == "toml");
            if is_toml && path.file_name().is_some_and(|name| name != "expected.toml") {
                out.push(path.strip_prefix(&root).unwrap_or(&path).to_path_buf());
            }
        }
    }
    ensure!(!out.is_empty(), "records/ holds no record");
    out.sort();
    Ok(out)
}
