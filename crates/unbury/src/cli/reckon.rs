//! Commands that reckon by figures, with their options.

use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};

use super::{RecordFile, day};

/// What is reckoned by figures.
#[derive(Debug, Subcommand)]
pub(crate) enum ReckonCommand {
    /// What a crash or hard driving pulls on heavy things, against what holds them.
    Restraint {
        #[command(flatten)]
        record: RecordFile,
        /// Only these things.
        #[arg(value_name = "THING")]
        things: Vec<String>,
        /// Levels to hold against; may be repeated. `list` shows all with their sources.
        #[arg(long = "criterion", value_name = "NAME", value_delimiter = ',')]
        criteria: Vec<String>,
    },
    /// What repairs cost: three choices or any set, with what each adds; materials; what was agreed to.
    Price(PriceArguments),
}

#[derive(Debug, Args)]
pub(crate) struct PriceArguments {
    #[command(flatten)]
    pub(crate) record: RecordFile,
    /// What to price; without it what `[mends]` names, else everything that has a repair.
    #[arg(long, value_enum)]
    pub(crate) choice: Option<PriceChoice>,
    /// A repair besides, by its name (`unbury mend RECORD`); alone: only this; may be repeated.
    #[arg(long = "with", value_name = "ID", value_delimiter = ',')]
    pub(crate) with: Vec<String>,
    /// A repair left out; may be repeated.
    #[arg(long = "without", value_name = "ID", value_delimiter = ',')]
    pub(crate) without: Vec<String>,
    /// The last day on which the price holds.
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day_text)]
    pub(crate) valid_until: Option<String>,
    /// The day it is asked on; after the last day there is no price.
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day_text)]
    pub(crate) date: Option<String>,
    /// Also write price and materials as tables (CSV and xlsx) to this folder.
    #[arg(long, value_name = "FOLDER")]
    pub(crate) out: Option<PathBuf>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum PriceChoice {
    /// Repairs of what is marked DANGER or WARNING.
    Danger,
    /// Repairs on what was complained of.
    Complaint,
    /// Everything that has a computed repair.
    All,
}

fn day_text(text: &str) -> Result<String, String> {
    day(text).map(|_| text.to_owned())
}
