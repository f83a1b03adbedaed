//! What a hand-over says beyond a review: how to switch the vehicle off and what stays live then,
//! what nobody has seen, what was opened, and the photos. Plain data in the reader's words.

use schemars::JsonSchema;
use serde::Serialize;

use crate::proof_view::ProofRow;
use crate::view::{AccessCost, PlaceView};

/// Name and version of this form. Raised when a field changes its meaning or goes away.
pub const HANDOVER_SCHEMA: &str = "unbury.handover/1";

/// What goes with a review into the pack.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct HandoverView {
    /// Name and version of this form.
    pub schema: String,
    /// How to switch the vehicle off.
    pub isolation: IsolationView,
    /// Devices: what they are and where.
    pub devices: Vec<DeviceRow>,
    /// What nobody has seen.
    pub unseen: Vec<UnseenRow>,
    /// What was opened.
    pub openings: Vec<OpeningMade>,
    /// Photos.
    pub photos: Vec<PhotoView>,
    /// What the record proposes.
    pub mends: Vec<MendView>,
    /// What would show that one of them failed, with what was read.
    pub proofs: Vec<ProofRow>,
    /// What was switched off, locked and read for the work.
    pub switched_off: Vec<SwitchedOff>,
}

/// A device of the list.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, JsonSchema)]
pub struct DeviceRow {
    /// Its name in the record.
    pub name: String,
    /// What people call it.
    pub label: String,
    /// Its kind.
    pub kind: String,
    /// What it is rated for, or what sits in its ways: `1 15 A, 2 ? A, 3 –`. A figure nobody saw has a `?`,
    /// a way without fuse a dash.
    pub rating: String,
    /// Where it is, as written.
    pub at: String,
    /// What has to be out to touch it; empty: nothing; `unknown`: nobody wrote it.
    pub behind: String,
    /// Line in the record.
    pub line: usize,
}

/// What people say that they did on the vehicle, beside the record.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct WorkDone {
    /// Parts that were taken out or put back, each as it stands.
    pub moved: Vec<Moved>,
    /// What was switched off, locked and read.
    pub switched_off: Vec<SwitchedOff>,
}

/// A part that was taken out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Moved {
    /// The part.
    pub part: String,
    /// Whether it is back in.
    pub is_back: bool,
    /// Who said so last.
    pub by: String,
    /// On which day.
    pub on: String,
}

/// A step of making dead that was done.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct SwitchedOff {
    /// The work area; empty for the whole vehicle.
    pub area: String,
    /// What was done.
    pub what: String,
    /// What was read before it, where it was.
    pub before: String,
    /// What was read after it, where it was.
    pub after: String,
    /// Who did it.
    pub by: String,
    /// When.
    pub on: String,
}

/// What somebody says was put right, beside the record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Claim {
    /// The title of the finding.
    pub finding: String,
    /// The name of its place.
    pub place: String,
    /// Who says so.
    pub who: String,
    /// On which day.
    pub on: String,
    /// Whether it still fails by the record.
    pub still_fails: bool,
}

/// How to switch the vehicle off, and what stays live then.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct IsolationView {
    /// What to do, in order.
    pub steps: Vec<IsolationStep>,
    /// What stays live, or may, when all of it is done.
    pub stays: Vec<StaysLive>,
    /// Conductors that no known source reaches then. To be proved by measurement.
    pub not_reached: Vec<String>,
}

/// One thing to switch off.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct IsolationStep {
    /// `loads`, `inverter`, `engine`, `shore`, `generator`, `outside`, `switch`, `fuse`, `plug`, `battery`,
    /// `lug`, `capacitors` or `cover`.
    pub kind: String,
    /// Its name in the plan for everything: `switch main`.
    pub key: String,
    /// The device; empty for all loads.
    pub device: String,
    /// What people call it; of a fuse way or a joint, its name.
    pub label: String,
    /// Where it is, in words.
    pub at: String,
    /// Terminals at which it shows and that no known source reaches once all is done: prove them.
    pub prove: Vec<String>,
    /// What it costs to get there; absent when that is not recorded.
    pub access: Option<AccessCost>,
}

/// What one source still energises.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct StaysLive {
    /// The source.
    pub source: String,
    /// What people call it.
    pub label: String,
    /// Where it is, in words.
    pub at: String,
    /// Wires that are live.
    pub wires: Vec<String>,
    /// Wires that may be live: it cannot be ruled out.
    pub may_be: Vec<String>,
}

/// Something nobody has seen.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct UnseenRow {
    /// `end behind a part`, `end unknown`, `probe not reached` or `way not recorded`.
    pub why: String,
    /// What it is about.
    pub place: PlaceView,
    /// The part in the way, if it is one.
    pub part: String,
    /// What it costs to look; absent when that is not known.
    pub access: Option<AccessCost>,
}

/// A part that was opened.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct OpeningMade {
    /// The part.
    pub part: String,
    /// What people call it.
    pub label: String,
    /// Minutes it took to open, where written.
    pub minutes_out: Option<f64>,
    /// Minutes it took to close, where written.
    pub minutes_back: Option<f64>,
    /// True when the record says that it is still out.
    pub is_out: bool,
    /// Who did it, where written.
    pub by: String,
    /// When, where written.
    pub on: String,
}

/// A photo of the record.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PhotoView {
    /// Its name in the record.
    pub name: String,
    /// The file, from the folder of the record.
    pub file: String,
    /// What it shows.
    pub of: Option<PlaceView>,
    /// Where an arrow points: parts of the width from the left, of the height from the top.
    pub arrow: Option<(f64, f64)>,
    /// What it shows, in words.
    pub words: String,
    /// Who took it, where written.
    pub by: String,
    /// When, where written.
    pub on: String,
}

/// A change the record proposes.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct MendView {
    /// Its name in the record.
    pub name: String,
    /// What is done.
    pub words: String,
    /// `planned`, `done`, `refused`: the record has changed since it was chosen; or `said`: somebody says
    /// that it is put right, and the record does not show it.
    pub stands: String,
    /// Why it is refused; of what somebody said, who and when.
    pub why: String,
}
