//! The card of the next check, or of the repair.

use analysis::{CheckCard, NextView, RecordLine, RepairCard};
use anyhow::Result;

use crate::page::Page;
use crate::show::suspects::{percent, short, warnings};

/// Suspects named under a card.
const NAMED: usize = 4;

pub(crate) fn whole(page: &mut Page, view: &NextView) -> Result<()> {
    match (&view.check, &view.repair) {
        (Some(card), _) => check(page, card)?,
        (None, Some(card)) => repair(page, card)?,
        (None, None) => nothing(page, view)?,
    }
    if view.check.is_none() && view.repair.is_none() {
        page.blank()?;
        return warnings(page, &view.suspects);
    }
    page.blank()?;
    let mut words = format!(
        "expected to the proven repair: {}; going straight in: {}",
        minutes(view.minutes),
        minutes(view.straight_in_minutes)
    );
    if view.quality != "proven" {
        words.push_str(" (looked ahead, not proven)");
    }
    page.labelled("minutes", &words, 2)?;
    for (k, rival) in view.rivals.iter().enumerate() {
        let label = if k == 0 { "or" } else { "" };
        let words = format!(
            "{}: {} ({}, {} in all)",
            k + 1,
            rival.title,
            minutes(rival.own_minutes),
            minutes(rival.minutes)
        );
        let first = format!("  {label:<12}");
        let wrapped = page.wrapped(&words, &first, "                 ");
        page.line(&wrapped)?;
    }
    page.blank()?;
    warnings(page, &view.suspects)?;
    if view.suspects.weighed > 0 {
        short(page, &view.suspects, NAMED)?;
    }
    Ok(())
}

fn check(page: &mut Page, card: &CheckCard) -> Result<()> {
    page.heading(&format!("Next check: {}", card.title))?;
    for caution in &card.cautions {
        let wrapped = page.wrapped(caution, "  ! ", "    ");
        page.line(&wrapped)?;
    }
    for place in &card.places {
        page.paragraph(place, 2)?;
    }
    page.labelled("how", &card.how, 2)?;
    page.labelled("state", &card.state, 2)?;
    let open = match card.open.is_empty() {
        true => "nothing has to be opened".to_owned(),
        false => format!(
            "{} ({} with closing)",
            card.open.join(", then "),
            minutes(card.opening_minutes)
        ),
    };
    page.labelled("open", &open, 2)?;
    page.labelled("takes", &minutes(card.minutes), 2)?;
    page.blank()?;
    let cells: Vec<Vec<String>> = card
        .expected
        .iter()
        .map(|row| vec![percent(row.probability), row.shows.clone(), row.suspect.clone()])
        .collect();
    page.table(&["", "would show", "if it is"], &cells, 2)?;
    page.blank()?;
    for outcome in &card.outcomes {
        let then = match outcome.then.is_empty() {
            true => "something else".to_owned(),
            false => outcome.then.join("; "),
        };
        let words = format!(
            "{} ({}): then {then}; rules out {}",
            outcome.outcome,
            percent(outcome.chance),
            outcome.rules_out
        );
        let wrapped = page.wrapped(&words, "  - ", "    ");
        page.line(&wrapped)?;
    }
    Ok(())
}

fn repair(page: &mut Page, card: &RepairCard) -> Result<()> {
    page.heading(&format!("Repair: {}", card.title))?;
    page.paragraph(&card.why, 2)?;
    for remedy in &card.remedies {
        page.labelled("do", remedy, 2)?;
    }
    let open = match (card.opening_minutes, card.open.is_empty()) {
        (None, _) => "what hides it is not recorded: find out before you price it".to_owned(),
        (Some(_), true) => "nothing has to be opened".to_owned(),
        (Some(opening), false) => {
            format!("{} ({} with closing)", card.open.join(", then "), minutes(opening))
        }
    };
    page.labelled("open", &open, 2)?;
    page.labelled("takes", &minutes(card.minutes), 2)?;
    if let Some(proof) = &card.proof {
        page.labelled("proof", proof, 2)?;
    }
    for (k, still) in card.still.iter().enumerate() {
        let label = if k == 0 { "if not" } else { "" };
        let first = format!("  {label:<12}");
        let wrapped = page.wrapped(still, &first, "              ");
        page.line(&wrapped)?;
    }
    Ok(())
}

fn nothing(page: &mut Page, view: &NextView) -> Result<()> {
    if view.kind == "nothing observed" {
        page.heading("Nothing was observed yet")?;
        return page.paragraph(
            "Write a symptom with its device, state and `shows`, or a reading; see \
             docs/record-guide.md.",
            2,
        );
    }
    if view.kind == "as written" {
        page.heading("The vehicle as recorded does what was seen")?;
        return page.paragraph(
            "Nothing needs to be broken for it: what is recorded explains every reading and \
             symptom that was weighed. What to build better: `unbury review`. If something still \
             surprises, take a reading that the record does not explain.",
            2,
        );
    }
    if view.kind == "not enough" {
        page.heading("Not enough to say")?;
        return page.paragraph(
            "What could be weighed needs no fault, but not all of it could: see below. Take those \
             readings again, or complete those symptoms, before you conclude anything.",
            2,
        );
    }
    page.heading("No suspect explains what was seen")?;
    page.paragraph(
        "No check that can be reached tells the rest apart. Check the record at the places where \
         readings were taken, take those again, then strip and look.",
        2,
    )
}

/// What can be typed.
pub(crate) fn help(page: &mut Page, view: &NextView) -> Result<()> {
    if let Some(card) = &view.check {
        page.labelled("answer", &card.answer, 2)?;
    }
    if let Some(repair) = &view.repair {
        page.labelled("no cure", "the repair was made, and everything is as it was before", 2)?;
        let asked = repair.complained_of.join(", then ");
        let words = format!(
            "the repair was made, and something is different without being cured: what each does now, as in \
             `changed: dead` ({asked}); what was observed before no longer counts"
        );
        page.labelled("changed", &words, 2)?;
    }
    page.labelled("2: 11.9 V", "answers alternative 2 instead", 2)?;
    page.labelled("why", "what each reading says of the suspects", 2)?;
    page.labelled("undo", "takes the last answer back", 2)?;
    page.labelled("stop", "ends; the answers are printed as lines of the record", 2)
}

/// The answers as lines of the record.
pub(crate) fn kept(page: &mut Page, lines: &[RecordLine], path: Option<String>) -> Result<()> {
    if lines.is_empty() {
        return Ok(());
    }
    match path {
        Some(path) => page.heading(&format!("Written to {path}"))?,
        None => page.heading("Add to the record (or run with --write)")?,
    }
    for kept in lines {
        page.line(&format!("  [{}]", kept.section))?;
        page.line(&format!("  {}", kept.line))?;
    }
    Ok(())
}

pub(crate) fn minutes(minutes: f64) -> String {
    let text = if minutes < 9.95 { format!("{minutes:.1}") } else { format!("{minutes:.0}") };
    format!("{} min", text.trim_end_matches(".0"))
}
