//! The trial of ways to find faults: starts the program that runs it. Knows nothing of what it does.

use std::process::Command;

use anyhow::Result;

use crate::files::root;
use crate::shell::{cargo, run, target_folder};

/// What `cargo xtask test` runs: a few cases on one small vehicle, on seeds that nobody reports.
const QUICK: [&str; 8] =
    ["--only", "invented 100", "--tuning", "--seed", "1", "--cases", "3", "--fresh"];

/// The trial with these options; page and figure are written if `--write` is among them.
pub(crate) fn trial(options: &[&str]) -> Result<()> {
    let start = ["run", "--release", "--locked", "--quiet", "--package", "trial", "--", "--root"];
    run(cargo(&start).arg(root()).args(options))
}

/// The trial in short, with what the tests have built already.
pub(crate) fn quick() -> Result<()> {
    run(&mut cargo(&["build", "--locked", "--workspace"]))?;
    let mut program = Command::new(target_folder().join("debug/trial"));
    run(program.arg("--root").arg(root()).args(QUICK))
}
