//! The public form of a way in to several things at once, step by step, and of the way back.

use schemars::JsonSchema;
use serde::Serialize;

use crate::view::AccessCost;

/// One way in for everything that was asked for, and the way back.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct Opening {
    /// What was asked for.
    pub targets: Vec<OpeningTarget>,
    /// Parts that are out, or moved, before the first step.
    pub already_out: Vec<PutBack>,
    /// What has to be at hand: tools, positions, a second person, cleaning up.
    pub ready: Vec<Ready>,
    /// The steps in order.
    pub steps: Vec<OpeningStep>,
    /// One bag for the loose fixings of each step.
    pub bags: Vec<Bag>,
    /// The way back, in reverse.
    pub back: Vec<PutBack>,
    /// What is used up and has to be at hand for the way back.
    pub supplies: Vec<Supply>,
    /// Expected cost; absent when nothing can be reached.
    pub cost: Option<AccessCost>,
    /// Minutes of work that are enough in 5 of 10 cases, to open and close.
    pub minutes_p50: Option<f64>,
    /// Minutes of work that are enough in 8 of 10 cases, to open and close.
    pub minutes_p80: Option<f64>,
    /// `proven cheapest` or the gap that is left.
    pub proof: String,
}

/// A thing to be reached.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct OpeningTarget {
    /// Its name in the record.
    pub target: String,
    /// What people call it.
    pub label: String,
    /// `reachable now`, `way found`, `cannot be reached` or `not known`.
    pub outcome: String,
    /// When there is no way: the smallest reason. Else empty.
    pub words: String,
    /// Lines of the record the reason stands in; empty when there is a way.
    pub lines: Vec<usize>,
}

/// Something to have ready, paid for once.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct Ready {
    /// `tool`, `tool for the way back`, `position`, `second person` or `cleaning up`.
    pub kind: String,
    /// Which.
    pub name: String,
    /// The steps that want it, by number.
    pub steps: Vec<usize>,
    /// Minutes before.
    pub minutes_out: f64,
    /// Minutes afterwards.
    pub minutes_back: f64,
}

/// One step of the way in.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct OpeningStep {
    /// Its number, from 1.
    pub number: usize,
    /// The part.
    pub part: String,
    /// What people call it.
    pub label: String,
    /// Its line in the record.
    pub line: usize,
    /// What is done.
    pub how: String,
    /// What is undone.
    pub fixings: Vec<FixingView>,
    /// The bag its loose fixings go into; absent when there are none.
    pub bag: Option<usize>,
    /// Tools, in the order they are wanted; empty: by hand.
    pub tools: Vec<String>,
    /// How one has to stand or lie; empty when not recorded.
    pub position: String,
    /// How many people: 1 or 2.
    pub people: u32,
    /// Why a second person; empty when one is enough or nobody said why.
    pub people_because: String,
    /// Expected minutes of work to take it out; of both, where there are two people.
    pub minutes_out: f64,
    /// Expected minutes of work to put it back.
    pub minutes_back: f64,
    /// Where the minutes come from.
    pub minutes_from: String,
    /// What may happen to it.
    pub damage: String,
    /// Why it must come out.
    pub because: String,
    /// Names of the parts and targets that can only be got at once it is out.
    pub hides: Vec<String>,
    /// What doing without this step would cost.
    pub otherwise: String,
}

/// Fixings of one sort.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct FixingView {
    /// How many.
    pub count: u32,
    /// The catalog's fixing.
    pub kind: String,
    /// It comes off loose and goes into the bag; the others stay on, or are gone.
    pub loose: bool,
    /// With head and condition: `4 x seized bolt`.
    pub words: String,
    /// Torque when put back, `24 N m`; empty when not recorded.
    pub torque: String,
}

/// A bag with the fixings of one step.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct Bag {
    /// Its number, from 1.
    pub number: usize,
    /// The part they hold.
    pub part: String,
    /// What people call the part.
    pub label: String,
    /// What goes in: the loose ones.
    pub fixings: Vec<FixingView>,
    /// How many pieces; as many must come back out of it.
    pub count: u32,
}

/// One step of the way back.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct PutBack {
    /// The part.
    pub part: String,
    /// What people call it.
    pub label: String,
    /// The step of the way in it undoes; absent for what was out before.
    pub step: Option<usize>,
    /// The bag its fixings are in; absent when there are none.
    pub bag: Option<usize>,
    /// What holds it again.
    pub fixings: Vec<FixingView>,
    /// Tools that only this takes.
    pub tools: Vec<String>,
    /// Expected minutes of work.
    pub minutes: f64,
    /// What has to be new: `1 bead of sealant`, `a new part, 260.00 EUR`.
    pub new: Vec<String>,
}

/// Something used up, for the whole way back.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct Supply {
    /// What.
    pub what: String,
    /// How many are expected to be needed.
    pub expected: f64,
    /// Out of how many.
    pub of: u32,
    /// In words: `about 1 of 9 clips`.
    pub words: String,
}
