//! Runs the trial, as `cargo xtask trial` calls it; `asked` below knows the options. Reads and writes
//! files and the clock; everything else is in the library.

#![allow(clippy::print_stdout, clippy::print_stderr, reason = "a command-line chore speaks")]

mod run;

use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::{Context as _, Result, bail};

use run::Asked;

/// Searches and typesetting take memory and give it back in small pieces all the time.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    match asked().and_then(|asked| run::run(&asked)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error:#}");
            ExitCode::FAILURE
        }
    }
}

fn asked() -> Result<Asked> {
    let mut asked = Asked {
        seed: 2026,
        cases: 1000,
        jobs: 2,
        is_tuning: false,
        tells: false,
        agrees: false,
        policy: String::new(),
        is_fresh: false,
        only_reports: false,
        only: String::new(),
        root: PathBuf::from("."),
        keep: None,
    };
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        let mut value = || words.next().with_context(|| format!("`{word}` needs a value"));
        match word.as_str() {
            "--seed" => asked.seed = value()?.parse().context("--seed takes a whole number")?,
            "--cases" => asked.cases = value()?.parse().context("--cases takes a whole number")?,
            "--jobs" => asked.jobs = value()?.parse().context("--jobs takes a whole number")?,
            "--root" => asked.root = PathBuf::from(value()?),
            "--write" => asked.keep = Some(asked.root.join("docs")),
            "--only" => asked.only = value()?,
            "--report" => asked.only_reports = true,
            "--fresh" => asked.is_fresh = true,
            "--tuning" => asked.is_tuning = true,
            "--policy" => asked.policy = value()?,
            "--agreement" => asked.agrees = true,
            "--tell" => asked.tells = true,
            _ => bail!(
                "no option `{word}`; there are --seed, --cases, --jobs, --only, --fresh, --report, \
                 --tuning, --tell, --policy, --agreement, --write"
            ),
        }
    }
    if asked.cases == 0 || asked.jobs == 0 {
        bail!("--cases and --jobs must be at least 1");
    }
    Ok(asked)
}
