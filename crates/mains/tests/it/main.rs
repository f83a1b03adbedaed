//! The mains side against published tables, closed forms, ngspice, and laws.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

mod bonds;
mod faults;
mod laws;
mod readings;
mod support;
