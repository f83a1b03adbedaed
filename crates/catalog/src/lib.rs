//! Cited reference data: kinds of devices, fixings, limits, allowable currents, rest voltages, and
//! the register of documents they come from. Data lives in `data/*.toml`; this crate only reads it
//! into types. Knows no particular vehicle.

use std::collections::BTreeSet;

use model::{HeadAccess, Removal};

mod ampacity;
mod bands;
mod cables;
mod checking;
mod curves;
mod dead;
mod fault_spread;
mod faults;
mod finding_out;
mod fixings;
mod instruments;
mod interrupting;
mod kinds;
mod limits;
mod machines;
mod mains;
mod mending;
mod pricing;
mod restraint;
mod service;
mod sources;
mod stand_ins;
mod tracing;
mod work;

pub use ampacity::{Allowed, Ampacity, Correction, NoRow, Question, Space, VoltageBand};
pub use bands::{Band, Bands, Breaks, Gate, Opening};
pub use cables::Cables;
pub use checking::{Checking, Look, Method, MethodRow, SettingUp, WordsUsed};
pub use curves::{Acceptance, Curves};
pub use dead::{DeadLimits, MakingDead, OpeningRow, SourceKind, SourceSide};
pub use fault_spread::{ASSUMED_COUNTS_UP_TO, FaultSpread};
pub use faults::{Befalls, Effect, FaultClass, FaultMode, Faults, HistoryRow};
pub use finding_out::{FindingOut, Means};
pub use fixings::{ConditionRow, FixingKind, Fixings, HeadRow, UsualWork};
pub use instruments::{Instrument, Instruments};
pub use interrupting::{BreakerPlace, Interrupting};
pub use kinds::{Kind, Kinds, OwnCell, Usual, trade_name};
pub use limits::{LimitRow, Limits};
pub use machines::Machines;
pub use mains::{Figure, Grid, MainsFigures};
pub use mending::{Mending, MendingWork, ProofFigures};
pub use pricing::{LawRow, Laws, Pricing};
pub use restraint::{
    Against, BendingRow, BoltRow, Bolts, CriterionRow, HandForces, MetalRow, Pulse,
    RestraintFigures, ScrewRules, WoodRow,
};
pub use service::{Bearable, HatchRow, JointService, ServiceTables};
pub use sources::{Source, Sources, Standing};
pub use stand_ins::StandIns;
pub use tracing::{TraceCheck, TraceChecks, TraceFinish, Tracing};
pub use work::{OnceRow, Work, around};

/// All reference data.
#[derive(Clone, Debug)]
pub struct Catalog {
    /// Documents.
    pub sources: Sources,
    /// Kinds of devices.
    pub kinds: Kinds,
    /// Fixings and their usual minutes.
    pub fixings: Fixings,
    /// Tools, positions and the second person.
    pub work: Work,
    /// Limits checks hold values against.
    pub limits: Limits,
    /// Allowable current of conductors.
    pub ampacity: Ampacity,
    /// How cables are built.
    pub cables: Cables,
    /// Rest voltages and acceptance of batteries, and resistances of blade fuses.
    pub curves: Curves,
    /// When fuses and breakers open, and what they can break.
    pub bands: Bands,
    /// How far unknowns may lie off in a short circuit, and how hot a wire may get in one.
    pub fault_spread: FaultSpread,
    /// The order of finding out.
    pub finding_out: FindingOut,
    /// What breakers near a battery must be able to break.
    pub interrupting: Interrupting,
    /// What goes wrong, and how often.
    pub faults: Faults,
    /// What tells suspects apart.
    pub checking: Checking,
    /// Where wires end that vanish.
    pub tracing: Tracing,
    /// Instruments by class.
    pub instruments: Instruments,
    /// What making dead takes, and what kinds of sources there are.
    pub dead: MakingDead,
    /// What service and openings take.
    pub service: ServiceTables,
    /// Constants of the device models.
    pub machines: Machines,
    /// What the sums use where a record is silent.
    pub stand_ins: StandIns,
    /// Figures of the mains side.
    pub mains: MainsFigures,
    /// What repairs take, and what is sold for them.
    pub mending: Mending,
    /// What prices count beside opening, work and parts.
    pub pricing: Pricing,
    /// Rules on estimates.
    pub laws: Laws,
    /// Crash levels, and what fixings hold in.
    pub restraint: RestraintFigures,
}

