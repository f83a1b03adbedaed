//! What a workshop charges, and what was agreed to. Knows no sum.

use std::collections::BTreeMap;

use units::{Fraction, Money};

use crate::Fact;

/// What the workshop charges.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rates {
    /// An hour of work.
    pub hour: Option<Money>,
    /// An hour of somebody licensed.
    pub licensed_hour: Option<Money>,
    /// Tax on everything.
    pub tax: Fact<Fraction>,
    /// Parts by name: `wire 2.5 mm2` (a metre), `lug 16 mm2`, `fuse`.
    pub prices: BTreeMap<String, Money>,
    /// Jurisdiction whose rules on estimates hold.
    pub law: Option<String>,
}

/// Something that was agreed to, or declined.
#[derive(Clone, Debug, PartialEq)]
pub struct Authorisation {
    /// Its name in the record.
    pub name: String,
    /// Who agreed.
    pub by: String,
    /// By which way: on the telephone, in person, by message.
    pub channel: String,
    /// When.
    pub on: String,
    /// Repairs agreed to, by their names.
    pub allows: Vec<String>,
    /// Repairs declined.
    pub declines: Vec<String>,
    /// The total agreed to, tax included.
    pub total: Option<Money>,
    /// In their words.
    pub words: String,
    /// Who wrote it down.
    pub recorder: String,
}
