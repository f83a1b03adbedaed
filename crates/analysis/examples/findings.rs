//! Prints the findings of records, one a line, for `cargo xtask findings-diff`: where, signal, check,
//! verdict, place and sentence, with tabs between. `--json` prints whole reviews instead, one a line.

#![allow(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "an example prints what it was asked for"
)]

use std::process::ExitCode;

use analysis::{Case, FindingView};

fn main() -> ExitCode {
    let mut as_json = false;
    for argument in std::env::args().skip(1) {
        if argument == "--json" {
            as_json = true;
            continue;
        }
        let text = match std::fs::read_to_string(&argument) {
            Ok(text) => text,
            Err(error) => {
                eprintln!("error: {argument}: {error}");
                return ExitCode::FAILURE;
            }
        };
        let review = Case::of(&text).review();
        if as_json {
            match serde_json::to_string(&review) {
                Ok(line) => println!("{line}"),
                Err(error) => eprintln!("error: {argument}: {error}"),
            }
            continue;
        }
        for finding in review.findings.iter().chain(&review.cannot_tell) {
            println!("{}", line(&argument, finding));
        }
    }
    ExitCode::SUCCESS
}

fn line(record: &str, finding: &FindingView) -> String {
    let FindingView { signal, check, verdict, place, message, .. } = finding;
    [record, signal, check, verdict, &place.name, message].join("\t")
}
