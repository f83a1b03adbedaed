//! What service takes that no record says: joints, what is bearable, what a hatch takes.

use serde::Deserialize;
use units::Money;

/// Estimates about service and openings.
#[derive(Clone, Debug, PartialEq)]
pub struct ServiceTables {
    /// What joints want.
    pub joint: JointService,
    /// What is usually thought bearable, most often wanted first.
    pub bearable: Vec<Bearable>,
    /// What a hatch takes.
    pub hatch: HatchRow,
}

/// What joints want: studs, busbars, splices, points on the body.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct JointService {
    /// What is done.
    pub what: String,
    /// How often in a year.
    pub per_year: f64,
}

/// Minutes that are usually thought bearable.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bearable {
    /// For what is wanted at least so often in a year.
    pub per_year_from: f64,
    /// Minutes to open and close.
    pub minutes: f64,
}

/// What a hatch takes. Minutes are low, likely, high.
#[derive(Clone, Debug, PartialEq)]
pub struct HatchRow {
    /// To make it.
    pub make_min: [f64; 3],
    /// What it is made of.
    pub material: Money,
    /// To open it.
    pub open_min: [f64; 3],
    /// To close it.
    pub close_min: [f64; 3],
    /// How big it has to be, with the source.
    pub size: String,
    /// Years over which the saving is held against the cost.
    pub years: f64,
    /// Words for parts that can be cut at all.
    pub panels: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    joint: JointService,
    bearable: Vec<Bearable>,
    hatch: RawHatch,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawHatch {
    make: [f64; 3],
    material: String,
    open: [f64; 3],
    close: [f64; 3],
    size: String,
    years: f64,
    panels: Vec<String>,
}

impl ServiceTables {
    pub(crate) fn embedded() -> ServiceTables {
        let file: File = crate::embedded("service.toml", include_str!("../data/service.toml"));
        let hatch = file.hatch;
        ServiceTables {
            joint: file.joint,
            bearable: file.bearable,
            hatch: HatchRow {
                make_min: hatch.make,
                material: crate::stand_ins::money(&hatch.material),
                open_min: hatch.open,
                close_min: hatch.close,
                size: hatch.size,
                years: hatch.years,
                panels: hatch.panels,
            },
        }
    }

    /// Minutes to open and close that are usually thought bearable for what is wanted so often.
    pub fn bearable_min(&self, per_year: f64) -> Option<f64> {
        self.bearable.iter().find(|row| per_year >= row.per_year_from).map(|row| row.minutes)
    }
}
