//! What is energised.

use std::collections::BTreeMap;

use analysis::{LineUse, LivePath, LiveRow};
use anyhow::Result;

use crate::page::Page;

/// Every conductor of every state given.
pub(crate) fn map(page: &mut Page, rows: &[LiveRow]) -> Result<()> {
    let mut states: BTreeMap<&str, Vec<&LiveRow>> = BTreeMap::new();
    let mut order: Vec<&str> = Vec::new();
    for row in rows {
        if !order.contains(&row.state.as_str()) {
            order.push(&row.state);
        }
        states.entry(&row.state).or_default().push(row);
    }
    for name in order {
        page.heading(&format!("State {name}: what is energised"))?;
        let cells: Vec<Vec<String>> = states[name]
            .iter()
            .map(|row| vec![row.wire.clone(), status(row.status).to_owned(), from(row)])
            .collect();
        page.table(&["wire", "status", "from, by"], &cells, 2)?;
    }
    page.blank()?;
    page.paragraph(
        "`not reached` means that no known source reaches it as recorded. Prove it by measurement. \
         Leads of solar modules are live by daylight, whatever the state says.",
        2,
    )
}

/// How many conductors of each status a state has.
pub(crate) fn counts(rows: &[&LiveRow]) -> String {
    let count = |wanted: LineUse| rows.iter().filter(|row| row.status == wanted).count();
    format!(
        "{} live, {} may be live, {} return, {} not reached",
        count(LineUse::Live),
        count(LineUse::MayBeLive),
        count(LineUse::Return),
        count(LineUse::NotReached)
    )
}

/// Certain ways in full; doubtful ones in full only where there is no certain one.
pub(crate) fn from(row: &LiveRow) -> String {
    let (certain, doubtful): (Vec<&LivePath>, Vec<&LivePath>) =
        row.from.iter().partition(|path| path.doubt.is_empty());
    let mut pieces: Vec<String> = certain.iter().map(|path| way(path)).collect();
    for path in doubtful {
        pieces.push(if certain.is_empty() {
            format!("{} ({})", way(path), path.doubt)
        } else {
            format!("perhaps {} too ({})", path.source, path.doubt)
        });
    }
    pieces.join("; ")
}

fn way(path: &LivePath) -> String {
    if path.path.is_empty() {
        return path.source.clone();
    }
    format!("{} by {}", path.source, path.path.join(" > "))
}

/// A conductor's status in words.
pub(crate) fn status(status: LineUse) -> &'static str {
    match status {
        LineUse::Live => "live",
        LineUse::MayBeLive => "may be live",
        LineUse::Return => "return",
        LineUse::NotReached => "not reached",
    }
}
