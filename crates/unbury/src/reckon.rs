//! Commands that reckon by figures: what holds heavy things, what repairs cost.

use anyhow::Result;

use crate::cli::{End, ReckonCommand};
use crate::page::Page;
use crate::{price, restraint};

pub(crate) fn run(page: &mut Page, command: &ReckonCommand, json: bool) -> Result<End> {
    match command {
        ReckonCommand::Restraint { record, things, criteria } => {
            restraint::against(page, record, json, criteria, things)
        }
        ReckonCommand::Price(asked) => price::run(page, asked, json),
    }
}
