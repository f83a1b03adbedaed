//! A clean vehicle, defects to put into it, and facts to take out of it.

mod defects;
pub(crate) mod looks;
mod unknowns;
mod van;

pub(crate) use defects::{DEFECTS, Defect};
pub(crate) use unknowns::UNKNOWNS;
pub(crate) use van::Van;
