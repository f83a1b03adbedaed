//! The proof sheet: dead tests, then live tests, with what was read.

use analysis::{ProofRow, ProofSheet};
use anyhow::Result;

use crate::page::{Page, Weight};
use crate::show;

/// The whole sheet.
pub(crate) fn sheet(page: &mut Page, sheet: &ProofSheet) -> Result<()> {
    for (phase, head) in
        [("dead", "Dead tests"), ("live", "Live tests: when every dead test is done")]
    {
        let rows: Vec<&ProofRow> = sheet.rows.iter().filter(|row| row.phase == phase).collect();
        if rows.is_empty() {
            continue;
        }
        page.heading(head)?;
        for (at, one) in rows.iter().enumerate() {
            if at > 0 {
                page.blank()?;
            }
            // What is said of the row before is not said again.
            let same = at > 0 && rows[at - 1].cautions == one.cautions;
            row(page, one, same)?;
        }
    }
    if !sheet.faults.is_empty() {
        page.heading("Not proved")?;
        for fault in &sheet.faults {
            page.paragraph(fault, 2)?;
        }
        if sheet.mends.is_empty() {
            page.paragraph(
                "`unbury mend` lists repairs; with a name and --choose it notes one in [mends].",
                2,
            )?;
        }
    }
    if !sheet.rows.is_empty() {
        page.heading("How it is decided")?;
        page.paragraph(&sheet.rule, 2)?;
        page.paragraph("Enter readings with --reading \"NAME=10.7 V\", or in [readings] with the note `proof`.", 2)?;
    }
    match &sheet.reopened {
        Some(suspects) => {
            page.heading("A proof failed: what may be wrong in the mended vehicle")?;
            show::suspects::whole(page, suspects)
        }
        None => Ok(()),
    }
}

fn row(page: &mut Page, row: &ProofRow, same_cautions: bool) -> Result<()> {
    if !same_cautions {
        for caution in &row.cautions {
            let signal = page.weigh(&caution.signal, Weight::of_signal(&caution.signal));
            page.line(&page.wrapped(&format!("{signal}  {}", caution.words), "  ", "    "))?;
        }
    }
    let what = page.weigh(&row.what, Weight::Strong);
    page.line(&page.wrapped(&what, "  ", "    "))?;
    page.labelled("name", &row.key, 4)?;
    let state = match row.state.is_empty() {
        true => row.state_words.clone(),
        false => format!("{}: {}", row.state, row.state_words),
    };
    page.labelled("state", &state, 4)?;
    page.labelled("points", &row.points, 4)?;
    page.labelled("with", &row.instrument, 4)?;
    page.labelled("expected", &row.expected, 4)?;
    if !row.limit.is_empty() {
        page.labelled("limit", &format!("{} ({})", row.limit, row.source), 4)?;
    }
    page.labelled("decides", &row.decides, 4)?;
    if let Some(measured) = &row.measured {
        page.labelled("measured", measured, 4)?;
    }
    let verdict = match row.verdict.as_str() {
        "fail" => page.weigh("FAIL", Weight::Strong),
        other => other.to_owned(),
    };
    let words = [verdict.as_str(), row.words.as_str()];
    let words: Vec<&str> = words.into_iter().filter(|words| !words.is_empty()).collect();
    page.labelled("verdict", &words.join(": "), 4)
}
