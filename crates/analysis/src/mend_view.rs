//! Repairs that were proposed and proven on the record, for people and programs.

use schemars::JsonSchema;
use serde::Serialize;

use crate::dead_view::Caution;
use crate::view::PlaceView;

/// Form and version of [`MendList`].
pub const MENDS_SCHEMA: &str = "unbury.mends/1";

/// Repairs for a vehicle.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct MendList {
    /// Form and version.
    pub schema: String,
    /// Repairs that cure and raise nothing, in the order of the findings, worst first.
    pub offers: Vec<MendOffer>,
    /// Findings for which none is offered.
    pub without: Vec<NoMend>,
    /// Repairs that were chosen: those of the record's `[mends]`.
    pub chosen: Vec<ChosenMend>,
    /// Findings that fail now.
    pub fails: usize,
    /// Findings that fail with everything chosen put in; absent when nothing is chosen.
    pub fails_with_chosen: Option<usize>,
}

impl MendList {
    /// A repair that was chosen and cannot be done beside another.
    pub fn chosen_instead_of(&self, offer: &MendOffer) -> Option<&MendOffer> {
        let is_chosen = |other: &&MendOffer| self.chosen.iter().any(|m| m.name == other.id);
        self.offers.iter().filter(is_chosen).find(|other| other.excludes(offer))
    }
}

/// A repair that was put into the record, looked at again, and found to cure.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct MendOffer {
    /// Its name: what is done and where.
    pub id: String,
    /// What is done.
    pub title: String,
    /// What it cures.
    pub cures: Vec<Cured>,
    /// Other offers for something it cures.
    pub instead: Vec<String>,
    /// What changes in the record.
    pub changes: Vec<RecordChange>,
    /// The work, the opening apart.
    pub work: Vec<MendWork>,
    /// Minutes of all work together: sum of the low, the likely, the high ones. The opening is not in it.
    pub minutes: [f64; 3],
    /// Devices, wires, parts and spots to get at.
    pub reach: Vec<String>,
    /// What is used up or built in.
    pub parts: Vec<PartLine>,
    /// Before and after.
    pub figures: Vec<BeforeAfter>,
    /// What cannot be told until it is done and measured.
    pub then_find_out: Vec<String>,
    /// What to mind.
    pub cautions: Vec<Caution>,
    /// `workshop`, or `licensed`: for somebody licensed for this work.
    pub by: String,
    /// How it was computed.
    pub because: Vec<String>,
    /// The line for the record's `[mends]`.
    pub line: String,
}

/// A finding that is gone.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Cured {
    /// The check.
    pub check: String,
    /// The defect.
    pub title: String,
    /// Signal word.
    pub signal: String,
    /// Where.
    pub place: String,
    /// The finding.
    pub message: String,
}

/// A change of the record's text.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct RecordChange {
    /// Where.
    pub path: String,
    /// What stands there; absent: nothing.
    pub was: Option<String>,
    /// What will stand there; absent: nothing.
    pub is: Option<String>,
}

impl MendOffer {
    /// Whether both cannot be done: each changes a wire or a device that the other changes as well, in
    /// another way. Stacks, joints and the ways of a fuse box take several changes that do not meet.
    pub fn excludes(&self, other: &MendOffer) -> bool {
        self.changes.iter().any(|here| other.changes.iter().any(|there| here.is_at_odds(there)))
    }
}

impl RecordChange {
    fn is_at_odds(&self, other: &RecordChange) -> bool {
        let is_within = |inner: &RecordChange, outer: &RecordChange| {
            inner.path.strip_prefix(&outer.path).is_some_and(|rest| rest.starts_with('.'))
        };
        match self.path == other.path {
            true => self.is != other.is && !self.goes_beside(other),
            false => is_within(self, other) || is_within(other, self),
        }
    }

    /// Whether two changes of one list both go in.
    fn goes_beside(&self, other: &RecordChange) -> bool {
        match (&self.was, &self.is, &other.is) {
            (Some(was), Some(one), Some(other)) => {
                let path = record::split_path(&self.path).unwrap_or_default();
                record::both_go_in(&path, was, one, other)
            }
            _ => false,
        }
    }
}

/// A piece of work.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct MendWork {
    /// What is done.
    pub what: String,
    /// How often, or over how many metres.
    pub times: f64,
    /// Minutes for all of it: low, likely, high.
    pub minutes: [f64; 3],
    /// Key of the source of the minutes.
    pub source: String,
}

/// Something that is built in or used up.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PartLine {
    /// In a word or two: `wire`, `lug`, `fuse`, `breaker`, `splice`, `terminal block`, ...
    pub sort: String,
    /// What it is.
    pub what: String,
    /// How much.
    pub quantity: f64,
    /// `m` or `piece`.
    pub unit: String,
    /// What it is for.
    pub why: String,
    /// Cross-section of wires, and of what is crimped on them, mm².
    pub size_mm2: Option<f64>,
    /// What it is rated for, A.
    pub rated_a: Option<f64>,
}

/// A figure before and after.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct BeforeAfter {
    /// Of what.
    pub what: String,
    /// As it is.
    pub before: String,
    /// As it will be.
    pub after: String,
}

/// A finding without an offer.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct NoMend {
    /// The check.
    pub check: String,
    /// Signal word.
    pub signal: String,
    /// The defect.
    pub title: String,
    /// Where.
    pub place: PlaceView,
    /// The finding.
    pub message: String,
    /// What the check says to do.
    pub remedy: String,
    /// Why nothing is offered; with each repair that was tried, why it was not offered.
    pub why: Vec<String>,
}

/// A repair of the record's `[mends]`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ChosenMend {
    /// Its name.
    pub name: String,
    /// What is done.
    pub words: String,
    /// `planned`: not yet in the record; `done`: the record says what it makes; `refused`: the record
    /// has changed since.
    pub stands: String,
    /// Why it is refused.
    pub why: String,
    /// What it changes.
    pub changes: Vec<RecordChange>,
}
