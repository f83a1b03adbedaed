//! What is energised.

use std::collections::BTreeMap;

use analysis::{LineUse, LivePath, LiveRow, LiveState};
use anyhow::Result;

use crate::page::Page;

/// Wires named beside what could make them live.
const MOST_WIRES: usize = 10;

/// Every conductor of every state given.
pub(crate) fn map(
    page: &mut Page,
    rows: &[LiveRow],
    full: &[LiveState],
    not_seen: &[String],
) -> Result<()> {
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
        let full = full.iter().find(|full| full.state == name);
        let most = |wire: &str| -> String {
            let mut conductors = full.iter().flat_map(|full| &full.conductors);
            conductors.find(|one| one.sort == "wire" && one.name == wire).map_or_else(
                String::new,
                |one| match one.class.as_str() {
                    "mains" | "high voltage" => one.class.clone(),
                    _ => one.prospective.clone(),
                },
            )
        };
        let mut notes = Notes::default();
        let cells: Vec<Vec<String>> = states[name]
            .iter()
            .map(|row| {
                let from = from(row, &mut notes);
                vec![row.wire.clone(), status(row.status).to_owned(), most(&row.wire), from]
            })
            .collect();
        page.table(&["wire", "status", "at most", "from, by"], &cells, 2)?;
        for (at, doubt) in notes.said.iter().enumerate() {
            page.line(&page.wrapped(doubt, &format!("  [{}] ", at + 1), "      "))?;
        }
        if let Some(full) = full {
            could(page, full)?;
        }
    }
    for words in not_seen {
        page.blank()?;
        page.paragraph(&format!("WARNING: {words}"), 2)?;
    }
    page.blank()?;
    page.paragraph(
        "`at most` is what a short circuit there can draw, or what else makes it deadly.",
        2,
    )?;
    page.paragraph(
        "`not reached` means that no known source reaches it as recorded. Prove it by measurement. \
         Leads of solar modules are live by daylight, whatever the state says.",
        2,
    )
}

/// What would make more live, and what may hold a cell.
fn could(page: &mut Page, full: &LiveState) -> Result<()> {
    if !full.could.is_empty() {
        page.blank()?;
        page.line("  Could become live:")?;
    }
    for could in &full.could {
        let few: Vec<&str> = could.wires.iter().take(MOST_WIRES).map(String::as_str).collect();
        let more = could.wires.len() - few.len();
        let more = if more == 0 { String::new() } else { format!(" and {more} more") };
        let from = if could.from.is_empty() {
            String::new()
        } else {
            format!(", from {}", could.from.join(", "))
        };
        let words = format!("{}: {}{more}{from}", could.when, few.join(", "));
        page.line(&page.wrapped(&words, "  - ", "    "))?;
    }
    if !full.find_out.is_empty() {
        let words = format!(
            "may hold a cell of their own (look, and write `own_cell`): {}",
            full.find_out.join(", ")
        );
        page.line(&page.wrapped(&words, "  - ", "    "))?;
    }
    Ok(())
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

/// What is doubtful about ways, each said once below the table.
#[derive(Default)]
struct Notes<'r> {
    said: Vec<&'r str>,
}

impl<'r> Notes<'r> {
    /// The mark of a doubt.
    fn mark(&mut self, doubt: &'r str) -> String {
        let known = self.said.iter().position(|said| *said == doubt);
        let at = known.unwrap_or_else(|| {
            self.said.push(doubt);
            self.said.len() - 1
        });
        format!("[{}]", at + 1)
    }
}

/// Certain ways in full; doubtful ones in full only where there is no certain one.
fn from<'r>(row: &'r LiveRow, notes: &mut Notes<'r>) -> String {
    let (certain, doubtful): (Vec<&LivePath>, Vec<&LivePath>) =
        row.from.iter().partition(|path| path.doubt.is_empty());
    let mut pieces: Vec<String> = certain.iter().map(|path| way(path)).collect();
    for path in doubtful {
        let mark = notes.mark(&path.doubt);
        pieces.push(if certain.is_empty() {
            format!("{} {mark}", way(path))
        } else {
            format!("perhaps {} too {mark}", path.source)
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
