//! Cited reference data: kinds of devices, fixings, limits, allowable currents, rest voltages, and
//! the register of documents they come from. Data lives in `data/*.toml`; this crate only reads it
//! into types. Knows no particular vehicle.

mod ampacity;
mod bands;
mod curves;
mod fixings;
mod interrupting;
mod kinds;
mod limits;
mod sources;
mod stand_ins;

pub use ampacity::AmpacityTable;
pub use bands::{Band, Bands, Breaks, Gate, Opening};
pub use curves::{Acceptance, Curves};
pub use fixings::{FixingKind, Fixings};
pub use interrupting::{BreakerPlace, Interrupting};
pub use kinds::{Kind, Kinds, Usual};
pub use limits::{LimitRow, Limits};
pub use sources::{Source, Sources, Standing};
pub use stand_ins::StandIns;

/// All reference data.
#[derive(Clone, Debug)]
pub struct Catalog {
    /// Documents.
    pub sources: Sources,
    /// Kinds of devices.
    pub kinds: Kinds,
    /// Fixings and their usual minutes.
    pub fixings: Fixings,
    /// Limits checks hold values against.
    pub limits: Limits,
    /// Allowable current of conductors.
    pub ampacity: AmpacityTable,
    /// Rest voltages and acceptance of batteries, and resistances of blade fuses.
    pub curves: Curves,
    /// When fuses and breakers open, and what they can break.
    pub bands: Bands,
    /// What breakers near a battery must be able to break.
    pub interrupting: Interrupting,
    /// What the sums use where a record is silent.
    pub stand_ins: StandIns,
}

impl Catalog {
    /// The data that ships with this build.
    ///
    /// # Panics
    /// Only if the embedded data contradicts itself; a test loads it.
    pub fn embedded() -> Catalog {
        let sources = Sources::embedded();
        Catalog {
            bands: Bands::embedded(&sources),
            interrupting: Interrupting::embedded(),
            sources,
            kinds: Kinds::embedded(),
            fixings: Fixings::embedded(),
            limits: Limits::embedded(),
            ampacity: AmpacityTable::embedded(),
            curves: Curves::embedded(),
            stand_ins: StandIns::embedded(),
        }
    }
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
