//! The trial of ways to find faults: starts the program that runs it. Knows nothing of what it does.

use anyhow::Result;

use crate::files::root;
use crate::shell::{cargo, run};

/// What `cargo xtask test` runs: a few cases on one small vehicle, on seeds that nobody reports.
const QUICK: [&str; 8] =
    ["--only", "invented 100", "--tuning", "--seed", "1", "--cases", "6", "--fresh"];

/// The trial with these options; page and figure are written if `--write` is among them.
pub(crate) fn trial(options: &[&str]) -> Result<()> {
    let start = ["run", "--release", "--locked", "--quiet", "--package", "trial", "--", "--root"];
    run(cargo(&start).arg(root()).args(options))
}

/// The trial in short.
pub(crate) fn quick() -> Result<()> {
    trial(&QUICK)
}
