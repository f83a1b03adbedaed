//! Repairs on the command line: listed, one in full, chosen, put into the record.

use std::path::Path;

use analysis::{Case, MendList};
use anyhow::{Result, bail};

use crate::cli::{End, RecordFile};
use crate::commands::{case, no_such, read};
use crate::find::keep;
use crate::page::Page;
use crate::show;

/// What is to be done with a repair.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Then {
    /// Show it.
    Show,
    /// Note it in `[mends]` as chosen.
    Choose,
    /// Put what it changes into the record: it is done.
    PutIn,
}

/// Lists repairs, or shows one, or writes it.
pub(crate) fn run(
    page: &mut Page,
    record: &RecordFile,
    json: bool,
    id: Option<&str>,
    (then, why): (Then, bool),
) -> Result<End> {
    let (case, end) = case(page, record)?;
    let list = case.mends();
    let Some(id) = id else {
        if then != Then::Show {
            bail!("say which repair: `unbury mend RECORD ID`");
        }
        match json {
            true => page.json(&list)?,
            false => show::mend::list(page, &list, why)?,
        }
        return Ok(end);
    };
    if !is_known(&list, id) {
        let known: Vec<String> = list.offers.iter().map(|offer| offer.id.clone()).collect();
        return no_such(page, "repair", id, &known);
    }
    match then {
        Then::Show => match list.offers.iter().find(|offer| offer.id == id) {
            Some(offer) if json => page.json(offer)?,
            Some(offer) => show::mend::offer(page, offer)?,
            None => show::mend::chosen(page, &list.chosen)?,
        },
        Then::Choose | Then::PutIn => write(page, record, &case, &list, id, then)?,
    }
    Ok(end)
}

fn is_known(list: &MendList, id: &str) -> bool {
    list.offers.iter().any(|offer| offer.id == id) || list.chosen.iter().any(|mend| mend.name == id)
}

fn write(
    page: &mut Page,
    record: &RecordFile,
    case: &Case,
    list: &MendList,
    id: &str,
    then: Then,
) -> Result<()> {
    if record.path == Path::new("-") {
        bail!("a record from standard input cannot be written to; give a file");
    }
    let (path, before) = read(record)?;
    let chosen = list.chosen.iter().any(|mend| mend.name == id);
    let text = match then {
        Then::Choose if chosen => bail!("`{id}` stands in [mends] already"),
        Then::Choose => case.with_chosen(id),
        Then::Show | Then::PutIn => case.with_mend(id),
    };
    let text = text.map_err(|why| anyhow::anyhow!("{why}; nothing was written"))?;
    if text == before {
        return page.paragraph(&format!("The record says that already; {path} stays as it is."), 0);
    }
    keep(&record.path, &text)?;
    let words = match then {
        Then::Choose => format!(
            "Noted in [mends] of {path}: {id}. `unbury proof {path}` says what will prove it."
        ),
        Then::Show | Then::PutIn => format!("Written into {path}: what {id} changes."),
    };
    page.paragraph(&words, 0)
}
