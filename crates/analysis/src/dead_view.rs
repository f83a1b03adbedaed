//! The public form of a plan for making dead, step by step, and of where it stops.

use schemars::JsonSchema;
use serde::Serialize;

use crate::handover_view::StaysLive;

/// Name and version of this form. Raised when a field changes its meaning or goes away.
pub const DEAD_SCHEMA: &str = "unbury.dead/1";

/// How to make a work area dead, prove it, and switch on again.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct DeadPlan {
    /// Name and version of this form.
    pub schema: String,
    /// What was asked for.
    pub area: Vec<String>,
    /// Wires of the area.
    pub wires: Vec<String>,
    /// Devices of the area.
    pub devices: Vec<String>,
    /// What may feed the area before anything is done.
    pub feeds: Vec<AreaFeed>,
    /// What to know before the first step.
    pub cautions: Vec<Caution>,
    /// The steps in order, proving included.
    pub steps: Vec<DeadStep>,
    /// Sources that nothing recorded can separate from the area.
    pub findings: Vec<NoIsolation>,
    /// What stays live, or may, elsewhere when all of it is done.
    pub stays: Vec<StaysLive>,
    /// What would make the area live again, though nothing recorded is open against it.
    pub live_again_if: Vec<String>,
    /// Switching on again, in order.
    pub back: Vec<String>,
    /// Expected minutes to do it, the way in included.
    pub minutes: f64,
    /// Expected minutes to undo it, the way back included.
    pub minutes_back: f64,
    /// Cost in words.
    pub cost: String,
    /// `proven cheapest` or the gap that is left.
    pub proof: String,
    /// How it was proven.
    pub proof_words: String,
    /// What the plan rests on that nobody has seen.
    pub rests_on: Vec<String>,
    /// Where rules and figures come from.
    pub sources: Vec<String>,
    /// The reading at which the plan stopped; absent while none contradicts it.
    pub stopped: Option<Contradiction>,
}

/// A source that may feed the area.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct AreaFeed {
    /// The source.
    pub source: String,
    /// What people call it.
    pub label: String,
    /// Where it is.
    pub at: String,
    /// `live` or `may be live`.
    pub status: String,
    /// The way its energy takes to the first conductor of the area.
    pub path: Vec<String>,
    /// Why it is only possible; empty when certain.
    pub doubt: String,
}

/// Something to know.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Caution {
    /// `DANGER`, `WARNING`, `CAUTION` or `NOTICE`.
    pub signal: String,
    /// What can happen and what keeps it from happening.
    pub words: String,
}

/// One step of the plan.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct DeadStep {
    /// Its number, from 1.
    pub number: usize,
    /// A name that stays the same while the record does: `switch main-switch`.
    pub key: String,
    /// `tester`, `loads`, `open`, `wait` or `prove`.
    pub kind: String,
    /// `DANGER`, `WARNING`, `CAUTION` or `NOTICE`.
    pub signal: String,
    /// The hazard, before it.
    pub hazard: String,
    /// What is done.
    pub what: String,
    /// The device it is done to; empty when to none.
    pub device: String,
    /// Where it is.
    pub at: String,
    /// Parts that come out for it, besides those that are out by then.
    pub parts: Vec<String>,
    /// Between which points to measure; empty when nothing is measured.
    pub probe: String,
    /// What is expected there before the step.
    pub before: String,
    /// What is expected there after it.
    pub after: String,
    /// The same before, in volt.
    pub before_v: Option<f64>,
    /// The same after, in volt.
    pub after_v: Option<f64>,
    /// Text of the tag; empty when there is nothing to tag.
    pub tag: String,
    /// Sources it helps to separate.
    pub separates: Vec<String>,
    /// What else to know: current when opened, what is not recorded.
    pub notes: Vec<String>,
    /// What was read there, if it was.
    pub read: String,
    /// `agrees`, `contradicts`, or empty.
    pub verdict: String,
    /// Not to be done: an earlier reading contradicts the plan.
    pub held: bool,
}

/// A source that cannot be separated from the area.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct NoIsolation {
    /// The source.
    pub source: String,
    /// Where it is.
    pub at: String,
    /// `DANGER`, `WARNING` or `CAUTION`.
    pub signal: String,
    /// Why.
    pub words: String,
    /// What to do instead.
    pub instead: Vec<String>,
}

/// A reading that contradicts the plan.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Contradiction {
    /// The step.
    pub step: usize,
    /// What it means, and what to do.
    pub words: String,
    /// What could feed there, likeliest first.
    pub suspects: Vec<FeedSuspect>,
}

/// Something that could feed where it should be dead.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct FeedSuspect {
    /// What.
    pub what: String,
    /// Why it comes into question.
    pub why: String,
    /// Where to look.
    pub look: String,
    /// The device of the record; empty when nothing recorded.
    pub device: String,
}
