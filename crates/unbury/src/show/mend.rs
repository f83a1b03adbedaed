//! Repairs: the list with before and after, and one in full.

use analysis::{ChosenMend, MendList, MendOffer};
use anyhow::Result;

use crate::page::{Page, Weight};

/// Most cured findings named for one repair in the list.
const MOST_CURED: usize = 4;

/// All repairs, then what has none.
pub(crate) fn list(page: &mut Page, list: &MendList, why: bool) -> Result<()> {
    page.heading("Repairs that cure, by the record, and raise nothing")?;
    let without = match list.without.len() {
        0 => "there is a repair for each of them".to_owned(),
        count => format!("for {count} of them no repair is offered"),
    };
    let words = match list.fails {
        0 => "Nothing fails by what is recorded; what was not seen was not judged.".to_owned(),
        fails => format!(
            "{fails} findings fail; {without}. Each repair below was put into the record and looked at again."
        ),
    };
    page.paragraph(&words, 2)?;
    for offer in &list.offers {
        page.blank()?;
        short(page, offer)?;
    }
    if !list.chosen.is_empty() {
        page.heading("Chosen: [mends] of the record")?;
        chosen(page, &list.chosen)?;
        if let Some(after) = list.fails_with_chosen {
            page.labelled("findings", &format!("{} fail now, {after} with these", list.fails), 2)?;
        }
    }
    if list.without.is_empty() {
        return Ok(());
    }
    page.heading("Without a computed repair")?;
    for no in &list.without {
        let signal = page.weigh(&no.signal, Weight::of_signal(&no.signal));
        let words = format!("{signal}  {}: {}", no.place.name, no.message);
        page.line(&page.wrapped(&words, "  ", "    "))?;
        let reasons = if why { no.why.as_slice() } else { &no.why[..no.why.len().min(1)] };
        for reason in reasons {
            page.labelled("because", reason, 4)?;
        }
        page.labelled("do", &no.remedy, 4)?;
    }
    if !why {
        page.paragraph("--why tells every repair that was tried, and why it was not offered.", 2)?;
    }
    Ok(())
}

fn short(page: &mut Page, offer: &MendOffer) -> Result<()> {
    let head = page.weigh(&offer.title, Weight::Strong);
    page.line(&page.wrapped(&head, "  ", "    "))?;
    page.labelled("name", &offer.id, 4)?;
    let mut cures: Vec<String> = offer
        .cures
        .iter()
        .take(MOST_CURED)
        .map(|cured| format!("{} {}: {}", cured.signal, cured.place, cured.title))
        .collect();
    if offer.cures.len() > MOST_CURED {
        cures.push(format!("and {} more", offer.cures.len() - MOST_CURED));
    }
    page.labelled("cures", &cures.join("; "), 4)?;
    for figure in offer.figures.iter().filter(|figure| figure.what != "findings that fail") {
        let words = format!("{}: {} -> {}", figure.what, figure.before, figure.after);
        page.labelled("from, to", &words, 4)?;
    }
    page.labelled("minutes", &minutes(offer.minutes), 4)?;
    page.labelled("licensed", licensed(offer), 4)?;
    page.labelled("or", &offer.instead.join(", "), 4)
}

fn licensed(offer: &MendOffer) -> &'static str {
    if offer.by == "licensed" { "only for somebody licensed, by the local rules" } else { "" }
}

fn minutes([low, likely, high]: [f64; 3]) -> String {
    format!("{low:.0} / {likely:.0} / {high:.0} of work, opening apart (common practice)")
}

/// One repair in full.
pub(crate) fn offer(page: &mut Page, offer: &MendOffer) -> Result<()> {
    page.heading(&offer.title)?;
    for caution in &offer.cautions {
        let signal = page.weigh(&caution.signal, Weight::of_signal(&caution.signal));
        page.line(&page.wrapped(&format!("{signal}  {}", caution.words), "  ", "    "))?;
    }
    page.labelled("name", &offer.id, 2)?;
    page.labelled("licensed", licensed(offer), 2)?;
    for cured in &offer.cures {
        page.labelled("cures", &format!("{}: {}", cured.signal, cured.message), 2)?;
    }
    for words in &offer.because {
        page.labelled("because", words, 2)?;
    }
    for figure in &offer.figures {
        let words = format!("{}: {} -> {}", figure.what, figure.before, figure.after);
        page.labelled("from, to", &words, 2)?;
    }
    for words in &offer.then_find_out {
        page.labelled("then", words, 2)?;
    }
    page.labelled("reach", &offer.reach.join(", "), 2)?;
    page.labelled("instead", &offer.instead.join(", "), 2)?;
    page.blank()?;
    let rows: Vec<Vec<String>> = offer
        .work
        .iter()
        .map(|work| {
            let [low, likely, high] = work.minutes;
            vec![
                format!("{low:.0} / {likely:.0} / {high:.0}"),
                format!("{:.3}", work.times).trim_end_matches('0').trim_end_matches('.').to_owned(),
                work.what.clone(),
            ]
        })
        .collect();
    page.table(&["minutes", "times", "work"], &rows, 2)?;
    page.blank()?;
    let rows: Vec<Vec<String>> = offer
        .parts
        .iter()
        .map(|part| {
            vec![
                format!("{} {}", part.quantity, part.unit),
                format!("{} ({})", part.what, part.why),
            ]
        })
        .collect();
    page.table(&["quantity", "part"], &rows, 2)?;
    page.blank()?;
    for change in &offer.changes {
        let was = change.was.as_deref().unwrap_or("(nothing)");
        let is = change.is.as_deref().unwrap_or("(nothing)");
        page.line(&page.wrapped(&change.path, "  ", "    "))?;
        page.labelled("was", was, 4)?;
        page.labelled("is", is, 4)?;
    }
    Ok(())
}

/// Repairs of `[mends]`.
pub(crate) fn chosen(page: &mut Page, chosen: &[ChosenMend]) -> Result<()> {
    for mend in chosen {
        let words = match mend.why.is_empty() {
            true => format!("{}: {}", mend.stands, mend.words),
            false => format!("{}: {}; {}", mend.stands, mend.words, mend.why),
        };
        page.labelled(&mend.name, &words, 2)?;
    }
    if chosen.iter().any(|mend| mend.stands == "refused") {
        let words = "What is refused is left out, the rest is used. Take its line out of [mends], and choose anew from the repairs above: they are made for the record as it is now.";
        page.paragraph(words, 2)?;
    }
    Ok(())
}
