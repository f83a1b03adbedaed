//! Suspects, the next check, and the search at the terminal.

use std::io::{BufRead, IsTerminal, Write};
use std::path::Path;

use analysis::{Case, NextView, Search};
use anyhow::{Context, Result};

use crate::cli::{End, RecordFile};
use crate::commands::{case, no_such, read};
use crate::page::Page;
use crate::show;

/// What is asked of a search besides the record.
pub(crate) struct Asked<'a> {
    /// Only the state of this symptom.
    pub(crate) about: Option<&'a str>,
    /// Parts that are out already.
    pub(crate) out: &'a [String],
}

pub(crate) fn suspects(
    page: &mut Page,
    record: &RecordFile,
    json: bool,
    about: Option<&str>,
) -> Result<End> {
    let (case, end) = case(page, record)?;
    let list = case.suspect_list();
    let mut search = case.search(&list);
    if let Some(known) = narrowed(&mut search, about) {
        return no_such(page, "symptom with a state", about.unwrap_or(""), &known);
    }
    let view = search.suspects();
    match json {
        true => page.json(&view)?,
        false => show::suspects::whole(page, &view)?,
    }
    Ok(end)
}

pub(crate) fn next(
    page: &mut Page,
    record: &RecordFile,
    json: bool,
    asked: &Asked<'_>,
) -> Result<End> {
    let (mut case, end) = case(page, record)?;
    if let Some(missing) = opened(page, &mut case, asked.out)? {
        return Ok(missing);
    }
    let list = case.suspect_list();
    let mut search = case.search(&list);
    if let Some(known) = narrowed(&mut search, asked.about) {
        return no_such(page, "symptom with a state", asked.about.unwrap_or(""), &known);
    }
    let view = search.next_step();
    match json {
        true => page.json(&view)?,
        false => show::next::whole(page, &view)?,
    }
    Ok(end)
}

/// Asks, takes readings, goes on, until a repair is due or the technician stops.
pub(crate) fn find(
    page: &mut Page,
    record: &RecordFile,
    asked: &Asked<'_>,
    write: bool,
) -> Result<End> {
    if record.path == Path::new("-") {
        anyhow::bail!("`find` reads answers from standard input, so the record has to be a file");
    }
    let (_, mut text) = read(record)?;
    let (mut case, end) = case(page, record)?;
    if let Some(missing) = opened(page, &mut case, asked.out)? {
        return Ok(missing);
    }
    let list = case.suspect_list();
    let mut search = case.search(&list);
    if let Some(known) = narrowed(&mut search, asked.about) {
        return no_such(page, "symptom with a state", asked.about.unwrap_or(""), &known);
    }
    let original = text.clone();
    let mut view = search.next_step();
    show::next::whole(page, &view)?;
    let mut lines = std::io::stdin().lock().lines();
    loop {
        prompt(page, &view)?;
        let Some(line) = lines.next() else { break };
        let line = line.context("reading an answer")?;
        match line.trim() {
            "" => continue,
            "stop" | "quit" => break,
            "help" => {
                show::next::help(page, &view)?;
                continue;
            }
            "why" => {
                show::suspects::whole(page, &view.suspects)?;
                continue;
            }
            "undo" => {
                if !search.undo() {
                    page.paragraph("There is nothing to take back.", 2)?;
                    continue;
                }
                page.paragraph("Taken back.", 2)?;
            }
            answer => match given(&mut search, &view, answer) {
                Ok(kept) => page.paragraph(&format!("Noted: {kept}"), 2)?,
                Err(why) => {
                    page.paragraph(&format!("Not taken: {why}"), 2)?;
                    continue;
                }
            },
        }
        text = original.clone();
        for kept in search.record_lines() {
            text = analysis::with_line(&text, &kept);
        }
        if write {
            keep(&record.path, &text)?;
        }
        view = search.next_step();
        show::next::whole(page, &view)?;
    }
    let kept = search.record_lines();
    show::next::kept(page, &kept, write.then(|| record.path.display().to_string()))?;
    Ok(end)
}

