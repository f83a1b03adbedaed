//! What holds heavy things.

use analysis::{CriterionView, HeavyThing, OverturnRow, RestraintCase, RestraintView, Unrecorded};
use anyhow::Result;

use crate::page::{Page, Weight};

/// Every criterion with its levels and source.
pub(crate) fn criteria(page: &mut Page, all: &[CriterionView]) -> Result<()> {
    page.heading("Levels things can be held against")?;
    for criterion in all {
        one_criterion(page, criterion)?;
    }
    Ok(())
}

fn one_criterion(page: &mut Page, criterion: &CriterionView) -> Result<()> {
    let name = page.weigh(&criterion.id, Weight::Strong);
    page.line(&format!("  {name}"))?;
    let levels: Vec<String> =
        criterion.levels.iter().map(|(way, g)| format!("{way} {g} g")).collect();
    page.labelled(
        "levels",
        &format!("{}; against {} strength", levels.join(", "), criterion.against),
        4,
    )?;
    page.labelled("written for", &criterion.written_for, 4)?;
    page.labelled("used here", &criterion.used_as, 4)?;
    page.labelled("source", &format!("{} ({})", criterion.source, criterion.standing), 4)
}

/// Heavy things against the criteria chosen.
pub(crate) fn view(page: &mut Page, view: &RestraintView) -> Result<()> {
    page.heading("What holds heavy things")?;
    if view.things.is_empty() && view.not_recorded.is_empty() {
        let words = "Nothing with a mass of 5 kg or more is recorded. Write `mass` and `held`; what is not written is not judged.";
        page.paragraph(words, 2)?;
    }
    for one in &view.things {
        thing(page, one)?;
    }
    not_recorded(page, &view.not_recorded)?;
    page.heading("Pulled at by hand")?;
    page.paragraph(&view.hand_test, 2)?;
    page.heading("Held against")?;
    for criterion in &view.criteria {
        one_criterion(page, criterion)?;
    }
    page.blank()?;
    page.paragraph(&view.caution, 2)
}

/// Furniture of which nobody wrote what holds it.
fn not_recorded(page: &mut Page, rows: &[Unrecorded]) -> Result<()> {
    let Some(first) = rows.first() else { return Ok(()) };
    page.heading("Heavy furniture, what holds it not recorded")?;
    let cells = rows.iter().map(|row| {
        let label = if row.label.is_empty() { &row.item } else { &row.label };
        vec![label.clone(), row.mass.clone(), row.pulls.clone(), row.verdict.clone()]
    });
    let cells: Vec<Vec<String>> = cells.collect();
    page.table(&["furniture", "mass", "pulls", "verdict"], &cells, 2)?;
    page.labelled("find out", &first.find_out, 2)
}

fn thing(page: &mut Page, thing: &HeavyThing) -> Result<()> {
    page.blank()?;
    let named = if thing.label == thing.item || thing.label.is_empty() {
        thing.item.clone()
    } else {
        format!("{} ({})", thing.label, thing.item)
    };
    let mass = if thing.mass.is_empty() { "mass not recorded" } else { &thing.mass };
    let head = page.weigh(&format!("{named}, {mass}"), Weight::Strong);
    page.line(&format!("  {head}"))?;
    let held = if thing.held_by.is_empty() { "not recorded" } else { &thing.held_by };
    page.labelled("held by", held, 4)?;
    let rows: Vec<Vec<String>> = thing.cases.iter().map(row).collect();
    page.table(&["direction", "level", "pulls", "least", "most", "margin", "verdict"], &rows, 4)?;
    for row in &thing.overturning {
        page.labelled("tips over", &tips(row), 4)?;
    }
    for words in governing(thing) {
        page.labelled("gives way", &words, 4)?;
    }
    for words in &thing.find_out {
        page.labelled("find out", words, 4)?;
    }
    for words in &thing.remedies {
        page.labelled("would do", words, 4)?;
    }
    page.labelled("hand test", &thing.hand_test, 4)
}

/// One direction in which it may tip.
fn tips(row: &OverturnRow) -> String {
    let most = row.at_most_n.map_or_else(
        || "what holds it down is not known".to_owned(),
        |most| format!("all its fixings together hold at most {} down", newton(most)),
    );
    format!(
        "{}, {}: {} up at its far edge, its weight at half its height; {most}: {}",
        row.direction,
        row.criterion,
        newton(row.pull_n),
        row.verdict
    )
}

fn row(case: &RestraintCase) -> Vec<String> {
    let force = |n: Option<f64>| n.map_or_else(|| "?".to_owned(), newton);
    vec![
        case.direction.clone(),
        format!("{} g", case.g_level),
        newton(case.load_n),
        force(case.at_least_n),
        force(case.at_most_n),
        case.margin.map_or_else(|| "?".to_owned(), |margin| format!("{margin:.2}")),
        case.verdict.clone(),
    ]
}

/// How it gives way first, each once, in which directions, with the basis.
fn governing(thing: &HeavyThing) -> Vec<String> {
    let mut all: Vec<(String, Vec<&str>)> = Vec::new();
    for case in thing.cases.iter().filter(|case| !case.governs.is_empty()) {
        let words = format!("{} ({})", case.governs, case.basis);
        let direction = case.direction.as_str();
        match all.iter_mut().find(|(known, _)| *known == words) {
            Some((_, ways)) if ways.contains(&direction) => {}
            Some((_, ways)) => ways.push(direction),
            None => all.push((words, vec![direction])),
        }
    }
    let told = |(words, ways): (String, Vec<&str>)| format!("{}: {words}", ways.join(", "));
    all.into_iter().map(told).collect()
}

fn newton(n: f64) -> String {
    if n < 995.0 { format!("{n:.0} N") } else { format!("{:.1} kN", n / 1000.0) }
}
