//! What may be wrong, how likely, and what each reading says of it.

use analysis::{SuspectRow, SuspectsView};
use anyhow::Result;

use crate::page::{Page, Weight};

/// Rows whose readings are told one by one.
const TOLD: usize = 3;

pub(crate) fn whole(page: &mut Page, view: &SuspectsView) -> Result<()> {
    page.heading("Suspects")?;
    warnings(page, view)?;
    if view.weighed == 0 {
        return page.paragraph(
            "Nothing was observed yet that can be held against the sums. Write a symptom with its \
             device, state and `shows`, or a reading (docs/record-guide.md).",
            2,
        );
    }
    short(page, view, view.rows.len())?;
    for row in view.rows.iter().take(TOLD) {
        told(page, row)?;
    }
    page.blank()?;
    for source in &view.sources {
        let words = format!("odds: {} ({})", source.words, source.standing);
        let words = page.wrapped(&words, "  ", "    ");
        let quiet = page.weigh(&words, Weight::Quiet);
        page.line(&quiet)?;
    }
    Ok(())
}

pub(crate) fn warnings(page: &mut Page, view: &SuspectsView) -> Result<()> {
    for warning in &view.warnings {
        let wrapped = page.wrapped(warning, "  ! ", "    ");
        page.line(&wrapped)?;
    }
    if view.warnings.is_empty() { Ok(()) } else { page.blank() }
}

/// The ranking, one or two lines a row.
pub(crate) fn short(page: &mut Page, view: &SuspectsView, most: usize) -> Result<()> {
    for row in view.rows.iter().take(most) {
        let first = format!("  {:>5}  ", percent(row.probability));
        let wrapped = page.wrapped(&with_sizes(row), &first, "         ");
        page.line(&wrapped)?;
    }
    let shown: f64 = view.rows.iter().take(most).map(|row| row.probability).sum();
    let others = (1.0 - shown - view.not_in_record).max(0.0);
    page.line(&format!("  {:>5}  others", percent(others)))?;
    page.line(&format!(
        "  {:>5}  something that is not in the record",
        percent(view.not_in_record)
    ))?;
    if view.two_defects >= 0.01 {
        let words = format!("{} of this: two defects at once", percent(view.two_defects));
        let quiet = page.weigh(&words, Weight::Quiet);
        page.line(&format!("         {quiet}"))?;
    }
    Ok(())
}

fn with_sizes(row: &SuspectRow) -> String {
    let one = |(words, size): (&String, &String)| match size.is_empty() {
        true => words.clone(),
        false => format!("{words}, {size}"),
    };
    row.words.iter().zip(&row.sizes).map(one).collect::<Vec<_>>().join("; and ")
}

fn told(page: &mut Page, row: &SuspectRow) -> Result<()> {
    let speaking: Vec<_> = row.says.iter().filter(|says| says.speaks != "neither").collect();
    page.blank()?;
    let title = format!("{}: {}", percent(row.probability), row.words.join("; and "));
    let wrapped = page.wrapped(&title, "  ", "  ");
    let strong = page.weigh(&wrapped, Weight::Strong);
    page.line(&strong)?;
    page.labelled("to do", &format!("{} ({:.0} min)", row.remedies.join("; "), row.minutes), 2)?;
    if speaking.is_empty() {
        return page.paragraph("No reading tells it from the others.", 2);
    }
    let cells: Vec<Vec<String>> = speaking
        .iter()
        .map(|says| {
            vec![
                format!("speaks {}", says.speaks),
                format!("{:>6}", factor(says.log_odds)),
                says.reading.clone(),
                says.read.clone(),
                says.predicted.clone(),
            ]
        })
        .collect();
    page.table(&["", "odds", "reading", "read", "it would be"], &cells, 2)
}

/// Odds as a factor, as people say it.
fn factor(log_odds: f64) -> String {
    let times = log_odds.abs().exp();
    let times = if times > 999.0 { ">999".to_owned() } else { format!("{times:.0}") };
    if log_odds > 0.0 { format!("x {times}") } else { format!(": {times}") }
}

pub(crate) fn percent(share: f64) -> String {
    match share {
        share if share >= 0.995 => ">99 %".to_owned(),
        share if share < 0.005 => "<1 %".to_owned(),
        share => format!("{:.0} %", 100.0 * share),
    }
}
