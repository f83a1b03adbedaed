//! A price: choices, lines, what each repair adds, materials, what was agreed to.

use analysis::{ChoiceView, PriceView};
use anyhow::Result;

use crate::page::{Page, Weight};

/// Lines of this kind are goods.
const GOODS: &str = "part";

/// Findings that stay, named at most.
const MOST_STAYING: usize = 6;

/// Everything of a price.
pub(crate) fn view(page: &mut Page, view: &PriceView) -> Result<()> {
    page.heading("Choices")?;
    let rows: Vec<Vec<String>> = view.choices.iter().map(choice_row).collect();
    page.table(&["choice", "repairs", "minutes", "8 of 10", "total", "8 of 10"], &rows, 2)?;
    for choice in &view.choices {
        page.labelled(&choice.id, &choice.title, 2)?;
    }
    for missing in &view.missing_rates {
        page.labelled("missing", missing, 2)?;
    }
    page.heading("The price asked for")?;
    asked(page, &view.asked, &view.currency)?;
    if !view.valid_until.is_empty() {
        page.labelled("holds", &format!("up to {}", view.valid_until), 2)?;
    }
    marginal(page, view)?;
    materials(page, view)?;
    authority(page, view)?;
    page.heading("How it was reckoned")?;
    for note in &view.notes {
        page.labelled("mind", note, 2)?;
    }
    Ok(())
}

fn choice_row(choice: &ChoiceView) -> Vec<String> {
    let or_none = |text: &str| if text.is_empty() { "?".to_owned() } else { text.to_owned() };
    vec![
        choice.id.clone(),
        choice.repairs.len().to_string(),
        format!("{:.0}", choice.minutes),
        format!("{:.0}", choice.minutes_p80),
        or_none(&choice.total),
        or_none(&choice.total_p80),
    ]
}

fn asked(page: &mut Page, choice: &ChoiceView, currency: &str) -> Result<()> {
    if choice.repairs.is_empty() {
        return page.paragraph("No repair is in it.", 2);
    }
    let mut rows: Vec<Vec<String>> = choice
        .lines
        .iter()
        .filter(|line| line.kind != GOODS)
        .map(|line| {
            let minutes = match line.minutes {
                Some([low, likely, high]) => format!("{low:.0} / {likely:.0} / {high:.0}"),
                None => String::new(),
            };
            let amount = if line.amount.is_empty() { "?" } else { &line.amount };
            vec![line.kind.clone(), minutes, amount.to_owned(), line.what.clone()]
        })
        .collect();
    rows.extend(goods(choice, currency));
    page.table(&["line", "minutes", "expected", "what"], &rows, 2)?;
    page.blank()?;
    let minutes = format!(
        "{:.0} expected; {:.0} are enough in half of the cases, {:.0} in eight of ten ({:.0} by a lognormal)",
        choice.minutes, choice.minutes_p50, choice.minutes_p80, choice.minutes_p80_lognormal
    );
    page.labelled("minutes", &minutes, 2)?;
    page.labelled("net", &choice.net, 2)?;
    page.labelled("tax", &choice.tax, 2)?;
    if !choice.total.is_empty() {
        let total = page.weigh(&choice.total, Weight::Strong);
        let words = format!(
            "{total} expected; {} in half of the cases, {} in eight of ten",
            choice.total_p50, choice.total_p80
        );
        page.labelled("total", &words, 2)?;
    }
    let count = choice.without_amount.len();
    if count > 0 {
        let lines = if count == 1 { "line has" } else { "lines have" };
        let words = format!("{count} {lines} no amount (?): the total is not the whole");
        page.labelled("not in it", &words, 2)?;
    }
    for words in &choice.not_opened {
        page.labelled("not opened", words, 2)?;
    }
    for part in &choice.destroyed {
        page.labelled("destroys", part, 2)?;
    }
    for words in choice.stays.iter().take(MOST_STAYING) {
        page.labelled("stays", words, 2)?;
    }
    if choice.stays.len() > MOST_STAYING {
        page.labelled("stays", &format!("{} more", choice.stays.len() - MOST_STAYING), 2)?;
    }
    Ok(())
}

