//! The mains side: a matrix, its causes, and what a multimeter shows.

use std::collections::BTreeSet;

use analysis::{MainsCell, MainsRow, MainsView, SocketReadings};
use anyhow::Result;

use crate::page::{Page, Weight};

/// Everything, or the rows of one state.
pub(crate) fn matrix(page: &mut Page, view: &MainsView) -> Result<()> {
    page.heading("Mains side")?;
    if view.rows.is_empty() {
        return page
            .paragraph("No mains side is recorded. That is not to say that there is none.", 2);
    }
    let head = ["source", "states", "polarity", "bond", "residual", "body", "line on metal"];
    let rows: Vec<Vec<String>> = view.rows.iter().map(cells).collect();
    page.table(&head, &rows, 2)?;
    let key = "! fails   ? cannot tell   = holds. body: against the ground it stands on. line on metal: what follows when a line touches the body or an earthed case.";
    let words = page.wrapped(key, "  ", "  ");
    let quiet = page.weigh(&words, Weight::Quiet);
    page.line(&quiet)?;
    for row in &view.rows {
        one(page, row)?;
    }
    gaps(page, view)?;
    page.heading("Cautions and sources")?;
    for caution in &view.cautions {
        page.paragraph(caution, 2)?;
    }
    page.blank()?;
    for source in &view.sources {
        page.paragraph(&format!("{}: {} ({}).", source.key, source.words, source.standing), 2)?;
    }
    Ok(())
}

fn cells(row: &MainsRow) -> Vec<String> {
    let mut cells = vec![row.source.clone(), brief(&row.states)];
    if row.cells.is_empty() {
        let short = if row.trouble.is_empty() { "-" } else { "! see below" };
        cells.extend(std::iter::repeat_n(short.to_owned(), 5));
    } else {
        cells.extend(row.cells.iter().map(|cell| format!("{} {}", mark(cell), short(cell))));
    }
    cells
}

fn short(cell: &MainsCell) -> &str {
    if cell.verdict == "cannot tell" { "" } else { &cell.short }
}

fn mark(cell: &MainsCell) -> &'static str {
    match cell.verdict.as_str() {
        "holds" => "=",
        "fails" => "!",
        _ => "?",
    }
}

fn brief(states: &[String]) -> String {
    match states {
        [] => String::new(),
        [one] => one.clone(),
        [first, rest @ ..] => format!("{first} +{}", rest.len()),
    }
}

fn one(page: &mut Page, row: &MainsRow) -> Result<()> {
    let device = if row.device.is_empty() { String::new() } else { format!(" by {}", row.device) };
    page.heading(&format!("Source {}{device}: {}", row.source, row.states.join(", ")))?;
    if row.source == "none" {
        return none(page, row);
    }
    if !row.trouble.is_empty() {
        return said(page, "DANGER", Weight::Danger, &row.trouble);
    }
    if !row.supply.is_empty() {
        page.paragraph(&format!("Supply behind the lead: {}.", row.supply), 2)?;
    }
    for cell in &row.cells {
        verdict(page, cell)?;
    }
    to_find(page, row)?;
    for line in &row.demand {
        page.paragraph(&format!("{}, {}: {}.", line.inverter, line.state, line.words), 2)?;
    }
    if !row.readings.is_empty() {
        page.blank()?;
        page.paragraph(&multimeter(row), 2)?;
        readings(page, "at", &row.readings)?;
    }
    if !row.by_supply.is_empty() {
        page.blank()?;
        let at = row.readings.first().map_or("", |found| found.at.as_str());
        page.paragraph(&format!("The same at {at} for each wiring of the supply:"), 2)?;
        readings(page, "supply", &row.by_supply)?;
    }
    faults(page, row)?;
    assumptions(page, row)
}

fn none(page: &mut Page, row: &MainsRow) -> Result<()> {
    page.paragraph(
        "No source of mains power is recorded in these states. Prove it by measurement.",
        2,
    )?;
    let bonds = if row.standing_bonds.is_empty() {
        "As recorded nothing joins neutral and earth: a multimeter on ohms, every source off and locked off, shows no continuity.".to_owned()
    } else {
        format!(
            "Neutral and earth are joined all the time in {}: a multimeter on ohms, every source off and locked off, shows continuity there.",
            row.standing_bonds.join(", ")
        )
    };
    page.paragraph(&bonds, 2)
}

