//! Commands, options and exit codes.

use std::net::SocketAddr;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Args, Parser, Subcommand, ValueEnum};

use crate::telling::Telling;

mod reckon;

pub(crate) use reckon::{PriceArguments, PriceChoice, ReckonCommand};

const AFTER: &str = "\
Exit codes: 0 done, nothing fails; 1 done, something fails; 2 wrong command line;
3 the record has errors (what they touch was left out); 4 a file could not be
read or written; 5 no such target, state or check.

Start with `unbury demo`, then docs/record-guide.md.";

/// Find the fault in a converted vehicle, open only what you must, put it right, prove it.
#[derive(Debug, Parser)]
#[command(name = "unbury", version, after_help = AFTER, max_term_width = 80)]
pub(crate) struct Arguments {
    #[command(subcommand)]
    pub(crate) command: Command,

    /// Print JSON instead of text.
    #[arg(long, global = true)]
    pub(crate) json: bool,

    /// When to use colour.
    #[arg(long, global = true, value_enum, default_value_t = Colour::Auto)]
    pub(crate) color: Colour,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Colour {
    /// On a terminal.
    Auto,
    /// Always.
    Always,
    /// Never.
    Never,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Review the vehicle that ships with the program, write its pack, and serve it.
    Demo {
        /// Folder for the pack.
        #[arg(long, value_name = "DIR", default_value = "unbury-pack")]
        out: PathBuf,
        /// End after the review.
        #[arg(long)]
        print_only: bool,
        /// Where to listen; the next free port where this one is taken.
        #[arg(long, value_name = "ADDRESS", default_value = "127.0.0.1:8380")]
        listen: SocketAddr,
    },
    #[command(flatten)]
    Keep(KeepCommand),
    /// Say what is wrong, what cannot be told, and what it costs to get there.
    Review {
        #[command(flatten)]
        record: RecordFile,
        /// Also write a report (PDF), tables (CSV), a netlist for each state and JSON to this folder.
        #[arg(long, value_name = "DIR")]
        out: Option<PathBuf>,
        /// Show every item of long lists.
        #[arg(long)]
        all: bool,
        #[command(flatten)]
        form: PackForm,
    },
    /// Volts and amperes in every state, or in one.
    Solve {
        #[command(flatten)]
        record: RecordFile,
        /// Only this state.
        #[arg(long)]
        state: Option<String>,
        /// What an instrument would show: `volts house.+ to body`, `lamp fridge.+ to fridge.-`,
        /// `amps in w12`, `clamp on w12`.
        #[arg(long, value_name = "WORDS")]
        meter: Option<String>,
        /// A fault put in, in plain words such as `w3 open` (docs/faults.md); may be repeated.
        #[arg(long = "fault", value_name = "WORDS", conflicts_with = "meter")]
        faults: Vec<String>,
    },
    /// Which conductors are energised, from where, by which way.
    Live {
        #[command(flatten)]
        record: RecordFile,
        /// Only this state.
        #[arg(long)]
        state: Option<String>,
        /// Only this wire.
        #[arg(long)]
        wire: Option<String>,
    },
    /// How to make a work area dead, prove it, and switch on again.
    Dead {
        #[command(flatten)]
        record: RecordFile,
        /// Device, wire, part, spot, or `everything`; may be repeated.
        #[arg(long = "area", value_name = "NAME", required = true, value_delimiter = ',')]
        area: Vec<String>,
        /// What was read at a step: `4=13.1 V`; may be repeated. The plan stops at the first reading
        /// that contradicts it.
        #[arg(long = "read", value_name = "STEP=READING", value_parser = step_reading)]
        read: Vec<(usize, String)>,
        /// Parts that are out already, or positions taken, besides those in the record.
        #[arg(long, value_name = "PART", value_delimiter = ',')]
        out: Vec<String>,
    },
    /// The mains side: sources by states, polarity, bonds, residual currents, the body's voltage.
    Ac {
        #[command(flatten)]
        record: RecordFile,
        /// Only this state.
        #[arg(long)]
        state: Option<String>,
    },
    /// What flows in a short circuit at every point, and what opens before a wire is ruined.
    FaultLevel {
        #[command(flatten)]
        record: RecordFile,
        /// Only as in this state; without it, from every source feeding to as few as possible.
        #[arg(long)]
        state: Option<String>,
        /// Show every row of long lists.
        #[arg(long)]
        all: bool,
    },
    /// The cheapest way in to devices, spots, parts or wires, and the way back; without a target, to
    /// all that wants service.
    Wayin {
        #[command(flatten)]
        record: RecordFile,
        /// What to reach; several are reached together.
        #[arg(value_name = "TARGET")]
        targets: Vec<String>,
        /// Parts that are out already, or positions taken (`fridge slid`), besides those in the record.
        #[arg(long, value_name = "PART", value_delimiter = ',')]
        out: Vec<String>,
        /// Write the step sheet with labels for the bags (PDF) and the drawings (SVG) to this folder.
        #[arg(long, value_name = "FOLDER", requires = "targets")]
        sheet: Option<PathBuf>,
        /// Size of the sheet.
        #[arg(long, value_enum, default_value_t = Paper::A4)]
        paper: Paper,
        #[command(flatten)]
        telling: Telling,
    },
    /// What it takes to reach all that wants service, and how much that is in a year.
    ServiceAccess {
        #[command(flatten)]
        record: RecordFile,
    },
    /// Which new openings would save most, and what to look for before cutting.
    Hatch {
        #[command(flatten)]
        record: RecordFile,
        /// Also show the best two together.
        #[arg(long)]
        pairs: bool,
    },
    #[command(flatten)]
    Repair(RepairCommand),
    #[command(flatten)]
    Reckon(ReckonCommand),
    /// How warm wires and joints get in every state, and whether they may stay.
    Heat {
        #[command(flatten)]
        record: RecordFile,
        /// Only this state.
        #[arg(long)]
        state: Option<String>,
    },
    /// Draw the vehicle and its wiring (SVG files).
    Draw {
        #[command(flatten)]
        record: RecordFile,
        /// Folder for the drawings.
        #[arg(long, value_name = "FOLDER", default_value = "unbury-drawings")]
        out: PathBuf,
        /// Only the drawing of this name, with all its sheets.
        #[arg(long, value_name = "NAME")]
        only: Option<String>,
        /// Paper of the wiring drawing, long side across; more sheets where it would be too small.
        #[arg(long, value_enum, default_value_t = DrawingPaper::A3)]
        paper: DrawingPaper,
        #[command(flatten)]
        telling: Telling,
    },
    /// What may be wrong, how likely, and what each reading says of it.
    Suspects {
        #[command(flatten)]
        record: RecordFile,
        /// Only what was observed in the state of this symptom.
        #[arg(long, value_name = "SYMPTOM")]
        about: Option<String>,
    },
    /// The one check that saves most minutes, opening included, or the repair.
    Next {
        #[command(flatten)]
        record: RecordFile,
        /// Only what was observed in the state of this symptom.
        #[arg(long, value_name = "SYMPTOM")]
        about: Option<String>,
        /// Parts that are out already, or positions taken, besides those in the record.
        #[arg(long, value_name = "PART", value_delimiter = ',')]
        out: Vec<String>,
    },
    /// Search for the fault step by step: asks for a check, takes the answer, goes on.
    Find {
        #[command(flatten)]
        record: RecordFile,
        /// Only what was observed in the state of this symptom.
        #[arg(long, value_name = "SYMPTOM")]
        about: Option<String>,
        /// Parts that are out already, or positions taken, besides those in the record.
        #[arg(long, value_name = "PART", value_delimiter = ',')]
        out: Vec<String>,
        /// Write each answer into the record as it is given.
        #[arg(long)]
        write: bool,
    },
    /// Write the hand-over pack: report, tables, drawings, circuits, photos, checksums.
    Report {
        #[command(flatten)]
        record: RecordFile,
        /// Folder for the pack.
        #[arg(long, value_name = "FOLDER", default_value = "unbury-pack")]
        out: PathBuf,
        /// Also write the whole pack as one archive, FOLDER.zip.
        #[arg(long)]
        zip: bool,
        #[command(flatten)]
        form: PackForm,
    },
    /// Find out where a wire ends that vanishes behind a panel: asks for a test, takes yes or no.
    Trace {
        #[command(flatten)]
        record: RecordFile,
        /// The wire.
        #[arg(value_name = "WIRE")]
        wire: String,
        /// Parts that are out already, or positions taken, besides those in the record.
        #[arg(long, value_name = "PART", value_delimiter = ',')]
        out: Vec<String>,
    },
    /// What a check looks for, how it decides, and what to do.
    Explain {
        /// The check's name; `regions`: which document decides under which rules.
        check: Option<String>,
        /// List all checks.
        #[arg(long)]
        list: bool,
        /// Print the page as Markdown.
        #[arg(long)]
        markdown: bool,
    },
    /// Kinds of devices a record can use, with their terminals and usual values.
    Kinds {
        /// Only kinds whose name holds this.
        filter: Option<String>,
    },
    /// JSON Schema of a record (for editors) or of the results.
    Schema {
        /// Of what.
        #[arg(long, value_enum, default_value_t = SchemaOf::Record)]
        of: SchemaOf,
    },
    /// The circuit of a state as a SPICE deck.
    Netlist {
        #[command(flatten)]
        record: RecordFile,
        /// Which state; the first if not given.
        #[arg(long)]
        state: Option<String>,
        /// The mains side of the state instead of the direct-current side.
        #[arg(long)]
        ac: bool,
        /// A fault put in, in plain words such as `w3 open` (docs/faults.md); may be repeated.
        #[arg(long = "fault", value_name = "WORDS", conflicts_with = "ac")]
        faults: Vec<String>,
    },
    /// Completions for a shell.
    Completions {
        /// The shell.
        #[arg(value_enum)]
        shell: clap_complete::Shell,
    },
}

/// Serving, and what a workshop keeps.
#[derive(Debug, Subcommand)]
pub(crate) enum KeepCommand {
    /// Serve the workshop app to phones, tablets and laptops.
    Serve {
        /// Where to listen. Only this machine gets in unless it is another address, such as
        /// `0.0.0.0:8380`; then everybody has to log in.
        #[arg(long, value_name = "ADDRESS", default_value = "127.0.0.1:8380")]
        listen: SocketAddr,
        #[command(flatten)]
        data: DataFolder,
        /// Through TLS, with a certificate made here (docs/serving.md).
        #[arg(long)]
        tls: bool,
        /// Further names or addresses this machine is reached by, for the certificate.
        #[arg(long, value_name = "NAME", value_delimiter = ',', requires = "tls")]
        also: Vec<String>,
        /// Name that stands beside entries where nobody has to log in.
        #[arg(long, value_name = "NAME", default_value = "Technician")]
        name: String,
    },
    /// Cases of a workshop: list them, take one in, give one out.
    Case {
        #[command(subcommand)]
        what: CaseCommand,
    },
    /// Let somebody log in, or give them a new password (read from standard input).
    Person {
        /// The name.
        name: String,
        /// What the person may do.
        #[arg(long, value_enum, default_value_t = PersonRole::Technician)]
        role: PersonRole,
        #[command(flatten)]
        data: DataFolder,
    },
    /// Copy everything to another folder, while it may be in use.
    Backup {
        /// The folder; an older backup in it is brought up to date.
        #[arg(value_name = "FOLDER")]
        to: PathBuf,
        #[command(flatten)]
        data: DataFolder,
    },
    /// Put a backup into a new data folder.
    Restore {
        /// The folder of the backup.
        #[arg(value_name = "FOLDER")]
        from: PathBuf,
        #[command(flatten)]
        data: DataFolder,
    },
    /// Whether journals are what was entered: hold them against their hashes.
    Verify {
        /// Only this case.
        case: Option<String>,
        /// Whether an entry has this hash, written down at another time.
        #[arg(long, value_name = "HASH", requires = "case")]
        holds: Option<String>,
        #[command(flatten)]
        data: DataFolder,
    },
}

/// What to do with cases.
#[derive(Debug, Subcommand)]
pub(crate) enum CaseCommand {
    /// List them.
    List {
        #[command(flatten)]
        data: DataFolder,
    },
    /// Make a case of a record and the photos beside it.
    Add {
        #[command(flatten)]
        record: RecordFile,
        #[command(flatten)]
        data: DataFolder,
        /// Name that stands beside the entry.
        #[arg(long, value_name = "NAME", default_value = "Technician")]
        name: String,
    },
    /// Write a case to one file: its journal, its photos, its record.
    Export {
        /// The case.
        case: String,
        #[command(flatten)]
        data: DataFolder,
        /// The file.
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
    },
    /// Take a case in from such a file, or what is new in it.
    Import {
        /// The file.
        #[arg(value_name = "FILE")]
        file: PathBuf,
        #[command(flatten)]
        data: DataFolder,
    },
}

#[derive(Debug, Args)]
pub(crate) struct DataFolder {
    /// Folder of the data.
    #[arg(long = "data", value_name = "FOLDER", default_value = "unbury-data")]
    pub(crate) folder: PathBuf,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum PersonRole {
    /// Works on cases.
    Technician,
    /// Also adds people and gives links to owners.
    Lead,
}

#[derive(Debug, Args)]
pub(crate) struct RecordFile {
    /// The record (TOML); `-` reads standard input.
    #[arg(value_name = "RECORD")]
    pub(crate) path: PathBuf,
}

/// How a pack is made.
#[derive(Clone, Copy, Debug, Args)]
pub(crate) struct PackForm {
    /// Paper of the report.
    #[arg(long, value_enum, default_value_t = Paper::A4)]
    pub(crate) paper: Paper,
    #[command(flatten)]
    pub(crate) telling: Telling,
    /// Day the report carries: 2026-05-02. Without it the report is undated.
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    pub(crate) date: Option<pack::Day>,
}

fn named_reading(text: &str) -> Result<(String, String), String> {
    let form = || "write the row's name, `=`, and what was read: `NAME=10.7 V`".to_owned();
    let (name, reading) = text.split_once('=').ok_or_else(form)?;
    Ok((name.trim().to_owned(), reading.trim().to_owned()))
}

fn step_reading(text: &str) -> Result<(usize, String), String> {
    let form = || "write the step's number, `=`, and what was read: `4=13.1 V`".to_owned();
    let (number, reading) = text.split_once('=').ok_or_else(form)?;
    let number = number.trim().parse().map_err(|_| form())?;
    Ok((number, reading.trim().to_owned()))
}

fn day(text: &str) -> Result<pack::Day, String> {
    pack::Day::of(text).ok_or_else(|| "write a day of the calendar as 2026-05-02".to_owned())
}

impl From<PackForm> for pack::Options {
    fn from(form: PackForm) -> pack::Options {
        pack::Options {
            paper: match form.paper {
                Paper::A4 => pack::Paper::A4,
                Paper::Letter => pack::Paper::Letter,
            },
            language: form.telling.language.into(),
            system: form.telling.units.into(),
            dated: form.date,
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum SchemaOf {
    /// The record a person writes.
    Record,
    /// What `review --json` prints.
    Review,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Paper {
    /// ISO A4.
    A4,
    /// US Letter.
    Letter,
}

/// Paper of a drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum DrawingPaper {
    /// ISO A3.
    A3,
    /// ISO A4.
    A4,
    /// US Letter.
    Letter,
    /// US tabloid (11 by 17 in).
    Tabloid,
    /// One sheet as large as it needs.
    Whole,
}

impl From<DrawingPaper> for depict::Paper {
    fn from(paper: DrawingPaper) -> depict::Paper {
        match paper {
            DrawingPaper::A3 => depict::Paper::A3,
            DrawingPaper::A4 => depict::Paper::A4,
            DrawingPaper::Letter => depict::Paper::Letter,
            DrawingPaper::Tabloid => depict::Paper::Tabloid,
            DrawingPaper::Whole => depict::Paper::Whole,
        }
    }
}

/// How a run ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum End {
    /// Done, and nothing fails.
    Done,
    /// Done, and something fails.
    Fails,
    /// The record has errors; what they touch was left out.
    RecordErrors,
    /// A file could not be read or written.
    NoFile,
    /// No such target, state or check.
    NoSuchThing,
}

impl From<End> for ExitCode {
    fn from(end: End) -> ExitCode {
        ExitCode::from(match end {
            End::Done => 0,
            End::Fails => 1,
            End::RecordErrors => 3,
            End::NoFile => 4,
            End::NoSuchThing => 5,
        })
    }
}

/// Commands about repairs.
#[derive(Debug, Subcommand)]
pub(crate) enum RepairCommand {
    /// Repairs for what fails, each put into the record and looked at again.
    Mend(MendArguments),
    /// Readings that would show that a chosen repair failed: expected values and limits.
    Proof {
        #[command(flatten)]
        record: RecordFile,
        /// What was read: `NAME=10.7 V`, or `NAME=yes` for a look; may be given several times.
        #[arg(long = "reading", value_name = "NAME=VALUE", value_parser = named_reading)]
        readings: Vec<(String, String)>,
    },
}

/// What `mend` is asked.
#[derive(Debug, Args)]
pub(crate) struct MendArguments {
    #[command(flatten)]
    pub(crate) record: RecordFile,
    /// One of them, in full.
    pub(crate) id: Option<String>,
    /// Note it in `[mends]` of the record as chosen.
    #[arg(long, requires = "id", conflicts_with = "write")]
    pub(crate) choose: bool,
    /// Put what it changes into the record: it is done.
    #[arg(long, requires = "id")]
    pub(crate) write: bool,
    /// Also say what was tried and not offered.
    #[arg(long)]
    pub(crate) why: bool,
}
