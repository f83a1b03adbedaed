//! Ways in.

use analysis::WayIn;
use anyhow::Result;

use crate::page::Page;

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
