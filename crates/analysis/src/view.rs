//! What an analysis says, as plain data in the reader's words: the versioned public form that the
//! command line prints, JSON carries and the report sets in type.
//!
//! Numbers are already rounded and carry their unit (`"12.4 V"`), except where a field name ends
//! in a unit. Nothing here is computed; see the engines.

use schemars::JsonSchema;
use serde::Serialize;

use crate::find_out_view::FindOutRow;

/// Name and version of this form. Raised when a field changes its meaning or goes away.
pub const REVIEW_SCHEMA: &str = "unbury.review/1";

/// Everything a review of one record says.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Review {
    /// Name and version of this form.
    pub schema: String,
    /// The vehicle.
    pub vehicle: VehicleView,
    /// What was understood of the record.
    pub understood: Counts,
    /// What was wrong with the record itself.
    pub record_faults: Vec<RecordFault>,
    /// Values that had to be assumed to compute anything, grouped.
    pub assumptions: Vec<Assumption>,
    /// How the vehicle behaves in each state.
    pub states: Vec<StateView>,
    /// Readings of the record against what the sums say.
    pub readings: Vec<ReadingRow>,
    /// What fails, worst first.
    pub findings: Vec<FindingView>,
    /// What cannot be told yet, grouped by what to find out.
    pub cannot_tell: Vec<FindingView>,
    /// What to find out, most risk settled per minute first.
    pub find_out: Vec<FindOutRow>,
    /// Count of outcomes for each check.
    pub tallies: Vec<Tally>,
    /// Which conductors are energised, in each state.
    pub live: Vec<LiveRow>,
    /// Every wire with its facts.
    pub wires: Vec<WireRow>,
    /// What it takes to reach each item that wants service.
    pub service_access: Vec<WayIn>,
    /// Cautions that go with this vehicle.
    pub cautions: Vec<String>,
    /// Sources quoted anywhere above.
    pub sources: Vec<SourceView>,
}

/// The vehicle in a few words.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct VehicleView {
    /// Its name.
    pub name: String,
    /// What it is.
    pub words: String,
    /// Nominal voltage of the house side, or that it is not known.
    pub system: String,
    /// The rules it is judged by.
    pub region: String,
    /// The complaint in the owner's words.
    pub complaint: String,
    /// Who looked at it; empty when nobody said.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub seen_by: String,
    /// On which day; empty when nobody said.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub seen_on: String,
    /// What was noticed.
    pub symptoms: Vec<String>,
}

/// How much of everything was understood.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct Counts {
    /// Devices.
    pub devices: usize,
    /// Wires.
    pub wires: usize,
    /// Wires with an end nobody has seen.
    pub wires_with_unknown_end: usize,
    /// Joints about which something is known.
    pub joints_known: usize,
    /// Parts.
    pub parts: usize,
    /// States.
    pub states: usize,
    /// Readings.
    pub readings: usize,
    /// Facts that are seen, told or measured.
    pub facts_known: usize,
    /// Facts that are assumed.
    pub facts_assumed: usize,
    /// Facts asked for and not known.
    pub facts_unknown: usize,
}

/// A fault of the record.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct RecordFault {
    /// Stable name of this kind of fault.
    pub slug: String,
    /// `error`, `warning` or `note`.
    pub severity: String,
    /// One sentence.
    pub message: String,
    /// Where, first is the main place.
    pub places: Vec<Excerpt>,
    /// What to do.
    pub help: Vec<String>,
}

/// A place in the text of the record.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Excerpt {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// First byte.
    pub start_byte: usize,
    /// One past the last byte.
    pub end_byte: usize,
    /// Words beside it, may be empty.
    pub label: String,
}

/// A value that was assumed.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Assumption {
    /// What was assumed, with its value.
    pub what: String,
    /// Why that value.
    pub why: String,
    /// For which items.
    pub items: Vec<String>,
}

/// One state and how the vehicle behaves in it.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct StateView {
    /// Its name.
    pub name: String,
    /// The state in words.
    pub words: String,
    /// `settles`, `hunts` or `no answer`.
    pub outcome: String,
    /// What stands out, in sentences (what hunts between what, what cut out).
    pub notes: Vec<String>,
    /// Sources, converters and loads with their voltage and current; two entries while hunting.
    pub rows: Vec<LoadRow>,
    /// What shunt monitors display beside the truth.
    pub monitors: Vec<crate::device_view::MonitorRow>,
    /// What input capacitors do when they are joined and parted.
    pub inputs: Vec<crate::device_view::InputRow>,
    /// Largest residual of the current balance, in ampere; absent when there is no answer.
    pub residual_a: Option<f64>,
    /// Iterations of the solver.
    pub iterations: usize,
}

/// One device in one state.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct LoadRow {
    /// The device.
    pub device: String,
    /// `source`, `load`, `converter` or `shunt`.
    pub group: String,
    /// Voltage at its terminals.
    pub voltage: String,
    /// Current; positive into a load or a battery being charged, negative delivered.
    pub current: String,
    /// Power.
    pub power: String,
    /// A remark (`has cut out`), may be empty.
    pub note: String,
    /// Voltage in volt, when known.
    pub voltage_v: Option<f64>,
    /// Current in ampere, when known.
    pub current_a: Option<f64>,
}

/// A reading against the sums.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ReadingRow {
    /// Its id.
    pub name: String,
    /// In which state.
    pub state: String,
    /// Where the probes were.
    pub points: String,
    /// What was read.
    pub read: String,
    /// Instrument, who and when, as written; may be empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// What the sums say for the vehicle as recorded.
    pub computed: String,
    /// `agrees`, `differs` or `cannot tell`.
    pub verdict: String,
    /// Why, in words.
    pub words: String,
}

