//! The command line: the only place that reads files, writes files and talks to a terminal.

mod cli;
mod commands;
mod dead;
mod demo;
mod drawings;
mod find;
mod keep;
mod mend;
mod pack;
mod page;
mod price;
mod progress;
mod reckon;
mod report;
mod restraint;
mod serve;
mod show;
mod steps;
mod telling;
mod tls;

use std::process::ExitCode;

use clap::Parser;

/// Searches and typesetting take memory and give it back in small pieces all the time.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    let arguments = cli::Arguments::parse();
    match commands::run(&arguments) {
        Ok(end) => end.into(),
        Err(error) if page::is_closed_pipe(&error) => ExitCode::SUCCESS,
        Err(error) => {
            page::complain(&error);
            cli::End::NoFile.into()
        }
    }
}
