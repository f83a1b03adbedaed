//! Record text in, [`Review`] out: the one facade over all engines. Plain data only.
//!
//! | file | what it holds |
//! |---|---|
//! | `view.rs` | the versioned public form of the results |
//! | `case.rs` | a record read, its states solved, its ways in planned: once, for all below |
//! | `review.rs` | puts a review together |
//! | `mains_view.rs` | the mains side: matrix, readings, faults |
//! | `service_view.rs`, `hatch_view.rs` | service over a year, what is cheap while open; new openings |
//! | `opening.rs`, `opening_view.rs` | one way in to several things, and the way back |
//! | `boxes.rs` | where boxes contradict the record |
//! | `learned.rs` | jobs that were done refine times |
//! | `heat_view.rs` | heat of wires and joints in each state |
//! | `shorts.rs`, `fault_level_view.rs` | fault level and protection |
//! | `device_view.rs`, `meter.rs` | monitors, input capacitors; what an instrument would show |
//! | `trip_view.rs`, `warm_wire_view.rs`, `spread_view.rs` | figures for charts: opening times, warmth along a wire, minutes |
//! | `chart_sources.rs` | sources that only charts and drawings name |
//! | `wiring_view.rs` | the wiring with its states and findings, for drawings |
//! | `spaces.rs`, `routes_view.rs`, `removal_order.rs` | where things are, from where to where wires run, what comes out before what: for drawings |
//! | `pricing.rs`, `price_parts.rs`, `price_view.rs` | prices of repairs: choices, lines, what each adds |
//! | `materials.rs` | goods of repairs; what was agreed to |
//! | `restraint_view.rs` | what a crash pulls on heavy things, and whether what holds them falls short |
//! | `search.rs`, `suspects_view.rs`, `next_view.rs` | suspects, the next check, answers |
//! | `mends.rs`, `mend_trials.rs`, `mend_shorts.rs`, `mend_view.rs` | repairs, proven on the record |
//! | `proof.rs`, `proof_rows.rs`, `proof_volts.rs`, `proof_view.rs` | readings that would refute a chosen repair |
//! | `proof_further.rs` | readings at the end that follow from no single repair |
//! | `isolation.rs` | the isolation card, from the plan for everything |
//! | `handover.rs`, `handover_view.rs` | what was not seen, openings made, photos |
//! | `device_list.rs` | devices: what they are, and where |
//! | `item_view.rs` | one thing with its facts, their origins, and where they are written |
//! | `arrival_view.rs`, `answer_form.rs` | what is asked when a vehicle comes in; how an answer to a check is written |
//! | `dead.rs`, `dead_loads.rs`, `dead_solve.rs`, `dead_steps.rs`, `dead_readings.rs`, `dead_stop.rs`, `dead_view.rs` | how to make a work area dead and prove it |
//! | `live_view.rs` | the live map in full: classes, prospective currents, what could become live |
//! | `trace_view.rs` | where a wire ends that vanishes |
//! | `noticed.rs` | what was noticed, against the sums and the findings |
//! | `find_out_view.rs` | missing facts by the risk each minute settles |
//! | `states.rs`, `findings.rs`, `live_map.rs`, `ways.rs`, `wire_list.rs`, `readings.rs` | one part of a review each |

mod answer_form;
mod arrival_view;
mod boxes;
mod burns_first;
mod case;
mod chart_sources;
mod check_words;
mod complaint;
mod dead;
mod dead_loads;
mod dead_readings;
mod dead_solve;
mod dead_steps;
mod dead_stop;
mod dead_view;
mod device_list;
mod device_view;
mod fault_level_view;
mod faults;
mod find_out_view;
mod findings;
mod handover;
mod handover_view;
mod hatch_view;
mod heat_view;
mod heavy;
mod isolation;
mod item_view;
mod learned;
mod live_map;
mod live_view;
mod looks_view;
mod mains_view;
mod materials;
mod mend_shorts;
mod mend_trials;
mod mend_view;
mod mends;
mod meter;
mod next_view;
mod not_seen;
mod noticed;
mod opening;
mod opening_view;
mod pieces;
mod price_parts;
mod price_view;
mod pricing;
mod proof;
mod proof_further;
mod proof_looks;
mod proof_rows;
mod proof_view;
mod proof_volts;
mod readings;
mod region_page;
mod removal_order;
mod repaired;
mod restraint_view;
mod review;
mod routes_view;
mod search;
mod service_view;
mod shorts;
mod spaces;
mod spread_view;
mod states;
mod supply;
mod suspects_view;
mod touched;
mod trace_view;
mod trip_view;
mod view;
mod warm_wire_view;
mod ways;
mod weighed;
mod wire_list;
mod wiring_view;