/// A place in the vehicle.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PlaceView {
    /// Its name.
    pub name: String,
    /// What people call it.
    pub label: String,
    /// What people call the things it is of: a device itself, those at both ends of a wire, the one a
    /// joint sits on.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub things: Vec<String>,
    /// Where it stands in the record.
    pub line: usize,
    /// Column, from 1.
    pub column: usize,
}

/// The limit a value was held against.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct HeldAgainst {
    /// In words, with the number.
    pub words: String,
    /// Key of the source in [`Review::sources`].
    pub source: String,
}

/// A finding.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct FindingView {
    /// The check's name.
    pub check: String,
    /// The defect in plain words.
    pub title: String,
    /// `DANGER`, `WARNING`, `CAUTION` or `NOTICE`.
    pub signal: String,
    /// `fails` or `cannot tell`.
    pub verdict: String,
    /// `firm` (told, seen or measured), `likely` (rests on an assumption) or `hint` (the limit was
    /// recalled and not read).
    pub confidence: String,
    /// Where.
    pub place: PlaceView,
    /// Related places.
    pub related: Vec<PlaceView>,
    /// One sentence that stands alone.
    pub message: String,
    /// What it rests on.
    pub evidence: Vec<String>,
    /// What it was held against.
    pub limit: Option<HeldAgainst>,
    /// What can happen, in plain words.
    pub hazard: String,
    /// Why it has its signal word: consequence times likelihood, and the reason.
    pub grade: String,
    /// The failure it follows from, check and place; put right with that, it is no further red.
    pub follows_from: Option<String>,
    /// What to do.
    pub remedy: String,
    /// What to find out next.
    pub find_out: Vec<MissingView>,
    /// What it costs to get there from the vehicle closed up.
    pub access: Option<AccessCost>,
}

/// Something to find out.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct MissingView {
    /// As an instruction.
    pub what: String,
    /// For which items.
    pub items: Vec<String>,
    /// What it costs to get to the nearest of them.
    pub access: Option<AccessCost>,
}

/// What it costs to get somewhere.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct AccessCost {
    /// In words: `14 min in, 19 min back, 1.50 EUR expected breakage`.
    pub words: String,
    /// Expected minutes to open.
    pub minutes_out: f64,
    /// Expected minutes to close.
    pub minutes_back: f64,
    /// True when something is destroyed on the cheapest way.
    pub destroys: bool,
    /// Parts that come out, in order.
    pub parts: Vec<String>,
}

/// Outcomes of one check.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Tally {
    /// The check's name.
    pub check: String,
    /// The defect in plain words.
    pub title: String,
    /// Places that fail.
    pub fails: usize,
    /// Places that hold.
    pub holds: usize,
    /// Places that cannot be told.
    pub cannot_tell: usize,
}

/// One conductor in one state.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct LiveRow {
    /// The state.
    pub state: String,
    /// The wire.
    pub wire: String,
    /// `live`, `may be live`, `return` or `not reached`.
    pub status: LineUse,
    /// Each source that energises it, with the path.
    pub from: Vec<LivePath>,
}

/// A source and the way its energy reaches a conductor.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct LivePath {
    /// The source.
    pub source: String,
    /// The way, item by item.
    pub path: Vec<String>,
    /// Why it is only possible, not certain; empty when certain.
    pub doubt: String,
}

/// What a conductor is in a state.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum LineUse {
    /// A source reaches it.
    Live,
    /// A source may reach it; it cannot be ruled out.
    MayBeLive,
    /// Joined to the return of a source.
    Return,
    /// No known source reaches it. Prove it by measurement.
    NotReached,
}

/// One wire with its facts, for the wire list.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct WireRow {
    /// Its id.
    pub name: String,
    /// First landing.
    pub from: String,
    /// Second landing.
    pub to: String,
    /// Size as written, or `unknown`.
    pub size: String,
    /// Length, or `unknown`.
    pub length: String,
    /// Conductor, insulation rating and colour.
    pub make: String,
    /// Largest current over all states, with the state.
    pub most_current: String,
    /// Drop along it then.
    pub drop: String,
    /// The part it runs behind; empty when none is written.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub behind: String,
    /// Line in the record.
    pub line: usize,
}

/// The cheapest way in to something.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct WayIn {
    /// What is to be reached.
    pub target: String,
    /// What people call it.
    pub label: String,
    /// What service it wants, may be empty.
    pub service: String,
    /// `reachable now`, `way found`, `cannot be reached` or `not known`.
    pub outcome: String,
    /// In words; when there is no way, the smallest reason.
    pub words: String,
    /// Steps in order.
    pub steps: Vec<StepView>,
    /// Expected cost; absent when there is no way.
    pub cost: Option<AccessCost>,
    /// Minutes that are enough in half of the cases, to open and close.
    pub minutes_p50: Option<f64>,
    /// Minutes that are enough in 8 of 10 cases, to open and close.
    pub minutes_p80: Option<f64>,
    /// `proven cheapest` or the gap that is left.
    pub proof: String,
}

/// One removal.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct StepView {
    /// The part.
    pub part: String,
    /// What people call it.
    pub label: String,
    /// The way it is done.
    pub how: String,
    /// What holds it.
    pub fixings: String,
    /// Expected minutes to take it out.
    pub minutes_out: f64,
    /// Expected minutes to put it back.
    pub minutes_back: f64,
    /// What may happen to it.
    pub damage: String,
    /// What jobs that were done taught about its minutes; empty when none was.
    pub refined: String,
    /// Why it must come out.
    pub because: String,
}

/// A source that was quoted.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct SourceView {
    /// Key used in findings.
    pub key: String,
    /// Document, edition, clause.
    pub words: String,
    /// `seen`, `seen second-hand`, `from memory` or `common practice, no source`.
    pub standing: String,
}