/// Goods in one line: they are listed under materials.
fn goods(choice: &ChoiceView, currency: &str) -> Option<Vec<String>> {
    let goods: Vec<_> = choice.lines.iter().filter(|line| line.kind == GOODS).collect();
    let cents: i64 = goods.iter().filter_map(|line| line.cents).sum();
    let open = goods.iter().filter(|line| line.cents.is_none()).count();
    let what = match open {
        0 => "goods, listed under materials".to_owned(),
        1 => format!("goods, listed under materials; 1 of {} has no price", goods.len()),
        _ => format!("goods, listed under materials; {open} of {} have no price", goods.len()),
    };
    let amount = if open == goods.len() {
        "?".to_owned()
    } else {
        format!("{}.{:02} {currency}", cents / 100, cents % 100)
    };
    let is_none = goods.is_empty();
    (!is_none).then(|| vec!["goods".to_owned(), String::new(), amount, what])
}

fn marginal(page: &mut Page, view: &PriceView) -> Result<()> {
    if view.marginal.is_empty() {
        return Ok(());
    }
    page.heading("What each repair adds")?;
    let words = "in: it is in the price, which would fall by this without it. would: it is not, and the price would rise by this with it (fall, where there is a minus).";
    page.paragraph(words, 2)?;
    let rows: Vec<Vec<String>> = view
        .marginal
        .iter()
        .map(|row| {
            let amount = if row.amount.is_empty() { "?" } else { &row.amount };
            let is_in = if row.is_in { "in" } else { "would" };
            vec![
                is_in.to_owned(),
                format!("{:.0}", row.minutes),
                amount.to_owned(),
                match row.instead_of.is_empty() {
                    true => row.repair.clone(),
                    false => format!("{} instead of {}", row.repair, row.instead_of.join(", ")),
                },
            ]
        })
        .collect();
    page.table(&["", "minutes", "money", "repair"], &rows, 2)
}

fn materials(page: &mut Page, view: &PriceView) -> Result<()> {
    if view.materials.is_empty() {
        return Ok(());
    }
    page.heading("Materials")?;
    let rows: Vec<Vec<String>> = view
        .materials
        .iter()
        .map(|row| {
            let amount = if row.amount.is_empty() { "?" } else { &row.amount };
            vec![
                match row.unit.as_str() {
                    "piece" => row.quantity.to_string(),
                    unit => format!("{} {unit}", row.quantity),
                },
                amount.to_owned(),
                format!("{}: {}", row.sort, row.what),
            ]
        })
        .collect();
    page.table(&["quantity", "amount", "what"], &rows, 2)
}

fn authority(page: &mut Page, view: &PriceView) -> Result<()> {
    page.heading("What was agreed to")?;
    if view.authorisations.is_empty() {
        page.paragraph("Nothing is recorded. Write it under [authority] before work begins.", 2)?;
    }
    for given in &view.authorisations {
        let head = format!("{} {}, {}", given.by, given.channel, given.on);
        page.labelled(&given.name, head.trim_end_matches([',', ' ']), 2)?;
        page.labelled("yes to", &given.allows.join(", "), 4)?;
        page.labelled("no to", &given.declines.join(", "), 4)?;
        page.labelled("total", &given.total, 4)?;
        page.labelled("words", &given.words, 4)?;
        page.labelled("written by", &given.recorder, 4)?;
        page.labelled("lacks", &given.lacks.join(", "), 4)?;
    }
    for flag in &view.flags {
        let word = page.weigh("NOTICE", Weight::of_signal("NOTICE"));
        page.line(&page.wrapped(&format!("{word}  {flag}"), "  ", "    "))?;
    }
    if let Some(law) = &view.law {
        page.labelled("rules", &format!("{} ({}, {})", law.name, law.edition, law.standing), 2)?;
        for rule in &law.rules {
            page.labelled("", rule, 4)?;
        }
        page.labelled("opening", &law.opening.join("; "), 2)?;
        page.labelled("mind", &law.caution, 2)?;
    }
    Ok(())
}