pub use answer_form::{AnswerForm, AnswerKind};
pub use arrival_view::{ArrivalView, Mended, SymptomView, symptom_words};
pub use case::Case;
pub use dead::{DeadRequest, NoDeadPlan};
pub use dead_stop::unreadable;
pub use dead_view::{
    AreaFeed, Caution, Contradiction, DEAD_SCHEMA, DeadPlan, DeadStep, FeedSuspect, NoIsolation,
};
pub use device_view::{InputRow, MonitorRow};
pub use fault_level_view::{Contribution, FaultLevelView, LeftOutRow, LevelRow, ProtectionRow};
pub use faults::FaultNotRead;
pub use find_out_view::FindOutRow;
pub use handover_view::{
    Claim, DeviceRow, HANDOVER_SCHEMA, HandoverView, IsolationStep, IsolationView, MendView, Moved,
    OpeningMade, PhotoView, StaysLive, SwitchedOff, UnseenRow, WorkDone,
};
pub use hatch_view::{HATCH_SCHEMA, HatchTable, HatchView, HelpView, LeftOut};
pub use heat_view::{FindOut, HEAT_SCHEMA, HeatState, HeatView, JointHeatRow, WireHeatRow};
pub use heavy::OverturnRow;
pub use item_view::{ChangeView, FactView, ItemView, NearView};
pub use live_view::{CouldBeLive, LiveConductor, LiveState};
pub use mains_view::{
    DemandLine, FaultLine, MAINS_SCHEMA, MainsCell, MainsRow, MainsView, SocketReadings,
};
pub use mend_view::{
    BeforeAfter, ChosenMend, Cured, MENDS_SCHEMA, MendList, MendOffer, MendWork, NoMend, PartLine,
    RecordChange,
};
pub use meter::{METER_FORMS, MeterRow};
pub use model::{JointKind, Look, LookedAt, Pole, Role};
pub use next_view::{
    CheckCard, ExpectedRow, NEXT_SCHEMA, NextView, OutcomeRow, RepairCard, RivalRow,
};
pub use noticed::NoticedRow;
pub use opening_view::{
    Bag, FixingView, Opening, OpeningStep, OpeningTarget, PutBack, Ready, Supply,
};
pub use price_view::{
    AuthorisationView, ChoiceView, LawView, MarginalView, MaterialRow, PRICE_SCHEMA, PriceLine,
    PriceView,
};
pub use pricing::{Choice, MoneySpread, PriceAsked, PriceFault};
pub use proof_further::{READ_TOO_EARLY, ReadAtProof, read_too_early};
pub use proof_view::{PROOF_SCHEMA, ProofRow, ProofSheet};
pub use removal_order::{OrderedPart, RemovalOrder};
pub use repaired::WorksAgain;
pub use restraint_view::{
    CriterionView, HeavyThing, NotThere, RestraintCase, RestraintRow, RestraintSide, RestraintView,
    Unrecorded,
};
pub use routes_view::{RouteEndView, RouteView, Routes};
pub use search::{Found, RecordLine, Search, SuspectList, line_fault, with_line, with_value};
pub use service_view::{FurtherView, IndexView, SERVICE_SCHEMA, ServiceItem, ServiceTable};
pub use spaces::{NamedSpace, Space, Spaces};
pub use spread_view::MinutesSpread;
pub use suspects_view::{ReadingSays, SUSPECTS_SCHEMA, SuspectRow, SuspectsView, percent_words};
pub use trace_view::{CandidateRow, TRACE_SCHEMA, TraceCard, TraceView, Tracing};
pub use trip_view::{TripForGood, TripTime, TripView, TripWithstand};
pub use view::{
    AccessCost, Assumption, Counts, Excerpt, FindingView, HeldAgainst, LineUse, LivePath, LiveRow,
    LoadRow, MissingView, PlaceView, REVIEW_SCHEMA, ReadingRow, RecordFault, Review, SourceView,
    StateView, StepView, Tally, VehicleView, WayIn, WireRow,
};
pub use warm_wire_view::{WarmPlaceView, WarmWireView};
pub use wiring_view::{
    DrawnEnd, DrawnWire, WireInState, WireSide, WiredDevice, WiredTerminal, WiringFinding,
    WiringState, WiringView,
};

pub use region_page::region_page;

/// A check's page as Markdown, by its name.
pub fn check_page(slug: &str) -> Option<&'static str> {
    checks::find(slug).map(|check| check.page)
}

/// Name and title of every check.
pub fn check_list() -> impl Iterator<Item = (&'static str, &'static str)> {
    checks::all().map(|check| (check.slug, check.title()))
}

/// What can happen by a check's defect, by its name.
pub fn check_hazard(slug: &str) -> Option<&'static str> {
    checks::find(slug).map(|check| check.hazard())
}

/// Whether repairs are computed for a check: they are, or they are not for a reason; nothing for a check
/// that there is not.
pub fn mend_rule(slug: &str) -> Option<Result<(), &'static str>> {
    match mend::covered(slug)? {
        mend::Covered::Computed => Some(Ok(())),
        mend::Covered::Not(why) => Some(Err(why)),
    }
}

/// JSON Schema of a record.
pub fn record_schema() -> serde_json::Value {
    record::schema(&catalog::Catalog::embedded())
}

/// JSON Schema of a [`Review`].
pub fn review_schema() -> serde_json::Value {
    schemars::schema_for!(Review).to_value()
}

/// Kinds of devices: name, terminals, usual values.
pub fn kinds() -> Vec<KindRow> {
    let catalog = catalog::Catalog::embedded();
    catalog
        .kinds
        .iter()
        .map(|(name, kind)| KindRow {
            name: name.to_owned(),
            terminals: terminals(kind),
            numbers: kind.role.numbers().iter().map(|number| number.key().to_owned()).collect(),
            usual: kind
                .usual
                .iter()
                .map(|(attribute, usual)| {
                    let value =
                        units::format(usual.value, attribute.dimension(), units::System::Metric);
                    format!("{} {value} ({})", attribute.key(), usual.why)
                })
                .collect(),
        })
        .collect()
}

fn terminals(kind: &catalog::Kind) -> Vec<String> {
    let mut names: Vec<String> =
        kind.terminals.iter().map(|(terminal, _)| terminal.clone()).collect();
    if kind.role == model::Role::FuseBox {
        names.push("1, 2, 3 ... one for each entry of `ways`".to_owned());
    }
    names
}

/// A kind of device for people to choose from.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct KindRow {
    /// Its name.
    pub name: String,
    /// Its terminals; an empty name: the device's own name is the terminal.
    pub terminals: Vec<String>,
    /// Keys of the numbers that matter for it.
    pub numbers: Vec<String>,
    /// Usual values with the reason.
    pub usual: Vec<String>,
}
