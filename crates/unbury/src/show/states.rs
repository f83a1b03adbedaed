//! Volts and amperes of a state.

use analysis::{MeterRow, StateView};
use anyhow::Result;

use crate::page::{Page, Weight};

/// One state with its table.
pub(crate) fn state(page: &mut Page, view: &StateView) -> Result<()> {
    page.heading(&format!("State {}: {}", view.name, view.outcome))?;
    page.paragraph(&view.words, 2)?;
    for note in &view.notes {
        let strong = page.weigh("!", Weight::Strong);
        let wrapped = page.wrapped(note, "  ! ", "    ").replacen('!', &strong, 1);
        page.line(&wrapped)?;
    }
    page.blank()?;
    let rows: Vec<Vec<String>> = view
        .rows
        .iter()
        .map(|row| {
            vec![
                row.device.clone(),
                right(&row.voltage, 9),
                right(&row.current, 9),
                right(&row.power, 9),
                row.note.clone(),
            ]
        })
        .collect();
    page.table(&["device", "voltage", "current", "power", "remark"], &rows, 2)?;
    monitors(page, view)?;
    if let Some(residual_a) = view.residual_a {
        let words = format!(
            "+ into a load or battery, - delivered; currents balance within {} ({} steps)",
            residual(residual_a),
            view.iterations
        );
        let words = page.wrapped(&words, "  ", "  ");
        let quiet = page.weigh(&words, Weight::Quiet);
        page.line(&quiet)?;
    }
    Ok(())
}

/// What shunt monitors display, and what input capacitors do.
fn monitors(page: &mut Page, view: &StateView) -> Result<()> {
    for row in &view.monitors {
        let shown_by = if row.monitor.is_empty() {
            format!("a monitor on {}", row.shunt)
        } else {
            format!("{} on {}", row.monitor, row.shunt)
        };
        let does = match (row.batteries.len(), row.truth_a < 0.0) {
            (1, true) => "really gives",
            (1, false) => "really takes",
            (_, true) => "really give",
            (_, false) => "really take",
        };
        let batteries = row.batteries.join(" and ");
        let words = format!(
            "{shown_by} displays {}; {batteries} {does} {}: {}",
            row.display, row.truth, row.words
        );
        page.line(&page.wrapped(&words, "  ", "    "))?;
    }
    for row in &view.inputs {
        let words = format!("{}, {} across its input: {}", row.device, row.capacitance, row.words);
        page.line(&page.wrapped(&words, "  ", "    "))?;
    }
    Ok(())
}

/// What an instrument would show in every state.
pub(crate) fn meter(page: &mut Page, words: &str, rows: &[MeterRow]) -> Result<()> {
    page.heading(&format!("Put in: {words}"))?;
    let table: Vec<Vec<String>> = rows
        .iter()
        .map(|row| {
            let without =
                if row.without.is_empty() { "floating".to_owned() } else { row.without.clone() };
            vec![row.state.clone(), row.shows.clone(), without, row.words.clone()]
        })
        .collect();
    page.table(&["state", "shows", "without it", "remark"], &table, 2)
}

fn right(text: &str, width: usize) -> String {
    let missing = width.saturating_sub(unicode_width::UnicodeWidthStr::width(text));
    format!("{}{text}", " ".repeat(missing))
}

/// A residual far below anything a meter shows is not worth its digits.
fn residual(residual_a: f64) -> String {
    if residual_a < 1e-9 { "1 nA".to_owned() } else { format!("{residual_a:.0e} A") }
}