impl Catalog {
    /// The data that ships with this build, read once.
    ///
    /// # Panics
    /// Only if the embedded data contradicts itself; a test loads it.
    pub fn embedded() -> Catalog {
        static READ: std::sync::OnceLock<Catalog> = std::sync::OnceLock::new();
        READ.get_or_init(Catalog::read).clone()
    }

    fn read() -> Catalog {
        let sources = Sources::embedded();
        Catalog {
            bands: Bands::embedded(&sources),
            fault_spread: FaultSpread::embedded(),
            finding_out: FindingOut::embedded(),
            interrupting: Interrupting::embedded(),
            sources,
            kinds: Kinds::embedded(),
            fixings: Fixings::embedded(),
            work: Work::embedded(),
            limits: Limits::embedded(),
            ampacity: Ampacity::embedded(),
            cables: Cables::embedded(),
            curves: Curves::embedded(),
            faults: Faults::embedded(),
            checking: Checking::embedded(),
            tracing: Tracing::embedded(),
            instruments: Instruments::embedded(),
            dead: MakingDead::embedded(),
            service: ServiceTables::embedded(),
            machines: Machines::embedded(),
            stand_ins: StandIns::embedded(),
            mains: MainsFigures::embedded(),
            mending: Mending::embedded(),
            pricing: Pricing::embedded(),
            laws: Laws::embedded(),
            restraint: RestraintFigures::embedded(),
        }
    }
}

impl Catalog {
    /// The tools a way of taking a part out takes, each once, in the order they come up.
    pub fn tools_out(&self, removal: &Removal) -> Vec<String> {
        let mut tools: Vec<String> = Vec::new();
        for fixing in &removal.fixings {
            let head = fixing.head.value().and_then(|head| self.fixings.head(*head).tool.as_ref());
            let condition = fixing.condition.value();
            let condition = condition.and_then(|c| self.fixings.condition(*c).tool.as_ref());
            tools.extend(fixing.tool.iter().chain(head).chain(condition).cloned());
        }
        tools.extend(removal.tools.iter().cloned());
        once_each(tools)
    }

    /// The tools that putting it back takes besides: for what is glued, riveted or done up to a torque.
    pub fn tools_back(&self, removal: &Removal) -> Vec<String> {
        let mut tools: Vec<String> = Vec::new();
        for fixing in &removal.fixings {
            let kind = self.fixings.find(&fixing.kind).map(|(_, kind)| kind);
            tools.extend(kind.and_then(|kind| kind.back_tool.clone()));
            if !fixing.torque.is_unknown() {
                tools.push(TORQUE_WRENCH.to_owned());
            }
        }
        let out = self.tools_out(removal);
        tools.retain(|tool| !out.contains(tool));
        once_each(tools)
    }

    /// What keeps everybody from doing it this way, in words; empty when nothing is known to.
    /// `tools`: those that are there, `None` for all.
    pub fn hindrances(&self, removal: &Removal, tools: Option<&[String]>) -> Vec<String> {
        let unreachable = removal
            .fixings
            .iter()
            .filter(|fixing| fixing.head.value() == Some(&HeadAccess::Unreachable));
        let heads = unreachable.map(|fixing| format!("no tool gets to {}", fixing.words()));
        let needed = self.tools_out(removal);
        let missing = needed.iter().filter(|tool| tools.is_some_and(|there| !there.contains(tool)));
        let missing = missing.map(|tool| format!("the workshop has no {tool}"));
        heads.chain(missing).collect()
    }
}

const TORQUE_WRENCH: &str = "torque wrench";

fn once_each(mut tools: Vec<String>) -> Vec<String> {
    let mut seen = BTreeSet::new();
    tools.retain(|tool| seen.insert(tool.clone()));
    tools
}

/// Reads embedded data; a failure is a mistake in this repository, never in a record.
fn embedded<T: serde::de::DeserializeOwned>(name: &str, text: &str) -> T {
    match toml::from_str(text) {
        Ok(data) => data,
        Err(error) => panic!("embedded {name} is broken: {error}"),
    }
}

/// Reads an embedded quantity; see [`embedded`].
fn quantity(text: &str, dimension: units::Dimension) -> f64 {
    match units::parse(text, dimension) {
        Ok(value) => value,
        Err(error) => panic!("embedded quantity `{text}` is broken: {}", error.message),
    }
}

#[cfg(test)]
mod tests;
