//! Repairs on the command line: listed, one in full, chosen, put into the record.

use std::collections::BTreeMap;
use std::path::Path;

use analysis::{Case, MendList};
use anyhow::{Result, anyhow, bail};

use crate::cli::{End, MendArguments, RecordFile, RepairCommand};
use crate::commands::{case, no_such, read};
use crate::find::keep;
use crate::page::{Page, complain};
use crate::show;

/// What repairs are asked for.
pub(crate) fn run(page: &mut Page, command: &RepairCommand, json: bool) -> Result<End> {
    match command {
        RepairCommand::Mend(asked) => mend(page, asked, json),
        RepairCommand::Proof { record, readings } => proof(page, record, json, readings),
    }
}

/// Lists repairs, or shows one, or writes it.
fn mend(page: &mut Page, asked: &MendArguments, json: bool) -> Result<End> {
    let (case, end) = case(page, &asked.record)?;
    let list = case.mends();
    let Some(id) = asked.id.as_deref() else {
        match json {
            true => page.json(list)?,
            false => show::mend::list(page, list, asked.why)?,
        }
        let refused = list.chosen.iter().any(|mend| mend.stands == "refused");
        return Ok(if end == End::Done && refused { End::Fails } else { end });
    };
    if !is_known(list, id) {
        let known: Vec<String> = list.offers.iter().map(|offer| offer.id.clone()).collect();
        return no_such(page, "repair", id, &known);
    }
    if asked.choose || asked.write {
        return Ok(match write(page, asked, &case, list, id)? {
            End::Done => end,
            other => other,
        });
    }
    match list.offers.iter().find(|offer| offer.id == id) {
        Some(offer) if json => page.json(offer)?,
        Some(offer) => show::mend::offer(page, offer)?,
        None => show::mend::chosen(page, &list.chosen)?,
    }
    Ok(end)
}

/// The proof sheet, held against what was read.
fn proof(
    page: &mut Page,
    record: &RecordFile,
    json: bool,
    readings: &[(String, String)],
) -> Result<End> {
    let entered: BTreeMap<String, String> = readings.iter().cloned().collect();
    let (case, end) = case(page, record)?;
    let sheet = case.proof_and_suspects(&entered);
    match json {
        true => page.json(&sheet)?,
        false => show::proof::sheet(page, &sheet)?,
    }
    let failed = sheet.rows.iter().any(|row| row.verdict == "fail") || !sheet.faults.is_empty();
    Ok(match end {
        End::Done if failed => End::Fails,
        end => end,
    })
}

fn is_known(list: &MendList, id: &str) -> bool {
    list.offers.iter().any(|offer| offer.id == id) || list.chosen.iter().any(|mend| mend.name == id)
}

fn write(
    page: &mut Page,
    asked: &MendArguments,
    case: &Case,
    list: &MendList,
    id: &str,
) -> Result<End> {
    let record = &asked.record;
    if record.path == Path::new("-") {
        bail!("a record from standard input cannot be written to; give a file");
    }
    let (path, before) = read(record)?;
    let chosen = list.chosen.iter().any(|mend| mend.name == id);
    let text = match asked.choose {
        true if chosen => Err(format!("`{id}` stands in [mends] already")),
        true => case.with_chosen(id),
        false => case.with_mend(id),
    };
    let text = match text {
        Ok(text) => text,
        Err(why) => {
            complain(&anyhow!("{why}; nothing was written"));
            return Ok(End::Fails);
        }
    };
    if text == before {
        page.paragraph(&format!("The record says that already; {path} stays as it is."), 0)?;
        return Ok(End::Done);
    }
    keep(&record.path, &text)?;
    let words = match asked.choose {
        true => {
            format!("Noted in [mends] of {path}: {id}. `unbury proof` says what will prove it.")
        }
        false => format!("Written into {path}: what {id} changes."),
    };
    page.paragraph(&words, 0)?;
    Ok(End::Done)
}
