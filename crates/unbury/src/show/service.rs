//! What it takes to reach all that wants service, over a year.

use analysis::{FurtherView, ServiceItem, ServiceTable};
use anyhow::Result;

use crate::page::Page;

/// Most further things shown beside a way in.
const MOST_FURTHER: usize = 8;
/// Of its minutes alone, what a further thing may still take to be worth showing.
const STILL_TAKES: f64 = 2.0 / 3.0;

/// The whole table.
pub(crate) fn table(page: &mut Page, table: &ServiceTable) -> Result<()> {
    page.heading("What it takes to reach what wants service")?;
    let of = |outcomes: &[&str]| -> Vec<&ServiceItem> {
        table.items.iter().filter(|item| outcomes.contains(&item.outcome.as_str())).collect()
    };
    let rows: Vec<Vec<String>> = of(&["whole", "cheapest destroys", "only by destroying"])
        .into_iter()
        .map(|item| row(item, table.currency.as_deref()))
        .collect();
    page.table(&["item", "a year", "min", "8 of 10", "min/year", "what comes out"], &rows, 2)?;
    if !rows.is_empty() {
        page.blank()?;
        page.paragraph("~ assumed   ! longer than is usually thought bearable", 2)?;
    }
    named(page, "In the open", &of(&["in the open"]))?;
    reasons(page, "No way in", &of(&["no way"]))?;
    named(
        page,
        "Cannot tell: nobody said what covers these; find out what has to come out first",
        &of(&["cannot tell"]),
    )?;
    index(page, table)
}

/// Whole units of the record's money.
pub(crate) fn money(amount: f64, currency: Option<&str>) -> String {
    format!("{amount:.0} {}", currency.unwrap_or("of the record's money"))
}

fn row(item: &ServiceItem, currency: Option<&str>) -> Vec<String> {
    let minutes = item.minutes.unwrap_or(0.0);
    let slow = item.bearable_minutes.is_some_and(|most| minutes > most);
    let mut words = match item.outcome.as_str() {
        "whole" => item.comes_out.join(", "),
        _ => item.words.clone(),
    };
    if item.breakage_money.is_some_and(|money| money >= 0.5) {
        words.push_str(&format!(
            "; breakage {} expected; time and breakage 8 of 10 up to {:.0}",
            money(item.breakage_money.unwrap_or(0.0), currency),
            item.cost_p80_money.unwrap_or(0.0)
        ));
    }
    let assumed = if item.minutes_assumed { "~" } else { "" };
    vec![
        item.item.clone(),
        rate(item),
        format!(
            "{assumed}{:.0}{}",
            item.minutes_p50.unwrap_or(minutes),
            if slow { "!" } else { "" }
        ),
        format!("{assumed}{:.0}", item.minutes_p80.unwrap_or(minutes)),
        item.minutes_per_year.map_or_else(|| "?".to_owned(), |minutes| format!("{minutes:.0}")),
        words,
    ]
}

fn rate(item: &ServiceItem) -> String {
    let assumed = if item.per_year_origin == "assumed" { "~" } else { "" };
    item.per_year.map_or_else(|| "?".to_owned(), |rate| format!("{assumed}{rate}"))
}

fn named(page: &mut Page, head: &str, items: &[&ServiceItem]) -> Result<()> {
    if items.is_empty() {
        return Ok(());
    }
    page.blank()?;
    let names: Vec<&str> = items.iter().map(|item| item.item.as_str()).collect();
    page.paragraph(&format!("{head}: {}", names.join(", ")), 2)
}

fn reasons(page: &mut Page, head: &str, items: &[&ServiceItem]) -> Result<()> {
    for item in items {
        page.blank()?;
        page.paragraph(&format!("{head} to {}: {}", item.item, item.words), 2)?;
    }
    Ok(())
}

fn index(page: &mut Page, table: &ServiceTable) -> Result<()> {
    let index = &table.index;
    page.heading("Over a year")?;
    let mut words = format!(
        "{:.0} minutes a year to open and close, {} with breakage, over {} items",
        index.minutes_per_year,
        money(index.money_per_year, table.currency.as_deref()),
        index.counted
    );
    if index.left_out > 0 {
        words.push_str(&format!(
            "; it says nothing about {} more (no way, no rate, or not known what covers them)",
            index.left_out
        ));
    }
    page.labelled("index", &words, 2)?;
    for words in &table.rests_on {
        page.labelled("rests on", words, 2)?;
    }
    Ok(())
}

/// What else could be done while something is open.
pub(crate) fn further(page: &mut Page, further: &[FurtherView]) -> Result<()> {
    let worth =
        |further: &&FurtherView| further.extra_minutes <= STILL_TAKES * further.alone_minutes;
    let worth: Vec<&FurtherView> = further.iter().filter(worth).collect();
    if worth.is_empty() {
        return Ok(());
    }
    page.heading("While it is open: much cheaper now than on its own")?;
    let rows: Vec<Vec<String>> = worth
        .iter()
        .take(MOST_FURTHER)
        .map(|further| {
            let mut extra = format!("{:.0}", further.extra_minutes);
            if further.extra_breakage_money >= 0.5 {
                extra.push_str(&format!(" + {:.0} breakage", further.extra_breakage_money));
            }
            let mut words = further.service.clone();
            if !further.comes_out.is_empty() {
                words.push_str(&format!("; comes out: {}", further.comes_out.join(", ")));
            }
            vec![further.item.clone(), extra, format!("{:.0}", further.alone_minutes), words]
        })
        .collect();
    page.table(&["item", "extra min", "alone", "service"], &rows, 2)?;
    if worth.len() > MOST_FURTHER {
        page.paragraph(&format!("and {} more", worth.len() - MOST_FURTHER), 2)?;
    }
    Ok(())
}