/// Asks for tests of a wire that vanishes until it is clear where it ends.
pub(crate) fn trace(
    page: &mut Page,
    record: &RecordFile,
    json: bool,
    wire: &str,
    out: &[String],
) -> Result<End> {
    let (mut case, end) = case(page, record)?;
    if let Some(missing) = opened(page, &mut case, out)? {
        return Ok(missing);
    }
    let mut tracing = match case.trace(wire) {
        Ok(tracing) => tracing,
        Err(why) => {
            let known = case.wires_to_trace();
            page.paragraph(&format!("{why}."), 0)?;
            if !known.is_empty() {
                page.paragraph(&format!("Wires with one end in sight: {}", known.join(", ")), 0)?;
            }
            return Ok(End::NoSuchThing);
        }
    };
    let view = tracing.next_step();
    if json {
        page.json(&view)?;
        return Ok(end);
    }
    show::trace::whole(page, &view)?;
    if record.path == Path::new("-") {
        return Ok(end);
    }
    let is_terminal = std::io::stdin().is_terminal();
    let mut lines = std::io::stdin().lock().lines();
    loop {
        if is_terminal {
            page.ask("  answer (yes, no, undo, stop): ")?;
        }
        let Some(line) = lines.next() else { break };
        match line.context("reading an answer")?.trim() {
            "" => continue,
            "stop" | "quit" => break,
            "undo" if !tracing.undo() => page.paragraph("There is nothing to take back.", 2)?,
            "undo" => page.paragraph("Taken back.", 2)?,
            answer => {
                if let Err(why) = tracing.answer(answer) {
                    page.paragraph(&format!("Not taken: {why}"), 2)?;
                    continue;
                }
            }
        }
        let view = tracing.next_step();
        show::trace::whole(page, &view)?;
        if view.ends.is_some() {
            break;
        }
    }
    Ok(end)
}

/// `2: 11.9 V` answers the second alternative; anything else answers the card.
fn given(search: &mut Search<'_>, view: &NextView, answer: &str) -> Result<String, String> {
    if let Some((number, rest)) = answer.split_once(':')
        && let Ok(which) = number.trim().parse::<usize>()
    {
        if which == 0 || which > view.rivals.len() {
            return Err(format!("there is no alternative {which}"));
        }
        return search.answer(which, rest);
    }
    if answer == "no cure" {
        return search.no_cure().ok_or_else(|| "no repair was proposed".to_owned());
    }
    if let Some(now) = answer.strip_prefix("changed") {
        return search.changed(now.trim_start_matches(':'));
    }
    search.answer(0, answer)
}

fn prompt(page: &mut Page, view: &NextView) -> Result<()> {
    if !std::io::stdin().is_terminal() {
        return Ok(());
    }
    let asks = if view.check.is_some() { "reading" } else { "answer" };
    page.ask(&format!("  {asks} (help, why, undo, stop): "))
}

/// Writes beside the record first, then over it: a cut in between loses nothing.
pub(crate) fn keep(path: &Path, text: &str) -> Result<()> {
    let beside = path.with_extension("toml.new");
    let write = || -> std::io::Result<()> {
        let mut file = std::fs::File::create(&beside)?;
        file.write_all(text.as_bytes())?;
        file.sync_all()?;
        std::fs::rename(&beside, path)
    };
    write().with_context(|| format!("cannot write the record `{}`", path.display()))
}

fn narrowed(search: &mut Search<'_>, about: Option<&str>) -> Option<Vec<String>> {
    search.only_about(about?).err()
}

fn opened(page: &mut Page, case: &mut Case, out: &[String]) -> Result<Option<End>> {
    match case.with_out(out) {
        Ok(()) => Ok(None),
        Err(unknown) => {
            let known: Vec<String> = case.part_names().into_iter().map(str::to_owned).collect();
            no_such(page, "part", &unknown.join(", "), &known).map(Some)
        }
    }
}
