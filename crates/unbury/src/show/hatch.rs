//! New openings that would help.

use analysis::{HatchTable, HatchView};
use anyhow::Result;

use crate::page::Page;
use crate::show::service::money;

/// Most single hatches shown in words.
const MOST_SINGLES: usize = 3;
/// Most items named for one hatch.
const MOST_HELPED: usize = 6;

/// Singles, and the best pair if asked for.
pub(crate) fn table(page: &mut Page, table: &HatchTable, pairs: bool) -> Result<()> {
    page.heading("New openings that would save most")?;
    let worth: Vec<&HatchView> = table.singles.iter().filter(|view| view.net_money > 0.0).collect();
    if worth.is_empty() {
        let words = format!("No single hatch pays for itself in {:.0} years.", table.years);
        page.paragraph(&words, 2)?;
    }
    for (index, view) in worth.iter().take(MOST_SINGLES).enumerate() {
        page.blank()?;
        one(page, &format!("{}. hatch in {}", index + 1, title(view)), view, table)?;
    }
    let rest: Vec<Vec<String>> = worth.iter().skip(MOST_SINGLES).map(|view| short(view)).collect();
    if !rest.is_empty() {
        page.blank()?;
        page.table(&["also", "min/year saved", "pays in", "helps"], &rest, 2)?;
    }
    if pairs {
        page.heading("The best two together")?;
        match table.pair.as_ref().filter(|pair| pair.net_money > 0.0) {
            Some(pair) => {
                one(page, &format!("hatches in {}", title(pair)), pair, table)?;
                let words = format!(
                    "best of {} pairs; {} planned, the others cannot be better",
                    table.pairs, table.pairs_planned
                );
                page.labelled("proof", &words, 5)?;
            }
            None => {
                let words = format!(
                    "No two hatches pay for themselves in {:.0} years ({} pairs).",
                    table.years, table.pairs
                );
                page.paragraph(&words, 2)?;
            }
        }
    }
    new_ways(page, table)?;
    left_out(page, table)?;
    page.heading("Before you believe it, and before you cut")?;
    for words in &table.rests_on {
        page.labelled("mind", words, 2)?;
    }
    Ok(())
}

fn title(view: &HatchView) -> String {
    let named = view.parts.iter().zip(&view.labels);
    named.map(|(part, label)| format!("{label} ({part})")).collect::<Vec<_>>().join(" and ")
}

fn one(page: &mut Page, head: &str, view: &HatchView, table: &HatchTable) -> Result<()> {
    page.line(&page.wrapped(head, "  ", "     "))?;
    let saves = format!(
        "{:.0} min and {} a year; index {:.0} to {:.0} min a year",
        view.saved_minutes_per_year,
        money(view.saved_money_per_year, table.currency.as_deref()),
        table.index.minutes_per_year,
        view.index_minutes_per_year
    );
    page.labelled("saves", &saves, 5)?;
    let sum = |amount: f64| money(amount, table.currency.as_deref());
    let mut cost =
        format!("{} today ({:.0} min and material)", sum(view.cost_today_money), view.make_minutes);
    if let Some(years) = view.payback_years {
        cost.push_str(&format!("; pays for itself in {years:.1} years"));
    }
    cost.push_str(&format!("; {} left over after {:.0} years", sum(view.net_money), table.years));
    page.labelled("costs", &cost, 5)?;
    page.labelled("helps", &helped(view), 5)?;
    page.labelled("opens", &view.opens.join(", "), 5)?;
    page.labelled("look first", &view.before_cutting.join("; "), 5)?;
    if view.proof != "proven cheapest" {
        page.labelled("proof", &view.proof, 5)?;
    }
    Ok(())
}

fn helped(view: &HatchView) -> String {
    let mut names: Vec<String> = view
        .helps
        .iter()
        .take(MOST_HELPED)
        .map(|help| {
            format!("{} {:.0} to {:.0} min", help.item, help.before_minutes, help.after_minutes)
        })
        .collect();
    if view.helps.len() > MOST_HELPED {
        names.push(format!("and {} more", view.helps.len() - MOST_HELPED));
    }
    names.join(", ")
}

fn short(view: &HatchView) -> Vec<String> {
    vec![
        view.parts.join(" and "),
        format!("{:.0}", view.saved_minutes_per_year),
        view.payback_years.map_or_else(|| "never".to_owned(), |years| format!("{years:.1} years")),
        helped(view),
    ]
}

/// Hatches that make something reachable for the first time.
fn new_ways(page: &mut Page, table: &HatchTable) -> Result<()> {
    let opening: Vec<&HatchView> =
        table.singles.iter().filter(|v| v.net_money <= 0.0 && !v.opens.is_empty()).collect();
    for view in opening {
        page.blank()?;
        let words = format!(
            "A hatch in {} would give a first way to {}; what they cost now is not known, so this is \
             in no saving.",
            title(view),
            view.opens.join(", ")
        );
        page.paragraph(&words, 2)?;
    }
    Ok(())
}

fn left_out(page: &mut Page, table: &HatchTable) -> Result<()> {
    let mut reasons: Vec<(&str, Vec<&str>)> = Vec::new();
    for left in &table.left_out {
        match reasons.iter_mut().find(|(why, _)| *why == left.why) {
            Some((_, parts)) => parts.push(&left.part),
            None => reasons.push((&left.why, vec![&left.part])),
        }
    }
    if reasons.is_empty() {
        return Ok(());
    }
    page.heading("No hatch was considered in")?;
    for (why, parts) in reasons {
        page.paragraph(&format!("{}: {why}", parts.join(", ")), 2)?;
    }
    Ok(())
}
