//! Results as text for a terminal of 80 columns: one file for each sort of result.

pub(crate) mod ac;
pub(crate) mod dead;
pub(crate) mod drawings;
pub(crate) mod explain;
pub(crate) mod fault_level;
pub(crate) mod faults;
pub(crate) mod hatch;
pub(crate) mod heat;
pub(crate) mod live;
pub(crate) mod mend;
pub(crate) mod next;
pub(crate) mod opening;
pub(crate) mod pack;
pub(crate) mod price;
pub(crate) mod proof;
pub(crate) mod restraint;
pub(crate) mod review;
pub(crate) mod service;
pub(crate) mod states;
pub(crate) mod suspects;
pub(crate) mod trace;
pub(crate) mod ways;
