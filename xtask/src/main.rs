//! The chores of the repository: `cargo xtask <chore>`.
//!
//! Knows the chores by name and hands over. It is plumbing around cargo and knows nothing of
//! vehicles.

#![allow(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "a command-line chore speaks on the terminal"
)]

mod bench;
mod browser;
mod check_index;
mod cuts;
mod files;
mod findings_diff;
mod generated;
mod layers;
mod new_check;
mod packs;
mod scan;
mod setup;
mod shell;
mod suite;
mod tidy;
mod trial;
mod ways;

use std::process::ExitCode;

use anyhow::{Result, anyhow, bail};

const USAGE: &str = "\
usage: cargo xtask <chore>

  test        install what the tests need when missing, then run every check
  test from N go on at a step, after one was mended
  tidy        check the rules of the house and the layers only
  regenerate  write docs/schema and docs/checks anew from the program
  bench       measure speed and memory against their targets
  bench sizes measure cost against size, and draw docs/figures/cost-against-size.svg
  findings-diff
              what changed in the findings of all records; `--write` keeps them as they are now
  new-check GROUP SLUG
              start a check: its file, its page and its line in the list of its group
  screenshots pictures of every page of the workshop app into target/screenshots, and the README's
  trial       find faults on paper in several ways; `--write` writes docs/trial.md and its figure;
              further: --seed N, --cases N, --jobs N, --tuning, --only VEHICLE, --fresh,
              --report (of the cases that are there), --tell";

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let result = match words.as_slice() {
        ["test"] => suite::test(1),
        ["test", "from", step] => match step.parse() {
            Ok(step) => suite::test(step),
            Err(_) => Err(anyhow!("`{step}` is not the number of a step")),
        },
        ["tidy"] => tidy_up(),
        ["regenerate"] => generated::regenerate(),
        ["bench"] => bench::bench(),
        ["bench", "sizes"] => bench::sizes(),
        ["findings-diff"] => findings_diff::show(),
        ["findings-diff", "--write"] => findings_diff::write(),
        ["new-check", group, slug] => new_check::new_check(group, slug),
        ["screenshots"] => browser::screenshots(),
        ["trial", options @ ..] => trial::trial(options),
        [] | ["help" | "-h" | "--help"] => {
            println!("{USAGE}");
            Ok(())
        }
        _ => {
            eprintln!("no chore `{}`\n\n{USAGE}", words.join(" "));
            return ExitCode::from(2);
        }
    };
    match result {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error:#}");
            ExitCode::FAILURE
        }
    }
}

/// What the tests of `tidy` and `layers` check, as a list.
fn tidy_up() -> Result<()> {
    let root = files::root();
    let files = files::text_files(&root)?;
    let mut faults: Vec<String> = tidy::sources(files.clone())
        .iter()
        .flat_map(layers::reaching_out)
        .chain(tidy::breaches_in(files))
        .map(|breach| breach.to_string())
        .collect();
    let (names, edges) = layers::workspace(&root)?;
    faults.extend(layers::house_faults());
    faults.extend(layers::edge_faults(&names, &edges));
    for fault in &faults {
        println!("{fault}");
    }
    if !faults.is_empty() {
        bail!("{} faults", faults.len());
    }
    println!("tidy");
    Ok(())
}
