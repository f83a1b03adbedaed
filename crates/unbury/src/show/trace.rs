//! Where a wire may end, and the next test.

use analysis::TraceView;
use anyhow::Result;

use crate::page::Page;
use crate::show::next::minutes;
use crate::show::suspects::percent;

pub(crate) fn whole(page: &mut Page, view: &TraceView) -> Result<()> {
    match (&view.test, &view.look) {
        (Some(card), _) => {
            page.heading(&format!("Next test: {}", card.title))?;
            for step in &card.steps {
                page.paragraph(step, 2)?;
            }
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
            page.labelled("answer", &card.yes, 2)?;
        }
        (None, Some(look)) => {
            page.heading(&format!("Go and look: {look}"))?;
            page.labelled("answer", "yes: the wire lands there; no: it does not", 2)?;
        }
        (None, None) => {
            let ends = view.ends.as_deref().unwrap_or("nothing left to test");
            page.heading(&format!("Wire {} ends on {ends}", view.wire))?;
            if let Some(line) = &view.record_line {
                page.labelled("record", line, 2)?;
            }
            return Ok(());
        }
    }
    page.labelled(
        "minutes",
        &format!(
            "expected to the end of the trace: {}; opening one place after the other: {}",
            minutes(view.minutes),
            minutes(view.straight_in_minutes)
        ),
        2,
    )?;
    if let Some(line) = &view.record_line {
        page.labelled("record", line, 2)?;
    }
    page.blank()?;
    page.paragraph(&format!("Wire {} starts at {}; it may end on", view.wire, view.near), 2)?;
    for row in &view.candidates {
        let words = match row.why.is_empty() {
            true => row.end.clone(),
            false => format!("{}: {}", row.end, row.why.join("; ")),
        };
        let first = format!("  {:>5}  ", percent(row.probability));
        let wrapped = page.wrapped(&words, &first, "         ");
        page.line(&wrapped)?;
    }
    page.line(&format!("  {:>5}  others", percent(view.others)))
}
