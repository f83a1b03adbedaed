//! Ways in.

use analysis::WayIn;
use anyhow::Result;

use crate::page::Page;

/// One way, step by step.
pub(crate) fn one(page: &mut Page, way: &WayIn) -> Result<()> {
    page.heading(&format!("Way in to {} ({})", way.target, way.outcome))?;
    if !way.service.is_empty() {
        page.labelled("service", &way.service, 2)?;
    }
    page.labelled("cost", &way.words, 2)?;
    if let (Some(half), Some(most)) = (way.minutes_p50, way.minutes_p80) {
        let words = format!("within {most:.0} min, in and back; half of them within {half:.0}");
        page.labelled("8 of 10", &words, 2)?;
    }
    page.labelled("proof", &way.proof, 2)?;
    for (index, step) in way.steps.iter().enumerate() {
        page.blank()?;
        let first = format!("  {}. {}: {}", index + 1, step.label, step.how);
        page.line(&page.wrapped(&first, "", "     "))?;
        page.labelled("held by", &step.fixings, 5)?;
        let times = format!("{:.0} in, {:.0} back", step.minutes_out, step.minutes_back);
        page.labelled("minutes", &times, 5)?;
        page.labelled("learned", &step.refined, 5)?;
        page.labelled("damage", &step.damage, 5)?;
        page.labelled("because", &step.because, 5)?;
    }
    Ok(())
}

/// Everything that wants service, dearest first.
pub(crate) fn service(page: &mut Page, ways: &[WayIn]) -> Result<()> {
    page.heading("What it takes to reach what wants service")?;
    let rows: Vec<Vec<String>> = ways
        .iter()
        .map(|way| {
            let words = match way.outcome.as_str() {
                "way found" => way.words.clone(),
                other => other.to_owned(),
            };
            vec![way.target.clone(), way.service.clone(), words]
        })
        .collect();
    page.table(&["item", "service", "cost"], &rows, 2)
}