fn multimeter(row: &MainsRow) -> String {
    let taken =
        if row.supply.starts_with("not recorded") { ", were the supply correct" } else { "" };
    format!(
        "A multimeter on AC volts shows{taken} (`floats`: anything, often near half; it means nothing). {} in the earth wire.",
        row.earth_current
    )
}

fn verdict(page: &mut Page, cell: &MainsCell) -> Result<()> {
    let places: Vec<String> =
        cell.places.iter().map(|place| format!("{} (line {})", place.name, place.line)).collect();
    let at = if places.is_empty() { String::new() } else { format!(" At {}.", places.join(", ")) };
    let text = format!("{}: {}.{at}", cell.aspect, cell.words);
    match cell.verdict.as_str() {
        "fails" => said(page, &cell.signal, Weight::of_signal(&cell.signal), &text),
        "holds" => said(page, "holds", Weight::Quiet, &text),
        _ => said(page, "cannot tell", Weight::Strong, &text),
    }
}

/// What is to be found out, each once, with the cells it would settle.
fn to_find(page: &mut Page, row: &MainsRow) -> Result<()> {
    let mut tasks: Vec<(&str, BTreeSet<&str>, BTreeSet<&str>)> = Vec::new();
    for cell in &row.cells {
        for item in &cell.find_out {
            let index = tasks.iter().position(|(what, ..)| *what == item.what);
            let index = index.unwrap_or_else(|| {
                tasks.push((&item.what, BTreeSet::new(), BTreeSet::new()));
                tasks.len() - 1
            });
            tasks[index].1.extend(item.items.iter().map(String::as_str));
            tasks[index].2.insert(&cell.aspect);
        }
    }
    for (what, items, cells) in tasks {
        let [items, cells] =
            [items, cells].map(|set| set.into_iter().collect::<Vec<_>>().join(", "));
        said(page, "find out", Weight::Strong, &format!("{items}: {what} (for: {cells})."))?;
    }
    Ok(())
}

/// A paragraph whose first line starts with a word that stands out.
fn said(page: &mut Page, label: &str, weight: Weight, text: &str) -> Result<()> {
    let first = format!("  {label:<13}");
    let wrapped = page.wrapped(text, &first, &" ".repeat(first.len()));
    let strong = page.weigh(label, weight);
    page.line(&wrapped.replacen(label, &strong, 1))
}

fn readings(page: &mut Page, first: &str, rows: &[SocketReadings]) -> Result<()> {
    let rows: Vec<Vec<String>> = rows
        .iter()
        .map(|row| {
            vec![
                row.at.clone(),
                row.line_neutral.clone(),
                row.line_earth.clone(),
                row.neutral_earth.clone(),
            ]
        })
        .collect();
    page.table(&[first, "L to N", "L to PE", "N to PE"], &rows, 4)
}

fn faults(page: &mut Page, row: &MainsRow) -> Result<()> {
    if row.faults.is_empty() {
        return Ok(());
    }
    page.blank()?;
    page.paragraph("When a line touches metal, before anything opens:", 2)?;
    let rows: Vec<Vec<String>> = row
        .faults
        .iter()
        .map(|fault| {
            vec![fault.at.clone(), fault.current.clone(), fault.metal.clone(), fault.end.clone()]
        })
        .collect();
    page.table(&["on", "current", "metal", "then"], &rows, 4)
}

fn assumptions(page: &mut Page, row: &MainsRow) -> Result<()> {
    if row.assumptions.is_empty() {
        return Ok(());
    }
    page.blank()?;
    let words: Vec<String> =
        row.assumptions.iter().map(|a| format!("{} ({})", a.what, a.why)).collect();
    let text = format!("Assumed for the sums: {}.", words.join("; "));
    let wrapped = page.wrapped(&text, "  ", "  ");
    let quiet = page.weigh(&wrapped, Weight::Quiet);
    page.line(&quiet)
}

fn gaps(page: &mut Page, view: &MainsView) -> Result<()> {
    if view.unused.is_empty() && view.not_fed.is_empty() {
        return Ok(());
    }
    page.heading("Not covered by any state")?;
    for words in &view.unused {
        said(page, "cannot tell", Weight::Strong, &format!("{words}."))?;
    }
    if !view.not_fed.is_empty() {
        let words = format!(
            "no source reaches {} in any state as recorded: follow their wires.",
            view.not_fed.join(", ")
        );
        said(page, "cannot tell", Weight::Strong, &words)?;
    }
    Ok(())
}
