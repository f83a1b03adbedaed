//! `unbury dead`: the plan for a work area, on the page or as JSON.

use std::io::Write as _;

use analysis::{DeadRequest, NoDeadPlan};
use anyhow::Result;

use crate::cli::{End, RecordFile};
use crate::commands::{case, no_such};
use crate::page::Page;
use crate::show;

/// Area, readings by step, parts that are out.
type Asked<'a> = (&'a [String], &'a [(usize, String)], &'a [String]);

pub(crate) fn plan(
    page: &mut Page,
    record: &RecordFile,
    json: bool,
    (area, read, out): Asked<'_>,
) -> Result<End> {
    let (mut case, end) = case(page, record)?;
    if let Err(unknown) = case.with_out(out) {
        let known: Vec<String> = case.part_names().into_iter().map(str::to_owned).collect();
        return no_such(page, "part", &unknown.join(", "), &known);
    }
    let request = DeadRequest { area: area.to_vec(), read: read.to_vec() };
    let plan = match case.dead_plan(&request) {
        Ok(plan) => plan,
        Err(NoDeadPlan::Unknown(names)) => {
            let known = case.dead_areas();
            let end = no_such(page, "device, wire, part or spot", &names.join(", "), &known)?;
            let words = "`everything` stands for the whole vehicle";
            let mut out = std::io::stderr().lock();
            writeln!(out, "{}", page.wrapped(words, "       ", "       "))?;
            return Ok(end);
        }
        Err(reason) => {
            let words = match reason {
                NoDeadPlan::Nothing => {
                    "nothing that conducts is recorded there: no wire, no device".to_owned()
                }
                NoDeadPlan::Reading(words) | NoDeadPlan::Parts(words) => words,
                NoDeadPlan::Unknown(names) => names.join(", "),
            };
            let mut out = std::io::stderr().lock();
            writeln!(out, "{}", page.wrapped(&words, "error: ", "       "))?;
            return Ok(End::NoSuchThing);
        }
    };
    if json {
        page.json(&plan)?;
    } else {
        show::dead::plan(page, &plan)?;
    }
    let fails = !plan.findings.is_empty() || plan.stopped.is_some();
    Ok(if end == End::Done && fails { End::Fails } else { end })
}
