//! How long things really took.

use crate::{Origin, PartId, RemovalId};

/// A job that was done: a part taken out, put back, or both, with the minutes it took.
#[derive(Clone, Debug, PartialEq)]
pub struct Took {
    /// Its id in the record.
    pub name: String,
    /// The part.
    pub part: PartId,
    /// The way that was taken; several where one way has alternatives of what must be out first.
    pub removals: Vec<RemovalId>,
    /// Minutes to take it out, if written.
    pub out_min: Option<f64>,
    /// Minutes to put it back, if written.
    pub back_min: Option<f64>,
    /// Who says so.
    pub origin: Origin,
}
